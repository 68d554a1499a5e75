"""The rows of a report's lists and tables."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Seen:
    """One thing said: its number, the words, what was understood, what was answered."""

    number: int
    day: str
    text: str
    facts: tuple[str, ...]
    answer: str


@dataclass(frozen=True, slots=True)
class BeliefLine:
    """Chance of trouble of one suspect after each step, 0 to 1."""

    name: str
    chances: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class BudgetRow:
    """One cause's part of what was complained of: share (signed), mm, size and chance in words."""

    name: str
    share: float
    makes: str
    size: str
    chance: str


@dataclass(frozen=True, slots=True)
class FaceRow:
    """One face reading: predicted (with interval) and measured, in words; empty where there is none."""

    name: str
    predicted: str
    interval: str
    measured: str
    agrees: str


@dataclass(frozen=True, slots=True)
class Sweep:
    """The last spindle sweep: mm over `over` mm, each way; None where it was not swept that way."""

    x: float | None
    y: float | None
    over: float | None


@dataclass(frozen=True, slots=True)
class ProofRow:
    """One reading after the fix, and what it was to be."""

    name: str
    value: str
    wanted: str
    result: str
