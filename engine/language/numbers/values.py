"""From quantities as said to mm: units left out, spans, and what has to be asked."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from askew.engine.language.model import Ambiguity
from askew.engine.language.numbers.quantities import Quantity
from askew.engine.units import UNITS, Habit, to_mm, to_slope

_DEFAULT_SPAN = Decimal(100)
_MOST_MM = Decimal("0.1")
"""Up to so many mils are of a millimetre: nobody measures a ten-thousandth of an inch as a tenth of a mil."""
_LEAST_THIN = Decimal(15)
"""What thin things must at least count in mils that are thou: no wall is three thousandths of an inch."""
_LEAST_MIL = Decimal(5)
"""What a "mil" must at least count to be the size of a thing in mm: nothing is five thousandths of an inch wide."""


class NeedsAskingError(Exception):
    """A quantity has more than one meaning that matters."""

    def __init__(self, quantity: Quantity, text: str, options: tuple[str, ...]) -> None:
        """Keep the quantity, the question and the answers to offer."""
        super().__init__(text)
        self.quantity = quantity
        self.text = text
        self.options = options


@dataclass(frozen=True, slots=True)
class Size:
    """A measured size in mm with what was said about it."""

    mm: Decimal
    low: Decimal | None
    high: Decimal | None
    over: Decimal | None
    unit: str


def _plain(value: Decimal) -> str:
    return format(value.normalize(), "f")


def settle_comma(quantity: Quantity) -> None:
    """Ask about a comma that may part decimals or thousands.

    Raises:
        NeedsAskingError: if it may be either.
    """
    if quantity.other is not None and not quantity.junk:
        unit = f" {quantity.unit}" if quantity.unit else ""
        raise NeedsAskingError(
            quantity,
            "Is the comma a decimal comma?",
            (f"{_plain(quantity.value)}{unit}", f"{_plain(quantity.other)}{unit}"),
        )


def small_unit(quantity: Quantity, habit: Habit | None, near: str | None) -> str:
    """Return the unit of a measured error; `near` is the unit of a like quantity beside it.

    Raises:
        NeedsAskingError: if it was left out and could be more than one.
    """
    settle_comma(quantity)
    near = near if near in UNITS else None
    value = abs(quantity.value)
    shown = _plain(quantity.value)
    if quantity.unit == "mil":
        if habit is not None:
            return "thou" if habit == "in" and value > _MOST_MM else "mm"
        if value <= _MOST_MM:
            return "mm"
        raise NeedsAskingError(
            quantity,
            "Is a mil a thousandth of an inch or a millimetre to you?",
            (f"{shown} thou", f"{shown} mm"),
        )
    if quantity.unit == "tenth" and habit == "mm":
        raise NeedsAskingError(
            quantity,
            "Tenths of a thou or tenths of a mm?",
            (f"{shown} tenths of a thou", f"{shown} tenths of a mm"),
        )
    if quantity.unit == "hundredth" and habit == "in":
        raise NeedsAskingError(
            quantity,
            "Hundredths of a mm or of an inch?",
            (f"{shown} hundredths of a mm", f"{shown} hundredths of an inch"),
        )
    if quantity.unit is not None:
        return quantity.unit
    if value == 0:
        return {"in": "thou", "mm": "mm", None: "mm"}[habit] if near is None else near
    if near is not None:
        return near
    if habit == "in":
        return "in" if value < Decimal("0.1") or (quantity.decimals >= 3 and value < 1) else "thou"
    if habit == "mm" and (value < 1 or quantity.decimals):
        return "mm"
    if habit == "mm":
        raise NeedsAskingError(
            quantity,
            f"Is that {shown} mm or {shown} hundredths?",
            (f"{shown} mm", f"{shown} hundredths of a mm"),
        )
    if value < 1:
        raise NeedsAskingError(
            quantity, f"Is that {shown} inch or {shown} mm?", (f"{shown} in", f"{shown} mm")
        )
    raise NeedsAskingError(quantity, f"Is that {shown} thou or {shown} mm?", (f"{shown} thou", f"{shown} mm"))


def large_unit(quantity: Quantity, habit: Habit | None, near: str | None = None, *, thin: bool = False) -> str:
    """Return the unit of a size of the part, the cutter or the sweep.

    A bare number above 60 is mm whatever the habit, since nothing here is five feet long; a mil is a millimetre
    where it counts the size of a thing, unless that is `thin` enough to be told in thousandths of an inch.

    Raises:
        NeedsAskingError: if it was left out and could be more than one.
    """
    settle_comma(quantity)
    near = near if near in UNITS else None
    if quantity.unit == "mil":
        large = quantity.value < _LEAST_THIN if thin else quantity.value >= _LEAST_MIL
        if habit == "mm" or quantity.value > 200 or large:
            return "mm"
        if habit == "in":
            return "thou"
        shown = _plain(quantity.value)
        raise NeedsAskingError(
            quantity,
            "Is a mil a thousandth of an inch or a millimetre to you?",
            (f"{shown} thou", f"{shown} mm"),
        )
    if quantity.unit is not None:
        return quantity.unit
    if quantity.value > 60:
        return "mm"
    whole = bool(quantity.box) or quantity.value == quantity.value.to_integral_value()
    if not (whole or quantity.decimals or quantity.worded):
        return "in"  # "3/4 end mill": nobody has fractions of a millimetre
    if quantity.worded and quantity.value * 2 % 1 and habit != "mm":
        return "in"  # "two and three quarters", where a half would leave it open
    if near is not None:
        return near
    if habit is not None:
        return habit
    shown = _plain(quantity.value)
    raise NeedsAskingError(quantity, f"Is that {shown} inches or {shown} mm?", (f"{shown} in", f"{shown} mm"))


def convert(quantity: Quantity, unit: str, over: Decimal | None, default_over: Decimal | None) -> Size:
    """Turn a quantity into mm; an angle becomes the rise over `over`, or over `default_over`, or over 100 mm.

    Raises:
        NeedsAskingError: if it is a right angle or more.
    """
    if UNITS[unit].kind == "angle":
        span = over or default_over or _DEFAULT_SPAN

        def rise(value: Decimal) -> Decimal:
            try:
                return Decimal(repr(to_slope(value, unit))) * span
            except ValueError:
                raise NeedsAskingError(
                    quantity, "How many degrees was that? It must be less than 90.", ()
                ) from None

        return Size(
            rise(quantity.value),
            None if quantity.low is None else rise(quantity.low),
            None if quantity.high is None else rise(quantity.high),
            span,
            unit,
        )
    return Size(
        to_mm(quantity.value, unit),
        None if quantity.low is None else to_mm(quantity.low, unit),
        None if quantity.high is None else to_mm(quantity.high, unit),
        quantity.per if quantity.per is not None else over,
        unit,
    )


def ambiguity(asking: NeedsAskingError, text: str, start: int, end: int) -> Ambiguity:
    """Return the question, with the message restated for each of its answers."""
    restated = tuple(text[:start] + option + text[end:] for option in asking.options)
    return Ambiguity(asking.text, asking.options, restated, text[start:end])
