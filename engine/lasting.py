"""What of a long case still bears: without this, a day of hundreds of readings would be weighed whole at every turn.

What was told again since has been replaced: the sweep of this morning by that of this afternoon. So once more was
told than is ever weighed at a time, the oldest such entry goes; the last word on everything stays, and so does what
the case began with. The record on disk keeps it all.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from askew.engine.case import Done, Evidence

Entry = TypeVar("Entry")

MOST_TOLD = 64
"""Readings and signs that are weighed at a time, but for what was told only once. Judgement: a whole diagnosis takes
ten to thirty; the middle of more readings of one thing in one state is no better than that of this many."""
MOST_DONE = 100
"""Actions that are remembered one by one, but for the last of each kind."""
MOST_MENDS = 20
"""Fixes whose outcome is still told apart."""


def still_bears(evidence: tuple[Evidence, ...], kept: Collection[int]) -> tuple[Evidence, ...]:
    """Return the evidence without the oldest entry that was told again since, once there is too much of it.

    Args:
        evidence: Readings and signs in the order told.
        kept: Moments (`when`) of entries that stay whatever their age.
    """
    last = {e.fact.id: i for i, e in enumerate(evidence)}
    return _without_one(evidence, [last[e.fact.id] == i or e.when in kept for i, e in enumerate(evidence)])


def still_counts(done: tuple[Done, ...]) -> tuple[Done, ...]:
    """Return the actions without the oldest that was done again since, where there are too many."""
    if len(done) <= MOST_DONE:
        return done
    last = {action.id: i for i, action in enumerate(done)}
    return _without_one(done, [last[action.id] == i for i, action in enumerate(done)])


def _without_one(entries: tuple[Entry, ...], stays: Sequence[bool]) -> tuple[Entry, ...]:
    oldest = next((i for i, stay in enumerate(stays) if not stay), None)
    return entries if oldest is None else (*entries[:oldest], *entries[oldest + 1 :])
