"""One line of what must stay in sight: the next check and the time spent."""

from __future__ import annotations

from typing import TYPE_CHECKING

from askew.cli.lines import shorten
from askew.cli.speech import minutes, name_of

if TYPE_CHECKING:
    from askew.engine.seam import Turn
    from askew.knowledge.load import Knowledge


LEAST = 14
"""Columns that the name of a check must have before the time spent gives way to it."""


def status_text(turn: Turn, known: Knowledge, width: int = 120) -> str:
    """Return the status line's text, no wider than `width`; of a check with a long name the name gives way."""
    before = ["NOT SAVED"] if not turn.saved else []
    after = [f"spent {minutes(turn.spent)}"] if turn.spent else []
    after.append("? help")
    if turn.closed:
        before.append("case closed")
    elif turn.verdict is not None:
        before.append("cause found")
    elif turn.next is not None:
        cost = f", {minutes(turn.next.minutes)}"
        room = width - len(" | ".join([*before, f"next: {cost}", *after]))
        if room < LEAST and len(after) > 1:
            room += len(after.pop(0)) + len(" | ")
        before.append(f"next: {shorten(name_of(turn.next.check, known), room)}{cost}")
    return " | ".join([*before, *after])
