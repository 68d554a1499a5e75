"""A spindle sweep reduced by least squares from any clock positions."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from askew.engine.physics.limits import PhysicsError, number, positive


@dataclass(frozen=True, slots=True)
class Sweep:
    """What a sweep says.

    Attributes:
        slope_x: Cutter plane against the swept surface, plus rises to the right.
        slope_y: The same to the back.
        residual: Standard deviation of what a plane does not explain, mm; nan without spare readings.
        scatter_x: One standard deviation of `slope_x` from that residual; nan without spare readings.
        scatter_y: The same for `slope_y`.
        spare: Readings more than the plane needs.
        worst: Clock position where the plane fits worst, hours.
        flat: Whether the residual is small enough for a plane: at most three times the instrument's own
            scatter. False betrays a bad table, dirt, or a slide that was not locked. None without spare
            readings.
    """

    slope_x: float
    slope_y: float
    residual: float
    scatter_x: float
    scatter_y: float
    spare: int
    worst: float
    flat: bool | None


def reduce_sweep(
    clock: Sequence[float], readings: Sequence[float], diameter: float, scatter: float = 0.003
) -> Sweep:
    """Return the tilt from readings round a circle.

    Args:
        clock: Clock positions seen from above: 12 at the back, 3 at the right, 6 at the front; hours, any
            fractions.
        readings: Indicator readings there, mm; an indicator reads more where the cutter plane is lower.
        diameter: Of the swept circle, mm.
        scatter: One standard deviation of a reading, mm.

    Raises:
        PhysicsError: for fewer than three positions, positions that fix no plane, or a circle of no size.
    """
    radius = positive("diameter of the sweep", diameter, high=5000) / 2
    positive("scatter of a reading", scatter)
    if len(clock) != len(readings) or len(readings) < 3:
        raise PhysicsError("A sweep must have at least three clock positions, each with one reading.")
    angle = np.array([number("clock position", c) for c in clock]) * math.pi / 6
    plane = -np.array([number("reading", r) for r in readings])
    design = np.column_stack((np.ones(angle.size), radius * np.sin(angle), radius * np.cos(angle)))
    scaled = design / np.array([1.0, radius, radius])
    if np.linalg.svd(scaled, compute_uv=False)[-1] < 1e-3:
        raise PhysicsError("The clock positions must lie round the circle, three or more well apart.")
    # Scaled columns keep the figures of a small circle.
    fit, *_ = np.linalg.lstsq(scaled, plane, rcond=None)
    slopes = fit[1:] / radius
    rest = plane - scaled @ fit
    spare = angle.size - 3
    if spare:
        residual = float(np.sqrt(rest @ rest / spare))
        spread = np.sqrt(np.diag(np.linalg.inv(scaled.T @ scaled)))[1:] * residual / radius
    else:
        residual, spread = math.nan, np.array([math.nan, math.nan])
    return Sweep(
        slope_x=float(slopes[0]),
        slope_y=float(slopes[1]),
        residual=residual,
        scatter_x=float(spread[0]),
        scatter_y=float(spread[1]),
        spare=spare,
        worst=float(clock[int(np.argmax(np.abs(rest)))]),
        flat=residual <= 3 * scatter if spare else None,
    )


@dataclass(frozen=True, slots=True)
class Line:
    """A least-squares line, value = intercept + slope*x, with the standard deviation of the rest."""

    slope: float
    intercept: float
    residual: float
    slope_scatter: float


def straight_line(x: Sequence[float], y: Sequence[float]) -> Line:
    """Return the least-squares line, as for an indicator run along a face.

    Raises:
        PhysicsError: for fewer than three points or points all at one place.
    """
    a = np.array([number("place", v) for v in x])
    b = np.array([number("reading", v) for v in y])
    if a.size != b.size or a.size < 3:
        raise PhysicsError("A line must have at least three places, each with one reading.")
    da, db = a - a.mean(), b - b.mean()
    square = float(da @ da)
    if square == 0.0:
        raise PhysicsError("The places along a line must differ from each other.")
    slope = float(da @ db) / square
    rest = db - slope * da
    residual = float(np.sqrt(rest @ rest / (a.size - 2)))
    return Line(slope, float(b.mean() - slope * a.mean()), residual, residual / math.sqrt(square))
