"""Opening a consultation: the one place where the screens meet the engine.

The engine brings numpy, pydantic and the rules with it, so it is imported when a consultation is opened and
not before; the chat does that while the person reads the first lines.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from askew.cli.exits import NO_CASE, Refusal
from askew.engine.units import Habit

if TYPE_CHECKING:
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
    """

    consultation: Consultation
    name: str
    notices: tuple[str, ...] = ()
    close: Callable[[], None] = lambda: None


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


def _opened(journal: Journal, name: str) -> Opened:
    from askew.engine.consult import Consultation as Engine

    engine = Engine(journal)
    return Opened(engine, name, (*journal.notices, *engine.notices), journal.close)
