"""What was said, as statements for the inference: numbers, ranges and signs, each in the situation it speaks for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from askew.engine.belief.columns import Column, column_of, in_play
from askew.engine.case import Case, Evidence, Situation
from askew.engine.observations import Reading, Sign
from askew.engine.physics.linear import felt_in
from askew.engine.physics.scatter import best_instrument, scatter
from askew.knowledge.load import load
from askew.knowledge.schema import Evidence as Meaning

WILD_PRIOR = 0.015
"""Chance that a number was misread, mistyped or taken wrongly. Judgement; the trial tells how it does."""
LENGTHS = 0.015
"""Part of a reading by which it may be off because lengths that it goes by are (the circle of a sweep, the height at
which a feeler went in), one standard deviation. Judgement."""
REPEATS = 3
"""From more readings of one thing than this, the middle one stands for all of them."""


@dataclass(frozen=True)
class Term:
    """One linear statement in a situation: of a reading over a length, or of the size of one source."""

    reading: str | None
    source: str | None
    situation: Situation
    over: float | None = None


@dataclass(frozen=True)
class NumericItem:
    """A number: its term, value, variance, and the size it would have if taken wrongly."""

    term: Term
    value: float
    variance: float
    wild: float
    fact: Reading
    unsigned: bool
    when: int


@dataclass(frozen=True)
class RangeItem:
    """A range: its term and where it lies."""

    term: Term
    low: float
    high: float
    blur: float
    misread: float
    outside: bool

    @property
    def order(self) -> tuple[object, ...]:
        """A canonical order, so that it does not matter in which order things were told."""
        return (str(self.term), self.low, self.high, self.outside)


@dataclass(frozen=True)
class GroupItem:
    """A sign that points at a set of sources, in a situation."""

    sources: tuple[str, ...]
    situation: Situation
    hit: float
    false_alarm: float


def numeric_items(case: Case) -> list[NumericItem]:
    """Return the numbers of a case in a canonical order."""
    items = [
        _numeric(case, evidence)
        for evidence in case.evidence
        if isinstance(evidence.fact, Reading)
        and evidence.fact.value is not None
        and evidence.fact.bound in (None, "about", "between")
    ]
    return sorted(_gathered(items), key=lambda item: (str(item.term), item.value, item.variance))


def _gathered(items: Sequence[NumericItem]) -> list[NumericItem]:
    """Return the items with many repeats of one reading in one state gathered into their median.

    The median of n readings has about the variance of their mean; what they share (the instrument, the way it is
    set up) does not average out, so that it is never taken below a tenth of one reading's.
    """
    groups: dict[tuple[Term, bool], list[NumericItem]] = {}
    for item in items:
        groups.setdefault((item.term, item.unsigned), []).append(item)
    found: list[NumericItem] = []
    for same in groups.values():
        if len(same) <= REPEATS:
            found += same
            continue
        ordered = sorted(same, key=lambda item: (item.value, item.variance))
        middle = ordered[len(ordered) // 2]
        variance = max(1.6 * middle.variance / len(same), 0.1 * middle.variance)
        found.append(replace(middle, variance=variance, when=max(item.when for item in same)))
    return found


def faded(item: NumericItem) -> NumericItem:
    """Return a number that is not suspected by itself any more: that it may be wrong is part of its noise.

    Where its direction was left open it is nothing with the variance of both.
    """
    variance = item.variance + WILD_PRIOR * item.wild**2
    if not item.unsigned:
        return replace(item, variance=variance)
    return replace(item, value=0.0, variance=variance + item.value**2, unsigned=False)


def _numeric(case: Case, evidence: Evidence) -> NumericItem:
    fact = evidence.fact
    assert isinstance(fact, Reading) and fact.value is not None
    kind = load().readings[fact.id]
    spread = scatter_of(fact.id, fact.over, case.setup.instruments)
    if kind.of == "machine" and fact.id.startswith("sweep") and _locks_loose(case, evidence):
        spread *= 4.0
    variance = spread**2 + (LENGTHS * fact.value) ** 2
    if fact.bound == "about":
        variance = 4.0 * spread**2 + (0.12 * fact.value) ** 2
    if fact.bound == "between" and fact.low is not None and fact.high is not None:
        variance += (fact.high - fact.low) ** 2 / 12.0
    wild = 3.0 * max(abs(fact.value), 10.0 * spread)
    term = _term(case, evidence)
    either_way = not fact.sign_known or (kind.size_only and not _one_way(term))
    return NumericItem(
        term,
        fact.value,
        variance,
        wild,
        fact,
        either_way and fact.value != 0.0,
        evidence.when,
    )


def _one_way(term: Term) -> bool:
    """A size without direction whose sources only go one way needs no choice of sign."""
    known = load().sources
    return all(known[column.source].one_sided for column in spoken_of(term))


def _locks_loose(case: Case, evidence: Evidence) -> bool:
    return any(
        isinstance(e.fact, Sign)
        and e.fact.id == "locks_were_loose"
        and e.fact.answer == "yes"
        and e.situation.instance("gib_play_z") == evidence.situation.instance("gib_play_z")
        for e in case.evidence
    )


def scatter_of(reading_id: str, over: float | None, bench: tuple[str, ...] | None = None) -> float:
    """Return one standard deviation of a careful reading, mm.

    Args:
        reading_id: The reading.
        over: Length it is taken over, mm.
        bench: Instruments on hand, of which the best is taken; None for the usual one.
    """
    return scatter(reading_id, best_instrument(reading_id, bench) if bench else None, over)


def _term(case: Case, evidence: Evidence) -> Term:
    fact = evidence.fact
    over = fact.over if isinstance(fact, Reading) else None
    filled = case.modelled(evidence.situation)
    return Term(_measured_from(fact.id, filled), None, filled, over)


def _measured_from(reading_id: str, situation: Situation) -> str:
    """A corner squared from the moving-jaw side is the other corner."""
    turned = reading_id == "face_out_of_square" and situation.setup.gripped_face == "moving"
    return "other_corner" if turned else reading_id


def range_items(case: Case) -> list[RangeItem]:
    """Return the ranges of a case: bounds, complaints without a number, and signs; in a canonical order."""
    items: list[RangeItem] = []
    for evidence in case.evidence:
        if isinstance(evidence.fact, Reading):
            items += _bounded(case, evidence)
        else:
            items += [
                _meant(case, evidence, meaning) for meaning in meanings(evidence.fact) if not meaning.troubled
            ]
    return sorted(items, key=lambda item: repr(item.order))


def _bounded(case: Case, evidence: Evidence) -> list[RangeItem]:
    fact = evidence.fact
    assert isinstance(fact, Reading)
    spread = scatter_of(fact.id, fact.over, case.setup.instruments)
    term = _term(case, evidence)
    misread = WILD_PRIOR
    if fact.value is None:
        if fact.bound is not None or not load().readings[fact.id].complaint:
            return []
        return [RangeItem(term, -3.0 * spread, 3.0 * spread, spread, misread, outside=True)]
    if fact.bound not in ("at_least", "at_most"):
        return []
    if not fact.sign_known:
        size = abs(fact.value)
        return [RangeItem(term, -size, size, spread, misread, outside=fact.bound == "at_least")]
    low, high = (fact.value, np.inf) if fact.bound == "at_least" else (-np.inf, fact.value)
    return [RangeItem(term, low, high, spread, misread, outside=False)]


def meanings(sign: Sign) -> Sequence[Meaning]:
    """Return what an answer to a sign stands for; a place without a meaning of its own stands for yes."""
    kind = load().signs[sign.id]
    if sign.answer == "unknown":
        return ()
    return kind.evidence.get(sign.answer, kind.evidence.get("yes", ()) if sign.answer != "no" else ())


def limits_of(meaning: Meaning) -> tuple[float, float, bool]:
    """Return the range that a meaning stands for: low, high, and whether it is the outside that is meant."""
    if meaning.outside is not None:
        return -meaning.outside, meaning.outside, True
    if meaning.within is not None:
        return -meaning.within, meaning.within, False
    low = meaning.at_least if meaning.at_least is not None else -np.inf
    high = meaning.at_most if meaning.at_most is not None else np.inf
    return low, high, False


def _meant(case: Case, evidence: Evidence, meaning: Meaning) -> RangeItem:
    low, high, outside = limits_of(meaning)
    situation = case.modelled(evidence.situation)
    term = Term(meaning.reading, meaning.source, situation)
    size = max(abs(v) for v in (low, high) if np.isfinite(v))
    blur = meaning.blur if meaning.blur is not None else 0.3 * size
    return RangeItem(term, low, high, blur, load().signs[evidence.fact.id].misread, outside)


def group_items(case: Case) -> list[GroupItem]:
    """Return the signs that point at sets of sources."""
    return [
        GroupItem(tuple(meaning.troubled), evidence.situation, meaning.hit, meaning.false_alarm)
        for evidence in case.evidence
        if isinstance(evidence.fact, Sign)
        for meaning in meanings(evidence.fact)
        if meaning.troubled
    ]


@lru_cache(maxsize=1024)
def spoken_of(term: Term) -> frozenset[Column]:
    """Return the source instances that a term speaks of."""
    if term.source is not None:
        return frozenset({column_of(term.source, term.situation)})
    assert term.reading is not None
    known, setup = load().sources, term.situation.setup
    return frozenset(
        column_of(id_, term.situation)
        for id_ in felt_in(term.reading, setup, term.over)
        if in_play(known[id_], setup)
    )
