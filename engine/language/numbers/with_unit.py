"""A number with its unit: "a thou", "half a thou", "a thou and a half", "3 thou and 4 tenths"."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from askew.engine.language.numbers.numbers import Number, parse_number
from askew.engine.language.numbers.unit_words import parse_unit, whole_unit, words
from askew.engine.language.numbers.whole_numbers import ONES
from askew.engine.language.words.tokens import Token, text_at

# Units of which "a", "one" or "another" counts one.
_COUNTED_ONE = {"thou", "tenth", "mm", "in", "ft", "um", "hundredth", "cm", "deg", "mil", "m"}

_ITS, _WITHIN = ("its", "that", "this", "the", "each"), ("in", "over", "across", "on")
"""The one inch of "in its inch of depth"."""

_SHARES = {"hundredth", "tenth"}
"""Units that are a share of another one."""


def measured(tokens: Sequence[Token], at: int) -> tuple[Number, str | None, int] | None:
    """Read a number with its unit, "a thou", "half a thou", "a thou and a half".

    Args:
        tokens: The message.
        at: Index of the token that it is to begin at.

    Returns:
        The number, its unit if one is said, and the index after both; None where no number stands.
    """
    text = text_at(tokens, at)
    if text in _ITS and text_at(tokens, at + 1) == "inch" and text_at(tokens, at - 1) in _WITHIN:
        inch = _with_part(tokens, Number(Decimal(1), at, at + 1, worded=True), at + 2, "in")
        return inch, "in", inch.end
    if text in ("a", "an", "one", "another") or text in ("thou", "inch"):
        bare = text in ("thou", "inch")
        first = at + (not bare)
        first += not bare and text_at(tokens, first) in words().before_unit  # "a full thou"
        unit = parse_unit(tokens, first)
        counts = unit is not None and unit[0] in _COUNTED_ONE and text_at(tokens, first) not in words().also_tools
        if unit is not None and counts and (not bare or text_at(tokens, unit[2]) in ("and", "of", "n", "&")):
            number = _with_part(tokens, Number(unit[1], at, at + 1, worded=True), unit[2], unit[0])
            deep = text == "inch" and text_at(tokens, unit[2] + 1) in words().extents  # "in its inch of depth"
            if not bare or deep or number.end > unit[2]:
                return _compound(tokens, number, unit[0])
    number_read = parse_number(tokens, at)
    if number_read is None:
        return None
    number = number_read
    end = number.end
    if number.part or (text_at(tokens, end) == "of" and abs(number.value) < 1):  # half a thou, 0.3 of a mm
        of = end + (text_at(tokens, end) == "of")
        of += text_at(tokens, of) in ("a", "an", "one")
        unit = parse_unit(tokens, of) or whole_unit(tokens, of)
        if unit is not None:
            return replace(number, value=number.value * unit[1]), unit[0], unit[2]
    unit = parse_unit(tokens, end)
    if unit is None and text_at(tokens, end) in words().before_unit:
        unit = parse_unit(tokens, end + 1)
    if unit is None:
        return number, None, end
    with_part = _with_part(tokens, replace(number, value=number.value * unit[1]), unit[2], unit[0])
    return _compound(tokens, with_part, unit[0])


def _with_part(tokens: Sequence[Token], number: Number, at: int, unit: str) -> Number:
    """Take in the "and a half" of "a thou and a half", the "and five eighths" of "an inch and five eighths".

    What a hundredth is one of is named after the part as well: "a hundredth and a half of mm".
    """
    first = text_at(tokens, at + 1)
    if text_at(tokens, at) in ("and", "n", "&") and (
        first in ("a", "an", "half") or first in ONES or (at + 1 < len(tokens) and "/" in first[1:-1])
    ):
        part = parse_number(tokens, at + 1)
        if (
            part is not None
            and part.part
            and part.value < 1
            and (text_at(tokens, part.end) == "in" or parse_unit(tokens, part.end) is None)
            and text_at(tokens, part.end) != "a"
            and not (
                unit not in _SHARES
                and text_at(tokens, part.end) == "of"
                and (text_at(tokens, part.end + 1) in ("a", "an") or parse_unit(tokens, part.end + 1) is not None)
            )
        ):
            return replace(number, value=number.value + part.value, end=part.end)
    return replace(number, end=at)


def _compound(tokens: Sequence[Token], number: Number, unit: str) -> tuple[Number, str, int]:
    """Take in the second part of "3 thou and 4 tenths", "a thou and a tenth", "1 degree 20 minutes"."""
    smaller = {"thou": "tenth", "deg": "arcmin", "ft": "in"}.get(unit)
    at = number.end + (text_at(tokens, number.end) in ("and", "plus", ","))
    if smaller is None or text_at(tokens, number.end) == ",":
        return number, unit, number.end
    second = parse_number(tokens, at)
    if second is None and text_at(tokens, at) == "a" and text_at(tokens, at + 1) == "tenth":
        second = Number(Decimal(1), at, at + 1, worded=True)
    if second is None or second.signed or second.vague:
        return number, unit, number.end
    tail = parse_unit(tokens, second.end)
    symbol, end = (tail[0], tail[2]) if tail is not None else (None, second.end)
    if (
        unit == "deg"
        and tail is None
        and text_at(tokens, second.end) in ("minutes", "minute", "min", "mins", "'")
    ):
        symbol, end = "arcmin", second.end + 1
    if symbol != smaller or second.value >= {"tenth": 10, "arcmin": 60, "in": 12}[smaller]:
        return number, unit, number.end
    if text_at(tokens, end) == "of" and parse_unit(tokens, end + 1 + (text_at(tokens, end + 1) == "a")) is None:
        return number, unit, number.end  # "2 thou and 3 tenths of a hollow" are two things
    share = {"tenth": Decimal("0.1"), "arcmin": Decimal(1) / 60, "in": Decimal(1) / 12}[smaller]
    return replace(number, value=number.value + second.value * share, end=end), unit, end
