"""Lengths and angles, held against the international inch (25.4 mm, NIST SP 811) and against pint."""

from __future__ import annotations

import math
from decimal import Decimal

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from askew.engine.units import (
    UNITS,
    format_length,
    format_slope,
    format_span,
    from_mm,
    lengths,
    to_mm,
    to_slope,
)

PINT = {
    "thou": "thou",
    "in": "inch",
    "ft": "foot",
    "um": "micrometer",
    "mm": "millimeter",
    "cm": "centimeter",
    "m": "meter",
}
PINT |= {
    "deg": "degree",
    "arcmin": "arcminute",
    "arcsec": "arcsecond",
    "mrad": "milliradian",
    "rad": "radian",
}


@pytest.fixture(scope="module")
def registry() -> pint.UnitRegistry:
    return pint.UnitRegistry(non_int_type=Decimal)


def test_the_inch_is_exact() -> None:
    assert to_mm(Decimal("0.0055"), "in") == Decimal("0.1397")
    assert to_mm(Decimal("5.5"), "thou") == Decimal("0.1397")
    assert to_mm(Decimal(4), "tenth") == Decimal("0.01016")


@pytest.mark.parametrize("unit", [unit for unit in PINT if UNITS[unit].kind == "length"])
def test_lengths_agree_with_pint(unit: str, registry: pint.UnitRegistry) -> None:
    for step in range(1, 200):
        value = Decimal(step) / 16
        theirs = registry.Quantity(value, PINT[unit]).to("millimeter").magnitude
        assert math.isclose(float(to_mm(value, unit)), float(theirs), rel_tol=1e-12)


@pytest.mark.parametrize("unit", [unit for unit in PINT if UNITS[unit].kind == "angle"])
def test_angles_agree_with_pint(unit: str, registry: pint.UnitRegistry) -> None:
    theirs = registry.Quantity(Decimal("0.7"), PINT[unit]).to("radian").magnitude
    assert math.isclose(to_slope(Decimal("0.7"), unit), math.tan(float(theirs)), rel_tol=1e-12)


@pytest.mark.parametrize("unit", lengths())
def test_there_and_back(unit: str) -> None:
    for step in range(-500, 500):
        value = Decimal(step) / 8
        assert from_mm(to_mm(value, unit), unit) == value


def test_an_unknown_unit_is_named() -> None:
    with pytest.raises(ValueError, match="'furlong' is not a unit of length"):
        to_mm(Decimal(1), "furlong")
    with pytest.raises(ValueError, match="'mm' is not a unit of angle"):
        to_slope(Decimal(1), "mm")
    with pytest.raises(ValueError, match="between -90 and 90"):
        to_slope(Decimal(95), "deg")


@pytest.mark.parametrize(
    ("mm", "habit", "shown"),
    [
        (0.1397, "in", "5.5 thou"),
        (0.01016, "in", "4 tenths"),
        (0.00254, "in", "1 tenth"),
        (0.0, "in", "0 thou"),
        (76.2, "in", "3 in"),
        (0.14, "mm", "0.140 mm"),
        (-0.0001, "mm", "0.000 mm"),
        (12.5, None, "12.50 mm"),
        (math.nan, "mm", "an unknown length"),
    ],
)
def test_lengths_are_shown_as_spoken(mm: float, habit: str | None, shown: str) -> None:
    assert format_length(mm, habit) == shown  # type: ignore[arg-type]


def test_slopes_are_shown_with_the_angle() -> None:
    assert format_slope(0.1397 / 609.6, 609.6, "in") == "5.5 thou over 24 in (0.23 mrad / 0.013 deg)"
    assert format_slope(0.1 / 300, 300, "mm") == "0.100 mm over 300 mm (0.33 mrad / 0.019 deg)"
    with pytest.raises(ValueError, match="greater than zero"):
        format_slope(0.1, 0.0)


@given(st.floats(-1e4, 1e4, allow_nan=False))
def test_nothing_shows_as_minus_zero(mm: float) -> None:
    for habit in ("in", "mm", None):
        shown = format_length(mm, habit)  # type: ignore[arg-type]
        assert not (shown.startswith("-") and float(shown.split()[0]) == 0)
        assert format_span(mm, habit)  # type: ignore[arg-type]
