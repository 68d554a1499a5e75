"""What flat, square and parallel mean on a drawing: the width of a zone, not an angle.

Definitions from ISO 1101 (from memory): the toleranced surface lies between two parallel planes that stand
apart by the tolerance. For flatness the planes lie as they like; for perpendicularity they are square to the
datum plane and may still turn about its normal; for parallelism they are parallel to the datum. So the zone
of a squareness tolerance is as wide as the toleranced face is, not as the square's blade.

Separable surfaces z = F(y) + G(x) need no search over planes: the largest and the smallest of a sum over a
rectangle are the sums of the largest and smallest, so each zone is the sum of a zone across and one along.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from askew.engine.remedies.result import RemedyError

Array = NDArray[np.float64]


def minimum_zone(x: Array, y: Array, z: Array) -> tuple[float, tuple[float, float, float]]:
    """Return the flatness of points, mm, and the plane a*x + b*y + c in the middle of the zone.

    The narrowest pair of parallel planes (measured along z; slopes are small) by linear programming: least t
    with |z - (a*x + b*y + c)| <= t/2 at every point.

    Args:
        x: Places to the right, mm, any shape.
        y: Places to the back, mm, same shape.
        z: Heights, mm, same shape.

    Raises:
        RemedyError: for fewer than three points, shapes that differ, or points that are not finite.
    """
    from scipy.optimize import linprog  # noqa: PLC0415  scipy is slow to load and only this needs it

    px, py, pz = (np.asarray(v, dtype=float).ravel() for v in (x, y, z))
    if not px.size == py.size == pz.size or px.size < 3:
        raise RemedyError("Flatness needs at least three points, each with x, y and height.")
    if not all(np.isfinite(v).all() for v in (px, py, pz)):
        raise RemedyError("Flatness needs finite numbers for every point.")
    middle, scale = (px.mean(), py.mean()), max(float(np.ptp(px)), float(np.ptp(py)), 1e-12)
    level, size = float(pz.mean()), max(float(np.ptp(pz)), 1e-300)
    u, v, w = (px - middle[0]) / scale, (py - middle[1]) / scale, (pz - level) / size
    one = np.ones_like(u)
    above = np.stack([-u, -v, -one, -one / 2], axis=1)
    below = np.stack([u, v, one, -one / 2], axis=1)
    solved = linprog(
        [0.0, 0.0, 0.0, 1.0],
        A_ub=np.concatenate([above, below]),
        b_ub=np.concatenate([-w, w]),
        bounds=[(None, None)] * 3 + [(0.0, None)],
        method="highs",
    )
    if not solved.success or solved.x is None:
        raise RemedyError("No plane could be laid through these points; are they all on one line?")
    a, b, c, t = (float(value) * size for value in solved.x)
    a, b = a / scale, b / scale
    return t, (a, b, c + level - a * middle[0] - b * middle[1])


def straightness(profiles: Array, places: Array) -> Array:
    """Return the width of the narrowest straight zone of each profile, mm, shape (n,).

    Args:
        profiles: Heights, mm, shape (n, m).
        places: Where along the profile, mm, ascending, shape (m,).
    """
    return _strip(profiles, places)[0]


def _strip(profiles: Array, places: Array) -> tuple[Array, Array]:
    """Return the narrowest strip of each profile: its width, mm, and its slope, each shape (n,).

    The width of `profile - slope*place` is convex and piecewise straight in the slope, so the least width is
    where the pieces at the two ends of a bracket meet, once no lower piece lies between (Kelley's cutting
    planes in one dimension; ends in finitely many steps).
    """
    rows, places = np.atleast_2d(np.asarray(profiles, dtype=float)), np.asarray(places, dtype=float)
    if places.size < 3:
        slope = np.ptp(rows, axis=1) * 0.0 if places.size < 2 else np.diff(rows[:, [0, -1]])[:, 0] / np.ptp(places)
        return np.zeros(rows.shape[0]), slope
    steepest = np.abs(np.diff(rows, axis=1) / np.diff(places)).max(axis=1)
    alive, low, high = np.arange(rows.shape[0]), -steepest, steepest
    (width_low, fall_low), (width_high, fall_high) = (_width(rows, places, s) for s in (low, high))
    best, best_slope = np.minimum(width_low, width_high), np.where(width_low < width_high, low, high)
    for _ in range(4 * places.size):
        apart = fall_low - fall_high
        crossing = width_high - width_low + fall_low * low - fall_high * high
        meet = np.divide(crossing, apart, out=low.copy(), where=apart < 0)
        bound = width_low + fall_low * (meet - low)
        width, fall = _width(rows[alive], places, meet)
        better = width < best[alive]
        best[alive] = np.where(better, width, best[alive])
        best_slope[alive] = np.where(better, meet, best_slope[alive])
        open_ = width > bound + 1e-12 + 1e-9 * width
        if not open_.any():
            break
        left = fall <= 0  # still falling to the right: the least lies there
        low, high = np.where(left, meet, low)[open_], np.where(left, high, meet)[open_]
        width_low, width_high = (
            np.where(left, width, width_low)[open_],
            np.where(left, width_high, width)[open_],
        )
        fall_low, fall_high = np.where(left, fall, fall_low)[open_], np.where(left, fall_high, fall)[open_]
        alive = alive[open_]
    return best, best_slope


def _width(rows: Array, places: Array, slope: Array) -> tuple[Array, Array]:
    """Return the width of each profile along a slope, and how the width changes with the slope."""
    left = rows - slope[:, None] * places
    top, bottom = left.argmax(axis=1), left.argmin(axis=1)
    at = np.arange(rows.shape[0])
    return left[at, top] - left[at, bottom], places[bottom] - places[top]


def flat_zone(across: Array, along: Array, y: Array, x: Array, twist: Array | float = 0.0) -> Array:
    """Return the flatness of surfaces F(y) + G(x) + a twist, mm, shape (n,).

    Without twist the sum of the two straightnesses, which is exact. With it the planes keep the slopes that
    fit F and G: exact where both are even about the middle, else an upper bound and a close one.

    Args:
        across: F, mm, shape (n, len(y)).
        along: G, mm, shape (n, len(x)).
        y: Places front to back, mm.
        x: Places left to right, mm.
        twist: Rise of front left and back right corner over the other two, mm, a number or shape (n,).
    """
    (straight_y, slope_y), (straight_x, slope_x) = _strip(across, y), _strip(along, x)
    if not np.any(twist):
        return np.asarray(straight_y + straight_x)
    return _extent(across - slope_y[:, None] * y, along - slope_x[:, None] * x, y, x, twist)


def square_zone(across: Array, along: Array, y: Array, x: Array, twist: Array | float = 0.0) -> Array:
    """Return the zone square to a datum at the back or front: `across` may not be turned, `along` may, mm.

    Args:
        across: Heights front to back against a line square to the datum, mm, shape (n, len(y)).
        along: Heights left to right, mm, shape (n, len(x)).
        y: Places front to back, mm.
        x: Places left to right, mm.
        twist: As in `flat_zone`.
    """
    straight, slope = _strip(along, x)
    if not np.any(twist):
        return np.asarray(np.ptp(across, axis=1) + straight)
    return _extent(across, along - slope[:, None] * x, y, x, twist)


def parallel_zone(across: Array, along: Array, y: Array, x: Array, twist: Array | float = 0.0) -> Array:
    """Return the zone parallel to a datum plane below: nothing may be turned, mm; arguments as `square_zone`."""
    return _extent(across, along, y, x, twist)


def _extent(across: Array, along: Array, y: Array, x: Array, twist: Array | float) -> Array:
    """Return highest minus lowest of F(y) + G(x) + saddle over the whole face, mm, shape (n,)."""
    if not np.any(twist):
        return np.asarray(np.ptp(across, axis=1) + np.ptp(along, axis=1))
    rows = np.broadcast_to(np.asarray(twist, dtype=float), (across.shape[0],))
    middle_y, middle_x = (y[0] + y[-1]) / 2.0, (x[0] + x[-1]) / 2.0
    # Corners at plus and minus half the twist.
    per_y = 2.0 * rows[:, None] * (y - middle_y) / (np.ptp(y) * np.ptp(x))
    high, low = np.full(rows.size, -np.inf), np.full(rows.size, np.inf)
    for i, place in enumerate(x - middle_x):
        line = across + per_y * place
        high = np.maximum(high, line.max(axis=1) + along[:, i])
        low = np.minimum(low, line.min(axis=1) + along[:, i])
    return np.asarray(high - low)
