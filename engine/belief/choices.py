"""Which choices of sign and seat are worth telling apart: one problem for each combination of them.

Absolute values (the hollow left by a tilted cutter, a step beyond its dead zone, a number told without its direction)
are split by sign, with the sign itself as a range; the least of them are left open.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from itertools import product

import numpy as np

from askew.engine.belief.items import NumericItem, Term
from askew.engine.belief.layout import Layout
from askew.engine.belief.problem import Array
from askew.engine.belief.senses import SignKey, seat_key, sign_key
from askew.engine.physics.linear import OPTIONS, signs_of

MOST_BRANCHES = 6
"""Combinations that are told apart at most."""
RANGE_NOISE = 1e-5
"""Variance that a range counts with where it is asked whether a sign matters to it, mm2."""


def choices_of(
    layout: Layout, numbers: Sequence[NumericItem], terms: Sequence[tuple[Term, float]], trouble: Array
) -> tuple[dict[SignKey, int], ...]:
    """Return the combinations of signs worth telling apart; the least of them are left open.

    Args:
        layout: Where rows go.
        numbers: The numbers, of which some were told without their direction.
        terms: What may depend on signs, each with the variance it was seen with, mm2.
        trouble: Variance of each column in trouble.
    """
    weight: dict[SignKey, float] = {}
    options: dict[SignKey, tuple[int, ...]] = {}
    for i, item in enumerate(numbers):
        if item.unsigned:
            weight[("told", i)] = np.inf
            options[("told", i)] = (-1, 1)
    for term, noise in terms:
        if term.reading is None:
            continue
        for name in signs_of(term.reading, term.situation.setup):
            key = sign_key(name, term.situation)
            folded = layout.row(term, {})[1].get("sign 0", np.zeros(layout.size))[: layout.open]
            size = float(np.sqrt((folded**2 * trouble).max() / noise))
            weight[key] = max(weight.get(key, 0.0), size)
            options[key] = OPTIONS[name]
    _seats(terms, trouble, layout, weight, options)
    kept: list[SignKey] = []
    count = 1
    for key in sorted(options, key=lambda k: (-weight[k], str(k))):
        if count * len(options[key]) <= MOST_BRANCHES and weight[key] > 0.5:
            kept.append(key)
            count *= len(options[key])
    return tuple(dict(zip(kept, senses, strict=True)) for senses in product(*(options[key] for key in kept)))


def _seats(
    terms: Sequence[tuple[Term, float]],
    trouble: Array,
    layout: Layout,
    weight: dict[SignKey, float],
    options: dict[SignKey, tuple[int, ...]],
) -> None:
    """Add the seats that may be either, weighed by what they change in the rows."""
    for term, noise in terms:
        found = seat_key(term.situation.setup) if term.reading is not None else None
        if found is None:
            continue
        on_jaw, on_bed = (layout.row(term, {found[0]: seat})[0] for seat in (1, 0))
        size = float(np.sqrt(((on_jaw - on_bed)[: layout.open] ** 2 * trouble).max() / noise))
        weight[found[0]] = max(weight.get(found[0], 0.0), size)
        options[found[0]] = (1, 0)


def log_weight(choice: Mapping[SignKey, int]) -> float:
    """Log of the prior chance of the seats that a choice stands for; signs are even."""
    total = 0.0
    for key, value in choice.items():
        if key[0] == "seat" and isinstance(key[1], int):
            chance = key[1] / 1000.0 if value else 1.0 - key[1] / 1000.0
            total += math.log(chance) if chance > 0.0 else -math.inf
    return total
