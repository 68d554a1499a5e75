"""What goes into the reading of a message and what comes out of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from askew.engine.observations import Observation, Reading
from askew.engine.units import Habit

SetupValue = float | int | str | bool | tuple[str, ...] | tuple[float, ...] | None


@dataclass(frozen=True, slots=True)
class Context:
    """What the words may lean on.

    Attributes:
        asked: Id of the reading, sign, setup key or check just asked for.
        options: Choices offered with the question, if any.
        unit: The person's habit so far; None while unknown.
        setup: Setup facts already known, by key (lengths in mm).
        last: Facts of the previous message, for corrections.
        readings: Latest value of each reading, for "half of what it was".
    """

    asked: str | None = None
    options: tuple[str, ...] = ()
    unit: Habit | None = None
    setup: Mapping[str, SetupValue] = field(default_factory=dict)
    last: tuple[Observation, ...] = ()
    readings: Mapping[str, Reading] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Ambiguity:
    """Something that has more than one meaning and must be asked about.

    Attributes:
        text: The question, one sentence.
        options: Short answers to offer.
        restated: For each option, the whole message with that choice written into it, ready to be read.
        words: The words that are not clear.
    """

    text: str
    options: tuple[str, ...]
    restated: tuple[str, ...]
    words: str


@dataclass(frozen=True, slots=True)
class Heard:
    """What was made of a message.

    Attributes:
        facts: The observations, in the order in which they were said.
        unread: The words that nothing was made of.
        unit: The habit this message shows, if it shows one.
        question: What must be asked before more can be made of it.
        corrects: True when `facts` replace the facts of the previous message.
        nearest: The nearest meanings (ids), offered when unsure.
        aside: What was told of another job or machine, or only planned, supposed or asked: none of it is a fact here.
    """

    facts: tuple[Observation, ...] = ()
    unread: tuple[str, ...] = ()
    unit: Habit | None = None
    question: Ambiguity | None = None
    corrects: bool = False
    nearest: tuple[str, ...] = ()
    aside: tuple[Observation, ...] = ()
