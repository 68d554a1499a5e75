"""Instances that are past and settled: they move into the base of the belief, so that the sets count what is open.

Every action leaves instances behind: the grip of the cut before last, the head as it was in the morning. What was
read of them still says something of what they shared with the present (the machine is the same one), but which of
them was in trouble is nobody's question any more. From a certain number on, the oldest of them are no longer
healthy or in trouble but one Gaussian, with the mean and variance of the two together (moment matching; Minka, A
family of algorithms for approximate Bayesian inference, 2001, section 3.1). Their readings keep their common cause:
the covariance is whole.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from operator import itemgetter

import numpy as np

from askew.engine.belief.columns import Column
from askew.engine.belief.problem import Array, Columns
from askew.engine.case import Case

OPEN = 46
"""Instances that are told apart as healthy or in trouble, as long as fewer than that are of the present. A whole
diagnosis has twenty to thirty-five; the number of sets grows with the third power."""

ROOM = 38
"""How many stay open once it was more than `OPEN`: then the day is a long one, and answers should not be slow."""

STAND_INS = 16
"""Readings that are each suspected of having been taken wrongly, the latest; older ones together, as more noise."""


@dataclass(frozen=True)
class Past:
    """Settled instances.

    Attributes:
        columns: The instances.
        mean: Their mean, mm or rad, (p,).
        variance: Their variance, (p,).
    """

    columns: tuple[Column, ...]
    mean: Array
    variance: Array

    def rows(self, jacobian: Array, spread: Array) -> Array:
        """Return rows over the instances, and over their spread, in units of one standard deviation.

        Args:
            jacobian: (n, p).
            spread: (n, ways, p).
        """
        loose = spread * np.sqrt(self.variance + self.mean**2)
        rows, ways, columns = spread.shape
        return np.hstack([jacobian * np.sqrt(self.variance), loose.reshape(rows, ways * columns)])


def settled(case: Case, columns: Sequence[Column]) -> frozenset[Column]:
    """Return the instances that are settled: the oldest of the past ones, where there are more than `OPEN` in all."""
    if len(columns) <= OPEN:
        return frozenset()
    present = in_force(case, columns)
    latest = {e.situation.instances: e.when for e in case.evidence}
    spoken: dict[Column, int] = {}
    for instances, when in sorted(latest.items(), key=itemgetter(1)):
        at = dict(instances)
        spoken.update((column, when) for column in columns if at.get(column.source, 0) == column.instance)
    past = sorted(spoken.get(column, -1) for column in columns if column not in present)
    surplus = min(len(columns) - ROOM, len(past))
    if not surplus:
        return frozenset()
    oldest = past[surplus - 1]
    return frozenset(c for c in columns if c not in present and spoken.get(c, -1) <= oldest)


def in_force(case: Case, columns: Iterable[Column]) -> frozenset[Column]:
    """Return the instances that are in force now, were at the last cut, or at the one complained of."""
    complaint = case.complaint
    situations = [case.now, case.cut, *([complaint.situation] if complaint is not None else [])]
    instances = [dict(situation.instances) for situation in situations]
    return frozenset(c for c in columns if any(at.get(c.source, 0) == c.instance for at in instances))


def moments(table: Columns) -> tuple[Array, Array]:
    """Return mean and variance of each column, healthy and in trouble taken together, (s,) each."""
    p = table.prior
    mean = p * table.mean
    square = (1.0 - p) * table.healthy + p * (table.trouble + table.mean**2)
    return mean, np.asarray(square - mean**2, dtype=np.float64)
