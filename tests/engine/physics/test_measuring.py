"""Instruments, reversal, straight edge, sweep and budget."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from askew.engine.physics import measuring as m
from askew.engine.physics.limits import PhysicsError
from askew.engine.physics.sweep import reduce_sweep, straight_line
from askew.engine.physics.uncertainty import Input, arcsine, combine, from_repeats, needed_repeats

slopes = st.floats(-1e-3, 1e-3)


def test_a_lever_at_an_angle_reads_too_much() -> None:
    assert m.lever_true(0.1, 0) == 0.1
    assert m.lever_true(0.1, math.radians(60)) == pytest.approx(0.05)
    assert m.lever_error(math.radians(30)) == pytest.approx(0.1547, abs=1e-4)


def test_hysteresis_is_lost_on_the_way() -> None:
    assert m.hysteresis_shown(0.1, 0.0, 0.004) == pytest.approx(0.098)
    assert m.hysteresis_shown(0.0, 0.1, 0.004) == pytest.approx(0.002)
    assert m.hysteresis_shown(0.001, 0.0, 0.004) == 0.0


@given(slopes, slopes, slopes)
def test_reversal_and_two_corners_take_the_square_out(tilt: float, square: float, taper: float) -> None:
    got = m.reverse(tilt + square, tilt - square)
    assert (got.part, got.square) == pytest.approx((tilt, square), abs=1e-15)
    got = m.two_corners(-tilt + square, tilt - taper + square, taper)
    assert (got.part, got.square) == pytest.approx((tilt, square), abs=1e-15)


def test_resolution() -> None:
    assert m.rounded(0.0262, 0.005) == pytest.approx(0.025)
    assert m.resolution_scatter(0.01) == pytest.approx(0.00289, abs=1e-5)


def test_straight_edge_rests_on_the_ends_of_a_hollow_and_on_a_crown() -> None:
    x = np.linspace(-30, 30, 61)
    hollow = (x / 30) ** 2 * 0.01 - 0.01
    assert m.gap_under_straight_edge(list(hollow), list(x)) == pytest.approx(0.01)
    assert m.gap_under_straight_edge(list(-hollow), list(x)) == pytest.approx(0, abs=1e-5)
    tilted = list(hollow + 1e-3 * x)
    assert m.gap_under_straight_edge(tilted, list(x)) == pytest.approx(0.01)
    assert m.light_shows(0.003, ground=True)
    assert not m.light_shows(0.003)


@given(slopes, slopes, st.integers(3, 12), st.floats(0, 12), st.floats(50, 600))
def test_a_sweep_of_a_plane_is_exact_from_any_positions(
    x: float, y: float, n: int, first: float, d: float
) -> None:
    clock = [first + 12 * (i / n) ** 1.2 for i in range(n)]
    angles = [c * math.pi / 6 for c in clock]
    readings = [0.123 - d / 2 * (x * math.sin(a) + y * math.cos(a)) for a in angles]
    got = reduce_sweep(clock, readings, d)
    assert got.slope_x == pytest.approx(x, abs=1e-12)
    assert got.slope_y == pytest.approx(y, abs=1e-12)
    assert got.spare == n - 3
    assert got.flat is (True if got.spare else None)


def test_signs_of_a_sweep_from_the_two_ends() -> None:
    """Left minus right is plus where the plane rises to the right: the indicator reads less there."""
    got = reduce_sweep([12, 3, 6, 9], [0.0, -0.05, 0.0, 0.05], 300)
    assert got.slope_x == pytest.approx(0.1 / 300)
    assert got.slope_y == pytest.approx(0.0, abs=1e-18)


def test_a_saddle_in_the_table_is_betrayed_by_the_residual() -> None:
    clock = list(range(1, 13))
    saddle = [0.02 * math.cos(2 * c * math.pi / 6) for c in clock]
    got = reduce_sweep(clock, saddle, 300)
    assert got.flat is False
    assert got.residual == pytest.approx(0.02 * math.sqrt(6 / 9), rel=1e-9)
    assert abs(got.slope_x) < 1e-12
    bumped = [0.0] * 12
    bumped[4] = 0.05
    assert reduce_sweep(clock, bumped, 300).worst == 5


def test_scatter_of_a_sweep_is_what_simulation_gives() -> None:
    rng = np.random.default_rng(7)
    clock = [12, 2, 4, 6, 8, 10]
    runs = [reduce_sweep(clock, rng.normal(0, 0.004, 6).tolist(), 300) for _ in range(4000)]
    spread = float(np.std([r.slope_x for r in runs]))
    assert spread == pytest.approx(0.004 / 150 / math.sqrt(3), rel=0.04)
    mean_square = float(np.mean([r.scatter_x**2 for r in runs]))
    assert math.sqrt(mean_square) == pytest.approx(spread, rel=0.04)


@given(st.floats(-5, 5), st.floats(-5, 5))
def test_a_line_is_its_own_fit(slope: float, level: float) -> None:
    x = [0.0, 10.0, 25.0, 40.0]
    got = straight_line(x, [level + slope * v for v in x])
    assert got.slope == pytest.approx(slope, abs=1e-12)
    assert got.residual == pytest.approx(0, abs=1e-12)


def test_a_budget_adds_by_squares_and_names_its_parts() -> None:
    budget = combine(lambda v: v["a"] + 2 * v["b"], {"a": Input(1, 0.03, 4, "repeats"), "b": Input(2, 0.02)})
    assert budget.value == 5
    assert budget.uncertainty == pytest.approx(0.05)
    assert [(r.name, round(r.share, 2)) for r in budget.rows] == [("b", 0.64), ("a", 0.36)]
    assert budget.freedom == pytest.approx(0.05**4 / (0.03**4 / 4))
    assert budget.expanded(0.95)[1] == pytest.approx(2.042, abs=1e-3)
    known = combine(lambda v: v["a"], {"a": Input(1, 0.03)})
    assert known.expanded()[1] == pytest.approx(1.96, abs=1e-3)
    assert combine(lambda v: v["a"], {"a": Input(1, 0.0)}).rows[0].share == 0.0


def test_repeats() -> None:
    got = from_repeats([0.01, 0.012, 0.011, 0.015])
    assert got.value == pytest.approx(0.012)
    assert got.uncertainty == pytest.approx(np.std([0.01, 0.012, 0.011, 0.015], ddof=1) / 2)
    assert got.freedom == 3
    assert needed_repeats(0.004, 0.002) == 4
    assert needed_repeats(0.001, 0.002) == 1
    assert arcsine(0.5) == pytest.approx(0.35, abs=0.005)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: m.lever_true(0.1, 1.5), "stylus angle must be from 0 to 1.309 rad"),
        (lambda: m.rounded(0.1, 0), "resolution must be more than 0"),
        (lambda: m.square_grade("3", 100), "grade must be one of 00, 0, 1, 2"),
        (lambda: m.plate_grade("I", 0), "length of the plate must be more than 0"),
        (lambda: m.gap_under_straight_edge([1, 2], [1, 2]), "at least three"),
        (lambda: reduce_sweep([12, 6], [0, 0], 300), "at least three clock positions"),
        (lambda: reduce_sweep([12, 12, 6, 6], [0, 0, 0, 0], 300), "round the circle"),
        (lambda: reduce_sweep([12, 4, 8], [0, 0, 0], 0), "diameter of the sweep must be more than 0"),
        (lambda: straight_line([1, 1, 1], [1, 2, 3]), "must differ from each other"),
        (lambda: Input(1, -1), "standard uncertainty must be from 0"),
        (lambda: Input(1, 1, 0), "degrees of freedom must be more than 0"),
        (lambda: combine(lambda v: 1.0, {}), "at least one input"),
        (lambda: combine(lambda v: v["a"], {"a": Input(1, 1)}).expanded(1.0), "coverage must be between"),
        (lambda: from_repeats([1.0]), "at least two readings"),
    ],
)
def test_impossible_measurements_are_refused(call, words: str) -> None:
    with pytest.raises(PhysicsError, match=words):
        call()
