"""What the networks tell of a message, of its numbers and of the directions of its readings."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

import numpy as np

from askew.engine.language.clauses.message import Message
from askew.engine.language.learned.committee import committee
from askew.engine.language.learned.inputs import features, word
from askew.engine.language.learned.network import Encoded, Floats
from askew.engine.language.numbers.quantities import Quantity

_Features = tuple[tuple[str, ...], ...]


class _Same:
    """A message that equals itself alone, so that what was made of it is found without comparing all its words."""

    __slots__ = ("message",)

    def __init__(self, message: Message) -> None:
        self.message = message

    def __hash__(self) -> int:
        return id(self.message)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and other.message is self.message


def meanings(message: Message, asked: str | None = None, at: range | None = None) -> Mapping[str, float]:
    """Return the chance of each meaning that a message speaks of it.

    Args:
        message: The message.
        asked: What was asked for.
        at: The tokens that count; all of them if None.
    """
    told = _features(_Same(message))
    return _whole(told if at is None else told[at.start : at.stop], asked)[0]


def answers(message: Message, asked: str | None = None) -> Mapping[str, float]:
    """Return the chance of each thing seen, chosen, done or asked for that a message tells it."""
    return _whole(_features(_Same(message)), asked)[1]


def surely(message: Message, asked: str | None = None) -> Mapping[str, float]:
    """Return the chance of each answer; to something else than what was asked for without that, too."""
    told = answers(message, asked)
    if asked is None:
        return told
    alone = answers(message)
    return {name: chance if named(name) == asked else min(chance, alone[name]) for name, chance in told.items()}


def hardly(message: Message, asked: str | None = None, at: range | None = None) -> Mapping[str, float]:
    """Return the chance of each meaning, the larger of those with and without what was asked for.

    People answer what was asked for, or tell something else; what is refused must be unlikely either way.

    Args:
        message: The message.
        asked: What was asked for.
        at: The tokens that count; all of them if None.
    """
    told = meanings(message, asked, at)
    if asked is None:
        return told
    alone = meanings(message, None, at)
    return {name: max(chance, alone[name]) for name, chance in told.items()}


def named(answer: str) -> str:
    """Return what an answer is to: the id or key in its name."""
    return answer.lstrip("!$").partition(":")[0]


def number(message: Message, quantity: Quantity, asked: str | None = None) -> Mapping[str, float]:
    """Return the share of each thing that a number of a message can be."""
    heads = dict.fromkeys([*(one.head for one in message.prepared), quantity.head])  # all at once, for it costs no more
    return _numbers(_Same(message), tuple(heads), asked)[quantity.head]


def direction(message: Message, reading: str, head: int | None, asked: str | None = None) -> Mapping[str, float]:
    """Return the share of each way that a reading of a message can go: "+", "-" and "?".

    Args:
        message: The message.
        reading: The id of the reading.
        head: The token of its number, None where it is the difference of two.
        asked: What was asked for.
    """
    return committee().of_direction(_seen(_Same(message), asked), reading, head)


def bearing(message: Message, name: str, asked: str | None = None) -> list[float] | None:
    """Return what each token of a message adds to the log odds of a meaning or an answer, None for an unknown one."""
    return committee().bearing(_seen(_Same(message), asked), name)


def looks(message: Message, at: range, asked: str | None = None) -> Floats:
    """Return what the networks make of some tokens of a message on the way to what they tell, the mean over these.

    Args:
        message: The message.
        at: The tokens, at least one.
        asked: What was asked for.

    Returns:
        The mean of each of their numbers, those of one network after those of the other.
    """
    tokens = _seen(_Same(message), asked).tokens[:, at.start + 1 : at.stop + 1]
    mean: Floats = np.add.reduce(tokens, 1).ravel() / np.float32(tokens.shape[1])
    return mean


def share_known(message: Message) -> tuple[int, int]:
    """Return how many words of a message were learned from, and how many it has."""
    words = [one for i in range(len(message.tokens)) if (one := word(message, i))]
    return sum(one in committee().members.place for one in words), len(words)


def likeliest(chances: Mapping[str, float]) -> tuple[str, float]:
    """Return the likeliest name and its chance."""
    best = max(chances, key=chances.__getitem__)
    return best, chances[best]


@lru_cache(maxsize=8)
def _features(same: _Same) -> _Features:
    return tuple(map(tuple, features(same.message)))


@lru_cache(maxsize=8)
def _seen(same: _Same, asked: str | None) -> Encoded:
    return _encoded(_features(same), asked)


@lru_cache(maxsize=8)
def _numbers(same: _Same, heads: tuple[int, ...], asked: str | None) -> Mapping[int, Mapping[str, float]]:
    return committee().of_numbers(_seen(same, asked), heads)


@lru_cache(maxsize=64)
def _encoded(told: _Features, asked: str | None) -> Encoded:
    """Return a message as the networks see it, which is needed several times in the reading of it."""
    return committee().encode(told, asked)


@lru_cache(maxsize=64)
def _whole(told: _Features, asked: str | None) -> tuple[Mapping[str, float], Mapping[str, float]]:
    return committee().of_whole(_encoded(told, asked))
