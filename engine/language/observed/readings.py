"""A group of clauses read as a reading: its value, its length, its direction and how sure it is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from askew.engine.language.clauses.absence import none_of_it
from askew.engine.language.clauses.message import Message
from askew.engine.language.model import Context
from askew.engine.language.numbers.measured import is_span, is_value
from askew.engine.language.numbers.quantities import Quantity
from askew.engine.language.numbers.unit_words import words as unit_words
from askew.engine.language.numbers.values import Size, convert, small_unit
from askew.engine.language.observed.directions import FLIPPED, direction, side_not_known
from askew.engine.language.observed.length_over import habit_of_span, length_over, length_per_unit, usual_span
from askew.engine.language.observed.run_lengths import run_lengths
from askew.engine.language.observed.two_ends import both_ends, ends_subtracted, place_of_value, read_both_ends
from askew.engine.language.words.meanings import Meaning
from askew.engine.observations import Bound, Reading
from askew.engine.units import Habit


def read_group(
    message: Message, start: int, end: int, meaning: Meaning, context: Context, habit: Habit | None
) -> Reading:
    """Return the reading that the tokens from `start` to `end` tell.

    Args:
        message: The message; the length that the reading was taken over is taken from it.
        start: The first token of the group.
        end: The token after its last.
        meaning: The reading that the group was found to tell.
        context: What is known and was asked before.
        habit: The units that the person is known to use.

    Returns:
        The reading, its value None where the group tells no number and no absence.

    Raises:
        NeedsAskingError: if a number has more than one meaning that matters.
    """
    inside = message.within(start, end)
    values = [quantity for quantity in inside if is_value(quantity)]
    spans = _spans_of(message, start, end, meaning, values)
    if values and spans and all(value.unit is None for value in values):
        habit = habit or habit_of_span(values, spans)
    over = length_over(message, spans, values, habit)
    pair = both_ends(message, start, end, meaning, inside)
    if over is None:
        over = length_per_unit(message, start, end)
    if pair is not None:
        made = read_both_ends(message, start, end, meaning, pair, over, habit)
        return replace(made, words=message.said(start, end))
    sign, known = direction(meaning, message.mask(start, end))
    if known and not meaning.size and side_not_known(message, start, end):
        known = False
    if not values:
        length = None if over is None else float(over)
        if none_of_it(message, start, end, meaning):
            return Reading(meaning.id, 0.0, length, words=message.said(start, end))
        return Reading(meaning.id, None, length, sign_known=known, words=message.said(start, end))
    quantity = _risen(message, values) or _total(message, values) or values[0]
    if quantity.unit == "mil" and quantity.value < 1 and meaning.id.startswith(_COARSE):
        quantity = quantity.in_unit("mm")
    near = next((other.unit for other in values[1:] if other.unit is not None), _small_before(message, quantity))
    size = convert(quantity, small_unit(quantity, habit, near), over, usual_span(meaning.id, context))
    if quantity.signed:
        sign, known = _written_sign(message, start, end, meaning, quantity), True
    taken_off = ends_subtracted(message, start, end, meaning)
    sign, known = (taken_off, True) if taken_off else (sign, known)
    made = replace(_reading(meaning.id, size, quantity.bound, sign, known), words=message.said(start, end))
    return replace(made, over=None) if meaning.size else made  # play is not told over a length


def _spans_of(
    message: Message, start: int, end: int, meaning: Meaning, values: Sequence[Quantity]
) -> list[Quantity]:
    """Return what may be the length gone over, which a group without a value only tells with a unit, of nothing."""
    if meaning.id in _OVER_NOTHING:
        return []
    spans = [quantity for quantity in message.within(start, end) if is_span(quantity)]
    if values:
        told = [quantity for quantity in spans if quantity not in values]
        return told or run_lengths(message, start, end, meaning.id)
    if none_of_it(message, start, end, meaning):
        return [quantity for quantity in spans if quantity.unit is not None]
    return []


_OVER_NOTHING = {"parallels_height"}
"""What is compared and not gone over: the distance between two parallels is of the setup."""

def _small_before(message: Message, quantity: Quantity) -> str | None:
    """Return the unit told last before a bare whole number, where it is smaller than usual: "8 tenths, then 2"."""
    whole = quantity.worded or not quantity.decimals
    before = [other.unit for other in message.prepared if other.head < quantity.head and other.unit is not None]
    return before[-1] if whole and before and before[-1] in _SMALL else None


_SMALL = {"tenth", "um"}
_COARSE = ("backlash_check", "holder_mark")
"""What is never read to a part of a thou, so that half a mil of it is of a millimetre."""


def _written_sign(message: Message, start: int, end: int, meaning: Meaning, quantity: Quantity) -> int:
    """Return -1 where a number with a sign of its own is told of the second end, else 1."""
    if not meaning.ends or meaning.size:
        return 1
    return -1 if place_of_value(message, quantity, start, end, meaning) == meaning.ends[1] else 1


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


def _reading(name: str, size: Size, bound: Bound | None, sign: int, known: bool) -> Reading:
    """Return a reading of a size in a direction, whose ends and bound change places where it is negative."""
    mm, low, high = size.mm, size.low, size.high
    if sign < 0:
        mm = -mm
        if low is not None and high is not None:
            low, high = -high, -low
        bound = FLIPPED[bound]
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
