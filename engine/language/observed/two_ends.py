"""A reading told by what was read at its two ends: "left 3, right 5", "top 50.10 bottom 50.02"."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from askew.engine.language.clauses.message import Message
from askew.engine.language.numbers.measured import is_value
from askew.engine.language.numbers.quantities import Quantity
from askew.engine.language.numbers.values import convert, large_unit, small_unit
from askew.engine.language.observed.directions import direction
from askew.engine.language.words.lexicon import lexicon
from askew.engine.language.words.meanings import Meaning
from askew.engine.observations import Bound, Reading
from askew.engine.units import UNITS, Habit

_PLACE_NAMES = {"left", "right", "front", "back", "top", "bottom", "middle", "ends", "start", "end"}
_LEVEL = {"left", "right", "front", "back"}
"""Places that are no ends of something upright, but the way it leans."""
_ENDINGS = {"start", "end", "ends"}
"""Places that only go with another one, as in "left end", where they are not the two that are told apart."""
_SAME_PLACE = {
    "bottom": ("bottom", "foot"),
    "ends": ("ends", "both"),
    "front": ("front", "front_edge"),
    "left": ("left", "to_left"),
    "right": ("right", "to_right"),
}


def both_ends(
    message: Message, start: int, end: int, meaning: Meaning, inside: Sequence[Quantity]
) -> tuple[Quantity, Quantity] | None:
    """Return what was read at the first and at the second end of a reading, be it errors or whole sizes.

    Args:
        message: The message.
        start: The first token of the group that tells the reading.
        end: The token after its last.
        meaning: The reading, which may have no ends.
        inside: The quantities of the group.

    Returns:
        The two quantities, or None if the group does not tell both.
    """
    if not meaning.ends:
        return None
    values = [quantity for quantity in inside if is_value(quantity)]
    pair = _two_ended(message, start, end, meaning, values)
    if pair is None and (not values or any(quantity.size for quantity in inside)):
        pair = _two_sizes(message, start, end, meaning, inside)
    return pair


def read_both_ends(
    message: Message,
    start: int,
    end: int,
    meaning: Meaning,
    pair: tuple[Quantity, Quantity],
    over: Decimal | None,
    habit: Habit | None,
) -> Reading:
    """Return the reading that a pair from `both_ends` makes: first end less second, or as far as it leans.

    Args:
        message: The message.
        start: The first token of the group that tells the reading.
        end: The token after its last.
        meaning: The reading.
        pair: What was read at its two ends.
        over: The length in mm that it was taken over, if told.
        habit: The units that the person is known to use.

    Raises:
        NeedsAskingError: if a number has more than one meaning that matters.
    """
    whole = all(one.decimals >= 3 and one.unit is None and one.value > 0.2 for one in pair)
    if whole and habit != "mm":  # a micrometer in mm shows two places
        pair = pair[0].in_unit("in"), pair[1].in_unit("in")
    if habit is None and all(_size_in_mm(one) for one in pair):
        habit = "mm"
    made = _difference(meaning, pair, over, habit)
    bits = lexicon().bits
    sign, known = direction(meaning, message.mask(start, end) & ~(bits["top"] | bits["bottom"]))
    leaning = set(meaning.ends) == {"top", "bottom"} and known and "lean" in message.names(start, end)
    if leaning and made.value and (made.value < 0) != (sign < 0):
        return replace(made, value=-made.value)  # "bottom zero, top three tenths leaning away"
    return made


def _size_in_mm(size: Quantity) -> bool:
    """Tell whether a bare size can only be in mm: "25.02" shows two places, and 25 inches hardly fit a vise."""
    return size.size and size.unit is None and size.decimals <= 2 and size.value >= 6


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
    sizes = [one for one in inside if not (one.junk or one.box or one.pronoun) and one.value > 0]
    if len(sizes) == 3 and "middle" in message.names(start, end):
        del sizes[1]  # left, middle and right: the ends tell the taper
    pair = _two_ended(message, start, end, meaning, sizes) if len(sizes) == 2 else None
    if pair is None or abs(pair[0].value - pair[1].value) * 20 > max(pair[0].value, pair[1].value):
        return None
    return pair


def _places(message: Message, start: int, end: int, meaning: Meaning) -> list[tuple[str, int, int]]:
    """Return where the two ends of a reading are named in a group: name, first and after-last token."""
    found = []
    for spot in message.spots_in(start, end):
        for name in meaning.ends:
            if spot.name in _SAME_PLACE.get(name, (name,)):
                found.append((name, spot.start, spot.end))
    return sorted(set(found), key=lambda item: item[1])


def place_of_value(message: Message, quantity: Quantity, start: int, end: int, meaning: Meaning) -> str | None:
    """Return the end that a value belongs to: the nearest one named."""
    places = _places(message, start, end, meaning)
    own = [place for place in places if _word_before(message, place[1]) not in _HELD]
    places = own or places  # "the left shows plus 4 against the right"
    if not places:
        return None
    return min(places, key=lambda place: min(abs(place[1] - quantity.end), abs(quantity.start - place[2])))[0]


def _word_before(message: Message, at: int) -> str:
    """Return the word before a token, a "the" between left away."""
    return message.text_at(at - 1 - (message.text_at(at - 1) == "the"))


_HELD = {"against", "to", "than", "versus", "vs", "with"}
"""Words before an end that another one is only held against."""


def ends_subtracted(message: Message, start: int, end: int, meaning: Meaning) -> int:
    """Return 1 or -1 where one end is said to be taken from the other: "left minus right is 0.02"; else 0."""
    places = _places(message, start, end, meaning) if meaning.ends and not meaning.size else []
    for one, _, stop in places:
        for two, begin, _ in places:
            between = message.said(stop, begin).lower().split()
            if one != two and begin > stop and _takes_off(between):
                return 1 if one == meaning.ends[0] else -1
    return 0


def _takes_off(between: Sequence[str]) -> bool:
    """Tell whether the words between two ends take one from the other: "right minus left", "right end minus left"."""
    if not between or len(between) > _OFF_FROM:
        return False
    near = between[0] in _TAKEN_OFF and len(between) <= len(_OFF_THE)
    return near or ("minus" in between[:2] and between[-1].isalpha())


_TAKEN_OFF = {"minus", "less", "-"}
_OFF_THE = ("minus", "the")
_OFF_FROM = 5
"""Most words between two ends that are subtracted: "end minus thickness at the"."""


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
    marks = _marks(message, start, end, meaning, places)
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
    if first not in found or second not in found:
        return None
    pair = found[first], found[second]
    one, two = (_lowered(message, quantity) if not other.value else quantity for quantity, other in (pair, pair[::-1]))
    return one, two


def _lowered(message: Message, quantity: Quantity) -> Quantity:
    """Return a value with a minus where it is one that is less or lower: "left 0, right 3 thou less"."""
    below = any(spot.start == quantity.end and spot.name in _BELOW for spot in message.spots)
    return replace(quantity, value=-quantity.value) if below and not quantity.signed else quantity


_BELOW = {"less", "low", "down", "drop", "thin"}


def _marks(
    message: Message, start: int, end: int, meaning: Meaning, places: Sequence[tuple[str, int, int]]
) -> list[tuple[int, int, str]]:
    """Return all places that a value may be told of, the two ends and others: where they stand, and their names."""
    marks = {
        (spot.start, spot.end, spot.name)
        for spot in message.spots_in(start, end)
        if spot.name in _PLACE_NAMES
        and (spot.name in meaning.ends or spot.name not in _ENDINGS)
        and (spot.name in meaning.ends or "top" not in meaning.ends or spot.name not in _LEVEL)
    }
    return sorted([*marks, *((at, stop, name) for name, at, stop in places)])


def _difference(
    meaning: Meaning, pair: tuple[Quantity, Quantity], over: Decimal | None, habit: Habit | None
) -> Reading:
    """Return the reading that the first value less the second makes, each in its own unit or in the other one's."""
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
