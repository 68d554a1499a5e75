"""Orders of checks to hold the planner against, on the same belief and the same shops."""

# ruff: noqa: ARG001  (every rival takes the same arguments, and none needs them all)

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

import numpy as np

from askew.engine.planner.available import minutes_of
from askew.engine.planner.choose import OVERHEAD
from askew.engine.planner.outcomes import gains, supports
from askew.engine.planner.outlook import Outlook

Rng = np.random.Generator
Rank = Callable[[Sequence[str], Outlook, Rng, str], str]
"""Checks that can be made, what is believed, chance, the true cause (for who knows it) -> the next check."""

HEAD = (
    "sweep_table",
    "sweep_beside_vise",
    "sweep_with_feelers",
    "sweep_again",
    "lock_under_needle",
    "feel_locks",
    "vertical_travel",
    "runout",
    "spindle_push_pull",
)
TABLE = ("table_run", "push_pull", "dial_reversal_x", "dial_reversal_y", "dial_reversal_z")
VISE = (
    "vise_bed_run",
    "jaw_run",
    "indicator_up_jaw",
    "square_in_vise",
    "trusted_block",
    "needle_behind_jaw",
    "tighten_on_part",
    "regrip_without_bar",
    "open_vise_under_needle",
    "parallels_by_hand",
    "ink",
    "paper_strips",
)
"""The trade's usual order: head, then table, then vise, then the part and the rest. Common practice, no source."""


def usual(ids: Sequence[str], outlook: Outlook, rng: Rng, cause: str) -> str:
    """Head first, then table, vise, part."""
    order = {id_: i for i, id_ in enumerate((*HEAD, *TABLE, *VISE))}
    return min(ids, key=lambda id_: order.get(id_, len(order)))


def cheapest(ids: Sequence[str], outlook: Outlook, rng: Rng, cause: str) -> str:
    """The fewest minutes first."""
    return min(ids, key=lambda id_: (minutes_of(id_, outlook.case), id_))


def one_step(ids: Sequence[str], outlook: Outlook, rng: Rng, cause: str) -> str:
    """Most information about the cause in one step, whatever its minutes."""
    return max(zip(gains(outlook, ids), ids, strict=True))[1]


def at_random(ids: Sequence[str], outlook: Outlook, rng: Rng, cause: str) -> str:
    """Any check."""
    return str(rng.choice(list(ids)))


def oracle(ids: Sequence[str], outlook: Outlook, rng: Rng, cause: str) -> str:
    """Who knows the cause and only has to show it: most support for it a minute."""
    told = zip(supports(outlook, ids, cause), ids, strict=True)
    return max((support / (minutes_of(id_, outlook.case) + OVERHEAD), id_) for support, id_ in told)[1]


RIVALS: Mapping[str, Rank] = {
    "usual order": usual,
    "cheapest first": cheapest,
    "one step": one_step,
    "random": at_random,
    "oracle": oracle,
}
OURS = "askew"
__all__ = ["HEAD", "OURS", "RIVALS", "TABLE", "VISE"]
