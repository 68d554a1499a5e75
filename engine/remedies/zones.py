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
    from scipy.optimize import linprog  # scipy is slow to load and only this needs it

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
    if not solved.success:
        raise RemedyError("No plane could be laid through these points; are they all on one line?")
    a, b, c, t = (float(value) * size for value in solved.x)
    a, b = a / scale, b / scale
    return t, (a, b, c + level - a * middle[0] - b * middle[1])


def straightness(profiles: Array, places: Array) -> Array:
    """Return the width of the narrowest straight zone of each profile, mm, shape (n,).

    The width of `profile - slope*place` is convex in the slope, so the best slope is bracketed by the sign of
    its derivative: the place of the lowest point minus that of the highest.

    Args:
        profiles: Heights, mm, shape (n, m).
        places: Where along the profile, mm, ascending, shape (m,).
    """
    rows, places = np.atleast_2d(profiles), np.asarray(places, dtype=float)
    steepest = np.abs(np.diff(rows, axis=1) / np.diff(places)).max(axis=1) if places.size > 1 else rows[:, 0]
    low, high = -steepest, steepest.copy()
    best = np.ptp(rows, axis=1)
    for _ in range(26):
        slope = (low + high) / 2.0
        left = rows - slope[:, None] * places
        top, bottom = left.argmax(axis=1), left.argmin(axis=1)
        best = np.minimum(best, np.ptp(left, axis=1))
        steeper = places[top] > places[bottom]
        low, high = np.where(steeper, slope, low), np.where(steeper, high, slope)
    result: Array = best
    return result


def flat_zone(across: Array, along: Array, y: Array, x: Array, twist: Array | float = 0.0) -> Array:
    """Return the flatness of separable surfaces F(y) + G(x), mm, shape (n,).

    Args:
        across: F, mm, shape (n, len(y)).
        along: G, mm, shape (n, len(x)).
        y: Places front to back, mm.
        x: Places left to right, mm.
        twist: Rise of two opposite corners over the other two, mm; its size is added whole, which is an upper
            bound (exact for a face that is otherwise flat).
    """
    return np.asarray(straightness(across, y) + straightness(along, x) + np.abs(twist))


def square_zone(across: Array, along: Array, x: Array, twist: Array | float = 0.0) -> Array:
    """Return the zone square to a datum at the back or front: `across` may not be turned, `along` may, mm.

    Args:
        across: Heights front to back against a line square to the datum, mm, shape (n, ny).
        along: Heights left to right, mm, shape (n, len(x)).
        x: Places left to right, mm.
        twist: As in `flat_zone`.
    """
    return np.asarray(np.ptp(across, axis=1) + straightness(along, x) + np.abs(twist))


def parallel_zone(across: Array, along: Array, twist: Array | float = 0.0) -> Array:
    """Return the zone parallel to a datum plane below: nothing may be turned, mm.

    Args:
        across: Heights front to back against the datum, mm, shape (n, ny).
        along: Heights left to right against the datum, mm, shape (n, nx).
        twist: As in `flat_zone`.
    """
    return np.asarray(np.ptp(across, axis=1) + np.ptp(along, axis=1) + np.abs(twist))
