"""Quantities as spoken: a number, its unit, how sure, and whether it is a measurement at all.

    quantity := [bound] number [unit] ["and" part] ["to"|"-"|"or" number [unit]] ["+-" number [unit]] [hedge]
    box      := quantity "x" quantity ["x" quantity]
    slope    := quantity ("per" | "/" | "to the" | "a") (length-unit | quantity)

Feeds, speeds, prices, dates, part numbers and the like are found here too, and set aside as `junk`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from askew.engine.language.numbers import Number, parse_number
from askew.engine.language.tokens import Token
from askew.engine.language.unit_words import parse_unit, text_at, whole_unit, words
from askew.engine.observations import Bound
from askew.engine.units import UNITS, Habit, to_mm

# Units of which "a", "one" or "another" counts one.
_SMALL_UNITS = {"thou", "tenth", "um", "hundredth"}
_COUNTED_ONE = {"thou", "tenth", "mm", "in", "ft", "um", "hundredth", "cm", "deg", "mil", "m"}


@dataclass(frozen=True, slots=True)
class Quantity:
    """A quantity in a message.

    Attributes:
        value: In `unit`; the middle of a range.
        unit: A symbol of `units.UNITS`, "mil", or None for a bare number.
        start: Index of its first token, its bound words included.
        end: Index after its last token, its hedge included.
        low: Lower end of a range, in `unit`.
        high: Upper end of a range, in `unit`.
        bound: How sure, if said.
        signed: A sign was given in so many words.
        other: A second possible value (an ambiguous comma).
        decimals: Digits after the decimal point, as written.
        worded: Said in words only.
        head: Index of the first token of the number itself.
        span: It follows "over", "across", "in" or the like.
        length: It can only be the length that something was taken over.
        plus_minus: It was given as "+-".
        per: The length in mm it was taken over when said as a slope.
        junk: It is a feed, a price, a count of something else.
        pronoun: It is the "one" of "the back one".
        size: It is one of two whole sizes that hardly differ, "40.02 at the top and 40 at the bottom".
        vague: "A couple", "a few", which a bound said beside it overrules.
        box: The sides when it is one of "2x4x3", in the order said, in `unit`.
    """

    value: Decimal
    unit: str | None
    start: int
    end: int
    low: Decimal | None = None
    high: Decimal | None = None
    bound: Bound | None = None
    signed: bool = False
    other: Decimal | None = None
    decimals: int = 0
    worded: bool = False
    head: int = 0
    span: bool = False
    length: bool = False
    plus_minus: bool = False
    per: Decimal | None = None
    junk: bool = False
    size: bool = False
    box: tuple[Decimal, ...] = ()
    pronoun: bool = False
    vague: bool = False

    @property
    def habit(self) -> Habit | None:
        """The habit that its unit betrays."""
        return UNITS[self.unit].habit if self.unit in UNITS else None

    @property
    def mm(self) -> Decimal | None:
        """The value in mm, None for bare numbers and angles."""
        if self.unit in UNITS and UNITS[self.unit].kind == "length":
            return to_mm(self.value, self.unit)
        return None

    def in_unit(self, unit: str) -> Quantity:
        """Return the same number taken to be in `unit`."""
        return replace(self, unit=unit)


def scan(tokens: Sequence[Token], most: int = 1000) -> list[Quantity]:
    """Return the first `most` quantities of a message, in order, junk included."""
    found: list[Quantity] = []
    at = 0
    while at < len(tokens) and len(found) < most:
        quantity = _quantity(tokens, at)
        if quantity is None:
            at += 1
            continue
        quantity = _box(tokens, quantity)
        quantity = _hedged(tokens, quantity, found[-1].end if found else 0)
        found.append(quantity)
        at = max(quantity.end, at + 1)
    return found


def _measured(tokens: Sequence[Token], at: int) -> tuple[Number, str | None, int] | None:
    """Read a number with its unit, "a thou", "half a thou", "a thou and a half"."""
    text = text_at(tokens, at)
    vague_one = Number(Decimal(1), at, at + 1, worded=True)
    if text in ("a", "an", "one", "another") or text in ("thou", "inch"):
        bare = text in ("thou", "inch")
        unit = parse_unit(tokens, at + (not bare))
        counts = unit is not None and unit[0] in _COUNTED_ONE and text_at(tokens, at + 1) not in words().also_tools
        if unit is not None and counts and (not bare or text_at(tokens, unit[2]) == "and"):
            number = _with_part(tokens, replace(vague_one, value=unit[1]), unit[2])
            if not bare or number.end > unit[2]:
                return number, unit[0], number.end
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
    with_part = _with_part(tokens, replace(number, value=number.value * unit[1]), unit[2])
    return _compound(tokens, with_part, unit[0])


def _with_part(tokens: Sequence[Token], number: Number, at: int) -> Number:
    """Take in the "and a half" of "a thou and a half"."""
    if text_at(tokens, at) in ("and", "n", "&") and text_at(tokens, at + 1) in (
        "a",
        "three",
        "3/4",
        "1/2",
        "1/4",
        "half",
    ):
        part = parse_number(tokens, at + 1)
        if (
            part is not None
            and part.part
            and part.value < 1
            and parse_unit(tokens, part.end) is None
            and text_at(tokens, part.end) != "a"
            and not (
                text_at(tokens, part.end) == "of"
                and (text_at(tokens, part.end + 1) in ("a", "an") or parse_unit(tokens, part.end + 1) is not None)
            )
        ):
            return replace(number, value=number.value + part.value, end=part.end)
    return replace(number, end=at)


def _compound(tokens: Sequence[Token], number: Number, unit: str) -> tuple[Number, str, int]:
    """Take in the second part of "3 thou and 4 tenths", "1 degree 20 minutes"."""
    smaller = {"thou": "tenth", "deg": "arcmin", "ft": "in"}.get(unit)
    at = number.end + (text_at(tokens, number.end) in ("and", ","))
    if smaller is None or text_at(tokens, number.end) == ",":
        return number, unit, number.end
    second = parse_number(tokens, at)
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
    share = {"tenth": Decimal("0.1"), "arcmin": Decimal(1) / 60, "in": Decimal(1) / 12}[smaller]
    return replace(number, value=number.value + second.value * share, end=end), unit, end


def _quantity(tokens: Sequence[Token], at: int) -> Quantity | None:
    plus_minus = False
    start = at
    if text_at(tokens, at) == "+-":
        plus_minus, at = True, at + 1
    elif text_at(tokens, at) == "plus" and text_at(tokens, at + 1) in ("minus", "or", "and", "/", "-"):
        end = at + 2 + (text_at(tokens, at + 2) == "minus")
        if _measured(tokens, end) is not None:
            plus_minus, at = True, end
    read = _measured(tokens, at)
    if read is None:
        return None
    number, unit, end = read
    if unit is None and number.part and number.worded:
        told = "".join(token.text for token in tokens[at:end] if token.kind == "word")
        if not any(part in told for part in words().inch_parts) or text_at(tokens, end) == "of":
            return None
        unit = "in"  # nobody says "a sixteenth" of anything else
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
        bound="about" if number.vague else None,
        vague=number.vague,
    )
    quantity = _ranged(tokens, quantity)
    quantity = _junked(tokens, quantity)
    if not quantity.junk and _is_pronoun(tokens, quantity):
        return replace(quantity, pronoun=True)
    return _per(tokens, quantity)


def _is_pronoun(tokens: Sequence[Token], quantity: Quantity) -> bool:
    """Tell the "one" of "the back one" or "one of them" from a number."""
    if quantity.unit is not None or quantity.bound is not None or quantity.decimals or quantity.signed:
        return False
    before, after = text_at(tokens, quantity.start - 1), text_at(tokens, quantity.end)
    if not quantity.worded or quantity.value != 1:
        if after in words().telling_apart:
            after = text_at(tokens, quantity.end + 1)
        plural = (
            len(after) > 4
            and after.endswith("s")
            and not after.endswith("ss")
            and after not in words().not_things
        )
        return plural and after not in words().units and not after.startswith("pass")
    return before in words().one_after or after not in (
        "on",
        "at",
        "left",
        "right",
        "front",
        "back",
        "over",
        "",
        ",",
        ".",
        "and",
        "top",
        "bottom",
        "pass",
        "x",
        "by",
        "or",
        "to",
        "-",
    )


def _ranged(tokens: Sequence[Token], first: Quantity) -> Quantity:
    """Take in the second number of "3 to 5 thou", "between 3 and 5", "3 or 4", "a thou or two", "5 +- 1"."""
    joint, end = text_at(tokens, first.end), first.end + 1
    before = text_at(tokens, first.start - 1)
    spread = joint == "+-"
    if joint == "plus" and text_at(tokens, end) in ("minus", "or"):
        spread, end = True, end + 1 + (text_at(tokens, end + 1) == "minus")
    if joint == "give" and text_at(tokens, end) == "or" and parse_number(tokens, end + 2) is not None:
        spread, end = True, end + 2
    if (
        not spread
        and joint not in ("to", "-", "or")
        and not (joint == "and" and before in ("between", "betwen", "tween"))
    ):
        return first
    if first.plus_minus or (
        joint == "-"
        and end < len(tokens)
        and tokens[end].kind == "number"
        and tokens[first.end].glued is False
        and tokens[end].glued
    ):
        return first
    if before == "from":
        return first
    second = _measured(tokens, end)
    if second is None or second[0].signed:
        return first
    number, unit, stop = second
    if number.part and number.worded and unit is None:
        return first
    if unit is None and first.unit is None and joint in ("to", "or") and number.worded and first.worded:
        return first
    if joint in ("to", "or") and unit is None and first.unit is not None and not number.worded:
        return first
    if spread:
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
    whole = unit or first.unit
    low, high = first.value, number.value
    if first.unit is not None and unit is not None and first.unit != unit:
        if (
            UNITS.get(first.unit) is None
            or UNITS.get(unit) is None
            or UNITS[first.unit].kind != UNITS[unit].kind
        ):
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
        start=first.start - (before in ("between", "betwen", "tween")),
    )


def _junked(tokens: Sequence[Token], quantity: Quantity) -> Quantity:
    following, before = text_at(tokens, quantity.end), text_at(tokens, quantity.start - 1)
    if quantity.unit is None and following == "-":
        following = text_at(tokens, quantity.end + 1)
    if quantity.unit is None and (
        following in words().junk_after or (following == "x" and not _box_follows(tokens, quantity.end))
    ):
        return replace(quantity, junk=True, end=quantity.end + 1)
    if before in ("$", "£", "€"):
        return replace(quantity, junk=True, start=quantity.start - 1)
    if (
        quantity.unit is None
        and before in words().junk_before
        and not (before in ("no", "step") and quantity.decimals)
        and not _along_the_feed(tokens, quantity.start - 1)
    ):
        return replace(quantity, junk=True)
    if (
        quantity.unit == "thou"
        and text_at(tokens, quantity.end - 1) in ("thousand", "thousands")
        and following in words().junk_after
    ):
        return replace(quantity, junk=True, end=quantity.end + 1)
    if quantity.unit == "deg" and following in ("c", "f", "celsius", "fahrenheit", "outside", "in", "today"):
        return replace(quantity, junk=True)
    if quantity.unit in ("in", "ft", "m") and following in ("lb", "lbs", "pounds", "pound"):
        return replace(quantity, junk=True, end=quantity.end + 1)
    if before in ("past", "to") and text_at(tokens, quantity.start - 2) in ("half", "quarter"):
        return replace(quantity, junk=True)  # half past nine
    if before in ("feed", "feeding", "feedrate", "speed", "feeds") and not _along_the_feed(tokens, quantity.start - 1):
        return replace(quantity, junk=True)
    return quantity


def _along_the_feed(tokens: Sequence[Token], at: int) -> bool:
    """Tell whether a "feed" is only what something lies along or across: "across the feed 0.02"."""
    start = at - 1 - (text_at(tokens, at - 1) == "the")
    return text_at(tokens, at) == "feed" and text_at(tokens, start) in ("across", "along", "with", "to", "down")


def _per(tokens: Sequence[Token], quantity: Quantity) -> Quantity:
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


def _box_follows(tokens: Sequence[Token], at: int) -> bool:
    return text_at(tokens, at) in ("x", "by", "*") and _measured(tokens, at + 1) is not None


def _box(tokens: Sequence[Token], first: Quantity) -> Quantity:
    sides, units, end = [first.value], [first.unit], first.end
    while len(sides) < 3 and _box_follows(tokens, end):
        read = _measured(tokens, end + 1)
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
        if (
            own is not None
            and unit is not None
            and own != unit
            and own in UNITS
            and unit in UNITS
            and UNITS[own].kind == UNITS[unit].kind
        ):
            sides[index] = sides[index] * UNITS[own].size / UNITS[unit].size
    return replace(first, unit=unit, end=end, box=tuple(sides))


def _denied_one(tokens: Sequence[Token], quantity: Quantity) -> bool:
    """Tell whether the smallest step is named only to say that there is none: "not a tenth", "didn't move a tenth"."""
    if quantity.value != 1 or quantity.unit not in _SMALL_UNITS or not quantity.worded:
        return False
    at = quantity.head - 1
    at -= text_at(tokens, at) in words().stirring
    return text_at(tokens, at) == "not" or (at < quantity.head - 1 and text_at(tokens, at) in words().denying)


_NO_MORE = {("no", "more"), ("not", "more"), ("at", "most"), ("no", "higher"), ("no", "worse")}
"""What follows a comma and says that a number is the most: "two tenths, no more"."""


def _hedged(tokens: Sequence[Token], quantity: Quantity, floor: int) -> Quantity:
    """Take in the words before and after that say how sure it is, and whether it is a span."""
    start, end, bound = quantity.start, quantity.end, quantity.bound
    if (
        bound is None
        and text_at(tokens, start - 1) in ("it's", "its", "is")
        and text_at(tokens, start - 2) in ("reckon", "guess", "think", "say", "probably", "maybe")
    ):
        bound = "about"
    if _denied_one(tokens, quantity):
        return replace(quantity, value=Decimal(0))
    for width in (4, 3, 2, 1):
        phrase = tuple(text_at(tokens, at) for at in range(start - width, start))
        if start - width >= floor and phrase in words().before:
            bound = words().before[phrase] if bound is None or quantity.vague else bound
            start -= width
            break
    if text_at(tokens, end) == "," and (text_at(tokens, end + 1), text_at(tokens, end + 2)) in _NO_MORE:
        bound, end = "at_most", end + 3
    for width in (3, 2, 1):
        phrase = tuple(text_at(tokens, at) for at in range(end, end + width))
        if phrase in words().after and not (
            (phrase[0] in ("max", "maybe", "probably") and parse_number(tokens, end + 1) is not None)
            or (phrase == ("if", "that") and end + 2 < len(tokens) and tokens[end + 2].kind != "mark")
        ):
            bound = bound if bound not in (None, "about") else words().after[phrase]
            end += width
            break
    if bound is not None and quantity.unit is None and end != quantity.end:
        unit = parse_unit(tokens, end)
        if unit is not None:
            quantity = replace(quantity, unit=unit[0], value=quantity.value * unit[1])
            end = unit[2]
    quantity = (
        _per(tokens, replace(quantity, end=end))
        if quantity.per is None and not quantity.junk
        else replace(quantity, end=end)
    )
    if bound is None and text_at(tokens, start - 1) == "to" and text_at(tokens, start - 2) in words().good_to:
        bound, start = "at_most", start - 1
    at, skipped = start - 1, 0
    while at >= floor and text_at(tokens, at) in words().fillers and skipped < 3:
        at, skipped = at - 1, skipped + 1
    word = text_at(tokens, at) if at >= floor else ""
    span = word in words().spans and not quantity.plus_minus
    if (
        word == "over"
        and text_at(tokens, at - 1) not in words().over_goes
        and not skipped
        and bound is None
        and quantity.unit in ("thou", "tenth", "um", "hundredth")
    ):
        span, bound, start = False, "at_least", at
    return replace(quantity, start=start, bound=bound, span=span)
