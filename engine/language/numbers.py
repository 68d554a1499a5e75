"""Numbers as spoken: a closed grammar over tokens, on Decimal.

number   := ["-" | "+" | "minus" | "plus"] unsigned
    unsigned := digits | cardinal ["and" part] | [cardinal] "point" digit-words | "half" | part | "a couple"
part     := "a half" | "a quarter" | "three quarters" | "three eighths" | ...
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from askew.engine.language.tokens import Token, text_at

_ONES = {
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
_TENS = {
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
_PARTS = {
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
# Parts whose name is two words: "a sixty fourth". "A thirty second run" is a time, so that one has to stand alone.
_TWO_WORDS = {
    ("sixty", "fourth"): 64,
    ("sixty", "fourths"): 64,
    ("thirty", "second"): 32,
    ("thirty", "seconds"): 32,
}
_AFTER_A_PART = {"", "of", "or", "and", "over", "in", "at", "on", "to", "when", "as", "up", "down", "from", "out"}
_VAGUE = {"couple": Decimal(2), "few": Decimal(3), "several": Decimal(5)}


@dataclass(frozen=True, slots=True)
class Number:
    """A number and how it was said.

    Attributes:
        value: The number, with its sign.
        start: Index of its first token.
        end: Index after its last token.
        other: A second possible meaning (decimal or thousands comma).
        decimals: Digits after the decimal point, as written.
        signed: A sign was given in so many words.
        vague: "a couple", "a few".
        worded: Said in words, so that "one" may be no number at all.
        part: A fraction such as "half", which may also stand for a share of something.
    """

    value: Decimal
    start: int
    end: int
    other: Decimal | None = None
    decimals: int = 0
    signed: bool = False
    vague: bool = False
    worded: bool = False
    part: bool = False


def parse_number(tokens: Sequence[Token], at: int) -> Number | None:
    """Return the number that starts at token `at`, or None."""
    start, sign, signed = at, 1, False
    token = tokens[at] if at < len(tokens) else None
    if token is None:
        return None
    if _is_sign(tokens, at):
        sign = -1 if token.text in ("-", "minus", "negative") else 1
        signed, at = True, at + 1
    found = _digits(tokens, at) or _pointed(tokens, at) or _worded(tokens, at)
    if found is None:
        return None
    return Number(
        found.value * sign,
        start,
        found.end,
        None if found.other is None else found.other * sign,
        found.decimals,
        signed,
        found.vague,
        found.worded,
        found.part,
    )


def _is_sign(tokens: Sequence[Token], at: int) -> bool:
    text = tokens[at].text
    following = tokens[at + 1] if at + 1 < len(tokens) else None
    if following is None:
        return False
    if text in ("minus", "plus", "negative", "positive"):
        return (
            following.kind == "number"
            or following.text in _ONES
            or following.text in _TENS
            or following.text in ("a", "half")
        )
    if text not in ("-", "+") or following.kind != "number" or not following.glued:
        return False
    # "3-5" is a range and "cross-5" no minus, while "-5" and "0 -5" are signs.
    return not tokens[at].glued or text_at(tokens, at - 1) in ("(", "=", ":", ",", "/")


def _digits(tokens: Sequence[Token], at: int) -> Number | None:
    token = tokens[at]
    if token.kind != "number" or token.value is None:
        return None
    value, end, part = token.value, at + 1, "/" in token.text
    if not token.decimals and token.value == token.value.to_integral_value():
        extra = _and_part(tokens, end)
        if extra is not None:
            return Number(value + extra[0], at, extra[1])
        bottom = _bottom(tokens, end)
        if bottom is not None and 0 < value < bottom[0] and bottom[0] > 2:
            return Number(value / bottom[0], at, bottom[1], worded=True, part=True)  # 3 sixteenths
    return Number(value, at, end, token.other, token.decimals, part=part)


def _and_part(tokens: Sequence[Token], at: int) -> tuple[Decimal, int] | None:
    """Read "and a half", "and three quarters" after a whole number."""
    at += text_at(tokens, at) == "-" and text_at(tokens, at + 1) == "and"  # two-and-a-half
    if text_at(tokens, at) not in ("and", "n", "&"):
        return None
    part = _fraction(tokens, at + 1 + (text_at(tokens, at + 1) == "-"))
    return part if part is not None and part[0] < 1 else None


def _fraction(tokens: Sequence[Token], at: int) -> tuple[Decimal, int] | None:
    """Read "half", "a half", "a quarter", "three eighths", "three-quarters"."""
    top = 1
    if text_at(tokens, at) in ("a", "an"):
        at += 1 + (text_at(tokens, at + 1) == "-")
    elif text_at(tokens, at) in _PARTS and text_at(tokens, at - 1) == "the":
        return None  # the sixteenth of March
    elif text_at(tokens, at) in _ONES and _ONES[text_at(tokens, at)] > 0:
        top = _ONES[text_at(tokens, at)]
        at += 2 if text_at(tokens, at + 1) == "-" else 1
        if text_at(tokens, at) == "half":
            return None
    elif at < len(tokens) and tokens[at].kind == "number" and "/" in tokens[at].text:
        value = tokens[at].value
        return (value, at + 1) if value is not None else None
    found = _bottom(tokens, at)
    if found is None or (top == 1 and found[0] in (3, 5) and text_at(tokens, at - 1) not in ("a", "one")):
        return None
    return Decimal(top) / Decimal(found[0]), found[1]


def _bottom(tokens: Sequence[Token], at: int) -> tuple[int, int] | None:
    """Read what a fraction is parts of: "eighth", "sixty fourth", "64ths"."""
    if text_at(tokens, at) in _PARTS:
        return _PARTS[text_at(tokens, at)], at + 1
    last = at + 2 if text_at(tokens, at + 1) == "-" else at + 1
    bottom = _TWO_WORDS.get((text_at(tokens, at), text_at(tokens, last)))
    alone = last + 1 >= len(tokens) or tokens[last + 1].kind == "mark" or text_at(tokens, last + 1) in _AFTER_A_PART
    counted = text_at(tokens, at - 1) in ("a", "an", "good", "full", "-") or text_at(tokens, at - 1) in _ONES
    inch = text_at(tokens, last + 1) in ("inch", "inches")
    if bottom is None or not counted or (bottom == 32 and not alone and not inch):
        return None
    return bottom, last + 1


def _pointed(tokens: Sequence[Token], at: int) -> Number | None:
    """Read "point oh one five", "two point five", "zero point zero five"."""
    whole = Decimal(0)
    end = at
    if text_at(tokens, at) != "point":
        head = _cardinal(tokens, at)
        if head is None or text_at(tokens, head[1]) != "point":
            return None
        whole, end = Decimal(head[0]), head[1]
    digits = ""
    end += 1
    while end < len(tokens) and len(digits) < 12:
        text = text_at(tokens, end)
        if text in _ONES or text == "o":
            digits += str(_ONES.get(text, 0))
        elif text in _TENS:
            digits += str(_TENS[text] // 10) if text_at(tokens, end + 1) in _ONES else str(_TENS[text])
        elif tokens[end].kind == "number" and text.isdigit():
            digits += text
        else:
            break
        end += 1
    if not digits:
        return None
    return Number(whole + Decimal("0." + digits), at, end, decimals=len(digits), worded=True)


def _cardinal(tokens: Sequence[Token], at: int) -> tuple[int, int] | None:
    """Read a whole number in words, up to the thousands."""
    total, current, end, seen = 0, 0, at, False
    previous = "start"
    if _exclaims(tokens, at):
        return None
    while end < len(tokens):
        text = text_at(tokens, end)
        if text in _ONES and (
            previous in ("start", "hundred", "and") or (previous == "tens" and 0 < _ONES[text] < 10)
        ):
            current += _ONES[text]
            previous = "ones"
        elif text in _TENS and previous in ("start", "hundred", "and"):
            current += _TENS[text]
            previous = "tens"
        elif text == "hundred" and previous in ("ones", "start") and (seen or text_at(tokens, end - 1) == "a"):
            current = max(current, 1) * 100
            previous = "hundred"
        elif text == "-" and previous == "tens" and text_at(tokens, end + 1) in _ONES:
            pass
        elif (
            text == "and"
            and previous == "hundred"
            and (text_at(tokens, end + 1) in _ONES or text_at(tokens, end + 1) in _TENS)
        ):
            previous = "and"
        else:
            break
        seen = True
        end += 1
    return (total + current, end) if seen else None


def _exclaims(tokens: Sequence[Token], at: int) -> bool:
    """Tell whether an "oh" that begins a sentence is no zero: "oh dear"."""
    if text_at(tokens, at) != "oh" or (at > 0 and tokens[at - 1].kind != "mark"):
        return False
    following = text_at(tokens, at + 1)
    return following not in _ONES and following not in ("point", "thou", "left", "right", "front", "back", "to")


def _worded(tokens: Sequence[Token], at: int) -> Number | None:
    text = text_at(tokens, at)
    if text in ("a", "an") and text_at(tokens, at + 1) == "hundred":
        head = _cardinal(tokens, at + 1)
        return Number(Decimal(head[0]), at, head[1], worded=True) if head else None
    if text in ("a", "an") and text_at(tokens, at + 1) == "dozen":
        return Number(Decimal(12), at, at + 2, worded=True)
    if text == "half" and "dozen" in (text_at(tokens, at + 1), text_at(tokens, at + 2)):
        return Number(Decimal(6), at, at + (2 if text_at(tokens, at + 1) == "dozen" else 3), worded=True)
    vague = at + 1 if text in ("a", "the", "last") else at
    if text_at(tokens, vague) in _VAGUE and vague < len(tokens):
        end = vague + 1 + (text_at(tokens, vague + 1) in ("of", "o"))
        return Number(_VAGUE[text_at(tokens, vague)], at, end, vague=True, worded=True)
    part = _fraction(tokens, at)
    if part is not None:
        return Number(part[0], at, part[1], worded=True, part=True)
    head = _cardinal(tokens, at)
    if head is None:
        return None
    extra = _and_part(tokens, head[1])
    if extra is not None:
        return Number(Decimal(head[0]) + extra[0], at, extra[1], worded=True)
    return Number(Decimal(head[0]), at, head[1], worded=True)


def is_cardinal(word: str) -> bool:
    """Tell whether a word is a whole number or one of its parts: "seven", "twenty"."""
    return word in _ONES or word in _TENS


def number_words() -> frozenset[str]:
    """Return the words that numbers are spoken with."""
    return frozenset({*_ONES, *_TENS, "half", "quarter", "quarters", "third", "couple", "hundred", "point"})
