"""How fast something drifts: a straight line by weighted least squares, broken where it was corrected.

A correction (a trammed head, a shimmed column) moves the level and leaves the rate: all pieces share one
slope and each has its own level. Times are in years.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from askew.engine.record.machine import Entry
from askew.knowledge.load import Knowledge

Array = NDArray[np.float64]
YEAR = 365.25
WORTH = 8.0
"""How many readings' worth of trust the stated scatter gets beside the scatter seen (judgement)."""


@dataclass(frozen=True, slots=True)
class Drift:
    """A fitted line.

    Attributes:
        rate: Change per year, in the unit of the values.
        rate_sd: One standard deviation of `rate`.
        low: Lower end of the interval of `rate`.
        high: Upper end.
        levels: Value at time 0 of each piece, by its number.
        level_sd: One standard deviation of each, for pieces alone.
        dof: Degrees of freedom left by the fit.
        spread: Estimated standard deviation of a reading of unit weight: 1 where the stated scatter holds.
        count: Number of readings.
    """

    rate: float
    rate_sd: float
    low: float
    high: float
    levels: dict[int, float]
    level_sd: dict[int, float]
    dof: int
    spread: float
    count: int

    @property
    def drifts(self) -> bool:
        """True where the interval leaves out zero."""
        return self.low > 0.0 or self.high < 0.0


def fit_drift(
    times: Sequence[float] | Array,
    values: Sequence[float] | Array,
    sds: Sequence[float] | Array | None = None,
    pieces: Sequence[int] | None = None,
    *,
    worth: float = WORTH,
    chance: float = 0.90,
) -> Drift | None:
    """Fit one rate and a level a piece; None where no piece has readings of two different times.

    Weighted least squares with weights 1/sd^2. The stated sds are worth `worth` readings beside the scatter
    that is seen (a scaled inverse chi-square prior on its variance; Gelman et al., Bayesian Data Analysis,
    section 2.6), so the interval is Student's t with `worth` + dof degrees of freedom. Without sds all
    weights are equal and the scatter is that of the residuals alone.

    Args:
        times: Years.
        values: Any unit.
        sds: One standard deviation of each value, same unit; None: equal and not known.
        pieces: Number of the piece that each belongs to; None: one piece.
        worth: How many readings the stated sds are worth; 0 takes only their ratios.
        chance: Chance that the interval is to hold the rate.

    Raises:
        ValueError: The lengths differ, or an sd is not positive.
    """
    # scipy costs a tenth of a second at start-up, and only a drift needs it.
    from scipy.special import stdtrit  # noqa: PLC0415

    t, y = np.asarray(times, dtype=float), np.asarray(values, dtype=float)
    s = np.ones_like(y) if sds is None else np.asarray(sds, dtype=float)
    piece = np.zeros(t.size, dtype=int) if pieces is None else np.asarray(pieces, dtype=int)
    if not t.size == y.size == s.size == piece.size:
        raise ValueError("times, values, sds and pieces must be of one length")
    if np.any(~(s > 0.0)):
        raise ValueError("a standard deviation must be more than zero")
    worth = 0.0 if sds is None else worth
    w = 1.0 / s**2
    numbers = [int(number) for number in np.unique(piece)]
    # Taking each piece's weighted mean off first leaves a line through the origin (Frisch and Waugh 1933).
    means = {k: _means(t, y, w, piece == k) for k in numbers}
    tc = t - np.array([means[int(k)][0] for k in piece])
    yc = y - np.array([means[int(k)][1] for k in piece])
    lever = float(w @ tc**2)
    if t.size == 0 or lever <= 1e-18 * float(w @ (1.0 + t**2)):
        return None
    rate = float(w @ (tc * yc)) / lever
    dof = t.size - len(numbers) - 1
    chi2 = float(w @ (yc - rate * tc) ** 2)
    trust = worth + dof
    if trust <= 0.0:
        return None
    spread = math.sqrt((worth + chi2) / trust)
    rate_sd = spread / math.sqrt(lever)
    half = float(stdtrit(trust, (1.0 + chance) / 2.0)) * rate_sd
    return Drift(
        rate=rate,
        rate_sd=rate_sd,
        low=rate - half,
        high=rate + half,
        levels={k: means[k][1] - rate * means[k][0] for k in numbers},
        level_sd={k: spread * math.sqrt(1.0 / means[k][2] + means[k][0] ** 2 / lever) for k in numbers},
        dof=dof,
        spread=spread,
        count=t.size,
    )


def _means(t: Array, y: Array, w: Array, here: NDArray[np.bool_]) -> tuple[float, float, float]:
    total = float(w[here].sum())
    return float(w[here] @ t[here]) / total, float(w[here] @ y[here]) / total, total


@dataclass(frozen=True, slots=True)
class Series:
    """All readings of one kind of one machine.

    Attributes:
        reading: Reading id.
        times: Years since the first entry of the record.
        values: Slope, or mm for what is not taken over a length.
        sds: One standard deviation of each.
        pieces: Piece each belongs to: a new one starts with every correction that touches it.
        over: Length that the last was taken over, mm; None where it has none.
        corrected: Times of those corrections, years.
        dates: ISO dates of the readings.
    """

    reading: str
    times: Array
    values: Array
    sds: Array
    pieces: tuple[int, ...]
    over: float | None
    corrected: tuple[float, ...]
    dates: tuple[str, ...]

    def drift(self) -> Drift | None:
        """Return how it drifts, None where that cannot be told."""
        return fit_drift(self.times, self.values, self.sds, self.pieces)


def years(entry: Entry, first: Entry) -> float:
    """Return the time of an entry in years since another."""
    return (entry.day - first.day).days / YEAR


def scatter_of(entry: Entry, knowledge: Knowledge) -> float:
    """Return one standard deviation of an entry's `size` (slope or mm)."""
    if entry.sd is not None:
        return entry.sd / (entry.over or 1.0)
    usual = knowledge.readings[entry.id].scatter if entry.id in knowledge.readings else 0.01
    return usual / (entry.over or 1.0)
