"""Expansion, and how long a warm part takes to cool. Lengths mm, temperatures degrees Celsius or kelvin."""

from __future__ import annotations

import math
from dataclasses import dataclass

from askew.engine.physics.limits import PhysicsError, between, number, positive
from askew.engine.physics.materials import Material

REFERENCE = 20.0
"""Reference temperature of dimensions, degrees Celsius (ISO 1)."""

FILM = {"still_air": 10.0, "moving_air": 40.0, "iron_plate": 45.0, "coolant": 500.0}
"""Heat taken by the surroundings, W/(m^2 K), from memory, each good to a factor of two: still air with
radiation; a fan; lying on an iron plate, averaged over the whole surface; flood coolant."""

LUMPED = 0.1
"""Largest Biot number at which a part may be taken as one temperature (Incropera and DeWitt, Fundamentals of
Heat and Mass Transfer, chapter 5)."""


def expansion(material: Material, length: float, warmer: float) -> float:
    """Return how much a length grows when `warmer` kelvin warmer, mm (minus: shrinks)."""
    positive("length", length)
    return material.expansion * length * between("temperature difference", warmer, -300.0, 1500.0, "K")


def measured_growth(
    part: Material,
    gauge: Material,
    length: float,
    part_temperature: float,
    gauge_temperature: float = REFERENCE,
) -> float:
    """Return by how much a gauge reads a warm part long, mm: both have grown since 20 degrees."""
    return expansion(part, length, part_temperature - REFERENCE) - expansion(
        gauge, length, gauge_temperature - REFERENCE
    )


def gradient_bow(material: Material, length: float, thickness: float, warmer_top: float) -> float:
    """Return how high the middle of a free plate rises when its top is warmer than its bottom, mm.

    alpha * dT * L^2 / (8 t): an even gradient bends it to an arc. Cut flat while it is warm on top, it is
    hollow by the same when cold.
    """
    positive("thickness", thickness)
    return expansion(material, length, warmer_top) * length / (8 * thickness)


@dataclass(frozen=True, slots=True)
class Cooling:
    """How a part cools.

    Attributes:
        constant: Time constant, s: the difference falls to 37% in it.
        biot: Biot number.
        lumped: Whether the part may be taken as one temperature (Biot number under 0.1); if not, the
            inside lags and the time is a lower bound.
    """

    constant: float
    biot: float
    lumped: bool


def cooling(material: Material, volume: float, area: float, film: float) -> Cooling:
    """Return the time constant of a part that loses heat over its surface (lumped capacity).

    Args:
        material: What it is made of.
        volume: mm^3.
        area: Surface that gives off heat, mm^2.
        film: Heat transfer, W/(m^2 K), as in `FILM`.
    """
    size = positive("volume", volume, "mm^3") / positive("surface", area, "mm^2") / 1000
    positive("heat transfer", film, "W/(m^2 K)", high=1e5)
    biot = film * size / material.conductivity
    return Cooling(material.density * material.heat_capacity * size / film, biot, biot < LUMPED)


def cooling_of_block(material: Material, sides: tuple[float, float, float], film: float) -> Cooling:
    """Return the same for a rectangular block, sides in mm."""
    a, b, c = (positive("side of the block", side) for side in sides)
    return cooling(material, a * b * c, 2 * (a * b + b * c + c * a), film)


def time_to_cool(cool: Cooling, start: float, room: float, wanted: float) -> float:
    """Return how long it takes from `start` to within `wanted` kelvin of the room, s.

    Raises:
        PhysicsError: if `wanted` is not more than zero: nothing ever cools all the way.
    """
    positive("temperature difference that is left", wanted, "K")
    away = abs(number("temperature", start) - number("room temperature", room))
    return cool.constant * math.log(away / wanted) if away > wanted else 0.0


def growth_after(length: float, material: Material, steady: float, constant: float, time: float) -> float:
    """Return how much a spindle has grown after `time` seconds of running, mm.

    Args:
        length: Free length between the thrust bearing and the nose, mm.
        material: Of the spindle.
        steady: How much warmer it gets in the end, K.
        constant: Time constant of warming, s (half an hour to an hour; common practice, no source).
        time: Running time, s.
    """
    positive("time constant", constant, "s")
    if time < 0:
        raise PhysicsError(f"The running time must be zero or more s, not {time:g}.")
    return expansion(material, length, steady) * -math.expm1(-time / constant)
