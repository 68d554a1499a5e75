"""The story of a case, as a report and a machine's record tell it: plain data, no terminal, no file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from askew.engine.seam import HeardOut, Turn
from askew.engine.setup import Setup
from askew.engine.units import Habit


class Range(NamedTuple):
    """A prediction with its 90% interval, mm."""

    low: float
    mid: float
    high: float


@dataclass(frozen=True, slots=True)
class Event:
    """One turn of a case that stands.

    Attributes:
        day: When it was said, ISO 8601 date, or empty.
        text: What was said, made safe.
        heard: What was understood.
        turn: What was answered.
    """

    day: str
    text: str
    heard: tuple[HeardOut, ...]
    turn: Turn


@dataclass(frozen=True)
class CaseStory:
    """A case from its first word to its last.

    Attributes:
        name: Name of the case.
        unit: The person's habit, "in" or "mm".
        events: The turns that stand, in order.
        setup: The setup in which the complaint was cut.
        predicted: What the causes, as believed at the verdict, make of each face reading (mm, 90% interval).
        sizes: Believed size of every source then, mm or rad.
        budget: What every source was expected to make of the complaint then, mm, nothing unlisted in it.
            Empty where the turns alone are known; then share times probability stands in.
    """

    name: str
    unit: Habit
    events: tuple[Event, ...]
    setup: Setup = field(default_factory=Setup)
    predicted: Mapping[str, Range] = field(default_factory=dict)
    sizes: Mapping[str, float] = field(default_factory=dict)
    budget: Mapping[str, float] = field(default_factory=dict)
