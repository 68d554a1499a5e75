"""A case file in ordinary use, and everything odd that can stand where one is expected."""

import os
import signal
import stat
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest

from askew.engine.record import journal as journal_module
from askew.engine.record.disk import Disk, undisturbed
from askew.engine.record.journal import BadRecord, Journal, JournalError, NotSaved
from askew.engine.record.lines import Header, header_line
from askew.engine.safe import is_safe


def one_sentence(text: str) -> None:
    assert is_safe(text)
    assert text.endswith(".")
    assert len(text) < 400


def test_what_was_appended_is_read_back(tmp_path: Path, make_turn) -> None:
    path = tmp_path / "a.jsonl"
    with Journal.open(path, create=True, knowledge="7") as journal:
        assert (journal.read_only, journal.saved, journal.notices, journal.last_seq) == (False, True, (), 0)
        written = [
            journal.append("turn", make_turn(f"entry {n}", kind="reading", id="x", value=n / 7))
            for n in range(5)
        ]
        assert journal.records == written
        assert journal.since(3) == written[3:]
        assert journal.since(0) == written
        assert journal.last_seq == 5
    with Journal.open(path) as again:
        assert again.records == written
        assert again.header is not None
        assert again.header.knowledge == "7"
        assert again.notices == ()
        assert again.append("undo", {"turns": 1}).seq == 6


def test_what_append_returns_is_what_the_file_gives(tmp_path: Path) -> None:
    data = {
        "text": "a\x1b[31m\u202eb\r\nc",
        "names": ("square", "block"),
        "k\x00": 1e-300,
        "n": 0.1 + 0.2,
        "z": -0.0,
    }
    with Journal.open(tmp_path / "a.jsonl", create=True) as journal:
        record = journal.append("note", data)
    assert record.data["text"] == "a\u241b[31m\ufffdb\nc"
    assert record.data["names"] == ["square", "block"]
    assert b"\x1b" not in (tmp_path / "a.jsonl").read_bytes()
    with Journal.open(tmp_path / "a.jsonl") as journal:
        assert repr(journal.records) == repr([record])


def test_the_file_is_private_and_nothing_is_left_beside_it(case: Path) -> None:
    assert stat.S_IMODE(case.stat().st_mode) == 0o600
    assert [path.name for path in case.parent.iterdir()] == [case.name]


def test_the_second_window_is_told_who_holds_the_case_and_may_look(case: Path) -> None:
    with Journal.open(case) as first:
        with Journal.open(case) as second:
            assert second.read_only
            assert second.records == first.records
            assert any(f"held by process {os.getpid()} since 20" in notice for notice in second.notices)
            before = case.read_bytes()
            with pytest.raises(NotSaved, match="is held by process") as caught:
                second.append("note", {"text": "me too"})
            assert second.records[-1] == caught.value.record
            assert not second.saved
            assert case.read_bytes() == before
        first.append("note", {"text": "still mine"})
    with Journal.open(case) as third:
        assert not third.read_only
        assert third.records[-1].data == {"text": "still mine"}


def test_another_process_holds_it_until_it_is_killed(case: Path) -> None:
    code = (
        "import sys, time; from askew.engine.record.journal import Journal; "
        "j = Journal.open(sys.argv[1]); print(j.read_only, flush=True); time.sleep(60)"
    )
    holder = subprocess.Popen([sys.executable, "-c", code, str(case)], stdout=subprocess.PIPE, text=True)
    try:
        assert holder.stdout is not None
        assert holder.stdout.readline() == "False\n"
        with Journal.open(case) as looking:
            assert looking.read_only
            assert f"held by process {holder.pid} since" in looking.why_not
    finally:
        holder.kill()
        holder.wait()
    with Journal.open(case) as free:
        assert not free.read_only
        free.append("note", {"text": "after the crash"})


def test_a_lying_note_about_the_holder_is_not_believed(case: Path) -> None:
    with Journal.open(case):
        note = case.with_name(case.name + ".held")
        for content in (b"\x1b[2J", b"[" * 900, b'{"pid": "x", "since": 3}', b'{"pid": 1}', b""):
            note.write_bytes(content)
            with Journal.open(case) as second:
                assert "held by another process" in second.why_not
                one_sentence(second.why_not)
        note.write_text('{"pid": 1, "since": "\\u001b[2J"}')
        with Journal.open(case) as second:
            one_sentence(second.why_not)


def test_looking_changes_nothing(case: Path) -> None:
    with case.open("ab") as file:
        file.write(b'{"seq":7,"id"')
    before = (case.read_bytes(), case.stat().st_mtime_ns)
    with Journal.open(case, write=False) as journal:
        assert journal.read_only
        assert len(journal.records) == 6
        assert len(journal.notices) == 1
        assert "no whole entry" in journal.notices[0]
    assert (case.read_bytes(), case.stat().st_mtime_ns) == before
    assert len(list(case.parent.iterdir())) == 1


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"Dear diary,\n", "is not a case file"),
        (b'{"askew":"cases","format":1}\n', "is not a case file"),
        (b"\x89PNG\r\n\x1a\n" + b"\0" * 100, "is not a case file"),
        (b"[" * 100_000, "is not a case file"),
        (b"\n\n\n", "is not a case file"),
        (b"x", "is not a case file"),
    ],
)
def test_what_is_not_a_case_is_refused_and_left_alone(tmp_path: Path, content: bytes, says: str) -> None:
    path = tmp_path / "notes.txt"
    path.write_bytes(content)
    with pytest.raises(JournalError, match=says) as caught:
        Journal.open(path, create=True)
    one_sentence(str(caught.value))
    assert path.read_bytes() == content
    assert [entry.name for entry in tmp_path.iterdir()] == ["notes.txt"]


def test_odd_things_at_the_path_are_refused(tmp_path: Path, case: Path) -> None:
    link = tmp_path / "link.jsonl"
    link.symlink_to(case)
    dangling = tmp_path / "dangling.jsonl"
    dangling.symlink_to(tmp_path / "nowhere")
    pipe = tmp_path / "pipe.jsonl"
    os.mkfifo(pipe)
    for path, says in [
        (link, "symbolic link"),
        (dangling, "symbolic link"),
        (pipe, "not an ordinary file"),
        (tmp_path, "not an ordinary file|is a directory"),
        (tmp_path / "none.jsonl", "There is no case file"),
        (tmp_path / "no" / "a.jsonl", "There is no case file"),
        (Path("/dev/null"), "not an ordinary file"),
    ]:
        for write in (True, False):
            with pytest.raises(JournalError, match=says) as caught:
                Journal.open(path, write=write)
            one_sentence(str(caught.value))
    assert not (tmp_path / "nowhere").exists()
    with pytest.raises(JournalError, match="There is no folder"):
        Journal.open(tmp_path / "no" / "a.jsonl", create=True)
    with pytest.raises(JournalError, match="symbolic link"):
        Journal.open(dangling, create=True)


def test_a_name_that_acts_on_a_terminal_is_shown_harmless(tmp_path: Path) -> None:
    with pytest.raises(JournalError) as caught:
        Journal.open(tmp_path / "a\x1b[31m.jsonl")
    one_sentence(str(caught.value))


def test_a_newer_format_is_read_as_far_as_it_goes_and_never_written(case: Path, make_turn) -> None:
    lines = case.read_bytes().split(b"\n")
    for first in (
        b'{"askew":"case","format":9,"id":"new","shape":"unheard of"}',
        header_line(Header(askew="case", format=2, id="0" * 16, knowledge="", made="")).rstrip(),
    ):
        case.write_bytes(b"\n".join([first, *lines[1:]]) + b"half a li")
        before = case.read_bytes()
        with Journal.open(case) as journal:
            assert journal.read_only
            assert journal.newer in (2, 9)
            assert len(journal.records) == 6
            assert any("newer than this version knows" in notice for notice in journal.notices)
            with pytest.raises(NotSaved):
                journal.append("turn", make_turn("hello"))
        assert case.read_bytes() == before


def test_a_damaged_line_is_skipped_told_and_left(case: Path, make_turn) -> None:
    lines = case.read_bytes().split(b"\n")
    lines[3] = lines[3].replace(b"blue", b"glue")
    case.write_bytes(b"\n".join(lines))
    with Journal.open(case) as journal:
        assert [record.seq for record in journal.records] == [1, 2, 4, 5, 6]
        assert journal.notices == (
            "Damage in line 4: Its checksum does not fit. It was skipped.",
            "Missing records: 3.",
        )
        assert journal.append("turn", make_turn("go on")).seq == 7
    assert lines[3] in case.read_bytes()


def test_a_damaged_first_line_makes_a_case_read_only(case: Path) -> None:
    data = case.read_bytes()
    case.write_bytes(b"X" + data[1:])
    with Journal.open(case) as journal:
        assert journal.read_only
        assert len(journal.records) == 6
        assert "first line is damaged; export it and import it again" in journal.why_not


def test_a_lost_line_feed_loses_no_record(case: Path) -> None:
    data = case.read_bytes()
    ends = [i for i, byte in enumerate(data) if byte == 10]
    for end in ends[1:]:
        case.write_bytes(data[:end] + b"\x0b" + data[end + 1 :])
        with Journal.open(case) as journal:
            assert [record.seq for record in journal.records] == [1, 2, 3, 4, 5, 6]
            journal.append("note", {"text": "more"})
        with Journal.open(case) as journal:
            assert [record.seq for record in journal.records] == [1, 2, 3, 4, 5, 6, 7]


def test_order_is_by_sequence_and_repeats_count_once(case: Path) -> None:
    header, *lines = case.read_bytes().splitlines(keepends=True)
    case.write_bytes(header + b"".join([lines[2], lines[0], lines[1], *lines[:1], *lines[3:], lines[5]]))
    with Journal.open(case) as journal:
        assert [record.seq for record in journal.records] == [1, 2, 3, 4, 5, 6]
        assert journal.notices == ()


def test_two_records_with_one_number_are_told(case: Path, tmp_path: Path) -> None:
    other = tmp_path / "other.jsonl"
    with Journal.open(other, create=True) as journal:
        journal.append("note", {"text": "from elsewhere"})
    case.write_bytes(case.read_bytes() + other.read_bytes().splitlines(keepends=True)[1])
    with Journal.open(case) as journal:
        assert journal.records[0].kind == "turn"
        assert "Two records claim the same number (1); the first one counts." in journal.notices


def test_the_clock_set_back_changes_no_order(tmp_path: Path) -> None:
    times = iter(["2030-01-01T00:00:00Z"] * 3 + ["1999-01-01T00:00:00Z"] * 10)
    path = tmp_path / "a.jsonl"
    with Journal.open(path, create=True, clock=lambda: next(times)) as journal:
        for number in range(5):
            journal.append("note", {"n": number})
    with Journal.open(path) as journal:
        assert [record.data["n"] for record in journal.records] == [0, 1, 2, 3, 4]
        assert journal.records[0].time > journal.records[-1].time


@pytest.mark.parametrize(
    ("kind", "data", "says"),
    [
        ("turn", {"x": float("nan")}, "Out of range float"),
        ("turn", {"x": float("inf")}, "Out of range float"),
        ("turn", {"x": object()}, "not JSON serializable"),
        ("turn", {"x": "y" * 5000}, "longer than 4,096 characters"),
        ("turn", {"x": ["y" * 4000] * 20}, "longer than 65,536 bytes"),
        ("turn", {"x": 10**30}, "too many digits"),
        ("Turn!", {}, '"kind"'),
    ],
)
def test_what_cannot_be_recorded_is_refused_before_anything_changes(
    case: Path, kind: str, data: dict, says: str
) -> None:
    before = case.read_bytes()
    with Journal.open(case) as journal:
        with pytest.raises(BadRecord, match=says) as caught:
            journal.append(kind, data)
        one_sentence(str(caught.value))
        assert journal.last_seq == 6
        assert journal.saved
        assert case.read_bytes() == before
        assert journal.append("note", {}).seq == 7


def test_a_deep_value_is_refused(case: Path) -> None:
    deep: list[object] = []
    for _ in range(30):
        deep = [deep]
    with Journal.open(case) as journal, pytest.raises(BadRecord, match="nested more than 20 deep"):
        journal.append("note", {"x": deep})


def test_a_file_over_the_limit_is_refused_and_none_grows_past_it(
    case: Path, monkeypatch: pytest.MonkeyPatch, make_turn
) -> None:
    size = case.stat().st_size
    monkeypatch.setattr("askew.engine.record.casefile.MAX_FILE", size + 10)
    with Journal.open(case) as journal:
        with pytest.raises(NotSaved, match="would pass"):
            journal.append("turn", make_turn("x"))
        assert not journal.saved
    assert case.stat().st_size == size
    monkeypatch.setattr(journal_module, "MAX_FILE", size - 1)
    with pytest.raises(JournalError, match="is larger than"):
        Journal.open(case)


def test_a_case_without_a_file_works_and_says_so(make_turn) -> None:
    journal = Journal.in_memory("3")
    assert journal.append("turn", make_turn("x")).seq == 1
    assert not journal.saved
    assert journal.read_only
    assert journal.why_not == "This case has no file."


def test_a_closed_case_saves_nothing_and_says_so(case: Path) -> None:
    journal = Journal.open(case)
    journal.close()
    journal.close()
    with pytest.raises(NotSaved, match="is closed"):
        journal.append("note", {})


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write anywhere")
def test_a_read_only_file_or_folder_still_lets_one_talk(case: Path, make_turn) -> None:
    case.chmod(0o400)
    with Journal.open(case) as journal:
        assert journal.read_only
        assert len(journal.records) == 6
    case.parent.chmod(0o500)
    try:
        with Journal.open(case.with_name("new.jsonl"), create=True) as journal:
            with pytest.raises(NotSaved, match="cannot be made"):
                journal.append("turn", make_turn("x"))
            assert len(journal.records) == 1
    finally:
        case.parent.chmod(0o700)


class RefusingDisk(Disk):
    """Lets nothing be opened for writing, as a read-only medium does, for root as well."""

    def open(self, path: Path, flags: int, mode: int = 0o600) -> int:
        if flags & (os.O_WRONLY | os.O_RDWR):
            if not path.exists() and not flags & os.O_CREAT:
                raise FileNotFoundError(2, "No such file or directory")
            raise OSError(30, "Read-only file system")
        return super().open(path, flags, mode)


def test_a_read_only_medium_still_lets_one_talk(case: Path, make_turn) -> None:
    with Journal.open(case, disk=RefusingDisk()) as journal:
        assert len(journal.records) == 6
        assert journal.notices == ("The case file may not be written (read-only file system).",)
        with pytest.raises(NotSaved, match="may not be written"):
            journal.append("turn", make_turn("x"))
        assert journal.last_seq == 7
    with Journal.open(case.with_name("new.jsonl"), create=True, disk=RefusingDisk()) as journal:
        assert "cannot be made (read-only file system); nothing is saved" in journal.notices[0]
        with pytest.raises(NotSaved):
            journal.append("turn", make_turn("x"))
        assert [record.seq for record in journal.records] == [1]


def test_a_file_changed_by_another_program_is_not_written(case: Path) -> None:
    with Journal.open(case) as journal:
        with case.open("ab") as other:
            other.write(b"scribble\n")
        with pytest.raises(NotSaved, match="another program changed the case file"):
            journal.append("note", {})
    with Journal.open(case) as journal:
        journal.append("note", {})
        case.rename(case.with_name("moved.jsonl"))
        with pytest.raises(NotSaved, match="taken away or replaced"):
            journal.append("note", {})
        case.write_bytes(b"something else")
        with pytest.raises(NotSaved, match="taken away or replaced"):
            journal.append("note", {})
    assert case.read_bytes() == b"something else"


class SlowDisk(Disk):
    """Writes one byte at a time and takes its time over it."""

    def write(self, fd: int, data: memoryview) -> int:
        time.sleep(0.001)
        return os.write(fd, data[:1])


def test_an_interrupt_while_an_entry_is_written_waits_until_it_is_saved(case: Path) -> None:
    with Journal.open(case, disk=SlowDisk()) as journal:
        timer = threading.Timer(0.03, os.kill, (os.getpid(), signal.SIGINT))
        timer.start()
        with pytest.raises(KeyboardInterrupt):
            journal.append("note", {"text": "interrupted"})
        timer.join()
        assert journal.saved
        journal.append("note", {"text": "after"})
    with Journal.open(case) as journal:
        assert [record.data for record in journal.records[-2:]] == [
            {"text": "interrupted"},
            {"text": "after"},
        ]


def test_handlers_stand_again_after_an_undisturbed_block() -> None:
    before = signal.getsignal(signal.SIGINT)
    with undisturbed():
        assert signal.getsignal(signal.SIGINT) is not before
    assert signal.getsignal(signal.SIGINT) is before
    with pytest.raises(ZeroDivisionError), undisturbed():
        _ = 1 / 0
    assert signal.getsignal(signal.SIGINT) is before
