"""What is counted of a message: its words and neighbouring pairs, or the words before and after one of its numbers."""

from __future__ import annotations

import math
from itertools import pairwise

from askew.engine.language.clauses.message import Message
from askew.engine.language.numbers.quantities import Quantity
from askew.engine.language.words.tokens import SENTENCE_ENDS

NUMBER, STOP = "#", "|"
"""What stands for every number, and for the end of a sentence."""

NEAR, SIDE, FAR = 3, 8, 14
"""So many words right beside a number, on its side of the sentence, and beyond it count for what it is."""

WIDE = 40
"""Words farther from a number than so many say nothing of it; few messages are as long."""

ASIDE = 10
"""So many words on each side of a reading may give its direction."""

SHORT = 14
"""So many words and marks answer what was asked and hardly more."""

_MANY = 4


def words_of(message: Message, asked: str | None = None, at: range | None = None) -> list[str]:
    """Return the words of a message, its neighbouring pairs, and what was asked for, as they are counted.

    Args:
        message: The message.
        asked: What was asked for.
        at: The tokens that count; all of them if None.
    """
    words = _said(message, at or range(len(message.tokens)))
    return [*words, *map(" ".join, pairwise(words)), *([f"?{asked}"] if asked is not None else [])]


def answer_features(message: Message, asked: str | None = None) -> list[str]:
    """Return what is counted for what was seen, chosen, done or asked for: words and pairs, and the phrases found.

    In a short message all of it counts once more together with what was asked for.
    """
    told = [*words_of(message, asked), *(f"@{spot.name}" for spot in message.prepared_spots)]
    short = asked is not None and len(message.tokens) < SHORT
    return [*told, *(f"{asked}&{one}" for one in told if short)]


def number_features(message: Message, quantity: Quantity, asked: str | None = None) -> list[str]:
    """Return what is counted around a number: words by side and distance, its unit, its size, what was asked for.

    Args:
        message: The message.
        quantity: The number, one of its quantities.
        asked: What was asked for.
    """
    wide = range(max(0, quantity.head - WIDE), min(len(message.tokens), quantity.end + WIDE))
    said = [_word(message, i) for i in wide]
    head, end = quantity.head - wide.start, quantity.end - wide.start
    before = [word for word in said[max(0, head - FAR) : head] if word][::-1]
    after = [word for word in said[end : end + FAR] if word]
    phrases = message.prepared_spots if len(wide) == len(message.tokens) else message.spots_in(wide.start, wide.stop)
    size = _size(quantity)
    heads = [one.head for one in message.prepared]
    return [
        *_beside("b", before),
        *_beside("a", after),
        *(f"w:{word}" for word in {*filter(None, said)}),
        *(f"w:@{spot.name}" for spot in phrases),
        *(f"u:{quantity.unit}", f"s:{size}", f"us:{quantity.unit}{size}") * 2,
        *(["span"] if quantity.span else []),
        *(["junk"] if quantity.junk else []),
        *([f"?{asked}"] * 2 if asked is not None else []),
        f"nq:{min(_MANY, len(heads))}",
        f"iq:{min(_MANY, heads.index(quantity.head))}",
    ]


def direction_features(message: Message, name: str, words: str) -> list[str]:
    """Return what is counted for the direction of a reading: words and phrases around it, each with its id.

    Args:
        message: The message.
        name: The id of the reading.
        words: The person's own words that it was read from.
    """
    at = message.tokens_of(words)
    near = range(max(at.start - ASIDE, 0), min(at.stop + ASIDE, len(message.tokens))) if len(at) else at
    said = _said(message, near or range(len(message.tokens)))
    told = [*said, *map(" ".join, pairwise(said)), *(f"@{spot.name}" for spot in message.prepared_spots)]
    return [*(f"{name}&{one}" for one in told), *told]


def _beside(side: str, words: list[str]) -> list[str]:
    """Return the words on one side of a number, the nearest first, marked by how near they stand."""
    own = words[: words.index(STOP)] if STOP in words else words
    return [
        *(f"{side}1:{word}" for word in words[:1]),
        *(f"{side}3:{word}" for word in words[:NEAR]),
        *(f"{side}8:{word}" for word in own[:SIDE]),
        *(f"{side}p:{one} {two}" for one, two in pairwise([*own, STOP] if STOP in words else own)),
    ]


def _size(quantity: Quantity) -> str:
    """Return how large a number is in half decades of mm, "n" where its unit was not said."""
    mm = quantity.mm
    return "n" if mm is None else str(math.floor(2 * math.log10(max(abs(float(mm)), 1e-5))))


def _said(message: Message, at: range) -> list[str]:
    return [word for i in at if (word := _word(message, i))]


def _word(message: Message, index: int) -> str:
    token = message.tokens[index]
    if token.kind == "mark":
        return STOP if token.text in SENTENCE_ENDS else ""
    return NUMBER if token.kind in ("number", "code") else message.words.get(index, token.text)
