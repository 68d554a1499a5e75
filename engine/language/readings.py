"""A group of clauses read as a reading: its value, its length, its direction and how sure it is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from itertools import pairwise

from askew.engine.language.lexicon import Meaning, best, lexicon
from askew.engine.language.measured import is_span, is_value
from askew.engine.language.message import Message
from askew.engine.language.model import Context
from askew.engine.language.quantities import Quantity
from askew.engine.language.unit_words import parse_unit
from askew.engine.language.unit_words import words as unit_words
from askew.engine.language.values import Size, convert, large_unit, small_unit
from askew.engine.observations import Bound, Reading
from askew.engine.units import UNITS, Habit, to_mm

_FLIPPED: dict[Bound | None, Bound | None] = {
    None: None,
    "about": "about",
    "between": "between",
    "at_least": "at_most",
    "at_most": "at_least",
}
_PLACE_NAMES = {"left", "right", "front", "back", "top", "bottom", "middle", "ends", "start", "end"}
_LEVEL = {"left", "right", "front", "back"}
"""Places that are no ends of something upright, but the way it leans."""
_ENDINGS = {"start", "end", "ends"}
"""Places that only go with another one, as in "left end", where they are not the two that are told apart."""
_SAME_PLACE = {"bottom": ("bottom", "foot"), "ends": ("ends", "both"), "front": ("front", "front_edge")}


@dataclass(frozen=True, slots=True)
class _Told:
    """What a group says about one reading."""

    size: Size | None
    bound: Bound | None
    sign: int
    known: bool
    unit: str | None


def read_group(
    message: Message, start: int, end: int, meaning: Meaning, context: Context, habit: Habit | None
) -> Reading:
    """Return the reading that the tokens from `start` to `end` tell.

    Raises:
        NeedsAskingError: if a number has more than one meaning that matters.
    """
    inside = message.within(start, end)
    values = [quantity for quantity in inside if is_value(quantity)]
    spans = (
        [quantity for quantity in inside if is_span(quantity) and quantity not in values]
        if values
        else [quantity for quantity in inside if is_span(quantity) and quantity.unit is not None]
        if _none_of_it(message, start, end, meaning)
        else []
    )
    if values and spans and all(value.unit is None for value in values):
        habit = habit or _habit_of_span(values, spans)
    over = _span(message, spans, values, habit)
    words = message.said(start, end)
    mask = message.mask(start, end)
    sign, known = direction(meaning, mask)
    if known and not meaning.size and _side_not_known(message, start, end):
        known = False
    pair = _two_ended(message, start, end, meaning, values) if meaning.ends else None
    if pair is None and meaning.ends and (not values or any(quantity.size for quantity in inside)):
        pair = _two_sizes(message, start, end, meaning, inside)
    if over is None:
        over = _per_unit(message, start, end)
    whole = pair is not None and all(one.decimals >= 3 and one.unit is None and one.value > 0.2 for one in pair)
    if pair is not None and whole and habit != "mm":  # a micrometer in mm shows two places
        pair = pair[0].in_unit("in"), pair[1].in_unit("in")
    if pair is not None and habit is None and all(_size_in_mm(one) for one in pair):
        habit = "mm"
    if pair is not None:
        made = _difference(meaning, pair, over, habit)
        bits = lexicon().bits
        sign, known = direction(meaning, mask & ~(bits["top"] | bits["bottom"]))
        leaning = set(meaning.ends) == {"top", "bottom"} and known and "lean" in message.names(start, end)
        if leaning and made.value and (made.value < 0) != (sign < 0):
            made = replace(made, value=-made.value)  # "bottom zero, top three tenths leaning away"
        return replace(made, words=words)
    if not values:
        length = None if over is None else float(over)
        if _none_of_it(message, start, end, meaning):
            return Reading(meaning.id, 0.0, length, words=words)
        return Reading(meaning.id, None, length, sign_known=known, words=words)
    quantity = _risen(message, values) or _total(message, values) or values[0]
    near = next((other.unit for other in values[1:] if other.unit is not None), None)
    unit = small_unit(quantity, habit, near)
    size = convert(quantity, unit, over, _usual_span(meaning.id, context))
    if quantity.signed:
        sign, known = 1, True
        if meaning.ends and not meaning.size:
            place = _place_of(message, quantity, start, end, meaning)
            sign = -1 if place == meaning.ends[1] else 1
    made = replace(_reading(meaning.id, size, quantity.bound, sign, known), words=words)
    return replace(made, over=None) if meaning.size else made  # play is not told over a length


def _size_in_mm(size: Quantity) -> bool:
    """Tell whether a bare size can only be in mm: "25.02" shows two places, and 25 inches hardly fit a vise."""
    return size.size and size.unit is None and size.decimals <= 2 and size.value >= 6


def _side_not_known(message: Message, start: int, end: int) -> bool:
    """Tell whether a direction is named only as not known: "can't remember which side read high"."""
    texts = [token.text for token in message.tokens[start:end]]
    wondering = any(one == "which" and two in _SIDES for one, two in pairwise(texts))
    return wondering and bool(message.names(start, end) & {"dont_know", "unsure", "forgot"})


_SIDES = {"side", "way", "end", "one", "corner", "edge", "is", "was", "read", "reads"}


def _total(message: Message, values: Sequence[Quantity]) -> Quantity | None:
    """Return the sum that is told beside its parts: "another thou each pull, five thou in all"."""
    totals = tuple(unit_words().total)
    return next(
        (value for value in values[1:] if message.said(value.end, value.end + 2).lower().startswith(totals)), None
    )


def _risen(message: Message, values: Sequence[Quantity]) -> Quantity | None:
    """Return the difference in "it went from 0 to 4 thou"."""
    if len(values) != 2 or values[0].head == 0:
        return None
    first, second = values
    told = message.tokens[first.head - 1].text == "from" and message.tokens[second.head - 1].text == "to"
    if not told or first.unit not in (None, second.unit):
        return None
    if second.value <= first.value:  # it went down: what it is now is what was read
        fallen = message.tokens[second.head - 2].text == "down" and first.unit is not None
        return replace(second, start=first.start, span=False) if fallen else None
    return replace(second, value=second.value - first.value, start=first.start, signed=False, span=False)


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


def _reading(name: str, size: Size, bound: Bound | None, sign: int, known: bool) -> Reading:
    mm, low, high = size.mm, size.low, size.high
    if sign < 0:
        mm = -mm
        if low is not None and high is not None:
            low, high = -high, -low
        bound = _FLIPPED[bound]
    return Reading(
        name,
        float(mm),
        None if size.over is None else float(size.over),
        bound,
        None if low is None else float(low),
        None if high is None else float(high),
        known,
        size.unit,
    )


def _usual_span(name: str, context: Context) -> Decimal | None:
    """Return the length that an angle is turned into a rise over, where the setup gives it."""
    key = {
        "wall_taper": "wall_height",
        "hole_lean_x": "hole_depth",
        "hole_lean_y": "hole_depth",
        "sweep_x": "sweep_diameter",
        "sweep_y": "sweep_diameter",
    }
    value = context.setup.get(key.get(name, "part_height"))
    return (
        Decimal(repr(value))
        if isinstance(value, float | int) and not isinstance(value, bool) and value > 0
        else None
    )


def _habit_of_span(values: Sequence[Quantity], spans: Sequence[Quantity]) -> Habit | None:
    """Take "0.05 over 100" for mm: a hundred inches is no length for an error to be taken over."""
    if all(span.unit is None for span in spans) and spans[0].value >= 25 and values[0].value < 10:
        return "mm"
    return spans[0].habit


def signed(fact: Reading, sign: int) -> Reading:
    """Return a reading of unknown direction with its direction."""
    if fact.value is None:
        return fact
    if sign > 0:
        return replace(fact, sign_known=True)
    low, high = (None, None) if fact.low is None or fact.high is None else (-fact.high, -fact.low)
    return replace(fact, value=-fact.value, low=low, high=high, bound=_FLIPPED[fact.bound], sign_known=True)


def span_mm(message: Message, quantity: Quantity, habit: Habit | None) -> float | None:
    """Return the length in mm that something was taken over."""
    over = _span(message, [quantity], [], habit)
    return None if over is None else float(over)


def pair_of(message: Message, start: int, end: int, meaning: Meaning, habit: Habit | None) -> Reading | None:
    """Return the reading that two values at the two ends make, if the group tells both."""
    values = [quantity for quantity in message.within(start, end) if is_value(quantity)]
    pair = _two_ended(message, start, end, meaning, values)
    return (
        None
        if pair is None
        else replace(_difference(meaning, pair, None, habit), words=message.said(start, end))
    )


def _two_sizes(
    message: Message, start: int, end: int, meaning: Meaning, inside: Sequence[Quantity]
) -> tuple[Quantity, Quantity] | None:
    """Return two whole sizes whose difference is the reading: "top 50.10 bottom 50.02"."""
    sizes = [quantity for quantity in inside if not quantity.junk and not quantity.box and quantity.value > 0]
    if len(sizes) == 3 and "middle" in message.names(start, end):
        del sizes[1]  # left, middle and right: the ends tell the taper
    pair = _two_ended(message, start, end, meaning, sizes) if len(sizes) == 2 else None
    if pair is None or abs(pair[0].value - pair[1].value) * 20 > max(pair[0].value, pair[1].value):
        return None
    return pair


def _per_unit(message: Message, start: int, end: int) -> Decimal | None:
    """Return the length of a "per inch" that stands apart from its number."""
    for index in range(start, end - 1):
        if message.tokens[index].text == "per" and not any(
            q.start <= index < q.end for q in message.quantities
        ):
            unit = parse_unit(message.tokens, index + 1)
            if unit is not None and unit[0] in ("in", "ft", "m", "cm"):
                return to_mm(Decimal(1), unit[0])
    return None


def _span(
    message: Message, spans: Sequence[Quantity], values: Sequence[Quantity], habit: Habit | None
) -> Decimal | None:
    for quantity in spans:
        near = next((value.unit for value in values if value.unit is not None), None)
        guess: Habit | None = UNITS[near].habit if near in UNITS and UNITS[near].habit is not None else habit
        unit = large_unit(quantity, guess)
        beside = message.names(max(0, quantity.start - 2), min(quantity.end + 3, len(message.tokens)))
        twice = 2 if "length:sweep_radius" in beside else 1
        message.take(quantity.start, quantity.end)
        return to_mm(quantity.value * twice, unit) if UNITS[unit].kind == "length" else None
    return None


def _places(message: Message, start: int, end: int, meaning: Meaning) -> list[tuple[str, int, int]]:
    found = []
    for spot in message.spots_in(start, end):
        for name in meaning.ends:
            if spot.name in _SAME_PLACE.get(name, (name,)):
                found.append((name, spot.start, spot.end))
    return sorted(set(found), key=lambda item: item[1])


def _place_of(message: Message, quantity: Quantity, start: int, end: int, meaning: Meaning) -> str | None:
    """Return the end that a value belongs to: the nearest one named."""
    places = _places(message, start, end, meaning)
    if not places:
        return None
    return min(places, key=lambda place: min(abs(place[1] - quantity.end), abs(quantity.start - place[2])))[0]


def _two_ended(
    message: Message, start: int, end: int, meaning: Meaning, values: Sequence[Quantity]
) -> tuple[Quantity, Quantity] | None:
    """Return the values at the first and at the second end, if the group tells both."""
    zeros = [
        Quantity(Decimal(0), None, spot.start, spot.end, head=spot.start)
        for spot in message.spots_in(start, end)
        if spot.name == "nothing" and not any(q.start <= spot.start < q.end for q in message.quantities)
    ]
    told = sorted([*values, *zeros], key=lambda quantity: quantity.head)
    places = _places(message, start, end, meaning)
    if len(told) < 2 or {name for name, _, _ in places} != set(meaning.ends):
        return None
    marks = sorted(
        {
            (spot.start, spot.end, spot.name)
            for spot in message.spots_in(start, end)
            if spot.name in _PLACE_NAMES
            and (spot.name in meaning.ends or spot.name not in _ENDINGS)
            and (spot.name in meaning.ends or "top" not in meaning.ends or spot.name not in _LEVEL)
        }
    )
    marks += [(at, stop, name) for name, at, stop in places]
    marks.sort()
    place_first = marks[0][0] < told[0].head
    found: dict[str, Quantity] = {}
    for quantity in told:
        if place_first:
            near = [mark for mark in marks if mark[0] < quantity.head]
            at = near[-1][0] if near else None
        else:
            at = next((mark[0] for mark in marks if mark[0] >= quantity.end - 1), None)
        for name, where, _ in places:
            if where == at and name not in found:
                found[name] = quantity
    first, second = meaning.ends
    if first in found and second in found:
        return found[first], found[second]
    return None


def _difference(
    meaning: Meaning, pair: tuple[Quantity, Quantity], over: Decimal | None, habit: Habit | None
) -> Reading:
    first, second = pair
    units = []
    for own, other in ((first, second), (second, first)):
        near = other.unit if other.unit in UNITS else None
        if own.size:
            units.append(large_unit(own, habit, near))
            continue
        units.append(
            small_unit(own, habit, near) if own.value or own.unit else (near or small_unit(own, habit, near))
        )
    if not first.value and first.unit is None:
        units[0] = units[1]
    if not second.value and second.unit is None:
        units[1] = units[0]
    one, two = (convert(quantity, unit, over, None) for quantity, unit in zip(pair, units, strict=True))
    bound: Bound | None = "about" if "about" in (first.bound, second.bound) else None
    unit = units[0] if first.value else units[1]
    return Reading(
        meaning.id, float(one.mm - two.mm), None if one.over is None else float(one.over), bound, unit=unit
    )


def _none_of_it(message: Message, start: int, end: int, meaning: Meaning) -> bool:
    """Tell whether the group says, without a number, that there is nothing of what it speaks of."""
    return (
        best(meaning.zero, message.mask(start, end)) > 0
        or (not meaning.complaint and "not_move" in message.names(start, end))
        or _denied(message, start, end, meaning)
        or _nothing(message, start, end)
    )


def _denied(message: Message, start: int, end: int, meaning: Meaning) -> bool:
    """Tell whether the group says that there is none of it: "no runout", "isn't hollow"."""
    lex = lexicon()
    topic = 0
    for way in meaning.when:
        for term in way.must:
            topic |= term
    nots = [spot for spot in message.spots_in(start, end) if spot.name in ("not", "no")]
    for spot in message.spots_in(start, end):
        if (
            spot.name in ("not", "square", "flat", "line_up", "joint", "tight")
            or not lex.bits.get(spot.name, 0) & topic
        ):
            continue
        if any(0 <= spot.start - refusal.end <= 2 for refusal in nots):
            return not any(
                lex.bits["not"] & term
                for way in meaning.when
                for term in way.must
                if best((way,), message.mask(start, end)) > 0
            )
    return False


def _nothing(message: Message, start: int, end: int) -> bool:
    return "nothing" in message.names(start, end)
