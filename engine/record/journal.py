"""A case on disk: an append-only file of sealed records, one line each.

A record is on the medium before `append` returns. Whatever a crash, a full disk or a stray bit leaves behind
is recognised on opening, told in `notices`, and never taken for a record. Nothing is ever erased: undo is
a record, and what a crash tore off is kept in a file beside the case.
"""

from __future__ import annotations

import errno
import os
import secrets
import stat
from bisect import bisect_right
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from askew.engine.record.disk import DISK, Disk, undisturbed
from askew.engine.record.lines import (
    FORMAT,
    BadLine,
    Header,
    Record,
    header_line,
    made_safe,
    read_record,
    record_line,
)
from askew.engine.record.lock import Lock
from askew.engine.record.reading import Contents, read_contents
from askew.engine.safe import safe

__all__ = ["MAX_FILE", "BadRecord", "Journal", "JournalError", "NotSaved", "Record", "utc_now"]

MAX_FILE = 50 * 1000 * 1000
"""Largest case file read or written, in bytes."""


class JournalError(Exception):
    """A case file that cannot be used; the text is one sentence for a person."""


class BadRecord(JournalError):
    """A record that cannot be part of any case, whatever the disk; nothing was changed."""


class NotSaved(JournalError):
    """The record counts in this session but is not on the disk.

    Attributes:
        record: The record, which is in `Journal.records` all the same.
    """

    def __init__(self, why: str, record: Record) -> None:
        """Carry the reason and the record."""
        super().__init__(why)
        self.record = record


def utc_now() -> str:
    """Return the time now, ISO 8601 in UTC, to the millisecond."""
    return datetime.now(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


class Journal:
    """The records of one case, and the file that keeps them.

    Attributes:
        path: The file, or None for a case that is kept in memory only.
        header: The first line of the file; None where it cannot be trusted.
        records: Everything that happened, in order. Do not change it.
        saved: True while every record is on the disk.
        why_not: Where `saved` is False, the sentence that says why.
    """

    def __init__(
        self,
        path: Path | None,
        header: Header | None,
        *,
        disk: Disk = DISK,
        clock: Callable[[], str] = utc_now,
    ) -> None:
        """Use `Journal.open` or `Journal.in_memory`."""
        self.path = path
        self.header = header
        self.records: list[Record] = []
        self.why_not = ""
        self._notices: list[str] = []
        self._disk = disk
        self._clock = clock
        self._fd: int | None = None
        self._lock: Lock | None = None
        self._size = 0
        self._next_seq = 1
        self._writable = False
        self._unsaved: list[bytes] = []

    # ---- opening

    @classmethod
    def in_memory(cls, knowledge: str = "") -> Self:
        """Return a case without a file; it is gone when the program ends, and says so in `why_not`."""
        journal = cls(None, new_header(knowledge))
        journal.why_not = "This case has no file."
        return journal

    @classmethod
    def open(
        cls,
        path: str | os.PathLike[str],
        create: bool = False,
        *,
        write: bool = True,
        knowledge: str = "",
        disk: Disk = DISK,
        clock: Callable[[], str] = utc_now,
    ) -> Self:
        """Open a case file: lock it, read it, set aside what a crash tore off.

        Where the file can be read but not written (another process holds it, a newer version made it, a
        read-only or full disk), it opens all the same, `read_only`, and `notices` says why.

        Args:
            path: The file.
            create: Make it if it is absent. Where its folder refuses, the case lives in memory with a notice.
            write: False to look only: no lock is taken and nothing is changed.
            knowledge: Version of the knowledge base, for the header of a new file.
            disk: The system calls to use.
            clock: Gives the time of a record.

        Raises:
            JournalError: There is no such file, it is not a case, or it cannot be read.
        """
        journal = cls(Path(path), None, disk=disk, clock=clock)
        try:
            journal._open_file(create, write)
            if journal._fd is not None:
                journal._load(write, knowledge)
        except OSError as error:
            journal.close()
            raise JournalError(f"{journal._name} cannot be read: {_reason(error)}.") from None
        except BaseException:
            journal.close()
            raise
        if journal._fd is None:
            journal.header = new_header(knowledge)
        return journal

    def _open_file(self, create: bool, write: bool) -> None:
        assert self.path is not None
        flags = [os.O_RDWR | os.O_APPEND, os.O_RDONLY] if write else [os.O_RDONLY]
        for mode in flags:
            try:
                self._fd = self._disk.open(self.path, mode)
                break
            except FileNotFoundError:
                if not create:
                    raise JournalError(f"There is no case file {self._name}.") from None
                return self._create()
            except OSError as error:
                if error.errno == errno.ELOOP:
                    raise JournalError(f"{self._name} is a symbolic link; give the file itself.") from None
                if error.errno == errno.EISDIR:
                    raise JournalError(f"{self._name} is a folder, not a case file.") from None
                if mode == flags[-1] or error.errno not in (errno.EACCES, errno.EPERM, errno.EROFS):
                    raise
                self._stay_read_only(f"The file may not be written ({_reason(error)}).")
        assert self._fd is not None
        if not stat.S_ISREG(os.fstat(self._fd).st_mode):
            raise JournalError(f"{self._name} is not an ordinary file.")
        return None

    def _create(self) -> None:
        assert self.path is not None
        if not self.path.parent.is_dir():
            raise JournalError(f"There is no folder {safe(str(self.path.parent))}.")
        try:
            self._fd = self._disk.open(self.path, os.O_RDWR | os.O_APPEND | os.O_CREAT | os.O_EXCL)
        except FileExistsError:
            # Someone else made it a moment ago (or a link points nowhere, which this refuses).
            self._open_file(create=False, write=True)
        except OSError as error:
            self._stay_read_only(f"The case file cannot be made ({_reason(error)}).")

    def _load(self, write: bool, knowledge: str) -> None:
        assert self._fd is not None
        assert self.path is not None
        if write and not self.why_not:
            self._lock = Lock(self.path)
            if not self._lock.take(self._fd, self._clock()):
                self._stay_read_only(
                    f"The case is held by {self._lock.holder()}; here it can only be looked at."
                )
        if not write:
            self.why_not = "The case was opened to look only."
        data = self._disk.read(self._fd, 0, MAX_FILE + 1)
        if len(data) > MAX_FILE:
            raise JournalError(f"{self._name} is larger than {MAX_FILE // 10**6} MB and was not read.")
        contents = read_contents(data)
        if not contents.is_case:
            raise JournalError(f"{self._name} is not a case file; nothing in it was changed.")
        self._take_over(contents)
        if not self.why_not:
            self._make_ready(contents, knowledge)

    def _take_over(self, contents: Contents) -> None:
        self.header = contents.header
        self.records = contents.records
        self._next_seq = contents.next_seq
        self._size = contents.end
        self._notices += contents.findings
        if contents.newer is not None:
            self._stay_read_only(
                f"The case is in format {contents.newer}, which is newer than this version knows ({FORMAT}); "
                "only what it has in common can be shown."
            )
        elif contents.header is None and contents.size > len(contents.tail):
            self._stay_read_only(
                "Nothing can be added to a case whose first line is damaged; export it and import it again."
            )

    def _make_ready(self, contents: Contents, knowledge: str) -> None:
        """Put the end of the file in order for the next record; leave it alone if that cannot be done."""
        assert self._fd is not None
        assert self.path is not None
        try:
            with undisturbed():
                if contents.tail:
                    self._set_aside(contents.tail)
                start = b"\n" if contents.unended else b""
                if self.header is None:
                    self.header = new_header(knowledge, self._clock())
                    start = header_line(self.header)
                if start:
                    self._put(start)
                    self._disk.fsync(self._fd)
                if not contents.size:
                    self._disk.sync_folder(self.path.parent)
            self._writable = True
        except OSError as error:
            self._stay_read_only(f"The case file could not be made ready ({_reason(error)}).")

    def _set_aside(self, tail: bytes) -> None:
        """Keep an unfinished end in a file of its own, then cut it off."""
        assert self._fd is not None
        assert self.path is not None
        for number in range(1, 1000):
            aside = self.path.with_name(f"{self.path.name}.torn-{number}")
            try:
                fd = self._disk.open(aside, os.O_WRONLY | os.O_CREAT | os.O_EXCL)
            except FileExistsError:
                continue
            try:
                self._disk.write_all(fd, tail)
                self._disk.fsync(fd)
            except OSError:
                aside.unlink(missing_ok=True)
                raise
            finally:
                os.close(fd)
            self._disk.sync_folder(self.path.parent)
            self._disk.truncate(self._fd, self._size)
            self._disk.fsync(self._fd)
            what = "empty" if not tail.strip(b"\0") else "unfinished"
            self._notices.append(
                f"{len(tail):,} {what} bytes at the end, left by a crash, were set aside in {safe(aside.name)}; "
                "no record that was acknowledged is among them."
            )
            return
        raise OSError(errno.EEXIST, "too many torn ends set aside")

    # ---- what is known

    @property
    def notices(self) -> tuple[str, ...]:
        """Sentences about everything that was found amiss on opening."""
        return tuple(self._notices)

    @property
    def read_only(self) -> bool:
        """True where no record can reach the file any more."""
        return not self._writable

    @property
    def saved(self) -> bool:
        """True while every record is on the disk."""
        return not self._unsaved and self.path is not None

    @property
    def last_seq(self) -> int:
        """Sequence number of the last record, 0 for a new case."""
        return self.records[-1].seq if self.records else 0

    def since(self, seq: int) -> list[Record]:
        """Return the records after number `seq`, for state that is kept up to date step by step."""
        return self.records[bisect_right(self.records, seq, key=lambda record: record.seq) :]

    @property
    def _name(self) -> str:
        return safe(str(self.path))

    # ---- adding

    def append(self, kind: str, data: dict[str, Any]) -> Record:
        """Add a record; when this returns it is on the disk.

        What is returned, and kept in `records`, is what a later reading of the file gives: strings made
        safe, tuples turned into lists.

        Raises:
            BadRecord: It is not JSON, or too long; nothing was changed.
            NotSaved: It is in `records` but could not be made durable. Each later append tries again to
                save everything, as long as the file can be trusted.
        """
        draft = Record(self._next_seq, secrets.token_hex(4), self._clock(), kind, made_safe(data))
        try:
            line = record_line(draft)
            record = read_record(line[:-1])
        except BadLine as error:
            raise BadRecord(f"This cannot be recorded: {error}") from None
        with undisturbed():
            self._next_seq += 1
            self.records.append(record)
            if self.path is None:
                return record
            self._unsaved.append(line)
            self._save()
        if self._unsaved:
            raise NotSaved(self.why_not, record)
        return record

    def _save(self) -> None:
        if self._fd is None or not self._writable:
            self.why_not = self.why_not or "The case is closed."
            return
        data = b"".join(self._unsaved)
        try:
            self._check_unchanged(len(data))
            self._put(data)
        except OSError as error:
            self.why_not = f"The last entries are not saved: {_reason(error)}."
            return
        try:
            self._disk.fsync(self._fd)
        except OSError as error:
            # After a failed fsync nobody knows what is on the medium, and a second one may wrongly succeed.
            self._stay_read_only(
                f"The disk did not confirm the last entry ({_reason(error)}); nothing more is saved."
            )
            return
        self._unsaved.clear()
        self.why_not = ""

    def _check_unchanged(self, more: int) -> None:
        """Refuse to write to a file that is no longer the one that was read."""
        assert self._fd is not None
        assert self.path is not None
        if self._size + more > MAX_FILE:
            raise OSError(errno.EFBIG, f"the case file would pass {MAX_FILE // 10**6} MB")
        now = os.fstat(self._fd)
        try:
            named = os.stat(self.path, follow_symlinks=False)
        except FileNotFoundError:
            named = None
        if named is None or (named.st_ino, named.st_dev) != (now.st_ino, now.st_dev):
            raise OSError(errno.ENOENT, "the case file was taken away or replaced")
        if now.st_size != self._size:
            raise OSError(errno.EIO, "another program changed the case file")

    def _put(self, data: bytes) -> None:
        """Write at the end of the file, or leave it as it was."""
        assert self._fd is not None
        try:
            self._disk.write_all(self._fd, data)
            if os.fstat(self._fd).st_size != self._size + len(data):
                raise OSError(errno.EIO, "the case file did not grow by what was written")
        except BaseException:
            try:
                self._disk.truncate(self._fd, self._size)
            except OSError as error:
                self._stay_read_only(f"A half-written entry could not be taken back ({_reason(error)}).")
            raise
        self._size += len(data)

    def _stay_read_only(self, why: str) -> None:
        self._writable = False
        self.why_not = why
        self._notices.append(why)

    # ---- leaving

    def close(self) -> None:
        """Let the file and its lock go. Everything acknowledged is on the disk already."""
        if self._lock is not None:
            self._lock.release()
            self._lock = None
        if self._fd is not None:
            fd, self._fd = self._fd, None
            self._writable = False
            os.close(fd)

    def __enter__(self) -> Self:
        """Return the journal itself."""
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Close it."""
        self.close()


def new_header(knowledge: str, made: str | None = None) -> Header:
    """Return the header of a new case."""
    return Header(
        askew="case",
        format=FORMAT,
        id=secrets.token_hex(8),
        knowledge=safe(knowledge)[:40],
        made=made or utc_now(),
    )


def _reason(error: OSError) -> str:
    return safe(error.strerror or str(error)).lower()
