"""A case on disk: an append-only file of sealed records, one line each.

A record is on the medium before `append` returns. Whatever a crash, a full disk or a stray bit leaves behind
is recognised on opening, told in `notices`, and never taken for a record. Nothing is ever erased: undo is
a record, and what a crash tore off is kept in a file beside the case.
"""

from __future__ import annotations

import os
import secrets
from bisect import bisect_right
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from askew.engine.record.casefile import MAX_FILE, CaseFile, create_case_file, open_case_file, reason
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
from askew.engine.record.reading import Contents, read_contents
from askew.engine.safe import safe

__all__ = ["MAX_FILE", "BadRecord", "Journal", "JournalError", "NotSaved", "Record", "utc_now"]


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
    now: str = datetime.now(UTC).isoformat(timespec="milliseconds")
    return now.replace("+00:00", "Z")


class Journal:
    """The records of one case, and the file that keeps them.

    Attributes:
        header: The first line of the file; None where it cannot be trusted.
        records: Everything that happened, in order. Read it, do not change it.
        newer: The format of the file, where this version does not know it; else None.
        why_not: Where `saved` is False, the sentence that says why.
    """

    def __init__(self, clock: Callable[[], str] = utc_now) -> None:
        """Use `Journal.open` or `Journal.in_memory`."""
        self.header: Header | None = None
        self.records: list[Record] = []
        self.newer: int | None = None
        self.why_not = ""
        self._path: Path | None = None
        self._file: CaseFile | None = None
        self._notices: list[str] = []
        self._next_seq = 1
        self._unsaved: list[bytes] = []
        self._clock = clock

    # ---- opening

    @classmethod
    def in_memory(cls, knowledge: str = "", *, clock: Callable[[], str] = utc_now) -> Self:
        """Return a case without a file; it is gone when the program ends, and `why_not` says so."""
        journal = cls(clock)
        journal.header = new_header(knowledge, clock())
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
            create: Make it if absent. Where its folder refuses, the case lives in memory, with a notice.
            write: False to look only: no lock is taken and nothing is changed.
            knowledge: Version of the knowledge base, for the header of a new file.
            disk: The system calls to use.
            clock: Gives the time of a record.

        Raises:
            JournalError: There is no such file, it is not a case, or it cannot be read.
        """
        journal = cls(clock)
        journal._path = Path(path)
        try:
            journal._file = _open_or_create(journal._path, create and write, write, disk)
            journal._load(journal._file, write, knowledge)
        except _NoFile as error:
            journal.header = new_header(knowledge, clock())
            journal._tell_unwritable(str(error))
        except OSError as error:
            journal.close()
            raise JournalError(f"{_shown(path)} cannot be opened: {reason(error)}.") from None
        except BaseException:
            journal.close()
            raise
        return journal

    def _load(self, file: CaseFile, wanted: bool, knowledge: str) -> None:
        file.lock(self._clock())
        data = file.read()
        if len(data) > MAX_FILE:
            raise JournalError(f"{_shown(file.path)} is larger than {MAX_FILE // 10**6} MB and was not read.")
        contents = read_contents(data)
        if not contents.is_case:
            raise JournalError(f"{_shown(file.path)} is not a case file; nothing in it was changed.")
        self.header = contents.header
        self.records = contents.records
        self.newer = contents.newer
        self._next_seq = contents.next_seq
        self._notices += contents.findings
        file.size = contents.end
        file.why_not = file.why_not or _why_not_extended(contents)
        if file.writable:
            self._make_ready(file, contents, knowledge)
        elif contents.tail:
            self._notices.append(
                f"{len(contents.tail):,} bytes at the end are no whole entry: "
                "a crash left them, or one is being written."
            )
        if not file.writable and wanted:
            self._tell_unwritable(file.why_not)

    def _make_ready(self, file: CaseFile, contents: Contents, knowledge: str) -> None:
        """Put the end of the file in order for the next record; leave it alone if that cannot be done."""
        try:
            with undisturbed():
                if contents.tail:
                    self._notices.append(_about_tail(contents.tail, file.cut_off(contents.tail)))
                if contents.size == 0:
                    file.sync_folder()
        except OSError as error:
            file.why_not = f"The case file could not be made ready ({reason(error)})."
            return
        if contents.unended:
            self._unsaved.append(b"\n")
        if self.header is None:
            self.header = new_header(knowledge, self._clock())
            self._unsaved.append(header_line(self.header))
        if self._unsaved:
            with undisturbed():
                self._save()
            if self.why_not and file.writable:
                self._notices.append(self.why_not)

    def _tell_unwritable(self, why: str) -> None:
        self.why_not = why
        self._notices.append(why)

    # ---- what is known

    @property
    def path(self) -> Path | None:
        """The file, or None for a case that is kept in memory only."""
        return self._path

    @property
    def notices(self) -> tuple[str, ...]:
        """Sentences about everything that was found amiss on opening."""
        return tuple(self._notices)

    @property
    def read_only(self) -> bool:
        """True where no record can reach a file."""
        return self._file is None or not self._file.writable

    @property
    def saved(self) -> bool:
        """True while every record is on the disk."""
        return self._path is not None and not self._unsaved

    @property
    def last_seq(self) -> int:
        """Sequence number of the last record, 0 for a new case."""
        return self.records[-1].seq if self.records else 0

    def since(self, seq: int) -> list[Record]:
        """Return the records after number `seq`, for a state that is kept up to date step by step."""
        return self.records[bisect_right(self.records, seq, key=lambda record: record.seq) :]

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
            if self._path is None:
                return record
            self._unsaved.append(line)
            self._save()
        if self._unsaved:
            raise NotSaved(self.why_not, record)
        return record

    def _save(self) -> None:
        if self._file is None:
            return
        self.why_not = self._file.add(b"".join(self._unsaved))
        if not self.why_not:
            self._unsaved.clear()

    # ---- leaving

    def close(self) -> None:
        """Let the file and its lock go. Everything acknowledged is on the disk already."""
        if self._file is not None:
            self._file.close()

    def __enter__(self) -> Self:
        """Return the journal itself."""
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Close it."""
        self.close()


class _NoFile(Exception):
    """The file could not be made; the text is the sentence that says why."""


def _open_or_create(path: Path, create: bool, write: bool, disk: Disk) -> CaseFile:
    try:
        return open_case_file(path, disk, write=write)
    except FileNotFoundError:
        if not create:
            raise JournalError(f"There is no case file {_shown(path)}.") from None
    if not path.parent.is_dir():
        raise JournalError(f"There is no folder {_shown(path.parent)}.")
    try:
        return create_case_file(path, disk)
    except FileExistsError:
        return open_case_file(path, disk, write=write)  # somebody else made it a moment ago
    except OSError as error:
        raise _NoFile(f"The case file cannot be made ({reason(error)}); nothing is saved.") from None


def new_header(knowledge: str, made: str) -> Header:
    """Return the header of a new case."""
    return Header(
        askew="case", format=FORMAT, id=secrets.token_hex(8), knowledge=safe(knowledge)[:40], made=made
    )


def _why_not_extended(contents: Contents) -> str:
    if contents.newer is not None:
        return (
            f"The case is in format {contents.newer}, which is newer than this version knows ({FORMAT}); "
            "only what both have in common is shown, and nothing can be added."
        )
    if contents.header is None and contents.end:
        return (
            "Nothing can be added to a case whose first line is damaged; "
            "export it and import it again to go on."
        )
    return ""


def _about_tail(tail: bytes, aside: Path) -> str:
    what = "unfinished" if tail.strip(b"\0") else "empty"
    return (
        f"{len(tail):,} {what} bytes at the end, left by a crash, were set aside in {_shown(aside.name)}; "
        "no entry that was acknowledged is among them."
    )


def _shown(path: str | os.PathLike[str]) -> str:
    return safe(os.fspath(path))
