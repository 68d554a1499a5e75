"""A case file cut anywhere, flipped anywhere, or made of anything."""

import random
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from askew.engine.record.disk import Disk
from askew.engine.record.journal import Journal, Record
from askew.engine.record.reading import read_contents
from askew.engine.safe import is_safe


def whole_lines(data: bytes, cut: int) -> int:
    """Return how many records of a file stand whole before a cut."""
    count = data.count(b"\n", 0, cut) - 1
    # A record is whole without its line feed, too.
    if data.count(b"\n", 0, cut) and cut < len(data) and data[cut : cut + 1] == b"\n":
        count += 1
    return max(count, 0)


@pytest.mark.parametrize("tail", [b"", b"\0" * 37, b"\0" * 4096], ids=["bare", "nul", "nul-page"])
def test_cut_at_every_byte(case: Path, quick: Disk, tail: bytes, full: bool, make_turn) -> None:
    if full:
        with Journal.open(case, disk=quick) as journal:
            for number in range(40):
                journal.append(
                    "turn", make_turn(f"entry {number}", kind="reading", id="sweep_x", value=number / 3)
                )
    with Journal.open(case, write=False) as journal:
        original = journal.records
    data = case.read_bytes()
    path = case.with_name("cut.jsonl")
    cases = 0
    for cut in range(len(data) + 1):
        path.write_bytes(data[:cut] + tail)
        expected = original[: whole_lines(data, cut)]
        with Journal.open(path, create=True, disk=quick) as journal:
            assert journal.records == expected, cut
            assert not journal.read_only, cut
            if tail:
                assert journal.notices, cut
            added = journal.append("note", {"text": "after the cut"})
        with Journal.open(path, disk=quick) as journal:
            assert journal.records == [*expected, added], cut
            second = journal.append("note", {"text": "and again"})
        with Journal.open(path, write=False) as journal:
            assert journal.records == [*expected, added, second], cut
            assert not [notice for notice in journal.notices if "Missing" in notice], cut
        for aside in path.parent.glob("cut.jsonl.torn-*"):
            assert (data[:cut] + tail).endswith(aside.read_bytes())
            aside.unlink()
        cases += 1
    print(f"cuts: {cases}, tail of {len(tail)} bytes")


def go_on(path: Path, expected: list[Record], disk: Disk) -> None:
    """Open a damaged case, add to it if that is allowed, and read it again."""
    with Journal.open(path, disk=disk) as journal:
        assert journal.records == expected
        if not journal.read_only:
            assert journal.append("note", {"text": "after the flip"}).seq > expected[-1].seq
    with Journal.open(path, write=False) as again:
        assert again.records == journal.records


def test_flip_of_any_bit_lets_no_wrong_record_in(case: Path, quick: Disk, full: bool, make_turn) -> None:
    with Journal.open(case, disk=quick) as journal:
        for number in range(8):
            journal.append("turn", make_turn(f"entry {number} é", kind="sign", id="step_felt", answer="back"))
        original = journal.records
    data = case.read_bytes()
    path = case.with_name("flipped.jsonl")
    bits = range(len(data) * 8) if full else random.Random(6).sample(range(len(data) * 8), 5_000)
    right = {record.seq: record for record in original}
    lost = 0
    for count, bit in enumerate(bits):
        flipped = bytearray(data)
        flipped[bit // 8] ^= 1 << bit % 8
        contents = read_contents(bytes(flipped))
        assert contents.is_case, bit
        assert all(right[record.seq] == record for record in contents.records), bit
        assert len(contents.records) >= len(original) - 1, bit
        lost += len(contents.records) < len(original)
        # What is lost is told; a lost line feed is repaired.
        assert contents.findings or len(contents.records) == len(original), bit
        if count % 10 == 0:  # the same through the file
            path.write_bytes(flipped)
            go_on(path, contents.records, quick)
    print(f"bit flips: {len(bits)}, wrong records accepted: 0, one record lost and told: {lost}")


def test_two_flips_in_one_line_are_caught_as_well(case: Path) -> None:
    data = case.read_bytes()
    original = {record.seq: record for record in read_contents(data).records}
    chance = random.Random(7)
    for _ in range(2_000):
        flipped = bytearray(data)
        for _ in range(chance.randint(2, 30)):
            flipped[chance.randrange(len(data))] ^= 1 << chance.randrange(8)
        assert all(original[record.seq] == record for record in read_contents(bytes(flipped)).records)


def sound(records: list[Record], findings: list[str]) -> None:
    assert [record.seq for record in records] == sorted({record.seq for record in records})
    assert all(is_safe(finding) and len(finding) < 500 for finding in findings)


@given(st.binary(max_size=400))
@example(b"\n" * 300)
@example(b'{"seq":' * 50)
@example(b'{"askew":"case","format":1' + b"\0" * 50)
def test_any_bytes_are_read_without_an_error(data: bytes) -> None:
    contents = read_contents(data)
    sound(contents.records, contents.findings)
    assert contents.end + len(contents.tail) == len(data)


@given(st.data())
def test_pieces_of_cases_shuffled_are_read_without_an_error(data: st.DataObject) -> None:
    from askew.engine.record.lines import record_line

    lines = [
        record_line(
            Record(seq, f"{seq:08x}", "t", "turn", {"text": "\N{DEGREE SIGN}", "facts": [{"seq": 1}]})
        )
        for seq in (1, 2, 3, 9)
    ]
    pieces = st.sampled_from(
        [*lines, *[line[:20] for line in lines], *[line[20:] for line in lines], b"\0", b"\n", b"x"]
    )
    joined = b"".join(data.draw(st.lists(pieces, max_size=12)))
    contents = read_contents(b'{"askew":"case"}\n' + joined)
    sound(contents.records, contents.findings)
    for line in lines:
        # A line that stands whole between two line feeds is never lost, whatever is around it.
        if b"\n" + line in b"\n" + joined:
            assert line in [record_line(record) for record in contents.records]


def test_giant_lines_are_skipped_quickly(case: Path, quick: Disk) -> None:
    header, *lines = case.read_bytes().splitlines(keepends=True)
    for filler in (b"x" * 5_000_000, b'{"seq":' * 700_000, b',"crc":"' * 600_000, b"\xff" * 5_000_000):
        case.write_bytes(header + lines[0] + filler + b"\n" + b"".join(lines[1:]))
        with Journal.open(case, disk=quick) as journal:
            assert [record.seq for record in journal.records] == [1, 2, 3, 4, 5, 6]
            assert "65,536 bytes" in journal.notices[0]
