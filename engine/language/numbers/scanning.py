"""Finds the quantities of a message, those that are no measurement included.

    quantity := [bound] number [unit] ["and" part] ["to"|"-"|"or" number [unit]] ["+-" number [unit]] [hedge]
    box      := quantity "x" quantity ["x" quantity]
    slope    := quantity ("per" | "/" | "to the" | "a") (length-unit | quantity)

Feeds, speeds, prices, dates, part numbers and the like are found here too, and set aside as `junk`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from askew.engine.language.numbers.hedges import hedged
from askew.engine.language.numbers.mils import settled_mils
from askew.engine.language.numbers.numbers import Number
from askew.engine.language.numbers.other_numbers import is_pronoun, set_aside
from askew.engine.language.numbers.quantities import Quantity
from askew.engine.language.numbers.ranges import boxed, ranged
from askew.engine.language.numbers.said_last import paired_blades, with_last_unit
from askew.engine.language.numbers.slopes import sloped
from askew.engine.language.numbers.unit_words import words
from askew.engine.language.numbers.with_unit import measured
from askew.engine.language.words.tokens import Token, text_at
from askew.engine.observations import Bound

_HALF = Decimal("0.5")
"""Too often a share of something: "half cutter past the edge"."""


def scan(tokens: Sequence[Token], most: int = 1000) -> list[Quantity]:
    """Return the first `most` quantities of a message, in order, junk included."""
    found: list[Quantity] = []
    at = 0
    while at < len(tokens) and len(found) < most:
        quantity = _quantity(tokens, at)
        if quantity is None:
            at += 1
            continue
        quantity = boxed(tokens, quantity)
        quantity = hedged(tokens, quantity, found[-1].end if found else 0)
        found.append(quantity)
        at = max(quantity.end, at + 1)
    return paired_blades(tokens, settled_mils(tokens, with_last_unit(tokens, found)))


def _of_itself(tokens: Sequence[Token], number: Number, unit: str | None) -> Bound | None:
    """Return the bound that lies in the words of the number: "a couple of thou", "a good thou"."""
    if number.vague:
        return "about"
    good = unit is not None and text_at(tokens, number.start) == "a" and text_at(tokens, number.start + 1) == "good"
    return "at_least" if good else None


def _of_a_cutter(tokens: Sequence[Token], at: int) -> bool:
    """Tell whether a cutter is named from token `at` on, which a fraction before it is the size of."""
    at += text_at(tokens, at) == "-"
    name = text_at(tokens, at)
    return (name in words().cutters and text_at(tokens, at + 1) not in ("width", "widths", "past")) or (
        name in words().before_mill and text_at(tokens, at + 1) in ("mill", "drill", "cutter")
    )


def _quantity(tokens: Sequence[Token], at: int) -> Quantity | None:
    """Read the quantity that begins at token `at`, without what is said around it."""
    plus_minus = False
    start = at
    if text_at(tokens, at) == "+-":
        plus_minus, at = True, at + 1
    elif text_at(tokens, at) == "plus" and text_at(tokens, at + 1) in ("minus", "or", "and", "/", "-"):
        end = at + 2 + (text_at(tokens, at + 2) == "minus")
        if measured(tokens, end) is not None:
            plus_minus, at = True, end
    read = measured(tokens, at)
    if read is None:
        return None
    number, unit, end = read
    if unit is None and number.part and number.worded:
        told = "".join(token.text for token in tokens[at:end] if token.kind == "word")
        of = text_at(tokens, end) == "of" and text_at(tokens, end + 1) not in ("it", "that", "them")
        sixteenths = any(part in told for part in words().inch_parts) and not of
        if not (sixteenths or (number.value != _HALF and _of_a_cutter(tokens, end))):
            return None
        unit = "in"  # nobody says "a sixteenth" of anything else, and a "three quarter end mill" is one of inches
    quantity = Quantity(
        number.value,
        unit,
        start,
        end,
        signed=number.signed,
        other=number.other,
        decimals=number.decimals,
        worded=number.worded,
        head=at,
        plus_minus=plus_minus,
        bound=_of_itself(tokens, number, unit),
        vague=number.vague,
    )
    quantity = ranged(tokens, quantity)
    quantity = set_aside(tokens, quantity)
    if not quantity.junk and is_pronoun(tokens, quantity):
        return replace(quantity, pronoun=True)
    return sloped(tokens, quantity)
