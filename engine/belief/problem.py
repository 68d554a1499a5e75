"""The inference problem in numbers: columns that may be in trouble, rows that were observed.

Nothing here knows a mill. Every column is nearly zero (a narrow Gaussian) or in trouble (a wide one, with a
mean where it only goes one way); rows are linear in the columns, with Gaussian noise; soft rows say that
something linear lies in a range; group rows say that one of a set is in trouble.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]


@dataclass(frozen=True)
class Columns:
    """The unknowns: one entry a source instance.

    Attributes:
        prior: Chance of trouble, shape (s,).
        healthy: Variance when healthy, (s,).
        trouble: Variance when in trouble, (s,), about `mean`.
        mean: Mean when in trouble, (s,).
        wild: True for the stand-in of a reading taken wrongly; at most one of these in a set, (s,).
    """

    prior: Array
    healthy: Array
    trouble: Array
    mean: Array
    wild: Mask

    @property
    def size(self) -> int:
        """Number of columns."""
        return int(self.prior.size)


@dataclass(frozen=True)
class Rows:
    """Linear rows over the columns.

    Attributes:
        jacobian: d row / d column at the middle of what is not known of the setup, (n, s).
        spread: The same per standard deviation of what is not known, gathered in one or more further columns for
            each column, (n, ways * s), way after way: a column in trouble adds `trouble * way @ way.T` for each of
            its ways to the covariance.
        past: The same over what is settled, in units of one standard deviation each, (n, p): it adds
            `past @ past.T` to the covariance whatever is in trouble. None where nothing is settled.
    """

    jacobian: Array
    spread: Array
    past: Array | None = None

    def of_ways(self, ways: int) -> Rows:
        """Return the rows with so many ways of spread, the further ones empty."""
        n, s = self.jacobian.shape
        lacking = ways * s - self.spread.shape[1]
        if lacking <= 0:
            return self
        return Rows(self.jacobian, np.hstack([self.spread, np.zeros((n, lacking))]), self.past)


@dataclass(frozen=True)
class Soft:
    """Ranges: low <= row <= high, told wrongly with chance `misread`, its edge blurred by `blur`.

    `outside` True means not in the range.
    """

    rows: Rows
    low: Array
    high: Array
    blur: Array
    misread: Array
    outside: Mask


@dataclass(frozen=True)
class Group:
    """A sign that points at a set: seen with chance `hit` if one of it is in trouble, else `false_alarm`."""

    members: tuple[int, ...]
    hit: float
    false_alarm: float


@dataclass(frozen=True)
class Problem:
    """Everything observed, for one choice of the signs of absolute values.

    Attributes:
        columns: The unknowns.
        rows: Numeric rows.
        values: Observed values, (n,).
        noise: Variance of each, (n,).
        soft: Ranges.
        groups: Signs that point at sets.
        log_weight: Log of the prior chance of this choice, where the choices are not equally likely.
    """

    columns: Columns
    rows: Rows
    values: Array
    noise: Array
    soft: Soft
    groups: tuple[Group, ...] = field(default=())
    log_weight: float = 0.0
