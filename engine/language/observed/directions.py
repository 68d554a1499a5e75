"""Which way a reading goes: the sign that its words give, and a reading told the other way round."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from askew.engine.language.clauses.message import Message
from askew.engine.language.numbers.unit_words import words as number_words
from askew.engine.language.words.fitting import best
from askew.engine.language.words.lexicon import lexicon
from askew.engine.language.words.meanings import Meaning
from askew.engine.observations import Bound, Reading

FLIPPED: dict[Bound | None, Bound | None] = {
    None: None,
    "about": "about",
    "between": "between",
    "at_least": "at_most",
    "at_most": "at_least",
}


def side_not_known(message: Message, start: int, end: int) -> bool:
    """Tell whether a direction is named only as not known: "can't remember which side read high"."""
    texts = [token.text for token in message.tokens[start:end]]
    wondering = any(one in _WHICH and two in _SIDES for one, two in pairwise(texts))
    unseen = any(one in number_words().denying and two in _SEEING for one, two in pairwise(_words(message, start, end)))
    return wondering and (unseen or bool(message.names(start, end) & {"dont_know", "unsure", "forgot"}))


def _words(message: Message, start: int, end: int) -> list[str]:
    """Return the words between two tokens, misspelt ones put right."""
    return [message.words.get(at, message.tokens[at].text) for at in range(start, end)]


_WHICH = {"which", "wich", "whihc", "wihch"}
_SEEING = {"see", "note", "look", "notice", "check", "catch", "mark", "write", "ask", "saw", "record"}


_SIDES = {"side", "way", "end", "one", "corner", "edge", "is", "was", "read", "reads"}


def direction(meaning: Meaning, mask: int) -> tuple[int, bool]:
    """Return the sign that the words give, and whether they give one."""
    if meaning.size:
        return 1, True
    plus, minus = best(meaning.plus, mask), best(meaning.minus, mask)
    if plus > minus:
        return 1, True
    if minus > plus:
        return -1, True
    if meaning.default in ("plus", "minus") and plus == 0:
        return (1 if meaning.default == "plus" else -1), True
    return 1, False


def place_direction(meaning: Meaning, mask: int) -> tuple[int, bool]:
    """Return the sign that a bare place gives as an answer: "the back" is where it is high, thick or reads more."""
    bits = lexicon().bits
    if meaning.size or not meaning.ends:
        return 1, False
    supposed = bits["high"] | bits["thick"] | bits["proud"] | bits["more"]
    return direction(replace(meaning, default=""), mask | supposed)


def signed(fact: Reading, sign: int) -> Reading:
    """Return a reading of unknown direction with its direction."""
    if fact.value is None:
        return fact
    if sign > 0:
        return replace(fact, sign_known=True)
    low, high = (None, None) if fact.low is None or fact.high is None else (-fact.high, -fact.low)
    return replace(fact, value=-fact.value, low=low, high=high, bound=FLIPPED[fact.bound], sign_known=True)
