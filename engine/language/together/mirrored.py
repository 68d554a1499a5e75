"""A message with its one word of height or amount turned over, by which a direction from the networks is tried.

"The left end is 2 thou low" must go the other way than "the left end is 2 thou high". Networks that met one of the two
more often may hear both alike; a direction is theirs to give only as far as the mirrored message turns it round.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import cache

from askew.engine.language.clauses.message import Message
from askew.engine.language.clauses.prepare import prepare
from askew.engine.language.words.word_tables import table, word_list

PLUS, MINUS, OPEN = "+", "-", "?"
SIZE = 5
"""A number of so many mm before the word tells how tall something is, not which way it goes."""


def mirrored(message: Message) -> Message | None:
    """Return the message with "high" for "low" or the like; None where it has no such word, or several."""
    opposite = _opposites()
    places = [at for at, token in enumerate(message.tokens) if token.text in opposite]
    if len(places) != 1 or not _tells_a_way(message, places[0]):
        return None
    token = message.tokens[places[0]]
    turned = prepare(message.text[: token.start] + opposite[token.text] + message.text[token.end :])
    return turned if len(turned.tokens) == len(message.tokens) else None


def pooled(shares: Mapping[str, float], turned: Mapping[str, float]) -> dict[str, float]:
    """Return the shares of each way by a message and its mirror image together.

    Args:
        shares: Those by the message.
        turned: Those by the mirrored message, which go the other way.

    Returns:
        Their logarithmic pool (Genest & Zidek 1986, with equal weights): the geometric mean, made to sum to 1.
    """
    other = {PLUS: turned[MINUS], MINUS: turned[PLUS], OPEN: turned[OPEN]}
    mean = {way: math.sqrt(share * other[way]) for way, share in shares.items()}
    total = sum(mean.values())
    return {way: share / total for way, share in mean.items()} if total else dict(shares)


@cache
def _opposites() -> dict[str, str]:
    pairs = [pair.split() for pair in table("clauses.toml")["mirror"]["pairs"].split(",")]
    return {one: two for pair in pairs for one, two in (pair, reversed(pair))}


def _tells_a_way(message: Message, at: int) -> bool:
    """Tell whether a word tells which way something goes: not how tall a part is, nor "a bit more than"."""
    if message.tokens[at].text in _AMOUNTS:
        beside = {message.text_at(at - 1), message.text_at(at + 1)}
        return not beside & word_list("clauses.toml", "mirror", "no_amount")
    return not any(
        quantity.end == at and quantity.mm is not None and quantity.mm >= SIZE for quantity in message.prepared
    )


_AMOUNTS = {"more", "less"}
