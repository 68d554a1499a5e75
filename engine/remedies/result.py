"""What every remedy hands back: steps to do, what they cost, and what the cut will show afterwards."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Literal

from askew.engine.remedies.parts import Part
from askew.engine.units import Habit, format_length

__all__ = ["Cost", "Expect", "Fix", "Habit", "RemedyError", "angle", "finite", "newtons", "positive", "side"]

# The part of the world that a remedy leaves changed, so that older readings no longer speak for it.
Disturbed = Literal["head", "column", "vise", "grip", "cutter", "part", "machine"]


class RemedyError(ValueError):
    """A question that has no sensible answer; the message is one sentence fit for a person."""


@dataclass(frozen=True, slots=True)
class Cost:
    """What a fix costs.

    Attributes:
        minutes: Time at the machine (common practice, no source).
        stiffness: What it does to the stiffness of machine or grip, as one sentence; empty for nothing.
        disturbs: What is no longer as it was, so that its old readings are void.
    """

    minutes: float
    stiffness: str = ""
    disturbs: tuple[Disturbed, ...] = ()


@dataclass(frozen=True, slots=True)
class Expect:
    """What a reading must come to once the fix is made (90% interval).

    Attributes:
        reading: A reading id.
        low: mm, sign as in the reading's definition.
        high: mm.
        over: Length the reading is taken over, mm; None where it has none.
    """

    reading: str
    low: float
    high: float
    over: float | None = None


@dataclass(frozen=True, slots=True)
class Fix:
    """One remedy worked out for one case.

    Attributes:
        title: What is being done, a few words.
        steps: What to do, in order, one short sentence each, in the person's units.
        numbers: The figures behind the steps: mm, rad, N, N m, minutes or counts as the name says.
        shows: What the cut will show afterwards, as sentences.
        predicts: The same as readings with intervals.
        cautions: Ids of cautions that belong to it.
        cost: What it costs.
        warnings: Reasons to do it differently or not at all.
        parts: The steps under headings, where they are not one list of things to do.
        assumed: Lengths that nobody told, and what was taken for them, as sentences.
    """

    title: str
    steps: tuple[str, ...]
    cost: Cost
    numbers: dict[str, float] = field(default_factory=dict)
    shows: tuple[str, ...] = ()
    predicts: tuple[Expect, ...] = ()
    cautions: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    parts: tuple[Part, ...] = ()
    assumed: tuple[str, ...] = ()


def finite(name: str, value: float) -> float:
    """Return `value` as a float.

    Raises:
        RemedyError: if it is not a finite number.
    """
    result = float(value)
    if not math.isfinite(result):
        raise RemedyError(f"The {name} must be a finite number, not {value}.")
    return result


def positive(name: str, value: float) -> float:
    """Return `value` as a float above zero.

    Raises:
        RemedyError: if it is not a finite number above zero.
    """
    result = finite(name, value)
    if result <= 0.0:
        raise RemedyError(f"The {name} must be more than zero, not {result:g}.")
    return result


def side(value: float, plus: str, minus: str) -> str:
    """Return the word for the side that the sign of `value` names."""
    return plus if value >= 0 else minus


def angle(slope: float) -> str:
    """Return a slope as an angle in degrees, or in arc minutes below a tenth of a degree."""
    degrees = math.degrees(math.atan(abs(slope)))
    return f"{degrees:.2f} deg" if degrees >= 0.1 else f"{degrees * 60:.2f} arc min"


def newtons(force: float, habit: Habit) -> str:
    """Return a force as kN or N, with pounds-force beside it for an inch person."""
    metric = f"{force / 1000:.1f} kN" if force >= 1000 else f"{force:.0f} N"
    return f"{force / 4.4482216152605:.0f} lbf ({metric})" if habit == "in" else metric


def torque(value: float, habit: Habit) -> str:
    """Return a torque (N m) as the person says it."""
    metric = f"{value:.1f} N m"
    return f"{value / 1.3558179483314004:.1f} lbf ft ({metric})" if habit == "in" else metric


def span(low: float, high: float, habit: Habit) -> str:
    """Return an interval of lengths, mm, as "low to high"."""
    return f"{format_length(low, habit)} to {format_length(high, habit)}"
