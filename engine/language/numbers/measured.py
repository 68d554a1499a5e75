"""What a quantity may be by itself: an error that was measured, or the length that one was taken over."""

from __future__ import annotations

from decimal import Decimal

from askew.engine.language.numbers.quantities import Quantity
from askew.engine.units import UNITS

LARGEST_VALUE = Decimal("3.3")
"""mm. Nobody reports an error larger than this: it tells the error in "15 thou over 3 inches" from the length."""


def is_value(quantity: Quantity) -> bool:
    """Tell whether a quantity can be an error that was measured, by its size and by how it is introduced."""
    if quantity.junk or quantity.box or quantity.plus_minus or quantity.pronoun or quantity.length or quantity.size:
        return False
    if quantity.unit in UNITS and UNITS[quantity.unit].kind == "angle":
        return abs(quantity.value * UNITS[quantity.unit].size) < Decimal("0.2")
    mm = quantity.mm
    if mm is not None:
        return abs(mm) <= LARGEST_VALUE and not (
            quantity.span and quantity.unit in ("in", "mm", "ft", "cm", "m") and abs(mm) >= 2
        )
    whole = Decimal("0.2") if quantity.decimals > 2 else Decimal(2 if quantity.decimals == 2 else 20)
    if quantity.decimals and abs(quantity.value) >= whole:
        return False  # a whole size, as read from a caliper
    if abs(quantity.value) >= 150:
        return False  # half a turn
    return not quantity.span or abs(quantity.value) < 3


def is_span(quantity: Quantity) -> bool:
    """Tell whether a quantity can be the length that something was taken over."""
    if quantity.junk or quantity.box or quantity.plus_minus or quantity.pronoun or quantity.value <= 0:
        return False
    if quantity.length:
        return True
    mm = quantity.mm
    if mm is not None:
        return mm >= 2 and (quantity.span or mm > LARGEST_VALUE)
    return quantity.span and (quantity.unit is None or (quantity.unit == "mil" and quantity.value >= 5))
