"""Readings as a person takes them from a face of any shape, given as heights on a grid.

Where the face is one cut whose passes are known, `surface.simulate_face` gives the same exactly; this
serves faces that have also bowed, twisted or sprung back. Coordinates right (x) and back (y), mm; z[j, i]
at y[j], x[i].
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from askew.engine.physics.envelope import Array
from askew.engine.physics.limits import PhysicsError


@dataclass(frozen=True, slots=True)
class Taken:
    """What straight edge, square and indicator say of a face.

    Attributes:
        slope_right: From the left side to the right, over the whole length.
        slope_back: From the front side to the back.
        hollow_x: Ends minus middle along the middle line from left to right, mm.
        hollow_y: The same from front to back.
        twist: Front left and back right corners above the other two, mm (mean against mean).
    """

    slope_right: float
    slope_back: float
    hollow_x: float
    hollow_y: float
    twist: float


def take_readings(x: Array, y: Array, z: Array, contact: float = 0.0) -> Taken:
    """Return the readings of a face.

    Args:
        x: Places to the right, mm, ascending, shape (nx,).
        y: Places to the back, mm, ascending, shape (ny,).
        z: Heights, mm, shape (ny, nx).
        contact: Width in mm over which square, stylus or straight edge averages at each place: 0 for a
            point; the distance between passes averages over their teeth.

    Raises:
        PhysicsError: for fewer than three places either way, or heights that do not fit them.
    """
    if z.shape != (y.size, x.size) or min(z.shape) < 3:
        raise PhysicsError("The heights must be a grid of at least three by three, one for each place.")
    along_y = _line(y, z.mean(axis=1), contact)
    along_x = _line(x, z.mean(axis=0), contact)
    middle_y = _line(y, _at_middle(z.T), contact)
    middle_x = _line(x, _at_middle(z), contact)
    return Taken(
        slope_right=(along_x[2] - along_x[0]) / float(np.ptp(x)),
        slope_back=(along_y[2] - along_y[0]) / float(np.ptp(y)),
        hollow_x=(middle_x[0] + middle_x[2]) / 2 - middle_x[1],
        hollow_y=(middle_y[0] + middle_y[2]) / 2 - middle_y[1],
        twist=float((z[0, 0] + z[-1, -1]) / 2 - (z[0, -1] + z[-1, 0]) / 2),
    )


def _at_middle(rows: Array) -> Array:
    low, high = (rows.shape[0] - 1) // 2, rows.shape[0] // 2
    result: Array = (rows[low] + rows[high]) / 2
    return result


def _line(places: Array, heights: Array, contact: float) -> tuple[float, float, float]:
    """Return the heights met at the two ends and the middle, each averaged over the contact's width."""
    first, last = float(places[0]), float(places[-1])
    centre = (first + last) / 2
    if contact <= 0:
        here = np.interp([first, centre, last], places, heights)
        return float(here[0]), float(here[1]), float(here[2])
    met = []
    for middle in (first + contact / 2, centre, last - contact / 2):
        spots = np.linspace(middle - contact / 2, middle + contact / 2, 65)
        met.append(float(np.interp(spots, places, heights).mean()))
    return met[0], met[1], met[2]
