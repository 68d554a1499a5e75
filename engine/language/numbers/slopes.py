"""The length that a quantity is said per: "2 thou per inch", "a thou in a foot", or a feed that looks like it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from askew.engine.language.numbers.quantities import Quantity
from askew.engine.language.numbers.unit_words import parse_unit, words
from askew.engine.language.words.tokens import Token, text_at
from askew.engine.units import to_mm

_LEAST_OVER = 3
"""mm. Less is taken off at a pass: "0.5 mm per pass"."""
_OVER = {"over", "across", "sideways", "by"}


def sloped(tokens: Sequence[Token], quantity: Quantity) -> Quantity:
    """Read a slope, or a feed that only looks like one."""
    joint, at = text_at(tokens, quantity.end), quantity.end + 1
    if joint == "to" and text_at(tokens, at) in ("the", "a"):
        at += 1
    elif joint in ("a", "an") and quantity.unit is not None:
        pass
    elif joint in ("in", "over", "per", "on") and text_at(tokens, at) in ("a", "an", "every", "each"):
        at += 1
    elif joint not in ("per", "/", "p") and joint != "every":
        return quantity
    if joint in ("per", "/") and text_at(tokens, at) in words().per_junk:
        if _moved_over(tokens, quantity, at):
            return quantity
        return replace(quantity, junk=True, end=at + 1)
    unit = parse_unit(tokens, at)
    if unit is None and text_at(tokens, at) == "m" and joint in ("per", "/"):
        unit = ("m", Decimal(1), at + 1)
    if unit is not None and unit[0] in ("in", "ft", "m", "cm", "mm") and quantity.unit != unit[0]:
        if text_at(tokens, unit[2]) in ("/", "per") and text_at(tokens, unit[2] + 1) in words().per_junk:
            return quantity
        if (
            unit[0] in ("m", "ft")
            and quantity.unit in (unit[0], None)
            and joint in ("per", "/")
            and quantity.unit is not None
        ):
            return replace(quantity, junk=True, end=unit[2])
        if text_at(tokens, unit[2]) in ("and", "by", "thick", "wide", "tall", "high", "x"):
            return quantity
        return replace(quantity, per=to_mm(Decimal(1), unit[0]), end=unit[2])
    return quantity


def _moved_over(tokens: Sequence[Token], quantity: Quantity, at: int) -> bool:
    """Tell whether a length is how far the cutter was moved over, and no feed: "over an inch and a half per pass"."""
    if text_at(tokens, at) not in ("pass", "cut") or quantity.mm is None or quantity.mm < _LEAST_OVER:
        return False
    return quantity.unit in ("in", "mm", "cm") and text_at(tokens, quantity.start - 1) in _OVER

