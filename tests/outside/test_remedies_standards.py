"""Remedies against published definitions, tables and worked examples."""

from __future__ import annotations

import math

import numpy as np
import pytest

from askew.engine.physics.frame import Frame
from askew.engine.physics.workholding import Screw
from askew.engine.remedies.hollow_work import hollow_work
from askew.engine.remedies.measuring_fixes import cosine, square_reversal
from askew.engine.remedies.shims import shim
from askew.engine.remedies.workholding import clamp_force
from askew.engine.remedies.zones import flat_zone, minimum_zone, parallel_zone, square_zone


@pytest.mark.parametrize(
    ("degrees", "factor"), [(10, 0.98), (20, 0.94), (30, 0.87), (40, 0.77), (50, 0.64), (60, 0.50)]
)
def test_lever_factors_are_those_of_the_catalogues(degrees, factor):
    """Correction table for lever dial indicators as printed in gauge makers' catalogues."""
    assert cosine(1.0, degrees).numbers["factor"] == pytest.approx(factor, abs=0.005)


def test_handle_torque_is_the_power_screw_of_the_textbook():
    """Shigley's Mechanical Engineering Design, example 8-1: 26.18 N m raise 6.4 kN.

    Double square thread of 4 mm pitch (lead 8), mean diameter 30 mm, friction 0.08 throughout, collar of 40 mm.
    """
    screw = Screw(mean_diameter=30.0, lead=8.0, friction=0.08, collar_diameter=40.0, collar_friction=0.08)
    # A cut that asks just 6.4 kN: 2 * 2 jaws' friction of 0.15 against it.
    fix = clamp_force(6400.0 * 0.15, screw, wanted=2.0)
    assert fix.numbers["use"] == pytest.approx(6400.0)
    assert fix.numbers["torque"] == pytest.approx(26.18, abs=0.01)


def test_the_force_on_a_hollow_part_is_the_frame_formula():
    """Closed square frame, opposite central loads: free walls bulge P*L^3/(128*E*I) (structural handbooks).

    L 50, t 4, depth 1 mm, E 69,000: 200 N bulge 0.53074 mm, so half of a tolerance of 1.06148 mm bears 200 N.
    """
    from askew.engine.physics.frame import Push

    frame = Frame(50.0, 50.0, 4.0, 4.0, 4.0, 4.0, 1.0, 69_000.0)
    screw = Screw(mean_diameter=22.0, lead=5.0)
    fix = hollow_work(frame, 2 * 0.53074, 10.0, screw, push=Push("line", at=25.0))
    assert fix.numbers["bears"] == pytest.approx(200.0, rel=1e-4)


@pytest.mark.parametrize(
    ("angle_minutes", "distance", "thickness"), [(1.0, 100.0, 0.02909), (10.0, 250.0, 0.7272)]
)
def test_a_shim_is_a_taper_from_the_sine_table(angle_minutes, distance, thickness):
    """Sine bar: height = length * sin(angle); sin 1' = 0.0002909, sin 10' = 0.002909 (trigonometric tables)."""
    slope = math.tan(math.radians(angle_minutes / 60))
    fix = shim("nod", slope, distance, over=100.0)
    assert fix.numbers["thickness"] == pytest.approx(thickness, rel=1e-4)


def test_reversal_halves_what_two_setups_differ_by():
    """Reversal of a square (Evans, Hocken and Estler, Self-calibration, CIRP Annals 45, 1996, from memory).

    Part and gauge errors p and g read p + g and, reversed, g - p: their half sum and half difference part them.
    """
    rng = np.random.default_rng(2)
    for part, gauge in rng.normal(0, 0.05, (20, 2)):
        fix = square_reversal(part + gauge, gauge - part, 100.0)
        assert (fix.numbers["tilt"], fix.numbers["own"]) == (pytest.approx(part), pytest.approx(gauge))


# --- ISO 1101: zones, not angles (definitions from memory) ----------------------------------------------


def test_squareness_is_a_width_over_the_toleranced_face_and_not_an_angle():
    """ISO 1101, perpendicularity of a surface to a datum plane: two planes t apart, square to the datum.

    The same lean of 1 mrad takes up 0.06 mm on a face 60 mm deep and 0.03 mm on one of 30 mm.
    """
    x = np.linspace(-45, 45, 9)
    for depth in (60.0, 30.0):
        y = np.linspace(-depth / 2, depth / 2, 13)
        zone = square_zone(1e-3 * y[None], np.zeros((1, 9)), y, x)
        assert zone[0] == pytest.approx(1e-3 * depth)


def test_form_counts_towards_squareness_and_parallelism():
    """ISO 1101: the whole surface lies in the zone, so that a hollow face is out of square by its hollow."""
    y, x = np.linspace(-30, 30, 61), np.linspace(-45, 45, 9)
    hollow = 1e-5 * y[None] ** 2
    flat = np.zeros((1, 9))
    for zone in (
        square_zone(hollow, flat, y, x),
        parallel_zone(hollow, flat, y, x),
        flat_zone(hollow, flat, y, x),
    ):
        assert zone[0] == pytest.approx(9e-3)


def test_a_slope_along_the_datum_is_free_for_squareness_and_not_for_parallelism():
    """ISO 1101: planes square to one datum may turn about its normal; planes parallel to one may not turn."""
    y, x = np.linspace(-30, 30, 13), np.linspace(-45, 45, 9)
    sloping = 1e-3 * x[None]
    assert square_zone(np.zeros((1, 13)), sloping, y, x)[0] == pytest.approx(0.0, abs=1e-12)
    assert parallel_zone(np.zeros((1, 13)), sloping, y, x)[0] == pytest.approx(0.09)


def test_flatness_is_the_narrowest_zone_and_never_the_least_squares_one():
    """ISO 1101 and ISO 12781-1 (from memory): flatness is by the minimum zone; least squares gives no less."""
    rng = np.random.default_rng(4)
    narrower = 0
    for _ in range(20):
        x, y, z = rng.uniform(-50, 50, 25), rng.uniform(-50, 50, 25), rng.normal(0, 0.01, 25)
        a = np.column_stack([x, y, np.ones(25)])
        least_squares = float(np.ptp(z - a @ np.linalg.lstsq(a, z, rcond=None)[0]))
        zone = minimum_zone(x, y, z)[0]
        assert zone <= least_squares + 1e-12
        narrower += zone < 0.99 * least_squares
    assert narrower > 10


def test_general_tolerances_are_zones_over_the_shorter_side():
    """ISO 2768-2 class H, perpendicularity: 0.2 mm up to 100 mm, 0.3 to 300, 0.4 to 1000 (from memory).

    A face just at 0.2 over 100 mm leans 2 mrad; in the plan's terms its zone is exactly the tolerance.
    """
    x = np.linspace(-50, 50, 9)
    for length, tolerance in ((100.0, 0.2), (300.0, 0.3), (1000.0, 0.4)):
        y = np.linspace(-length / 2, length / 2, 13)
        lean = tolerance / length
        assert square_zone(lean * y[None], np.zeros((1, 9)), y, x)[0] == pytest.approx(tolerance)
