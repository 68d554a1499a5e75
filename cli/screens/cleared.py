"""What was cleared, and the number that cleared it."""

from __future__ import annotations

from collections.abc import Collection
from typing import TYPE_CHECKING

from askew.cli.lines import Line, Span, bullet, heading, span, wrap
from askew.cli.speech import amount, name_of
from askew.cli.view import View

if TYPE_CHECKING:
    from askew.engine.seam import ClearedOut, Turn
    from askew.knowledge.load import Knowledge

MOST = 4
"""Cleared sources given a line of their own; the others are counted."""


def cleared_screen(
    turn: Turn, known: Knowledge, view: View, before: Collection[str] = (), most: int = MOST
) -> list[Line]:
    """Return what was cleared, without what was said before.

    Args:
        turn: The turn.
        known: The knowledge.
        view: How to show it.
        before: Sources already shown as cleared.
        most: How many get a line of their own.
    """
    new = [cleared for cleared in turn.cleared if cleared.source not in before]
    # Those that a number cleared come first: they are the ones that somebody would have gone after.
    new.sort(key=lambda cleared: cleared.needed is None)
    if not new:
        return []
    lines = heading("Cleared", view)
    for cleared in new[:most]:
        lines += bullet(_sentence(cleared, known, view), view)
    if len(new) > most:
        lines += wrap(f"and {len(new) - most} more: show cleared.", view, indent=2, style="dim")
    return lines


def _sentence(cleared: ClearedOut, known: Knowledge, view: View) -> list[Span]:
    name = Span(name_of(cleared.source, known), "strong")
    if cleared.needed is None or cleared.needed <= cleared.plausible:
        return [name, span(f": {cleared.because}")]
    needed = amount(cleared.needed, cleared.unit, cleared.source, known, view)
    plausible = amount(cleared.plausible, cleared.unit, cleared.source, known, view)
    return [name, span(f": it would need {needed}; {plausible} is the most to expect.")]
