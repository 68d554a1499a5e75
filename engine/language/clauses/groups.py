"""Which clauses belong together, and what each group of them is about.

Every run of neighbouring clauses is tried as one group; the meaning that fits its words best scores, each
meaning costs something, and so does reading across a comma or a full stop. The cheapest division of the
whole message is found by dynamic programming.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from askew.engine.language.clauses.message import Message
from askew.engine.language.numbers.measured import is_value
from askew.engine.language.numbers.quantities import Quantity
from askew.engine.language.words.fitting import best, weigh
from askew.engine.language.words.lexicon import Lexicon, lexicon
from askew.engine.language.words.meanings import Meaning

_LONGEST = 6
_PRICE = 0.55
_LEAST = 0.95
_REMEMBERED = 4000


@dataclass(frozen=True, slots=True)
class Group:
    """A run of clauses read as one: its tokens, and what it is about (None when nothing fits)."""

    start: int
    end: int
    meaning: Meaning | None
    score: float


def has_value(message: Message, group: Group) -> bool:
    """Tell whether a group of the message holds a measured value."""
    return any(is_value(quantity) for quantity in message.within(group.start, group.end))


@dataclass(frozen=True, slots=True)
class _Bag:
    """The words of a run of clauses, and how many measured values, whole sizes and sizes told in pairs it has."""

    mask: int
    values: int
    sizes: int
    paired: int

    def joined(self, other: _Bag, bit: int) -> _Bag:
        """Return both as one, with the bit of sizes told in pairs where a pair is whole in it."""
        paired = self.paired + other.paired
        mask = self.mask | other.mask | (bit if paired >= 2 else 0)
        return _Bag(mask, self.values + other.values, self.sizes + other.sizes, paired)


class _Scorer:
    """Scores bags of words against all meanings, remembering what it has seen."""

    def __init__(self, lex: Lexicon, asked: tuple[Meaning, ...]) -> None:
        self.lex = lex
        self.asked = asked
        self.seen: dict[tuple[int, int, int], tuple[Meaning | None, float]] = {}

    def best(self, bag: _Bag) -> tuple[Meaning | None, float]:
        key = (bag.mask, min(bag.values, 6), min(bag.sizes, 3))
        found = self.seen.get(key)
        if found is None:
            if len(self.seen) >= _REMEMBERED:
                self.seen.clear()
            found = self.seen[key] = self._best(bag)
        return found

    def _best(self, bag: _Bag) -> tuple[Meaning | None, float]:
        top: tuple[Meaning | None, float] = (None, 0.0)
        for meaning, raw in self._candidates(bag):
            if raw < _LEAST:
                continue
            score = raw + self._fit(meaning, bag) - (0.9 if meaning.members and bag.values else 0.0)
            if score > top[1]:
                top = (meaning, score)
        return top

    def _candidates(self, bag: _Bag) -> Iterable[tuple[Meaning, float]]:
        """Yield every meaning that fits, once, with its best fit, and the readings that were asked for."""
        lex, mask, rest = self.lex, bag.mask, bag.mask
        fits: dict[str, float] = {}
        while rest:
            low = rest & -rest
            rest ^= low
            for meaning, way in lex.starters.get(low, ()):
                score = weigh(way, mask)
                if score > fits.get(meaning.id, 0.0):
                    fits[meaning.id] = score
        for name, score in fits.items():
            meaning = lex.meanings[name]
            yield meaning, score + (0.6 if meaning in self.asked else 0.0)
        yield from self._answers(bag)

    def _answers(self, bag: _Bag) -> Iterable[tuple[Meaning, float]]:
        """Yield the readings that were asked for, which need no topic to be recognised."""
        lex, mask = self.lex, bag.mask
        readings = [meaning for meaning in self.asked if meaning.kind == "reading"]
        for meaning in readings:
            told = max(best(meaning.plus, mask), best(meaning.minus, mask))
            ends = sum(1 for name in meaning.ends if lex.bits.get(name, 0) & mask)
            if lex.foreign[meaning.id] & mask:
                continue  # it names a matter of its own
            paired = bag.sizes == 2 and ends == 2
            if paired or (mask & lex.bits["qty"] and (len(readings) == 1 or told or ends)):
                yield meaning, 1.5 + 0.5 * min(told, 2.0) + 0.3 * ends
            elif told >= 1:
                yield meaning, 0.7 + 0.3 * min(told, 2.0)

    def _fit(self, meaning: Meaning, bag: _Bag) -> float:
        if meaning.kind == "reading":
            if bag.values == 0:
                pair = bag.sizes == 2 and meaning.ends and all(self._there(end, bag.mask) for end in meaning.ends)
                return 1.2 if pair else -0.1 if meaning.complaint else -0.4
            told = all(self._there(end, bag.mask) for end in meaning.ends) and meaning.ends
            if bag.values > 1 and told:
                crossed = all(self._there(place, bag.mask) for place in ("left", "right", "front", "back"))
                return 2.4 if crossed and bag.values == 4 else 2.4 - 0.7 * (bag.values - 2)
            known = best(meaning.plus, bag.mask) != best(meaning.minus, bag.mask)
            return (0.9 if known else 0.5) - 0.7 * (bag.values - 1)
        if meaning.kind == "sign" and not bag.values:
            return (
                0.5
                if any(self._there(name, bag.mask) for _, names in meaning.places for name in names)
                else 0.0
            )
        if meaning.kind == "ignore":
            return 0.3 if bag.values else 0.0
        return -0.8 * bag.values

    def _there(self, place: str, mask: int) -> bool:
        return bool(self.lex.bits.get(place, 0) & mask)


@lru_cache(maxsize=128)
def _scorer(asked: tuple[str, ...]) -> _Scorer:
    """Return the scorer for what was asked; it keeps what it has seen, for a message is often divided again."""
    lex = lexicon()
    return _Scorer(lex, tuple(lex.meanings[name] for name in asked))


def _is_size(quantity: Quantity) -> bool:
    """Tell whether a quantity may be one of two sizes whose difference is told."""
    return quantity.size or (
        not (quantity.junk or quantity.box or quantity.span or quantity.pronoun) and not is_value(quantity)
    )


def divide(message: Message, asked: tuple[Meaning, ...]) -> list[Group]:
    """Return the division of the message into groups with the best total score.

    `asked` are the readings and signs that were just asked for: they are more likely to be meant.
    """
    clauses = message.clauses
    scorer = _scorer(tuple(meaning.id for meaning in asked))
    bags = [
        _Bag(
            message.mask(clause.start, clause.end),
            sum(is_value(q) for q in message.within(clause.start, clause.end)),
            sum(_is_size(q) for q in message.within(clause.start, clause.end)),
            sum(q.size for q in message.within(clause.start, clause.end)),
        )
        for clause in clauses
    ]
    totals: list[float] = [0.0]
    steps: list[Group] = []
    for last in range(len(clauses)):
        top: tuple[float, Group] | None = None
        bag, cost = bags[last], 0.0
        for first in range(last, max(-1, last - _LONGEST), -1):
            if first < last:
                bag = bag.joined(bags[first], scorer.lex.bits["sizes"])
                cost += clauses[first + 1].cost
            meaning, score = scorer.best(bag)
            if meaning is None and first < last:
                continue
            gain = totals[first] + (score - _PRICE - cost if meaning is not None else 0.0)
            if top is None or gain > top[0] + 1e-9:
                top = (gain, Group(clauses[first].start, clauses[last].end, meaning, score))
        if top is None:
            top = (totals[-1], Group(clauses[last].start, clauses[last].end, None, 0.0))
        totals.append(top[0])
        steps.append(top[1])
    return _walk(steps, clauses[0].start if clauses else 0, [clause.end for clause in clauses])


def _walk(steps: list[Group], begin: int, ends: list[int]) -> list[Group]:
    """Follow the best last steps back to the beginning."""
    index = {end: place for place, end in enumerate(ends)}
    groups: list[Group] = []
    place = len(steps) - 1
    while place >= 0:
        group = steps[place]
        groups.append(group)
        before = [end for end in ends[: place + 1] if end <= group.start]
        place = index[before[-1]] if before else -1
        if group.start <= begin:
            break
    groups.reverse()
    return groups
