"""What a profile or a sweep amounts to: lean, hollow and teeth of a face; tilt of a circle of readings."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np

from askew.engine.report.face import Array

ShapeName = Literal["flat", "slope", "hollow", "crowned", "sawtooth"]
HOURS: Mapping[str, int] = {"back": 12, "right": 3, "front": 6, "left": 9}
"""The clock seen from above by the operator in front: 12 is at the back."""


@dataclass(frozen=True, slots=True)
class Shape:
    """A profile taken apart.

    Attributes:
        rise: Right end above left end of the best straight line, mm.
        hollow: Ends above middle of the best parabola on it, mm; minus: crowned.
        teeth: What is left, from lowest to highest, mm.
        name: What it mostly is.
    """

    rise: float
    hollow: float
    teeth: float
    name: ShapeName


def shape_of(places: Array, heights: Array) -> Shape:
    """Return a profile's least-squares straight line and parabola, and what is left."""
    half = float(places[-1] - places[0]) / 2.0
    u = (places - places.mean()) / half
    basis = np.column_stack([np.ones_like(u), u, u**2])
    fit = np.linalg.lstsq(basis, heights, rcond=None)[0]
    rise, hollow = 2.0 * float(fit[1]), float(fit[2])
    teeth = float(np.ptp(heights - basis @ fit))
    largest = max(abs(rise), abs(hollow), teeth)
    name: ShapeName = "flat"
    if largest > 1e-7:
        if teeth == largest:
            name = "sawtooth"
        elif abs(rise) == largest:
            name = "slope"
        else:
            name = "hollow" if hollow > 0 else "crowned"
    return Shape(rise, hollow, teeth, name)


@dataclass(frozen=True, slots=True)
class Circle:
    """Readings around a spindle sweep.

    Attributes:
        readings: mm by the hour of the clock seen from above (12 at the back, 3 at the right).
        tilt_x: Cutter plane at the right minus the left, mm over the circle's diameter; None: not swept.
        tilt_y: At the back minus the front, mm; None: not swept.
        low: Angle clockwise from 12 in degrees at which the cutter plane is lowest (the reading is highest);
            None where only one way was swept.
    """

    readings: Mapping[int, float]
    tilt_x: float | None
    tilt_y: float | None
    low: float | None


def circle_of(sweep_x: float | None, sweep_y: float | None) -> Circle:
    """Return the twelve readings that a plane with these two sweeps gives, the least of them 0, mm.

    An indicator reads more where the cutter plane is lower: the reading at an angle is minus its height.
    Where only one way was swept, only the readings at its two ends are there.

    Raises:
        ValueError: Neither way was swept.
    """
    if sweep_x is None and sweep_y is None:
        raise ValueError("a sweep in at least one direction is needed")
    if sweep_y is None or sweep_x is None:
        # Plus: the plane is higher at the right (back), so the needle reads more at the left (front).
        value, first, second = (sweep_x, 9, 3) if sweep_x is not None else (sweep_y, 6, 12)
        assert value is not None
        return Circle({first: max(value, 0.0), second: max(-value, 0.0)}, sweep_x, sweep_y, None)
    heights = {
        hour: (sweep_x * math.sin(hour * math.pi / 6.0) + sweep_y * math.cos(hour * math.pi / 6.0)) / 2.0
        for hour in range(1, 13)
    }
    highest = math.hypot(sweep_x, sweep_y) / 2.0
    return _circle({hour: highest - height for hour, height in heights.items()}, sweep_x, sweep_y)


def circle_from(readings: Mapping[int, float]) -> Circle:
    """Return the plane that fits at least three readings by their hours best (least squares).

    Raises:
        ValueError: Fewer than three hours, or an hour that is not on the clock.
    """
    if len(readings) < 3 or any(not 1 <= hour <= 12 for hour in readings):
        raise ValueError("at least three readings at hours from 1 to 12 are needed")
    angle = np.array(sorted(readings)) * math.pi / 6.0
    basis = np.column_stack([np.ones_like(angle), np.sin(angle), np.cos(angle)])
    fit = np.linalg.lstsq(basis, np.array([readings[h] for h in sorted(readings)]), rcond=None)[0]
    return _circle(dict(readings), -2.0 * float(fit[1]), -2.0 * float(fit[2]))


def _circle(readings: Mapping[int, float], x: float, y: float) -> Circle:
    return Circle(readings, x, y, math.degrees(math.atan2(-x, -y)) % 360.0)
