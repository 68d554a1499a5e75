"""Textbook problems put into the terms of our own belief: columns in trouble, and signs that point at sets of them.

A sign that points at a set multiplies by one number where the set holds trouble and by another where it does not.
Over all sets of a few columns such factors span every positive table, so any small network of yes-or-no causes and
findings is a product of them; nothing here infers anything, that is left to `infer`.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import combinations, product

import numpy as np

from askew.engine.belief.posterior import Posterior, infer
from askew.engine.belief.problem import Columns, Group, Problem, Rows, Soft

LEAST = 1e-9
"""Stands for an impossible answer: a chance of nothing has no logarithm."""


def rows(jacobian: Sequence[Sequence[float]], columns: int) -> Rows:
    """Return rows without any doubt about the setup."""
    matrix = np.array(jacobian, dtype=float).reshape(-1, columns)
    return Rows(matrix, np.zeros_like(matrix))


def yes_or_no(prior: Sequence[float]) -> Columns:
    """Return columns that are in trouble or not, where no number is read of any."""
    n = len(prior)
    return Columns(
        np.array(prior, dtype=float), np.full(n, 1e-6), np.ones(n), np.zeros(n), np.zeros(n, dtype=bool)
    )


def no_ranges(columns: int) -> Soft:
    """Return no ranges at all."""
    none = np.zeros(0)
    return Soft(rows([], columns), none, none, none, none, np.zeros(0, dtype=bool))


def believed(columns: Columns, groups: Sequence[Group], log_weight: float = 0.0) -> Posterior:
    """Return the belief after signs alone, over every set of columns."""
    n, none = columns.size, np.zeros(0)
    problem = Problem(columns, rows([], n), none, none, no_ranges(n), tuple(groups), log_weight)
    return infer([problem], n, most=n)


def signs_of(members: Sequence[int], chance: Callable[..., float]) -> tuple[list[Group], float]:
    """Return signs whose product is a table over yes-or-no columns, but for a factor; and the factor's log.

    Args:
        members: The columns.
        chance: The table: a positive number for True or False of each column, in their order.
    """
    subsets = [s for k in range(1, len(members) + 1) for s in combinations(members, k)]
    states = list(product((False, True), repeat=len(members)))
    held = np.array([[1.0] + [float(any(x for m, x in zip(members, state, strict=True) if m in s))
                              for s in subsets] for state in states])  # fmt: skip
    log = np.linalg.solve(held, np.log([chance(*state) for state in states]))
    groups = [Group(s, float(min(1.0, np.exp(v))), float(min(1.0, np.exp(-v))))
              for s, v in zip(subsets, log[1:], strict=True)]  # fmt: skip
    return groups, float(log[0] + np.maximum(log[1:], 0.0).sum())


def sets_of(posterior: Posterior) -> dict[frozenset[int], float]:
    """Return the probability of every set of columns in trouble."""
    found: dict[frozenset[int], float] = {}
    for block in posterior.blocks:
        nothing = block.base.problem.columns.size
        for members, weight in zip(block.sets.T, block.weight, strict=True):
            key = frozenset(int(m) for m in members if m != nothing)
            found[key] = found.get(key, 0.0) + float(weight)
    return found
