"""Measuring, squaring a block, and the fixes of one formula."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from askew.engine.physics.materials import material
from askew.engine.physics.readings import predict
from askew.engine.remedies.draws import usual
from askew.engine.remedies.measuring_fixes import cooling_wait, cosine, square_reversal
from askew.engine.remedies.result import RemedyError
from askew.engine.remedies.settle import (
    how_warm,
    lighter_cut,
    relieve_stress,
    shorten_cutter,
    swing_vise,
    take_up_slack,
    warm_spindle,
)
from askew.engine.remedies.squaring_block import Block, chance, relations, squaring_block
from askew.engine.setup import Setup
from askew.knowledge.load import load

slopes = st.floats(-0.002, 0.002)


@given(slopes, slopes, slopes)
def test_reversal_gets_back_what_the_forward_model_put_in(lean, own, taper):
    """Jaw lean, the square's error and a taper go in; the two corners read; the three come apart again."""
    setup = Setup(part_height=60.0, part_depth=60.0, grip_height=40.0, seat="jaw", moving_jaw_contact="bar")
    sources = {"fixed_jaw_lean": lean, "square_error": own, "blank_taper": taper}
    one = float(predict("face_out_of_square", setup, sources, changes={"taper_share": 0.0}))
    other = float(predict("other_corner", setup, sources, changes={"taper_share": 0.0}))
    fix = square_reversal(one, other, 60.0, blank_taper=60.0 * taper)
    assert fix.numbers["tilt"] == pytest.approx(-60.0 * lean, abs=1e-12)
    assert fix.numbers["square_error"] == pytest.approx(own, abs=1e-12)


def test_reversal_worked_by_hand():
    """Open 3 and closed 1 thou: half the difference 2 open, half the sum 1 thou of the square's own."""
    fix = square_reversal(3.0, -1.0, 100.0)
    assert fix.numbers["tilt"] == pytest.approx(2.0)
    assert fix.numbers["own"] == pytest.approx(1.0)
    assert fix.numbers["unsure"] == pytest.approx(0.008 / math.sqrt(2))


def test_an_error_inside_the_scatter_is_not_corrected():
    assert square_reversal(0.002, 0.002, 100.0).warnings
    assert not square_reversal(0.05, 0.05, 100.0).warnings


@given(st.floats(-1, 1), st.floats(0, 75))
def test_a_slanting_finger_never_reads_too_little(reading, degrees):
    fix = cosine(reading, degrees)
    assert abs(fix.numbers["true"]) <= abs(reading)
    assert fix.numbers["true"] + fix.numbers["error"] == pytest.approx(reading)


@pytest.mark.parametrize("degrees", [-1.0, 76.0, float("nan")])
def test_fingers_that_stand_upright_are_refused(degrees):
    with pytest.raises(RemedyError):
        cosine(0.1, degrees)


def test_cooling_ends_at_a_tenth_of_the_tolerance():
    aluminium = material("aluminium")
    fix = cooling_wait(aluminium, (50.0, 60.0, 100.0), warmer=20.0, tolerance=0.02)
    minutes = fix.numbers["minutes_still_air"]
    grown = aluminium.expansion * 100 * 20
    assert fix.numbers["grown"] == pytest.approx(grown)
    # Newton's law: after the wait a tenth of the tolerance is left of the growth.
    volume, area = 50 * 60 * 100e-9, 2 * (50 * 60 + 60 * 100 + 100 * 50) * 1e-6
    constant = aluminium.density * aluminium.heat_capacity * volume / (10.0 * area) / 60
    assert grown * math.exp(-minutes / constant) == pytest.approx(0.002)
    assert fix.numbers["minutes_coolant"] < fix.numbers["minutes_iron_plate"] < minutes


def test_cold_enough_needs_no_wait_and_bad_places_are_refused():
    assert (
        cooling_wait(material("cast_iron"), (20, 20, 20), warmer=0.1, tolerance=0.1).numbers[
            "minutes_still_air"
        ]
        == 0
    )
    with pytest.raises(RemedyError):
        cooling_wait(material("cast_iron"), (20, 20, 20), warmer=10.0, tolerance=0.1, place="fridge")
    with pytest.raises(RemedyError):
        cooling_wait(material("cast_iron"), (20, 20, 20), warmer=1000.0, tolerance=0.1)


# --- one formula each ---------------------------------------------------------------------------------


def test_the_vise_swings_about_the_snug_bolt():
    """3 thou over 6 in, tapped 8 in from the snug bolt: 4 thou; the right end nearer the front goes back."""
    fix = swing_vise(3 / 6000, 152.4, bolt_span=203.2, habit="in")
    assert fix.numbers["tap"] == pytest.approx(4 * 0.0254)
    assert "tap the right end back by 4 thou" in " ".join(fix.steps)
    assert "tap the left end back" in " ".join(swing_vise(-3 / 6000, 152.4).steps)


def test_an_eighth_of_the_bending_is_half_the_length():
    fix = shorten_cutter(0.08, 60.0, 0.01)
    assert fix.numbers["shorter"] == pytest.approx(0.5)
    assert "30 mm long in place of 60 mm" in fix.steps[0]
    assert shorten_cutter(0.005, None, 0.01).numbers["ratio"] == 1.0


def test_work_that_gives_is_cut_lighter_in_proportion():
    assert lighter_cut(0.1, 0.03).numbers["ratio"] == pytest.approx(0.3)


def test_slack_is_passed_three_times_over():
    assert take_up_slack(0.2, "x").numbers["back_off"] == pytest.approx(0.6)
    with pytest.raises(RemedyError):
        take_up_slack(0.0, "x")


def test_stress_is_let_go_by_the_ratio_of_the_cuts():
    fix = relieve_stress(0.2, 2.0, 0.25)
    assert fix.numbers["left"] == pytest.approx(0.025)
    assert fix.numbers["leave"] == pytest.approx(0.55)


def test_a_spindle_is_warm_when_a_tenth_of_the_tolerance_is_left():
    fix = warm_spindle(0.03, 0.03, constant=40.0)
    assert 0.03 * math.exp(-fix.numbers["minutes"] / 40.0) == pytest.approx(0.003)
    assert warm_spindle(0.001, 0.03).warnings


def test_how_warm_is_expansion_turned_round():
    assert how_warm(0.0472, 23.6e-6, 100.0) == pytest.approx(20.0)
    with pytest.raises(RemedyError):
        how_warm(0.1, 0.5, 100.0)


# --- squaring a block ---------------------------------------------------------------------------------

BLOCK = Block(30.0, 50.0, 100.0)
CUT = Setup(machine="knee_mill", cutter_diameter=80.0, passes=1, seat="jaw")


def only(n: int = 200, **sizes: float) -> dict[str, np.ndarray]:
    return {source: np.full(n, sizes.get(source, 0.0)) for source in load().sources}


def middle(found, face: int, to: int, over: float) -> float:
    return float(np.median(next(r for r in found if (r.face, r.to, r.over) == (face, to, over)).errors))


def test_a_leaning_jaw_is_inherited_as_the_geometry_says():
    """Jaw leaning back 1 mrad: faces 2 and 3 lean 1 mrad against 1, the thickness tapers by 2."""
    found = relations(BLOCK, only(fixed_jaw_lean=0.001), CUT)
    assert middle(found, 2, 1, 30.0) == pytest.approx(-0.030, abs=0.004)
    assert middle(found, 3, 1, 30.0) == pytest.approx(-0.030, abs=0.004)
    assert middle(found, 3, 2, 30.0) == pytest.approx(0.060, abs=0.006)


def test_seated_on_the_bed_the_thickness_comes_true_in_spite_of_the_jaw():
    found = relations(BLOCK, only(fixed_jaw_lean=0.001), CUT.having(seat="bed"))
    assert middle(found, 3, 2, 30.0) == pytest.approx(0.0, abs=0.006)
    # Then face 3 leans the other way against face 1, by what face 2 had.
    assert middle(found, 3, 1, 30.0) == pytest.approx(0.030, abs=0.006)


def test_a_sloping_table_tapers_the_length_and_the_square_puts_the_ends_out():
    found = relations(BLOCK, only(table_slope=2e-4), CUT)
    assert middle(found, 3, 2, 100.0) == pytest.approx(0.02, abs=0.002)
    out = relations(BLOCK, only(square_error=4e-4), CUT)
    assert middle(out, 5, 2, 50.0) == pytest.approx(0.02, abs=0.004)


def test_a_worse_vise_makes_a_worse_block():
    good, bad = relations(BLOCK, only(), CUT), relations(BLOCK, only(fixed_jaw_lean=0.002), CUT)
    assert chance(good, 0.05) > chance(bad, 0.05) + 0.2


def test_the_fix_names_every_face_and_what_is_too_much():
    fix = squaring_block(BLOCK, usual(300, CUT), CUT, tolerance=0.001, habit="in")
    text = " ".join(fix.steps)
    assert all(f"Face {n}:" in text for n in range(1, 7))
    assert len(fix.shows) == 10
    assert "more than the" in fix.warnings[0]
    assert not squaring_block(BLOCK, usual(300, CUT), CUT, tolerance=10.0).warnings


@pytest.mark.parametrize("sides", [(0, 50, 100), (30, -1, 100), (30, 50, math.nan)])
def test_blocks_of_no_size_are_refused(sides):
    with pytest.raises(RemedyError):
        Block(*sides)
