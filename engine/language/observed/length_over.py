"""The length that a reading was taken over, as said, or as the setup gives it."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from askew.engine.language.clauses.message import Message
from askew.engine.language.model import Context
from askew.engine.language.numbers.measured import is_span, is_value
from askew.engine.language.numbers.quantities import Quantity
from askew.engine.language.numbers.unit_words import parse_unit
from askew.engine.language.numbers.values import large_unit
from askew.engine.units import UNITS, Habit, to_mm


def usual_span(name: str, context: Context) -> Decimal | None:
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


def habit_of_span(values: Sequence[Quantity], spans: Sequence[Quantity]) -> Habit | None:
    """Take "0.05 over 100" for mm: a hundred inches is no length for an error to be taken over."""
    if all(span.unit is None for span in spans) and spans[0].value >= 25 and values[0].value < 10:
        return "mm"
    return spans[0].habit


def span_mm(message: Message, quantity: Quantity, habit: Habit | None) -> float | None:
    """Return the length in mm that something was taken over."""
    over = length_over(message, [quantity], [], habit)
    return None if over is None else float(over)


def nothing_over(message: Message, start: int, end: int, habit: Habit | None) -> float | None:
    """Return the length in mm that nothing was found over, told between two tokens: "dead nuts over six inches"."""
    lengths = [quantity for quantity in message.within(start, end) if not quantity.junk and not is_value(quantity)]
    spans = [quantity for quantity in lengths if is_span(quantity)]
    if len(spans) != 1:
        spans = lengths if len(lengths) == 1 and lengths[0].unit is not None else []
    return span_mm(message, spans[0], habit) if spans else None


def length_per_unit(message: Message, start: int, end: int) -> Decimal | None:
    """Return the length of a "per inch" that stands apart from its number."""
    for index in range(start, end - 1):
        if message.tokens[index].text == "per" and not any(
            q.start <= index < q.end for q in message.quantities
        ):
            unit = parse_unit(message.tokens, index + 1)
            if unit is not None and unit[0] in ("in", "ft", "m", "cm"):
                return to_mm(Decimal(1), unit[0])
    return None


def _mil_of(quantity: Quantity) -> str | None:
    """Return mm for "a thou in 50 mil": over so many thou nothing is measured."""
    return "mm" if quantity.unit == "mil" and _LEAST_MIL <= quantity.value <= _MOST_MIL else None


_LEAST_MIL, _MOST_MIL = 5, 400
"""Between these a "mil" that something was taken over is a millimetre, whatever else is told in thou."""


def length_over(
    message: Message, spans: Sequence[Quantity], values: Sequence[Quantity], habit: Habit | None
) -> Decimal | None:
    """Return the length in mm that the first span tells, and take it from the message.

    Args:
        message: The message.
        spans: What may be the length gone over.
        values: The values told with it, whose unit tells what a bare length is in.
        habit: The units that the person is known to use.

    Returns:
        The length, twice what is said of a radius; None where none is told or an angle is.

    Raises:
        NeedsAskingError: if a number has more than one meaning that matters.
    """
    for quantity in spans:
        near = next((value.unit for value in values if value.unit is not None), None)
        guess: Habit | None = UNITS[near].habit if near in UNITS and UNITS[near].habit is not None else habit
        unit = _mil_of(quantity) or large_unit(quantity, guess)
        beside = message.names(max(0, quantity.start - 2), min(quantity.end + 3, len(message.tokens)))
        twice = 2 if "length:sweep_radius" in beside else 1
        message.take(quantity.start, quantity.end)
        return to_mm(quantity.value * twice, unit) if UNITS[unit].kind == "length" else None
    return None
