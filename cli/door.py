"""Opening a consultation: the one place where the screens meet the engine.

The engine brings numpy, pydantic and the rules with it, so it is imported when a consultation is opened and
not before; the chat does that while the person reads the first lines.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from askew.cli.exits import NO_CASE, Refusal
from askew.engine.units import Habit

if TYPE_CHECKING:
    from askew.engine.seam import Turn


class Consultation(Protocol):
    """What the screens need of the engine's consultation."""

    unit: Habit

    def say(self, line: str) -> Turn:
        """Take one line and answer; never raises on bad input."""

    def now(self) -> Turn:
        """Return the case as it stands."""


class Opener(Protocol):
    """Opens a consultation on a case file, or in memory where there is none."""

    def __call__(self, path: Path | None) -> tuple[Consultation, tuple[str, ...]]:
        """Return the consultation and what must be told about the file."""


def open_consultation(path: Path | None) -> tuple[Consultation, tuple[str, ...]]:
    """Open the consultation kept in a case file, made if absent; in memory where `path` is None.

    Returns:
        The consultation, and sentences about what was found amiss with the file.

    Raises:
        Refusal: The file is no case, or cannot be read.
    """
    from askew.engine.consult import Consultation as Engine
    from askew.engine.record.journal import Journal, JournalError
    from askew.knowledge.load import VERSION

    if path is None:
        return Engine(Journal.in_memory(VERSION)), ()
    try:
        journal = Journal.open(path, create=True, knowledge=VERSION)
    except JournalError as error:
        raise Refusal(str(error), NO_CASE) from None
    return Engine(journal), journal.notices
