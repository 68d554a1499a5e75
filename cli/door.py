"""Opening a consultation: the one place where the screens meet the engine.

The engine brings numpy, pydantic and the rules with it, so it is imported when a consultation is opened and
not before; the chat does that while the person reads the first lines.
"""

from __future__ import annotations

import functools
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from askew.cli.exits import NO_CASE, Refusal
from askew.engine.units import Habit

if TYPE_CHECKING:
    from askew.engine.consult import Consultation as Engine
    from askew.engine.record.journal import Journal
    from askew.engine.seam import Turn


class Consultation(Protocol):
    """What the screens need of the engine's consultation."""

    @property
    def unit(self) -> Habit:
        """The person's habit."""

    def say(self, line: str) -> Turn:
        """Take one line and answer; never raises on bad input."""

    def now(self) -> Turn:
        """Return the case as it stands."""

    def speak(self, unit: Habit) -> Turn:
        """Answer in this unit from now on."""


@dataclass(frozen=True, slots=True)
class Opened:
    """An open case.

    Attributes:
        consultation: The consultation on it.
        name: What the case is called.
        notices: Sentences about what was found amiss with its file.
        close: Lets go of the file.
        keep: Brings the record of the case's machine up to date, and returns what there is to say of it.
    """

    consultation: Consultation
    name: str
    notices: tuple[str, ...] = ()
    close: Callable[[], None] = lambda: None
    keep: Callable[[], Sequence[str]] = lambda: ()

    def leave(self) -> Sequence[str]:
        """Let go of the case; return what there is to say of its machine's record."""
        says = self.keep()
        self.close()
        return says


def open_file(path: Path) -> Opened:
    """Open the case in a file, made if absent.

    Raises:
        Refusal: The file is no case, or cannot be read.
    """
    from askew.engine.record.journal import Journal, JournalError
    from askew.knowledge.load import VERSION

    try:
        journal = Journal.open(path, create=True, knowledge=VERSION)
    except JournalError as error:
        raise Refusal(str(error), NO_CASE) from None
    return _opened(journal, path.stem)


def open_memory() -> Opened:
    """Open a case that is gone when the program ends."""
    from askew.engine.record.journal import Journal
    from askew.knowledge.load import VERSION

    return _opened(Journal.in_memory(VERSION), "not kept")


def open_new() -> Opened:
    """Begin a case in the folder of cases.

    Raises:
        Refusal: The folder cannot be used.
    """
    from askew.engine.record.journal import JournalError
    from askew.engine.record.store import Store
    from askew.knowledge.load import VERSION

    try:
        journal = Store().new(knowledge=VERSION)
    except JournalError as error:
        raise Refusal(str(error), NO_CASE) from None
    return _opened(journal, journal.path.stem if journal.path else "not kept")


def open_last() -> Opened | None:
    """Open the case that was written to last, if it is still open; None where there is none.

    A file that cannot be used, or that another process holds, is passed over.
    """
    from askew.engine.record.journal import Journal, JournalError
    from askew.engine.record.store import Store

    try:
        path = Store().latest()
        journal = Journal.open(path) if path is not None else None
    except JournalError:
        return None
    if path is None or journal is None:
        return None
    if not journal.read_only:
        opened = _opened(journal, path.stem)
        if not opened.consultation.now().closed:
            return opened
    journal.close()
    return None


def begin_on(opened: Opened, machine: str, today: date, *, asked: bool = True) -> Sequence[str]:
    """Let a new case start from the record of a machine; return sentences about what did not go as wished.

    Args:
        opened: The case.
        machine: The machine's name.
        today: The day on which the case begins.
        asked: The person named it for this case; where it is only the usual one, a case under way keeps its own.

    Raises:
        Refusal: There is no such machine, or its record cannot be read.
    """
    from askew.engine.consult import Consultation as Engine
    from askew.engine.record.machine import MachineError, habit_of
    from askew.engine.record.machine_due import due
    from askew.engine.record.machine_memory import priors_of
    from askew.engine.record.machine_store import Machines
    from askew.engine.report.words import observed_name

    engine = opened.consultation
    if not isinstance(engine, Engine):
        return ()
    on = engine.begun.machine
    if on == machine or (not asked and (on or engine.now().turn)):
        return ()
    if on or engine.now().turn:
        begun = f"is on {on}" if on else "began without a machine's record"
        return (f"This case {begun}; the record of {machine} is left alone. A new case can name it.",)
    machines = Machines()
    try:
        with machines.open(machine, write=False) as record:
            priors, kind = priors_of(record, today), record.machine
            looks = [stand for stand in due(record, today) if stand.day is not None and stand.day <= today]
            unit = next((habit_of(e.over) for e in reversed(record.entries) if e.over), None)
    except MachineError as error:
        hint = "" if machine in machines.names() else f" Begin one: askew machine new {machine} knee_mill"
        raise Refusal(f"{error}{hint}", NO_CASE) from None
    names = [observed_name(stand.series.reading) for stand in looks]
    more = f" and {len(names) - 2} more" if len(names) > 2 else ""
    said = [f"Due for a look: {'; '.join(names[:2])}{more}. askew machine due {machine} says why."] if names else []
    engine.remember(machine, priors, kind, unit=unit, more=said)
    return ()


def machine_of(opened: Opened) -> str:
    """Return the name of the machine that a case is on; empty where none was named."""
    from askew.engine.consult import Consultation as Engine

    engine = opened.consultation
    return engine.begun.machine if isinstance(engine, Engine) else ""


def knows(opened: Opened, key: str) -> bool:
    """Say whether a case has been told a setup fact."""
    from askew.engine.consult import Consultation as Engine

    engine = opened.consultation
    return isinstance(engine, Engine) and engine.setup.known(key)


def about(opened: Opened) -> str:
    """Return what a case is about, in the person's words and unit; empty where nothing was complained of."""
    from askew.engine.consult import Consultation as Engine
    from askew.engine.language.echo import echo

    engine = opened.consultation
    complaint = engine.case.complaint if isinstance(engine, Engine) else None
    return echo([complaint.fact], engine.unit) if complaint is not None else ""


def keep_for_machine(engine: Engine, name: str) -> Sequence[str]:
    """Bring the record of a case's machine up to date with it; return what there is to say of that."""
    from askew.engine.record.machine import MachineError
    from askew.engine.record.machine_case import label_of, take_in
    from askew.engine.record.machine_store import Machines

    machine, header = engine.begun.machine, engine.journal.header
    if not machine or header is None or not engine.now().turn or (engine.journal.read_only and engine.journal.path):
        return ()
    try:
        with Machines().open(machine) as record:
            return take_in(record, label_of(name, header.id), engine.events).says(machine)
    except MachineError as error:
        return (f"The record of {machine} is not brought up to date: {error}",)


def _opened(journal: Journal, name: str) -> Opened:
    from askew.engine.consult import Consultation as Engine

    engine = Engine(journal)
    keep = functools.partial(keep_for_machine, engine, name)
    engine.keeper = lambda _: keep()
    return Opened(engine, name, (*journal.notices, *engine.notices), journal.close, keep)
