"""The case at one moment, as the rules are told it: what was said, and what was computed from it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from askew.engine.units import Habit, format_length, format_span

Value = float | int | str | bool | tuple[str, ...] | tuple[float, ...]
Say = Callable[[float, str, float | None, Habit], str]
"""Turns a size into words: (value, "mm" or "slope", the length a slope is spoken over in mm, habit)."""


def say_size(value: float, unit: str, over: float | None, habit: Habit) -> str:
    """Return a size in the person's habit: "0.06 mm", or "0.96 mm over 300 mm" for a slope (rad).

    Inch people speak a slope over whole inches: 12 in for 300 mm, 4 in for 100 mm.
    """
    if unit == "slope" and over:
        over = round(over / 25.4) * 25.4 if habit == "in" and over >= 25.4 else over
        return f"{format_length(value * over, habit)} over {format_span(over, habit)}"
    return format_length(value, habit)


@dataclass(frozen=True, slots=True)
class ToldReading:
    """A reading as told: mm over mm, in the state it was taken in.

    Attributes:
        id: A reading id.
        value: mm, plus as the reading is defined; None where no number was given.
        over: The length it was taken over, mm, or None.
        bound: "at_least", "at_most", "about", "between" or None.
        when: Number of the state it was taken in: how many actions had been told.
        of: What it speaks for: cut, part, machine, grip or tool.
        sign_known: False where the direction was left open.
    """

    id: str
    value: float | None
    over: float | None = None
    bound: str | None = None
    when: int = 0
    of: str = "cut"
    sign_known: bool = True


@dataclass(frozen=True, slots=True)
class ToldSign:
    """A sign as told: its answer ("yes", "no", "unknown" or a place), and when."""

    id: str
    answer: str
    when: int = 0


@dataclass(frozen=True, slots=True)
class ToldAction:
    """Something done; `when` is the number of the state that it began."""

    id: str
    when: int


@dataclass(frozen=True, slots=True)
class SourceNumbers:
    """What the numbers say about one source. Sizes in its own unit (mm, or rad for a slope).

    Attributes:
        source: A source id.
        group: Its group (machine, vise, holding, tool, material, measuring, unlisted).
        probability: That it is in trouble.
        share: Signed fraction of the complaint that it makes, as expected now.
        mid, low, high: Its size with a 90% interval.
        needed: The size that alone would explain the complaint; None where no size would.
        plausible: The largest size that is plausible now.
        reach: The largest contribution to the complaint that is plausible now, mm.
    """

    source: str
    group: str
    probability: float
    share: float
    mid: float
    low: float
    high: float
    needed: float | None
    plausible: float
    reach: float


@dataclass(frozen=True, slots=True)
class BestCheck:
    """The best check left: what it is expected to save less what it costs (minutes), and its gain in bits."""

    id: str
    worth: float
    gain: float


@dataclass(frozen=True, slots=True)
class Snapshot:
    """The case at one moment, for the rules.

    Attributes:
        setup: What is known about the job, by setup key (lengths mm); unknown keys are absent.
        machine: Kind of machine in force, told or usual.
        instruments: What is on the bench; None where nobody said.
        refused: Checks that the person cannot or will not make.
        held: States of machine and work that hold already: entering them needs no caution.
        readings: Every reading told, in order.
        signs: Every sign told, in order.
        actions: Every action told, in order.
        complaint: (reading id, value mm or None, over mm or None), or None before there is one.
        sizes: The numbers of every source in play.
        doubtful: (reading id, probability that it is wild).
        best_check: The best check left, or None where none is left.
        decided: Probability that the leading remedy is right.
        explained: Fraction of the complaint that listed sources explain.
        next_check: The check about to be asked for, or None.
        remedies: Remedies about to be proposed.
        tolerance: Width of the zone that matters for the complaint, mm.
        habit: How the person speaks, "in" or "mm".
        say: Turns a size into words.
    """

    setup: Mapping[str, Value]
    machine: str
    instruments: frozenset[str] | None = None
    refused: frozenset[str] = frozenset()
    held: frozenset[str] = frozenset()
    readings: tuple[ToldReading, ...] = ()
    signs: tuple[ToldSign, ...] = ()
    actions: tuple[ToldAction, ...] = ()
    complaint: tuple[str, float | None, float | None] | None = None
    sizes: tuple[SourceNumbers, ...] = ()
    doubtful: tuple[tuple[str, float], ...] = ()
    best_check: BestCheck | None = None
    decided: float = 0.0
    explained: float = 0.0
    next_check: str | None = None
    remedies: tuple[str, ...] = ()
    tolerance: float = 0.03
    habit: Habit = "mm"
    say: Say = say_size
