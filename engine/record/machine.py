"""What is known of one machine over the years: an append-only file of dated entries.

An entry is a reading of the machine, a correction made to it, the verdict of a case, or a note. Lengths in
mm; a slope is mm with the length it was taken over, signs as the knowledge base defines them. Nothing is
erased: a wrong entry is withdrawn by a later record.
"""

from __future__ import annotations

import datetime
import os
import re
from collections import Counter
from collections.abc import Iterable
from pathlib import Path
from types import TracebackType
from typing import Annotated, Any, Literal, Self

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, ValidationError, model_validator

from askew.engine.record.journal import Journal, JournalError
from askew.engine.safe import safe
from askew.engine.units import Habit
from askew.knowledge.load import Knowledge, load
from askew.knowledge.schema import MachineKind

Kind = Literal["reading", "correction", "verdict", "note"]
MAX_ENTRIES = 100_000
"""Most entries of one machine: thirty a day for nine years."""
SUFFIX = ".machine"
BESIDE = frozenset({"clamp_jaw_flex", "runout"})
"""Readings that are kept although they are taken with a part gripped or a tool in."""
_NAME = re.compile(r"[a-z0-9][a-z0-9_-]{0,39}")


class MachineError(ValueError):
    """Something about a machine's record that cannot be; the text is one sentence for a person."""


def _day(text: str) -> str:
    try:
        parsed = datetime.date.fromisoformat(text)
    except ValueError:
        raise ValueError("a date is written year-month-day, for example 2031-04-07") from None
    if text != parsed.isoformat() or not 1900 <= parsed.year < 2200:
        raise ValueError("a date is written year-month-day, for example 2031-04-07, from 1900 to 2199")
    return text


Day = Annotated[str, AfterValidator(_day)]
Clean = Annotated[str, AfterValidator(safe)]
Finite = Annotated[float, Field(allow_inf_nan=False, ge=-1e5, le=1e5)]
Length = Annotated[float, Field(allow_inf_nan=False, gt=0, le=1e5)]


class Entry(BaseModel):
    """One dated fact about a machine.

    Attributes:
        date: Day, ISO 8601.
        kind: "reading" (of the machine or vise), "correction" (an action), "verdict" (a source's size as a
            case left it), "note".
        id: Reading, action or source id; empty for a note.
        value: mm; for a correction what it moved, where known; None where there is no number.
        over: Length in mm that a slope is taken over.
        sd: One standard deviation of `value`, mm; None: the usual scatter of the reading.
        case: Name of the case it comes from, or empty.
        note: Words.
    """

    model_config = ConfigDict(strict=True, extra="forbid", frozen=True)

    date: Day
    kind: Kind
    id: str = Field(default="", pattern=r"^[a-z0-9_]{0,60}$")
    value: Finite | None = None
    over: Length | None = None
    sd: Length | None = None
    case: Clean = Field(default="", max_length=200)
    note: Clean = Field(default="", max_length=1000)

    @model_validator(mode="after")
    def _whole(self) -> Self:
        if self.kind == "note":
            if self.id or self.value is not None or not self.note:
                raise ValueError("a note has words and neither id nor value")
        elif not self.id:
            raise ValueError(f"a {self.kind} needs an id")
        if self.kind in ("reading", "verdict") and self.value is None:
            raise ValueError(f"a {self.kind} needs a value in mm")
        if self.value is None and (self.over is not None or self.sd is not None):
            raise ValueError("a length it was taken over, or a spread, needs a value")
        return self

    @property
    def day(self) -> datetime.date:
        """The date as a date."""
        return datetime.date.fromisoformat(self.date)

    @property
    def size(self) -> float:
        """The value as a slope where it was taken over a length, else in mm (0 where there is none)."""
        return (self.value or 0.0) / (self.over or 1.0)


def checked(entry: Entry, knowledge: Knowledge | None = None) -> Entry:
    """Return the entry if its id exists and its value is possible.

    Raises:
        MachineError: With one sentence saying what was wrong and what would be right.
    """
    known = knowledge or load()
    tables: dict[str, Any] = {
        "reading": known.readings,
        "correction": known.actions,
        "verdict": known.sources,
    }
    if entry.kind == "note":
        return entry
    if entry.id not in tables[entry.kind]:
        near = [id_ for id_ in tables[entry.kind] if id_.split("_")[0] == entry.id.split("_")[0]]
        hint = f"; near it are {', '.join(near)}" if near else ""
        raise MachineError(f"There is no {entry.kind} {entry.id!r}{hint}.")
    if entry.kind == "correction":
        return entry
    if entry.kind == "reading":
        reading = known.readings[entry.id]
        if reading.of != "machine" and entry.id not in BESIDE:
            raise MachineError(f"{entry.id} speaks for a part or a cut, not for the machine.")
        needs_length, limit = reading.over is not None, reading.limit
    else:
        source = known.sources[entry.id]
        needs_length, limit = source.unit == "slope", 25.0
    if needs_length and entry.over is None:
        raise MachineError(f"{entry.id} is a slope: give the length it was taken over, in mm.")
    if not needs_length and entry.over is not None:
        raise MachineError(f"{entry.id} is a plain length: leave out the length it was taken over.")
    if abs(entry.value or 0.0) > limit:
        raise MachineError(
            f"{entry.value:g} mm is too large for {entry.id}; at most {limit:g} mm is possible."
        )
    return entry


def habit_of(over: float | None) -> Habit | None:
    """Return the unit that a length betrays: inches where it is a whole number of them; None without one."""
    if over is None:
        return None
    inches = over / 25.4
    return "in" if abs(inches - round(inches)) < 1e-9 * inches else "mm"


def entry_from(fields: dict[str, Any], knowledge: Knowledge | None = None) -> Entry:
    """Return the entry of a mapping of its fields, checked.

    Raises:
        MachineError: With one sentence saying which field was wrong.
    """
    try:
        return checked(Entry.model_validate(fields), knowledge)
    except ValidationError as error:
        raise MachineError(first_fault(error)) from None


def first_fault(error: ValidationError) -> str:
    """Return the first fault of a validation as one sentence."""
    fault = error.errors(include_url=False, include_input=False)[0]
    where = safe(".".join(str(part) for part in fault["loc"]))[:60]
    what = fault["msg"].removeprefix("Value error, ")
    return f"{where}: {what}." if where else f"{what[:1].upper()}{what[1:]}."


class _Head(BaseModel):
    """Content of the first record: whose file it is."""

    model_config = ConfigDict(strict=True, extra="forbid", frozen=True)

    name: str = Field(pattern=f"^{_NAME.pattern}$")
    machine: MachineKind


class MachineRecord:
    """The entries of one machine.

    Attributes:
        name: Its name in the shop: small letters, digits, "-" and "_".
        machine: What kind of machine it is.
    """

    def __init__(self, journal: Journal, head: _Head) -> None:
        """Use `MachineRecord.open` or `MachineRecord.in_memory`."""
        self.name = head.name
        self.machine: MachineKind = head.machine
        self._journal = journal
        self._numbered: dict[int, Entry] = {}
        for record in journal.records:
            if record.kind == "entry":
                try:
                    self._numbered[record.seq] = Entry.model_validate(record.data)
                except ValidationError:
                    continue  # of a later version; what this one understands still counts
            elif record.kind == "withdrawn":
                self._numbered.pop(record.data.get("number", 0), None)

    @classmethod
    def in_memory(cls, name: str = "mill", machine: MachineKind = "knee_mill") -> Self:
        """Return a record without a file."""
        return cls._new(Journal.in_memory(), name, machine)

    @classmethod
    def open(
        cls,
        path: str | os.PathLike[str],
        *,
        create: tuple[str, MachineKind] | None = None,
        write: bool = True,
    ) -> Self:
        """Open a machine's file.

        Args:
            path: The file.
            create: Name and kind to make it with if it is absent.
            write: False to look only.

        Raises:
            MachineError: It is not a machine's record, or it is absent and `create` is None.
        """
        try:
            journal = Journal.open(path, create=create is not None, write=write)
        except JournalError as error:
            raise MachineError(str(error)) from None
        if not journal.records and create is not None:
            return cls._new(journal, *create)
        first = journal.records[0] if journal.records else None
        try:
            if first is None or first.kind != "machine":
                raise MachineError(f"{safe(str(path))} is not a machine's record.")
            return cls(journal, _Head.model_validate(first.data))
        except (ValidationError, MachineError) as error:
            journal.close()
            if isinstance(error, MachineError):
                raise
            raise MachineError(f"{safe(str(path))}: the machine's name or kind is damaged.") from None

    @classmethod
    def _new(cls, journal: Journal, name: str, machine: str) -> Self:
        try:
            head = _Head.model_validate({"name": name, "machine": machine})
        except ValidationError:
            journal.close()
            raise MachineError(
                f"{safe(name)[:40]!r} cannot name a {safe(machine)[:20]}: use small letters, digits, - and _ "
                "for the name, and bench_mill, knee_mill or bed_mill for the kind."
            ) from None
        _append(journal, "machine", head.model_dump())
        return cls(journal, head)

    @property
    def entries(self) -> tuple[Entry, ...]:
        """All entries that stand, by date; those of one day in the order they were written."""
        return tuple(sorted(self._numbered.values(), key=lambda entry: entry.date))

    @property
    def numbered(self) -> dict[int, Entry]:
        """The entries by their number in the file, as written."""
        return dict(self._numbered)

    @property
    def notices(self) -> tuple[str, ...]:
        """Sentences about what was amiss with the file."""
        unsaved = () if self._journal.saved or self._journal.path is None else (self._journal.why_not,)
        return (*self._journal.notices, *unsaved)

    def add(self, entry: Entry) -> int:
        """Keep an entry; when this returns it is on the disk. Returns its number.

        Raises:
            MachineError: It cannot be, or it could not be saved.
        """
        if len(self._numbered) >= MAX_ENTRIES:
            raise MachineError(f"A machine's record holds at most {MAX_ENTRIES:,} entries.")
        checked(entry)
        number = _append(self._journal, "entry", entry.model_dump(exclude_defaults=True, exclude_none=True))
        self._numbered[number] = entry
        return number

    def add_new(self, entries: Iterable[Entry]) -> int:
        """Keep those entries that are not there yet (importing twice changes nothing); return how many.

        All are checked before any is kept. Raises MachineError.
        """
        here = Counter(self._numbered.values())
        fresh: list[Entry] = []
        for entry in entries:
            checked(entry)
            if here[entry] > 0:
                here[entry] -= 1
            else:
                fresh.append(entry)
        for entry in fresh:
            self.add(entry)
        return len(fresh)

    def withdraw(self, number: int) -> Entry:
        """Take an entry back by its number; return it. Raises MachineError if there is none."""
        if number not in self._numbered:
            raise MachineError(f"There is no entry {number} in the record of {self.name}.")
        _append(self._journal, "withdrawn", {"number": number})
        return self._numbered.pop(number)

    def close(self) -> None:
        """Let the file go."""
        self._journal.close()

    def __enter__(self) -> Self:
        """Use as a context."""
        return self

    def __exit__(
        self, kind: type[BaseException] | None, value: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Close."""
        self.close()


def _append(journal: Journal, kind: str, data: dict[str, Any]) -> int:
    try:
        return journal.append(kind, data).seq
    except JournalError as error:
        raise MachineError(str(error)) from None


def machine_path(folder: Path, name: str) -> Path:
    """Return the file of a machine in a folder of records.

    Raises:
        MachineError: The name is not one (small letters, digits, - and _).
    """
    if not _NAME.fullmatch(name):
        raise MachineError(
            f"{safe(name)[:40]!r} cannot name a machine: use small letters, digits, - and _, at most 40."
        )
    return folder / f"{name}{SUFFIX}"


def machine_names(folder: Path) -> list[str]:
    """Return the names of all machines that have a record in the folder."""
    return sorted(path.name.removesuffix(SUFFIX) for path in folder.glob(f"*{SUFFIX}") if path.is_file())
