"""Whole numbers in words: "twelve", "two hundred and fifty"."""

from __future__ import annotations

from collections.abc import Sequence

from askew.engine.language.words.tokens import Token, text_at

ONES = {
    "zero": 0,
    "oh": 0,
    "nought": 0,
    "naught": 0,
    "nil": 0,
    "one": 1,
    "two": 2,
    "three": 3,
    "four": 4,
    "five": 5,
    "six": 6,
    "seven": 7,
    "eight": 8,
    "nine": 9,
    "ten": 10,
    "eleven": 11,
    "twelve": 12,
    "thirteen": 13,
    "fourteen": 14,
    "fifteen": 15,
    "sixteen": 16,
    "seventeen": 17,
    "eighteen": 18,
    "nineteen": 19,
}
"""What the words are worth that stand alone or last."""
TENS = {
    "twenty": 20,
    "thirty": 30,
    "forty": 40,
    "fourty": 40,
    "fifty": 50,
    "sixty": 60,
    "seventy": 70,
    "eighty": 80,
    "ninety": 90,
}
"""What the words are worth that may take a further one: "twenty five"."""
_MILLIMETRES = {"mm", "mil", "mill", "millimetre", "millimeter", "millimetres", "millimeters"}


def cardinal(tokens: Sequence[Token], at: int) -> tuple[int, int] | None:
    """Read a whole number below a thousand in words: its value and the index after it; None where there is none."""
    current, end, seen = 0, at, False
    previous = "start"
    if _exclaims(tokens, at):
        return None
    spelled = [ONES.get(text_at(tokens, place), -1) for place in range(at, at + 3)]
    if 0 < spelled[0] < 10 and text_at(tokens, at + 1) == "oh" and 0 < spelled[2] < 10:
        return spelled[0] * 100 + spelled[2], at + 3  # "five oh three"
    while end < len(tokens):
        text = text_at(tokens, end)
        if text in ONES and (
            previous in ("start", "hundred", "and") or (previous == "tens" and 0 < ONES[text] < 10)
        ):
            current += ONES[text]
            previous = "ones"
        elif text in TENS and previous in ("start", "hundred", "and"):
            current += TENS[text]
            previous = "tens"
        elif text == "hundred" and previous in ("ones", "start") and (
            seen or text_at(tokens, end - 1) == "a" or _is_size(tokens, end)
        ):
            current = max(current, 1) * 100
            previous = "hundred"
        elif text == "-" and previous == "tens" and text_at(tokens, end + 1) in ONES:
            pass
        elif (
            text == "and"
            and previous == "hundred"
            and (text_at(tokens, end + 1) in ONES or text_at(tokens, end + 1) in TENS)
        ):
            previous = "and"
        else:
            break
        seen = True
        end += 1
    return (current, end) if seen else None


def _is_size(tokens: Sequence[Token], at: int) -> bool:
    """Tell whether a bare "hundred" counts millimetres: "hundred mil face mill", "hundred and fifty long"."""
    return text_at(tokens, at + 1) in _MILLIMETRES or (
        text_at(tokens, at + 1) == "and" and text_at(tokens, at + 2) in TENS
    )


def _exclaims(tokens: Sequence[Token], at: int) -> bool:
    """Tell whether an "oh" that begins a sentence is no zero: "oh dear"."""
    if text_at(tokens, at) != "oh" or (at > 0 and tokens[at - 1].kind != "mark"):
        return False
    following = text_at(tokens, at + 1)
    return following not in ONES and following not in ("point", "thou", "left", "right", "front", "back", "to")


def is_cardinal(word: str) -> bool:
    """Tell whether a word is a whole number or one of its parts: "seven", "twenty"."""
    return word in ONES or word in TENS


def number_words() -> frozenset[str]:
    """Return the words that numbers are spoken with."""
    return frozenset({*ONES, *TENS, "half", "quarter", "quarters", "third", "couple", "hundred", "point"})
