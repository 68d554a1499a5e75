"""One line of what must stay in sight: the next check and the time spent."""

from __future__ import annotations

from typing import TYPE_CHECKING

from askew.cli.speech import minutes, name_of

if TYPE_CHECKING:
    from askew.engine.seam import Turn
    from askew.knowledge.load import Knowledge


def status_text(turn: Turn, known: Knowledge) -> str:
    """Return the status line's text; what matters most comes first, since a narrow screen cuts its end."""
    parts = []
    if not turn.saved:
        parts.append("NOT SAVED")
    if turn.closed:
        parts.append("case closed")
    elif turn.verdict is not None:
        parts.append("cause found")
    elif turn.next is not None:
        parts.append(f"next: {name_of(turn.next.check, known)}, {minutes(turn.next.minutes)}")
    if turn.spent:
        parts.append(f"spent {minutes(turn.spent)}")
    return " | ".join([*parts, "? help"])
