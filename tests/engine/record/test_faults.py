"""Every write and every fsync failing in turn, and a disk that really is full."""

import errno
import os
import resource
import subprocess
import sys
from pathlib import Path

import pytest

from askew.engine.record.disk import Disk
from askew.engine.record.journal import Journal, JournalError, NotSaved
from askew.engine.record.private import NotWritten, write_private

CALLS = ("open", "write", "fsync", "truncate")


class FailingDisk(Disk):
    """Fails one call: the `at`-th of a name, with an error, perhaps after a part of the data went."""

    def __init__(self, name: str = "", at: int = 0, error: int = errno.EIO, lasting: bool = False) -> None:
        self.name, self.at, self.error, self.lasting = name, at, error, lasting
        self.counts = dict.fromkeys(CALLS, 0)

    def _step(self, name: str) -> bool:
        self.counts[name] += 1
        if name != self.name:
            return False
        return self.counts[name] == self.at or (self.lasting and self.counts[name] > self.at)

    def _fail(self) -> OSError:
        return OSError(self.error, os.strerror(self.error))

    def open(self, path: Path, flags: int, mode: int = 0o600) -> int:
        if self._step("open"):
            raise self._fail()
        return super().open(path, flags, mode)

    def write(self, fd: int, data: memoryview) -> int:
        failing = self._step("write")
        if failing:
            os.write(fd, data[: len(data) // 2])  # the half that went before the disk was full
            raise self._fail()
        return super().write(fd, data[: max(1, len(data) // 2)])  # short writes otherwise

    def fsync(self, fd: int) -> None:
        if self._step("fsync"):
            raise self._fail()

    def truncate(self, fd: int, size: int) -> None:
        if self._step("truncate"):
            raise self._fail()
        super().truncate(fd, size)


def session(path: Path, disk: Disk) -> tuple[list[object], list[object]]:
    """Open, add five entries, close; return what was acknowledged and everything that was said."""
    acknowledged: list[object] = []
    said: list[object] = []
    with Journal.open(path, create=True, disk=disk) as journal:
        acknowledged += journal.records
        said += journal.records
        for number in range(5):
            try:
                record = journal.append("note", {"n": number})
                assert journal.saved
                # An acknowledgement covers what was said before it as well.
                acknowledged = list(journal.records)
            except NotSaved as error:
                record = error.record
                assert not journal.saved
                assert journal.why_not == str(error)
                assert journal.why_not.endswith(".")
            said.append(record)
            assert journal.records == said
    return acknowledged, said


def faults(path: Path) -> list[tuple[str, int]]:
    """Return every call that a session of this kind makes, by name and number."""
    probe = FailingDisk()
    session(path, probe)
    return [(name, at) for name in CALLS for at in range(1, probe.counts[name] + 1)]


@pytest.mark.parametrize("error", [errno.ENOSPC, errno.EIO, errno.EDQUOT])
@pytest.mark.parametrize("lasting", [False, True], ids=["once", "from-then-on"])
@pytest.mark.parametrize("start", ["absent", "torn", "sound"])
def test_every_call_failing_in_turn(
    tmp_path: Path, case: Path, quick: Disk, error: int, lasting: bool, start: str
) -> None:
    content = {"absent": None, "torn": case.read_bytes() + b'{"seq":7,"i', "sound": case.read_bytes()}[start]

    def fresh(name: str) -> Path:
        folder = tmp_path / name
        folder.mkdir()
        path = folder / "a.jsonl"
        if content is not None:
            path.write_bytes(content)
        return path

    tried = 0
    for name, at in faults(fresh("probe")):
        path = fresh(f"{name}-{at}")
        try:
            acknowledged, said = session(path, FailingDisk(name, at, error, lasting))
        except JournalError as refused:
            assert name == "open"
            assert str(refused).endswith(".")
            acknowledged, said = [], []
        if path.exists():
            with Journal.open(path, create=True, disk=quick) as journal:
                assert journal.records[: len(acknowledged)] == acknowledged, (name, at)
                # What was not acknowledged may have reached the disk, but only as it was said.
                known = said or journal.records
                assert all(record in known for record in journal.records), (name, at)
                assert not journal.read_only
                assert not any("Damage" in notice for notice in journal.notices), (name, at, journal.notices)
                last = journal.append("note", {"text": "the disk is well again"})
            with Journal.open(path, write=False) as journal:
                assert journal.records[-1] == last
        else:
            assert not acknowledged
        tried += 1
    print(f"faults: {tried} calls failed with {errno.errorcode[error]}, start {start}, lasting {lasting}")
    assert tried > 15


def test_after_a_failed_fsync_nothing_more_is_saved(case: Path) -> None:
    with Journal.open(case, disk=FailingDisk("fsync", 2)) as journal:
        journal.append("note", {"n": 1})
        for number in (2, 3):
            with pytest.raises(NotSaved, match="did not confirm the last entry"):
                journal.append("note", {"n": number})
        assert journal.read_only
        assert journal.last_seq == 9


class NoWayBackDisk(FailingDisk):
    """Fails a write half-way and then will not cut the half off either."""

    def truncate(self, fd: int, size: int) -> None:
        raise self._fail()


def test_a_half_written_entry_that_cannot_be_taken_back_ends_the_writing(case: Path) -> None:
    with Journal.open(case, disk=NoWayBackDisk("write", 1)) as journal:
        said = list(journal.records)
        for number in (1, 2):
            with pytest.raises(NotSaved, match="half-written entry could not be taken back"):
                journal.append("note", {"n": number})
        assert journal.read_only
    with Journal.open(case) as journal:
        assert journal.records == said
        assert "were set aside" in journal.notices[0]
        journal.append("note", {"n": 3})


def test_once_there_is_room_again_everything_is_saved(case: Path) -> None:
    disk = FailingDisk("write", 1, errno.ENOSPC)
    with Journal.open(case, disk=disk) as journal:
        size = case.stat().st_size
        with pytest.raises(NotSaved, match="not saved: no space left on device"):
            journal.append("note", {"n": 1})
        assert case.stat().st_size == size
        journal.append("note", {"n": 2})
        assert journal.saved
        assert journal.why_not == ""
        said = list(journal.records)
    with Journal.open(case) as journal:
        assert journal.records == said


FULL = """
import resource, signal, sys
from askew.engine.record.journal import Journal, NotSaved
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (int(sys.argv[2]), resource.RLIM_INFINITY))
with Journal.open(sys.argv[1], create=True) as journal:
    for number in range(400):
        try:
            print(journal.append("note", {"n": number, "pad": "x" * 200}).seq, flush=True)
        except NotSaved as error:
            print(error, file=sys.stderr)
"""


def test_a_file_size_limit_of_the_system(tmp_path: Path) -> None:
    path = tmp_path / "a.jsonl"
    for limit in (0, 60, 64 * 1024, 64 * 1024 + 77):
        path.unlink(missing_ok=True)
        done = subprocess.run(
            [sys.executable, "-c", FULL, str(path), str(limit)], capture_output=True, text=True, check=True
        )
        printed = [int(line) for line in done.stdout.split()]
        assert printed == list(range(1, len(printed) + 1))
        assert ("not saved: file too large" in done.stderr) == bool(done.stderr)
        assert len(printed) + len(done.stderr.splitlines()) == 400
        assert path.stat().st_size <= limit
        with Journal.open(path, create=True) as journal:
            assert [record.seq for record in journal.records] == printed
            assert not journal.read_only
            journal.append("note", {})


def test_private_file_on_a_failing_disk_leaves_the_old_one(tmp_path: Path) -> None:
    path = tmp_path / "settings"
    write_private(path, "old")
    for name in ("open", "write", "fsync"):
        for at in (1, 2):
            try:
                write_private(path, "new and longer", disk=FailingDisk(name, at, errno.ENOSPC))
            except NotWritten as error:
                assert "no space left" in str(error)
            assert path.read_text() in ("old", "new and longer")
            assert [entry.name for entry in tmp_path.iterdir()] == ["settings"]


def test_a_limit_does_not_outlast_the_test() -> None:
    assert resource.getrlimit(resource.RLIMIT_FSIZE)[0] == resource.RLIM_INFINITY
