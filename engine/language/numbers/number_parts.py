"""Parts of a whole in words: "half", "three eighths", "a sixty fourth"."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from askew.engine.language.numbers.whole_numbers import ONES
from askew.engine.language.words.tokens import Token, text_at

PARTS = {
    "half": 2,
    "halves": 2,
    "third": 3,
    "thirds": 3,
    "quarter": 4,
    "quarters": 4,
    "fifth": 5,
    "fifths": 5,
    "eighth": 8,
    "eighths": 8,
    "eigths": 8,
    "sixteenth": 16,
    "sixteenths": 16,
    "thirtysecond": 32,
    "thirtyseconds": 32,
    "sixtyfourth": 64,
    "sixtyfourths": 64,
}
"""How many of each part make a whole."""
# Parts whose name is two words: "a sixty fourth". "A thirty second run" is a time, so that one has to stand alone.
_TWO_WORDS = {
    ("sixty", "fourth"): 64,
    ("sixty", "fourths"): 64,
    ("thirty", "second"): 32,
    ("thirty", "seconds"): 32,
}
_AFTER_A_PART = {"", "of", "or", "and", "over", "in", "at", "on", "to", "when", "as", "up", "down", "from", "out"}


def and_part(tokens: Sequence[Token], at: int) -> tuple[Decimal, int] | None:
    """Read "and a half", "and three quarters" after a whole number: what it adds, and the index after it."""
    at += text_at(tokens, at) == "-" and text_at(tokens, at + 1) == "and"  # two-and-a-half
    if text_at(tokens, at) not in ("and", "n", "&"):
        return None
    part = fraction(tokens, at + 1 + (text_at(tokens, at + 1) == "-"))
    return part if part is not None and part[0] < 1 else None


def fraction(tokens: Sequence[Token], at: int) -> tuple[Decimal, int] | None:
    """Read "half", "a half", "a quarter", "three eighths": the share, and the index after it."""
    top = 1
    if text_at(tokens, at) in ("a", "an"):
        at += 1 + (text_at(tokens, at + 1) == "-")
    elif text_at(tokens, at) in PARTS and text_at(tokens, at - 1) == "the":
        if text_at(tokens, at + 1 + (text_at(tokens, at + 1) == "-")) not in ("inch", "in"):
            return None  # the sixteenth of March, but "the half inch end mill"
    elif text_at(tokens, at) in ONES and ONES[text_at(tokens, at)] > 0:
        top = ONES[text_at(tokens, at)]
        at += 2 if text_at(tokens, at + 1) == "-" else 1
        if text_at(tokens, at) == "half":
            return None
    elif at < len(tokens) and tokens[at].kind == "number" and "/" in tokens[at].text:
        value = tokens[at].value
        return (value, at + 1) if value is not None else None
    found = whole_of_parts(tokens, at)
    if found is None or (top == 1 and found[0] in (3, 5) and text_at(tokens, at - 1) not in ("a", "one")):
        return None
    return Decimal(top) / Decimal(found[0]), found[1]


def whole_of_parts(tokens: Sequence[Token], at: int) -> tuple[int, int] | None:
    """Read what a fraction is parts of, "eighth", "sixty fourth": how many make a whole, and the index after it."""
    if text_at(tokens, at) in PARTS:
        return PARTS[text_at(tokens, at)], at + 1
    last = at + 2 if text_at(tokens, at + 1) == "-" else at + 1
    bottom = _TWO_WORDS.get((text_at(tokens, at), text_at(tokens, last)))
    alone = last + 1 >= len(tokens) or tokens[last + 1].kind == "mark" or text_at(tokens, last + 1) in _AFTER_A_PART
    counted = text_at(tokens, at - 1) in ("a", "an", "good", "full", "-") or text_at(tokens, at - 1) in ONES
    inch = text_at(tokens, last + 1) in ("inch", "inches")
    if bottom is None or not counted or (bottom == 32 and not alone and not inch):
        return None
    return bottom, last + 1
