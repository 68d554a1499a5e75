"""Several numbers that make one quantity: "3 to 5 thou", "5 +- 1", the sides of a box."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from askew.engine.language.numbers.numbers import Number, parse_number
from askew.engine.language.numbers.quantities import Quantity
from askew.engine.language.numbers.unit_words import words
from askew.engine.language.numbers.with_unit import measured
from askew.engine.language.words.tokens import Token, text_at
from askew.engine.units import UNITS

_PERHAPS = "maybe"
"""What stands between the ends of "5, maybe 6 microns"."""

_MICROMETERS, _MIC = {1, 25}, {"mic", "mics", "micrometer"}
"""How much one micrometer covers, in inches or mm, and what it is called, which is also a unit."""


def ranged(tokens: Sequence[Token], first: Quantity) -> Quantity:
    """Take in the second number of "3 to 5 thou", "between 3 and 5", "3 or 4", "a thou or two", "5 +- 1".

    Args:
        tokens: The message.
        first: The quantity that may begin a range.

    Returns:
        The range, its value in the middle; `first` itself where nothing that follows makes one.
    """
    joint, end, spread = _joint(tokens, first)
    before = text_at(tokens, first.start - 1)
    between = before in ("between", "betwen", "tween")
    if not spread and joint not in ("to", "-", "or", _PERHAPS) and not (joint == "and" and between):
        return first
    risen = before == "from" and text_at(tokens, first.start - 2) not in words().varying
    if first.plus_minus or _minus_follows(tokens, first.end, joint) or risen:
        return first
    second = measured(tokens, end)
    if joint == _PERHAPS and not (second and second[1] and first.value < second[0].value <= 2 * first.value):
        return first
    if second is None or not _may_end_a_range(first, second, joint):
        return first
    if spread:
        return _spread(first, second)
    return _low_to_high(tokens, first, second, joint, between)


def _joint(tokens: Sequence[Token], first: Quantity) -> tuple[str, int, bool]:
    """Return the word after a quantity, where a second number would begin, and whether that one is a "+-"."""
    joint, end = text_at(tokens, first.end), first.end + 1
    after = first.end + (joint == ",")
    if first.unit is None and not first.vague and text_at(tokens, after) in ("maybe", "perhaps", "possibly"):
        return _PERHAPS, after + 1, False
    spread = joint == "+-"
    if joint == "plus" and text_at(tokens, end) in ("minus", "or"):
        spread, end = True, end + 1 + (text_at(tokens, end + 1) == "minus")
    if joint == "give" and text_at(tokens, end) == "or" and parse_number(tokens, end + 2) is not None:
        spread, end = True, end + 2
    return joint, end, spread


def _minus_follows(tokens: Sequence[Token], at: int, joint: str) -> bool:
    """Tell whether the "-" at a token is the sign of the number after it: "0 -5"."""
    return (
        joint == "-"
        and at + 1 < len(tokens)
        and tokens[at + 1].kind == "number"
        and tokens[at].glued is False
        and tokens[at + 1].glued
    )


def _may_end_a_range(first: Quantity, second: tuple[Number, str | None, int], joint: str) -> bool:
    """Tell whether a second number goes with the first one, by its sign, its unit and how it is worded."""
    number, unit, _ = second
    if number.signed or (number.part and number.worded and unit is None):
        return False
    if unit is None and first.unit is None and joint in ("to", "or") and number.worded and first.worded:
        return False
    return not (joint in ("to", "or") and unit is None and first.unit is not None and not number.worded)


def _spread(first: Quantity, second: tuple[Number, str | None, int]) -> Quantity:
    """Return the range of "5 +- 1"; the first number alone where the second one has another unit."""
    number, unit, stop = second
    if unit is not None and first.unit is not None and unit != first.unit:
        return replace(first, end=stop)
    return replace(
        first,
        unit=first.unit or unit,
        end=stop,
        bound="between",
        low=first.value - number.value,
        high=first.value + number.value,
    )


def _low_to_high(
    tokens: Sequence[Token], first: Quantity, second: tuple[Number, str | None, int], joint: str, between: bool
) -> Quantity:
    """Return the range from the first number to the second; the first alone where they make none."""
    number, unit, stop = second
    whole = unit or first.unit
    low, high = first.value, number.value
    if joint == "-" and first.unit is None and high - low in _MICROMETERS and text_at(tokens, stop - 1) in _MIC:
        return replace(first, unit=None, end=stop - 1, junk=True)  # the "0-25 mic" of a list of tools
    if first.unit is not None and unit is not None and first.unit != unit:
        if not _same_kind(first.unit, unit):
            return first
        low = low * UNITS[first.unit].size / UNITS[unit].size
    if not low < high or (whole in ("in", "mm", "ft") and joint == "-" and high > 50 * low > 0):
        return first
    return replace(
        first,
        unit=whole,
        end=stop,
        value=(low + high) / 2,
        bound="between",
        low=low,
        high=high,
        decimals=max(first.decimals, number.decimals),
        other=first.other or number.other,
        start=first.start - between,
    )


def _same_kind(one: str, two: str) -> bool:
    """Tell whether two units can be turned into each other."""
    return one in UNITS and two in UNITS and UNITS[one].kind == UNITS[two].kind


def box_follows(tokens: Sequence[Token], at: int) -> bool:
    """Tell whether "x" or "by" and a further side stand at token `at`."""
    return text_at(tokens, at) in ("x", "by", "*") and measured(tokens, at + 1) is not None


def boxed(tokens: Sequence[Token], first: Quantity) -> Quantity:
    """Return the quantity with all sides of the box that it begins, in the last unit named; unchanged if it is none."""
    sides, units, end = [first.value], [first.unit], first.end
    while len(sides) < 3 and box_follows(tokens, end):
        read = measured(tokens, end + 1)
        if read is None or read[0].value <= 0:
            break
        sides.append(read[0].value)
        units.append(read[1])
        end = read[2]
    if len(sides) == 1 or first.junk or first.bound is not None or max(sides) > 80 * min(sides):
        return first
    if any(own is not None and own not in ("in", "mm", "cm", "ft", "m", "mil") for own in units):
        return first
    unit = next((unit for unit in reversed(units) if unit is not None), None)
    for index, own in enumerate(units):
        if own is not None and unit is not None and own != unit and _same_kind(own, unit):
            sides[index] = sides[index] * UNITS[own].size / UNITS[unit].size
    return replace(first, unit=unit, end=end, box=tuple(sides))
