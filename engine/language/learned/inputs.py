"""What the network is told of a message: for each token its word, its phrases, and the size of a number."""

from __future__ import annotations

import math

from askew.engine.language.clauses.message import Message
from askew.engine.language.numbers.quantities import Quantity
from askew.engine.language.words.tokens import SENTENCE_ENDS

NUMBER, STOP = "#", "|"
"""What stands for every number, and for the end of a sentence."""

MOST = 10
"""No more is told of one token."""

BEGINNING = 4
"""So many letters that a longer word begins with are told of it, for words that were never learned from."""


def features(message: Message) -> list[list[str]]:
    """Return what is told of each token of a message, as many lists as it has tokens.

    That is its stem, its word as typed where that is another, its unit and size where it is the head of a quantity, and
    the phrases that it stands in.
    """
    told = [_word(message, i) for i in range(len(message.tokens))]
    for quantity in message.prepared:
        told[quantity.head] += _number(quantity)
    for spot in message.prepared_spots:
        for i in range(spot.start, min(spot.end, len(told))):
            told[i].append(f"@{spot.name}")
    return [one[:MOST] for one in told]


def word(message: Message, index: int) -> str:
    """Return the word that stands for a token: its stem, one for all numbers, "" for a mark within a sentence."""
    token = message.tokens[index]
    if token.kind == "mark":
        return STOP if token.text in SENTENCE_ENDS else ""
    return NUMBER if token.kind in ("number", "code") else message.words.get(index, token.text)


def _word(message: Message, index: int) -> list[str]:
    token, stem = message.tokens[index], word(message, index)
    if token.kind == "mark":
        return [stem or f"m:{token.text}"]
    typed = token.text.lower()
    if stem == NUMBER:
        return [stem]
    as_typed = [f"r:{typed}"] if typed != stem else []
    return [stem, *as_typed, *([f"p:{typed[:BEGINNING]}"] if len(typed) > BEGINNING else [])]


def _number(quantity: Quantity) -> list[str]:
    """Return the unit of a number, how large it is in half decades of mm ("n" without a unit), and how it stands."""
    mm = quantity.mm
    size = "n" if mm is None else str(math.floor(2 * math.log10(max(abs(float(mm)), 1e-5))))
    marks = [name for name, held in (("span", quantity.span), ("junk", quantity.junk and not quantity.aside)) if held]
    return [f"u:{quantity.unit}", f"s:{size}", f"us:{quantity.unit}{size}", *marks]
