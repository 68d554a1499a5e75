"""Numbers as spoken: a closed grammar over tokens, on Decimal.

number   := ["-" | "+" | "minus" | "plus"] unsigned
unsigned := digits | cardinal ["and" part] | [cardinal] "point" digit-words | "half" | part | "a couple"
part     := "a half" | "a quarter" | "three quarters" | "three eighths" | ...
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from askew.engine.language.numbers.number_parts import PARTS, and_part, fraction, whole_of_parts
from askew.engine.language.numbers.whole_numbers import ONES, TENS, cardinal
from askew.engine.language.words.tokens import Token, text_at

_VAGUE = {"couple": Decimal(2), "few": Decimal(3), "several": Decimal(5)}
_BEGINNINGS = frozenset({*ONES, *TENS, *PARTS, *_VAGUE, "a", "an", "the", "last", "point", "hundred"})
"""Words that a number may begin with, a sign before it left out."""


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
    if tokens[at].kind == "word" and tokens[at].text not in _BEGINNINGS:
        return None
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
            or following.text in ONES
            or following.text in TENS
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
        extra = and_part(tokens, end)
        if extra is not None:
            return Number(value + extra[0], at, extra[1])
        bottom = whole_of_parts(tokens, end)
        if bottom is not None and 0 < value < bottom[0] and bottom[0] > 2:
            return Number(value / bottom[0], at, bottom[1], worded=True, part=True)  # 3 sixteenths
    return Number(value, at, end, token.other, token.decimals, part=part)


def _pointed(tokens: Sequence[Token], at: int) -> Number | None:
    """Read "point oh one five", "two point five", "zero point zero five"."""
    whole = Decimal(0)
    end = at
    if text_at(tokens, at) != "point":
        head = cardinal(tokens, at)
        if head is None or text_at(tokens, head[1]) != "point":
            return None
        whole, end = Decimal(head[0]), head[1]
    digits = ""
    end += 1
    while end < len(tokens) and len(digits) < 12:
        text = text_at(tokens, end)
        if text in ONES or text == "o":
            digits += str(ONES.get(text, 0))
        elif text in TENS:
            digits += str(TENS[text] // 10) if text_at(tokens, end + 1) in ONES else str(TENS[text])
        elif tokens[end].kind == "number" and text.isdigit():
            digits += text
        else:
            break
        end += 1
    if not digits:
        return None
    return Number(whole + Decimal("0." + digits), at, end, decimals=len(digits), worded=True)


def _worded(tokens: Sequence[Token], at: int) -> Number | None:
    text = text_at(tokens, at)
    if text in ("a", "an") and text_at(tokens, at + 1) == "hundred":
        head = cardinal(tokens, at + 1)
        return Number(Decimal(head[0]), at, head[1], worded=True) if head else None
    if text in ("a", "an") and text_at(tokens, at + 1) == "dozen":
        return Number(Decimal(12), at, at + 2, worded=True)
    if text == "half" and "dozen" in (text_at(tokens, at + 1), text_at(tokens, at + 2)):
        return Number(Decimal(6), at, at + (2 if text_at(tokens, at + 1) == "dozen" else 3), worded=True)
    vague = at + 1 if text in ("a", "the", "last") else at
    if text_at(tokens, vague) in _VAGUE and vague < len(tokens):
        end = vague + 1 + (text_at(tokens, vague + 1) in ("of", "o"))
        return Number(_VAGUE[text_at(tokens, vague)], at, end, vague=True, worded=True)
    part = fraction(tokens, at)
    if part is not None:
        return Number(part[0], at, part[1], worded=True, part=True)
    head = cardinal(tokens, at)
    if head is None:
        return None
    extra = and_part(tokens, head[1])
    if extra is not None:
        return Number(Decimal(head[0]) + extra[0], at, extra[1], worded=True)
    return Number(Decimal(head[0]), at, head[1], worded=True)
