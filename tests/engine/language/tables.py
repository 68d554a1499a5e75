"""Examples as arrays, for the networks that learn from them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from examples import Example

from askew.engine.language.learned.inputs import MOST

ENOUGH, TWICE = 8, 2
"""Of what fewer sentences speak of nothing is learned; a feature that fewer tokens have is not known."""

NUMBERS, WAYS = 8, 4
"""So many numbers and readings of a sentence are learned from."""

Arrays = dict[str, Any]


@dataclass(frozen=True)
class Lists:
    """What a network knows by name, in the order of its weights."""

    features: list[str]
    meanings: list[str]
    answers: list[str]
    numbers: list[str]
    readings: list[str]
    ways: str = "+-?"

    @cached_property
    def feature(self) -> dict[str, int]:
        """Return the row of each feature; row 0 is that of none."""
        return {name: i for i, name in enumerate(self.features, 1)}

    @cached_property
    def meaning(self) -> dict[str, int]:
        """Return the class of each meaning."""
        return {name: i for i, name in enumerate(self.meanings)}

    @cached_property
    def answer(self) -> dict[str, int]:
        """Return the class of each answer; they come after the meanings."""
        return {name: i for i, name in enumerate(self.answers, len(self.meanings))}

    @cached_property
    def number(self) -> dict[str, int]:
        """Return the place of each thing that a number can be."""
        return {name: i for i, name in enumerate(self.numbers)}

    @cached_property
    def reading(self) -> dict[str, int]:
        """Return the row of each reading that has ways."""
        return {name: i for i, name in enumerate(self.readings)}


def lists_of(said: Sequence[Example]) -> Lists:
    """Return the names that are told of often enough in labelled sentences."""

    def often(names: Iterable[str]) -> list[str]:
        return sorted(name for name, times in Counter(names).items() if times >= ENOUGH)

    known = Counter(name for one in said for token in one.features for name in token)
    asked = {f"?{one.asked}" for one in said if one.asked}
    return Lists(
        sorted({name for name, times in known.items() if times >= TWICE} | asked),
        often(name for one in said for name in one.meanings),
        often(name for one in said for name in one.answers),
        often(name for one in said for _, name in one.numbers),
        sorted({reading for one in said for _, reading, _ in one.ways}),
    )


def arrays_of(said: Sequence[Example], lists: Lists, length: int) -> Arrays:
    """Return sentences as arrays, each filled up or cut to so many tokens.

    Returns:
        ids: (n, length, MOST) the features of each token, the first token that of what was asked for.
        said: (n, classes) the meanings and answers that are right; counts: 1 for those of which that is known.
        number_at: (n, NUMBERS) the tokens of numbers, 0 for none; number: what they are, -1 where that is not known.
        way_at: (n, WAYS) the tokens of readings; reading: which they are; way: which way they go, -1 for none.
    """
    made = _blank(len(said), length, len(lists.meanings) + len(lists.answers))
    for i, one in enumerate(said):
        told = [[f"?{one.asked}"] if one.asked else [], *one.features][:length]
        for t, names in enumerate(told):
            made["ids"][i, t, : len(names)] = [lists.feature.get(name, 0) for name in names]
        if one.labelled:
            made["counts"][i] = 1.0
            made["counts"][i, _classes(one.open, one.open, lists)] = 0.0
            right = _classes(one.meanings, one.answers, lists)
            made["said"][i, right] = made["counts"][i, right] = 1.0
        for k, (at, number) in enumerate(numbers_at(one, lists, length)):
            made["number_at"][i, k], made["number"][i, k] = at, number
        for k, (at, reading, way) in enumerate(ways_at(one, lists, length)):
            made["way_at"][i, k], made["reading"][i, k] = at, lists.reading[reading]
            made["way"][i, k] = lists.ways.index(way)
    return made


def _classes(meanings: Iterable[str], answers: Iterable[str], lists: Lists) -> list[int]:
    found = [lists.meaning[name] for name in meanings if name in lists.meaning]
    return [*found, *(lists.answer[name] for name in answers if name in lists.answer)]


def ways_at(one: Example, lists: Lists, length: int) -> list[tuple[int, str, str]]:
    """Return the token of each reading, 0 for one without its own number, which it is, and which way it goes."""
    ways = [way for way in one.ways if way[1] in lists.reading]
    return [
        (0 if head is None or head + 1 >= length else head + 1, reading, way) for head, reading, way in ways[:WAYS]
    ]


def numbers_at(one: Example, lists: Lists, length: int) -> list[tuple[int, int]]:
    """Return the token of each number and what it is; without a label of the sentence all, and -1."""
    told = one.numbers if one.labelled else [(head, None) for head in one.heads]
    known = [(head, name) for head, name in told if head + 1 < length and (name is None or name in lists.number)]
    return [(head + 1, -1 if name is None else lists.number[name]) for head, name in known[:NUMBERS]]


def _blank(count: int, length: int, classes: int) -> Arrays:
    def unknown(width: int) -> Any:
        return np.full((count, width), -1, np.int32)

    def none(*shape: int) -> Any:
        return np.zeros((count, *shape), np.int32)

    def zero() -> Any:
        return np.zeros((count, classes), np.float32)

    return {
        **{"ids": none(length, MOST), "said": zero(), "counts": zero()},
        **{"number_at": none(NUMBERS), "number": unknown(NUMBERS)},
        **{"way_at": none(WAYS), "reading": none(WAYS), "way": unknown(WAYS)},
    }
