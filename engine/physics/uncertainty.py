"""Uncertainty of a measured result by the GUM (JCGM 100:2008), with its budget.

Standard uncertainties are carried through a function by its slopes (5.1), pairs through its second-order
products where the first order vanishes (5.1.2, note), degrees of freedom by Welch and Satterthwaite (G.4).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from askew.engine.physics.limits import PhysicsError, between, number, positive


@dataclass(frozen=True, slots=True)
class Input:
    """One thing a result depends on.

    Attributes:
        value: Best estimate.
        uncertainty: Standard uncertainty, in the unit of the value.
        freedom: Degrees of freedom; inf where taken as known.
        basis: Where the number comes from, for the budget.
    """

    value: float
    uncertainty: float
    freedom: float = math.inf
    basis: str = ""

    def __post_init__(self) -> None:
        """Refuse uncertainties that are none."""
        number("value", self.value)
        between("standard uncertainty", self.uncertainty, 0.0, 1e300, "")
        if not self.freedom > 0:
            raise PhysicsError(f"The degrees of freedom must be more than 0, not {self.freedom:g}.")


def rectangular(half_width: float, relative: float = 0.0) -> tuple[float, float]:
    """Return standard uncertainty and degrees of freedom of a value that is even within +-half_width (4.3.7).

    Args:
        half_width: Of the interval.
        relative: How uncertain the half width itself is, as a part of it (G.4.2); 0: taken as known.
    """
    between("half width", half_width, 0.0, 1e300, "")
    return half_width / math.sqrt(3), (math.inf if relative == 0 else 0.5 / relative**2)


def arcsine(half_width: float) -> float:
    """Return the standard uncertainty of a value that swings as a sine within +-half_width (U-shaped)."""
    return between("half width", half_width, 0.0, 1e300, "") / math.sqrt(2)


@dataclass(frozen=True, slots=True)
class Row:
    """A line of the budget: what an input adds.

    Attributes:
        name: Of the input.
        value: Best estimate.
        uncertainty: Its standard uncertainty.
        slope: How the result changes with it.
        part: What it adds to the result's standard uncertainty, in the unit of the result.
        share: Its part of the variance, 0 to 1.
        freedom: Its degrees of freedom.
        basis: Where its number comes from.
    """

    name: str
    value: float
    uncertainty: float
    slope: float
    part: float
    share: float
    freedom: float
    basis: str


@dataclass(frozen=True, slots=True)
class Budget:
    """The result with its uncertainty.

    Attributes:
        value: Of the result.
        uncertainty: Combined standard uncertainty.
        freedom: Effective degrees of freedom.
        rows: Largest part first; products of two inputs are named "a * b".
    """

    value: float
    uncertainty: float
    freedom: float
    rows: tuple[Row, ...]

    def expanded(self, coverage: float = 0.95) -> tuple[float, float]:
        """Return the expanded uncertainty and its coverage factor, degrees of freedom truncated (G.6.4)."""
        if not 0 < coverage < 1:
            raise PhysicsError(f"The coverage must be between 0 and 1, not {coverage:g}.")
        from scipy import stats  # noqa: PLC0415  scipy is slow to import and only this needs it

        whole = math.floor(self.freedom) if math.isfinite(self.freedom) else math.inf
        factor = float(stats.t.ppf((1 + coverage) / 2, max(whole, 1)))
        return factor * self.uncertainty, factor


def combine(
    result: Callable[[Mapping[str, float]], float], inputs: Mapping[str, Input], second_order: bool = False
) -> Budget:
    """Return the result of a function of uncorrelated inputs, with its budget.

    Args:
        result: Takes the inputs by name and returns the result.
        inputs: By name.
        second_order: Add the products of pairs (5.1.2, note): needed where the slopes vanish at the
            estimate, as for a difference of temperature times one of expansion.

    Source: JCGM 100:2008, 5.1.2 and G.4.1.
    """
    if not inputs:
        raise PhysicsError("A budget must have at least one input.")
    best = {name: one.value for name, one in inputs.items()}
    value = number("result", result(best))
    steps = {name: _step(one) for name, one in inputs.items()}
    rows: list[tuple[str, float, float, float, float, float, str]] = []
    for name, one in inputs.items():
        slope = _slope(result, best, name, steps[name])
        part = abs(slope) * one.uncertainty
        rows.append((name, one.value, one.uncertainty, slope, part, one.freedom, one.basis))
    if second_order:
        rows.extend(_pairs(result, best, inputs, steps))
    variance = sum(row[4] ** 2 for row in rows)
    lost = sum(row[4] ** 4 / row[5] for row in rows if row[4] and math.isfinite(row[5]))
    freedom = variance**2 / lost if lost else math.inf
    table = tuple(
        Row(n, v, u, c, p, p * p / variance if variance else 0.0, f, b)
        for n, v, u, c, p, f, b in sorted(rows, key=lambda row: -row[4])
    )
    return Budget(value, math.sqrt(variance), freedom, table)


def _step(one: Input) -> float:
    return one.uncertainty or abs(one.value) * 1e-4 or 1e-6


def _slope(
    result: Callable[[Mapping[str, float]], float], at: Mapping[str, float], name: str, step: float
) -> float:
    """Central difference with one Richardson step: exact to fourth order in the standard uncertainty."""

    def half(h: float) -> float:
        return (result({**at, name: at[name] + h}) - result({**at, name: at[name] - h})) / (2 * h)

    return (4 * half(step / 2) - half(step)) / 3


def _pairs(
    result: Callable[[Mapping[str, float]], float],
    best: Mapping[str, float],
    inputs: Mapping[str, Input],
    steps: Mapping[str, float],
) -> list[tuple[str, float, float, float, float, float, str]]:
    """Return the budget lines of f_ij * u_i * u_j for each pair of inputs that has one."""
    names, found = list(inputs), []
    scale = max(abs(result(best)), 1e-300)
    for i, a in enumerate(names):
        for b in names[i + 1 :]:
            ha, hb = steps[a], steps[b]
            corners = [
                result({**best, a: best[a] + s * ha, b: best[b] + t * hb}) * s * t
                for s in (1, -1)
                for t in (1, -1)
            ]
            curve = sum(corners) / (4 * ha * hb)
            part = abs(curve) * inputs[a].uncertainty * inputs[b].uncertainty
            if part > 1e-13 * scale:
                freedom = min(inputs[a].freedom, inputs[b].freedom)
                found.append((f"{a} * {b}", 0.0, 0.0, curve, part, freedom, "second order"))
    return found


def from_repeats(readings: tuple[float, ...] | list[float], basis: str = "repeats") -> Input:
    """Return the mean of repeated readings with its standard uncertainty (4.2.3).

    Raises:
        PhysicsError: for fewer than two readings.
    """
    n = len(readings)
    if n < 2:
        raise PhysicsError("Repeats must be at least two readings.")
    mean = math.fsum(readings) / n
    variance = math.fsum((r - mean) ** 2 for r in readings) / (n - 1)
    return Input(mean, math.sqrt(variance / n), n - 1, basis)


def needed_repeats(scatter: float, wanted: float) -> int:
    """Return how many readings bring the mean's standard uncertainty to `wanted`, for a scatter of each."""
    return max(
        1, math.ceil((positive("scatter", scatter) / positive("wanted uncertainty", wanted)) ** 2 - 1e-9)
    )
