"""Readings, signs and actions, the ways to say them as bit masks, and which words are foreign to a reading."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from askew.engine.language.words.word_tables import items, word_list


@dataclass(frozen=True, slots=True)
class Way:
    """One way of saying something: words that must, must not and may be there, as bit masks."""

    must: tuple[int, ...]
    never: int
    may: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Meaning:
    """A reading, a sign or an action, and the ways to say it."""

    id: str
    kind: str
    when: tuple[Way, ...]
    plus: tuple[Way, ...] = ()
    minus: tuple[Way, ...] = ()
    yes: tuple[Way, ...] = ()
    no: tuple[Way, ...] = ()
    ends: tuple[str, ...] = ()
    size: bool = False
    default: str = ""
    places: tuple[tuple[str, tuple[str, ...]], ...] = ()
    none: str = ""
    members: tuple[str, ...] = ()
    zero: tuple[Way, ...] = ()
    complaint: bool = False
    turned_round: bool = False
    about: int = 0
    most: float = 0.0


def foreign_words(
    meaning: Meaning, bits: Mapping[str, int], implies: Mapping[str, str], named: Iterable[str]
) -> int:
    """Return the words of clauses.toml's `own_matters` that a reading is never told with, and those it names itself."""
    own = 0
    for way in (*meaning.when, *meaning.plus, *meaning.minus, *meaning.zero):
        for term in (*way.must, *way.may):
            own |= term
    for name in meaning.ends:
        own |= bits.get(name, 0)
    made = sum(bits[name] for name in named)
    for name in word_list("clauses.toml", "words", "own_matters"):
        meant = [name, *items(implies.get(name, ""))]
        if not any(bits.get(word, 0) & own for word in meant):
            made |= bits[name]
    return made


def each_bit(mask: int) -> Iterable[int]:
    """Yield the bits of a mask, the lowest first."""
    while mask:
        low = mask & -mask
        yield low
        mask ^= low


def weight_of(mask: int, weights: Mapping[int, float]) -> float:
    """Return the weight of the heaviest bit of a mask, 0 for none."""
    return max((weights[bit] for bit in each_bit(mask)), default=0.0)
