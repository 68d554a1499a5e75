"""What was cleared, and the number that cleared it."""

from __future__ import annotations

from collections.abc import Collection
from typing import TYPE_CHECKING

from askew.cli.lines import Line, Span, bullet, heading, span
from askew.cli.speech import amount, name_of
from askew.cli.view import View

if TYPE_CHECKING:
    from askew.engine.seam import ClearedOut, Turn
    from askew.knowledge.load import Knowledge

MOST = 3
"""Cleared sources given a line of their own; the others are counted."""
NAMED = 3
"""Of the others, how many are named."""


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
    whole = most >= len(new)
    # "No size of it would do this" is the same for most: they take one sentence together.
    alone = [cleared for cleared in new if _by_number(cleared) or (whole and not _by_no_size(cleared, known))]
    alone = alone[:most]
    others = [cleared for cleared in new if cleared not in alone]
    if len(others) == 1:
        alone, others = [*alone, *others], []
    lines = heading("Cleared", view)
    for cleared in alone:
        lines += bullet(_sentence(cleared, known, view), view)
    if whole:
        return lines + _no_size(others, known, view)
    return lines + _the_others(others, known, view, also=bool(alone))


def _the_others(others: list[ClearedOut], known: Knowledge, view: View, *, also: bool) -> list[Line]:
    """Return in one sentence what else is cleared, the first few by name."""
    if not others:
        return []
    names = [name_of(cleared.source, known) for cleared in others]
    last = f"{len(names) - NAMED} more" if len(names) > NAMED + 1 else names.pop()
    listed = f"{', '.join(names[:NAMED])} and {last}"
    said = f"Also cleared: {listed}." if also else f"{listed}."
    return bullet([span(said), Span(" Say show cleared for why.", "dim")], view)


def _no_size(others: list[ClearedOut], known: Knowledge, view: View) -> list[Line]:
    if not others:
        return []
    names = "; ".join(name_of(cleared.source, known) for cleared in others)
    return bullet(f"No size of these would do it: {names}.", view)


def _by_no_size(cleared: ClearedOut, known: Knowledge) -> bool:
    name = name_of(cleared.source, known)
    return cleared.because == f"No size of {name} would do this."


def _by_number(cleared: ClearedOut) -> bool:
    """Say whether a number cleared it."""
    return cleared.needed is not None and cleared.needed > cleared.plausible


def _sentence(cleared: ClearedOut, known: Knowledge, view: View) -> list[Span]:
    name = Span(name_of(cleared.source, known), "strong")
    if cleared.needed is None or not _by_number(cleared):
        return [name, span(f": {cleared.because}")]
    needed = amount(cleared.needed, cleared.unit, cleared.source, known, view)
    plausible = amount(cleared.plausible, cleared.unit, cleared.source, known, view)
    return [name, span(f": it would need {needed}; {plausible} is the most to expect.")]
