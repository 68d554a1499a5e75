"""Lengths and angles as people say them, converted exactly.

Everything inside is kept in mm and rad. Conversions run on Decimal, so that 0.0055 in is 0.1397 mm and
nothing else. Inch factors follow the international inch of 25.4 mm exactly (1959 agreement, NIST SP 811).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal, localcontext
from typing import Literal

Habit = Literal["in", "mm"]

PI = Decimal("3.14159265358979323846264338328")


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit of length (size in mm) or of angle (size in rad), and the habit that using it betrays."""

    symbol: str
    kind: Literal["length", "angle"]
    size: Decimal
    habit: Habit | None


def _length(symbol: str, mm: str, habit: Habit | None) -> Unit:
    return Unit(symbol, "length", Decimal(mm), habit)


UNITS: dict[str, Unit] = {
    unit.symbol: unit
    for unit in (
        _length("tenth", "0.00254", "in"),
        _length("thou", "0.0254", "in"),
        _length("in", "25.4", "in"),
        _length("ft", "304.8", "in"),
        _length("um", "0.001", "mm"),
        _length("hundredth", "0.01", "mm"),
        _length("tenth_mm", "0.1", "mm"),
        _length("mm", "1", "mm"),
        _length("cm", "10", "mm"),
        _length("m", "1000", "mm"),
        Unit("deg", "angle", PI / 180, None),
        Unit("arcmin", "angle", PI / 10800, None),
        Unit("arcsec", "angle", PI / 648000, None),
        Unit("rad", "angle", Decimal(1), None),
        Unit("mrad", "angle", Decimal("0.001"), None),
    )
}


def to_mm(value: Decimal, unit: str) -> Decimal:
    """Return a length of `value` `unit`s in mm, exactly.

    Raises:
        ValueError: if `unit` is no unit of length.
    """
    known = UNITS.get(unit)
    if known is None or known.kind != "length":
        raise ValueError(f"{unit!r} is not a unit of length; use one of {', '.join(lengths())}")
    with localcontext() as context:
        context.prec = 60
        return value * known.size


def from_mm(mm: Decimal, unit: str) -> Decimal:
    """Return `mm` expressed in `unit`; the inverse of `to_mm`.

    Raises:
        ValueError: if `unit` is no unit of length.
    """
    size = to_mm(Decimal(1), unit)
    with localcontext() as context:
        context.prec = 40
        return mm / size


def to_slope(value: Decimal, unit: str) -> float:
    """Return the slope (rise over run) of an angle of `value` `unit`s.

    Raises:
        ValueError: if `unit` is no unit of angle, or the angle is a right angle or more.
    """
    known = UNITS.get(unit)
    if known is None or known.kind != "angle":
        raise ValueError(f"{unit!r} is not a unit of angle; use deg, arcmin, arcsec, rad or mrad")
    angle = float(value * known.size)
    if abs(angle) >= math.pi / 2:
        raise ValueError("an angle between -90 and 90 degrees is needed")
    return math.tan(angle)


def lengths() -> tuple[str, ...]:
    """Return the symbols of all units of length."""
    return tuple(symbol for symbol, unit in UNITS.items() if unit.kind == "length")


def format_length(mm: float, habit: Habit | None = None) -> str:
    """Return a length in the person's own way of speaking.

    Inch people get tenths below a thou ("4 tenths"), thou below a quarter inch ("5.5 thou") and inches
    above; everybody else gets mm, with as many places as the size deserves.
    """
    if not math.isfinite(mm):
        return "an unknown length"
    if habit != "in":
        return f"{_places(mm, 3 if abs(mm) < 1 else 2)} mm"
    thou = mm / 0.0254
    if round(abs(thou) * 10) == 0:
        return "0 thou"
    if abs(thou) < 0.95:
        return _counted(thou * 10, "tenth")
    if abs(thou) < 250:
        return f"{_trim(thou, 1 if abs(thou) < 100 else 0)} thou"
    return f"{_trim(mm / 25.4, 3)} in"


def format_span(mm: float, habit: Habit | None = None) -> str:
    """Return a length that something was taken over: whole inches or whole mm where it is one."""
    if habit == "in":
        return f"{_trim(mm / 25.4, 3)} in"
    return f"{_trim(mm, 2)} mm"


def format_slope(slope: float, over: float, habit: Habit | None = None) -> str:
    """Return a slope as a length over `over` mm with the angle beside it.

    For example "5.5 thou over 24 in (0.23 mrad / 0.013 deg)".

    Raises:
        ValueError: if `over` is not positive.
    """
    if not over > 0:
        raise ValueError("a slope is spoken over a length greater than zero")
    rise = format_length(slope * over, habit)
    angle = math.atan(slope)
    turn = f"{_trim(angle * 1e3, 2)} mrad / {_trim(math.degrees(angle), 3)} deg"
    return f"{rise} over {format_span(over, habit)} ({turn})"


def _counted(number: float, noun: str) -> str:
    text = _trim(number, 1)
    return f"{text} {noun}" if text in ("1", "-1") else f"{text} {noun}s"


def _places(value: float, places: int) -> str:
    text = f"{value:.{places}f}"
    return text.removeprefix("-") if float(text) == 0 else text


def _trim(value: float, places: int) -> str:
    text = _places(value, places)
    return text.rstrip("0").rstrip(".") if "." in text else text
