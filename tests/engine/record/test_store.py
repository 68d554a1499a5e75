"""The folder of cases: names, lists, search, export, import, check."""

import os
import stat
from pathlib import Path

import pytest

from askew.engine.record.bundle import PortableCase, pack, unpack
from askew.engine.record.journal import Journal, JournalError
from askew.engine.record.lines import Header, Record, record_line
from askew.engine.record.store import Store, Wanted, data_folder, of_journal, write_bundle
from askew.engine.safe import is_safe


@pytest.fixture
def store(tmp_path: Path, make_turn) -> Store:
    """Return a store with three cases, two machines, one closed."""
    times = iter(f"2026-05-{day:02}T12:00:00.000Z" for day in range(1, 32))
    store = Store(tmp_path / "kept" / "cases", clock=lambda: next(times))
    plan = [
        ("knee_mill", "vise jaw lifts", ["jaw_lift"]),
        ("bench_mill", "hollow face", []),
        ("knee_mill", "ridge", []),
    ]
    for machine, text, causes in plan:
        with store.new(machine, knowledge="1") as journal:
            journal.append(
                "turn", make_turn("it is this machine", kind="setup", key="machine", value=machine)
            )
            journal.append("turn", make_turn(text, kind="reading", id="face_out_of_square", value=0.1))
            if causes:
                journal.append("summary", {"state": "closed", "complaint": "hollow_across", "causes": causes})
    return store


def names(store: Store, **wanted: str) -> list[str]:
    return [item.name for item in store.find(Wanted(**wanted))]


def test_the_data_folder_follows_variables(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("ASKEW_HOME", str(tmp_path / "mine"))
    assert data_folder() == tmp_path / "mine"
    assert Store().folder == tmp_path / "mine" / "cases"
    monkeypatch.delenv("ASKEW_HOME")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "xdg"))
    if os.name == "posix":
        assert data_folder() == tmp_path / "xdg" / "askew"


def test_names_say_day_machine_and_serial(store: Store) -> None:
    assert [path.stem[10:] for path in store.paths()] == ["-knee-mill-1", "-bench-mill-1", "-knee-mill-1"]
    assert all(path.stem.startswith("2026-05-") for path in store.paths())
    fixed = Store(store.folder, clock=lambda: "2026-06-01T12:00:00Z")
    made = []
    for _ in range(3):
        with fixed.new() as journal:
            assert journal.path is not None
            made.append(journal.path.stem)
    assert made == ["2026-06-01-mill-1", "2026-06-01-mill-2", "2026-06-01-mill-3"]
    assert stat.S_IMODE(store.folder.stat().st_mode) == 0o700
    assert stat.S_IMODE(store.folder.parent.stat().st_mode) == 0o700


@pytest.mark.parametrize(
    ("wanted", "count"),
    [
        ({}, 3),
        ({"machine": "knee"}, 2),
        ({"machine": "Bench-Mill"}, 1),
        ({"machine": "lathe"}, 0),
        ({"cause": "jaw_lift"}, 1),
        ({"cause": "jaw lift"}, 1),
        ({"cause": "Jaw-Lift"}, 1),
        ({"text": "HOLLOW"}, 1),
        ({"text": "said nowhere"}, 0),
        ({"state": "closed"}, 1),
        ({"state": "open"}, 2),
        ({"since": "2026-05-12"}, 1),
        ({"until": "2026-05-01"}, 0),
        ({"until": "2026-05"}, 3),
        ({"since": "2027"}, 0),
        ({"machine": "knee", "text": "ridge"}, 1),
    ],
)
def test_search(store: Store, wanted: dict[str, str], count: int) -> None:
    assert len(names(store, **wanted)) == count


def test_the_list_says_how_each_case_stands(store: Store, make_turn) -> None:
    newest_first = store.find()
    assert [item.summary.changed for item in newest_first] == sorted(
        (item.summary.changed for item in newest_first), reverse=True
    )
    closed = newest_first[-1].summary
    assert (closed.machine, closed.complaint, closed.causes) == ("knee_mill", "hollow_across", ("jaw_lift",))
    assert (closed.state, closed.turns, closed.words) == ("closed", 2, "it is this machine")
    with Journal.open(newest_first[-1].path) as journal:
        journal.append("turn", make_turn("it came back"))
    assert [item.summary.state for item in store.find(Wanted(cause="jaw_lift"))] == ["open"]


def test_what_is_taken_back_is_not_found(store: Store, make_turn) -> None:
    with store.new("bed_mill") as journal:
        journal.append(
            "turn", make_turn("a slip of the tongue", kind="setup", key="machine", value="bed_mill")
        )
        journal.append("undo", {"turns": 1})
    assert names(store, text="slip") == []
    assert names(store, machine="bed") == []


def test_a_case_is_found_by_the_beginning_of_its_name(store: Store) -> None:
    full = store.paths()[1].stem
    assert store.path(full) == store.path(full.upper() + ".jsonl") == store.path(full[:14])
    for bad in ("", "2026", "../etc/passwd", "/etc/passwd", "nothing", "a\x1b[31m", "a" * 500, ".."):
        with pytest.raises(JournalError) as caught:
            store.path(bad)
        assert is_safe(str(caught.value))
        assert str(caught.value).endswith(".") or "cases list" in str(caught.value)


def test_the_latest_is_the_one_written_last(store: Store, tmp_path: Path) -> None:
    middle = store.paths()[1]
    os.utime(middle, (4_000_000_000, 4_000_000_000))
    assert store.latest() == middle
    assert Store(tmp_path / "none").latest() is None
    assert Store(tmp_path / "none").find() == []
    assert Store(tmp_path / "none").check() == []


def test_out_and_in_again_is_the_same(store: Store, tmp_path: Path) -> None:
    out = tmp_path / "all.askew"
    said = store.export([path.stem for path in store.paths()], out)
    assert len(said) == 3
    assert stat.S_IMODE(out.stat().st_mode) == 0o600
    elsewhere = Store(tmp_path / "elsewhere")
    assert [sentence.split(" was imported")[0] for sentence in elsewhere.take_in(out)] == [
        path.stem for path in store.paths()
    ]
    for path in store.paths():
        assert (elsewhere.folder / path.name).read_bytes() == path.read_bytes()
    assert all("is here already" in sentence for sentence in elsewhere.take_in(out))
    assert all("is here already" in sentence for sentence in elsewhere.take_in(store.paths()[0]))
    assert len(elsewhere.paths()) == 3


def test_an_import_never_replaces_a_case(store: Store, tmp_path: Path, make_turn) -> None:
    out = tmp_path / "one.askew"
    path = store.paths()[0]
    store.export([path.stem], out)
    with Journal.open(path) as journal:
        journal.append("turn", make_turn("more since"))
    before = path.read_bytes()
    (sentence,) = store.take_in(out)
    assert sentence.startswith(f"{path.stem}-1 was imported")
    assert path.read_bytes() == before
    with pytest.raises(JournalError, match="exists already"):
        store.export([path.stem], out)


def test_a_damaged_case_can_be_exported_and_goes_on_elsewhere(store: Store, tmp_path: Path) -> None:
    path = store.paths()[0]
    data = path.read_bytes()
    path.write_bytes(b"?" + data[1:])
    (sentence,) = store.export([path.stem], tmp_path / "out")
    assert "The first line, which names the format, is damaged." in sentence
    other = Store(tmp_path / "other")
    other.take_in(tmp_path / "out")
    with Journal.open(other.paths()[0]) as journal:
        assert not journal.read_only
        assert [record_line(record) for record in journal.records] == data.splitlines(keepends=True)[1:]


def test_a_case_that_could_not_be_saved_can_be_exported(tmp_path: Path, make_turn) -> None:
    journal = Journal.in_memory("1")
    journal.append("turn", make_turn("no disk, no case"))
    write_bundle([of_journal("rescued", journal)], tmp_path / "out", "now")
    (case,) = unpack((tmp_path / "out").read_bytes())
    assert list(case.records) == journal.records


def bundle() -> bytes:
    header = Header(askew="case", format=1, id="0" * 16, knowledge="1", made="t")
    records = [Record(seq, f"{seq:08x}", "t", "note", {"n": seq}) for seq in (1, 2, 5)]
    return pack([PortableCase("a", header, records), PortableCase("b", header, [])], "t")


def test_no_cut_and_no_flip_of_a_bundle_is_taken(tmp_path: Path) -> None:
    data = bundle()
    assert [len(case.records) for case in unpack(data)] == [3, 0]
    broken = [data[:cut] for cut in range(len(data))]
    for bit in range(0, len(data) * 8, 3):
        flipped = bytearray(data)
        flipped[bit // 8] ^= 1 << bit % 8
        broken.append(bytes(flipped))
    lines = data.splitlines(keepends=True)
    broken += [b"".join(lines[:at] + lines[at + 1 :]) for at in range(len(lines))]
    broken += [b"".join([*lines[:at], line, *lines[at:]]) for at, line in enumerate(lines)]
    broken += [data + data, data + b"\n", b"", b"\0" * 100]
    for damaged in broken:
        with pytest.raises(JournalError) as caught:
            unpack(damaged)
        assert is_safe(str(caught.value))
        assert len(str(caught.value)) < 200
    store = Store(tmp_path / "s")
    (tmp_path / "cut").write_bytes(data[:-3])
    with pytest.raises(JournalError, match="cut short"):
        store.take_in(tmp_path / "cut")
    assert store.paths() == []


def test_a_bundle_with_right_seals_and_wrong_content_is_refused() -> None:
    import hashlib

    from askew.engine.record.lines import seal

    good = bundle().splitlines(keepends=True)[:-1]

    def ended(lines: list[bytes]) -> bytes:
        body = b"".join(lines)
        return body + seal({"end": len(lines), "sha256": hashlib.sha256(body).hexdigest()})

    for lines, says in [
        ([*good, good[2]], "belongs to no case"),
        (good[:3], "is not part of a case"),
        ([good[0], good[2], *good[2:]], "is not part of a case"),
        ([good[0], good[1], good[3], good[2], *good[4:]], "out of order"),
        ([good[0], good[1], good[2], good[2], *good[4:]], "out of order"),
        ([seal({"askew": "cases", "format": 2})], "newer than this version knows"),
        (
            [seal({"askew": "cases", "format": 1, "made": "t", "cases": 10**9})],
            "first line of the file is damaged",
        ),
    ]:
        with pytest.raises(JournalError, match=says):
            unpack(ended(lines))


def test_odd_files_to_import_are_refused(store: Store, tmp_path: Path) -> None:
    (tmp_path / "link").symlink_to(store.paths()[0])
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "text").write_text("hello\n")
    newer = tmp_path / "newer.jsonl"
    newer.write_text('{"askew":"case","format":2}\n')
    for name, says in [
        ("link", "symbolic link"),
        ("pipe", "not an ordinary file"),
        ("none", "cannot be opened"),
        ("text", "not a case file"),
        ("newer.jsonl", "a newer version must export it"),
    ]:
        with pytest.raises(JournalError, match=says):
            store.take_in(tmp_path / name)
    assert len(store.paths()) == 3


def test_check_finds_what_is_wrong_and_says_it(store: Store) -> None:
    paths = store.paths()
    data = paths[0].read_bytes()
    paths[0].write_bytes(data.replace(b"jaw", b"paw", 1))
    paths[1].write_bytes(paths[1].read_bytes()[:-9])
    paths[2].chmod(0o644)
    (store.folder / "2026-07-01-mill-1.jsonl").write_text("not JSON at all\n")
    (store.folder / "notes.txt").write_text("x")
    (store.folder / f"{paths[0].name}.held").write_text("{}")
    (store.folder / f"{paths[0].name}.torn-1").write_text("x")
    (store.folder / ".x.new").write_text("x")
    before = {path: path.read_bytes() for path in store.folder.iterdir()}
    found = {item.name: item for item in store.check()}
    assert {path: path.read_bytes() for path in store.folder.iterdir()} == before
    assert [found[path.stem].sound for path in paths] == [False, False, True]
    assert "checksum does not fit" in found[paths[0].stem].findings[0]
    assert "no whole entry" in found[paths[1].stem].findings[0]
    assert "chmod 600" in found[paths[2].stem].findings[0]
    assert not found["2026-07-01-mill-1"].sound
    assert "Not a case file." in found["notes.txt"].findings
    assert "it does no harm" in found[f"{paths[0].name}.held"].findings[0]
    assert "crash left" in found[f"{paths[0].name}.torn-1"].findings[0]
    assert "may be removed" in found[".x.new"].findings[0]
    assert all(is_safe(finding) for item in found.values() for finding in item.findings)
    # a listing goes on past what cannot be read
    assert len(store.find()) == 3


def test_a_folder_that_is_somebody_elses_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "getuid", lambda: 12345)
    with pytest.raises(JournalError, match="belongs to somebody else"):
        Store(tmp_path).new()
    (tmp_path / "file").write_text("")
    with pytest.raises(JournalError, match=r"is not a folder|cannot be made"):
        Store(tmp_path / "file").new()
