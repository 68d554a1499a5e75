from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from askew.engine.remedies.head_need import Need, head_need
from askew.engine.remedies.result import RemedyError
from askew.engine.remedies.tram import Head, Round, aim, tram
from askew.engine.setup import Setup

FACE = Setup(cutter_diameter=80.0, part_across=60.0, part_along=90.0, passes=1, feed_axis="x")


def test_halfway_on_one_side_is_the_whole_of_it_for_a_pivot_in_the_middle():
    """0.10 mm over 300 mm, high at the right: tap until the left, zeroed right, reads 0.05."""
    found = aim("x", 0.10, 300.0, need=1e-5, head=Head(arm=150.0, pivot=0.0))
    assert found.watch == "left"
    assert found.start == pytest.approx(0.10)
    assert found.stop == pytest.approx(0.05)
    # Wedge: 0.10/300 over 150 mm is 0.05 mm; the plane rises to the right, so the top goes right.
    assert found.tap == pytest.approx(0.05)
    assert not found.both_rise


def test_nod_about_a_distant_pivot_needs_the_geometry():
    """0.10 mm over 200 mm high at the back, pivot 300 mm behind the spindle.

    The head turns by -0.0005. The front, 400 mm from the pivot, rises 0.20 mm; the back, at 200 mm, 0.10 mm.
    Zeroed at the back, the front reads 0.10 before and 0.10 - 0.20 = -0.10 after; the back -0.10 as well.
    """
    found = aim("y", 0.10, 200.0, need=1e-5, head=Head(arm=250.0, pivot=300.0))
    assert found.watch == "front"
    assert found.turn == pytest.approx(-0.0005)
    assert found.stop == pytest.approx(-0.10)
    assert found.both_rise
    assert found.tap == pytest.approx(0.125)


@given(
    st.sampled_from("xy"),
    st.floats(-2.0, 2.0),
    st.floats(50.0, 600.0),
    st.floats(-400.0, 400.0),
    st.lists(st.tuples(st.floats(-0.1, 0.1), st.floats(-0.1, 0.1)), max_size=4),
)
def test_after_the_turn_both_ends_read_alike_but_for_the_aim(axis, reading, sweep, pivot, rounds):
    """Rigid body: each end's needle falls by turn * (place - pivot)."""
    found = aim(axis, reading, sweep, need=1e-9, head=Head(150.0, pivot), rounds=[Round(*r) for r in rounds])
    half = sweep / 2
    # Needle at the plus end zeroed where the minus end reads `reading`, whichever end is watched.
    plus_end = -found.turn * (half - pivot)
    minus_end = reading - found.turn * (-half - pivot)
    assert minus_end - plus_end == pytest.approx(found.snug, abs=1e-9)
    watched = minus_end if found.watch in ("left", "front") else plus_end - reading
    assert found.stop == pytest.approx(watched, abs=1e-9)


@given(st.floats(-1.0, 1.0).filter(lambda r: abs(r) > 1e-3), st.floats(100.0, 600.0))
def test_the_other_side_out_is_the_mirror_image(reading, sweep):
    one, other = (aim("x", r, sweep, need=1e-9) for r in (reading, -reading))
    assert one.tap == pytest.approx(-other.tap)
    assert one.stop == pytest.approx(other.stop)
    assert {one.watch, other.watch} == {"left", "right"}


def test_a_point_below_the_pivot_goes_the_other_way():
    above, below = (aim("x", 0.1, 300.0, need=1e-9, head=Head(arm)) for arm in (150.0, -150.0))
    assert above.tap == pytest.approx(-below.tap)


def test_what_tightening_did_is_aimed_off():
    """It moved +0.04 in the one round made, half of which is believed: snug it must read -0.02."""
    found = aim("x", 0.04, 300.0, need=1e-5, rounds=[Round(0.0, 0.04)])
    assert found.snug == pytest.approx(-0.02)
    assert found.turn == pytest.approx(-0.06 / 300.0)


def test_the_slide_and_not_the_table_top_is_the_goal_where_it_is_known():
    found = aim("x", 0.05, 300.0, need=1e-6, goal=0.05 / 300.0)
    assert found.done


def test_it_stops_at_what_the_part_needs():
    need = head_need("x", FACE, flatness=0.02)
    # hollow = slope * (R - sqrt(R^2 - w^2/4)) = slope * (40 - sqrt(700)); a third of 0.02 mm may be hollow.
    by_hand = 0.02 / 3 / (40 - math.sqrt(700))
    assert need.slope == pytest.approx(by_hand)
    fix = tram("x", 0.9 * by_hand * 300, 300.0, need=need)
    assert fix.steps[0].startswith("Leave it")
    assert fix.cost.minutes == 0
    fix = tram("x", 1.1 * by_hand * 300, 300.0, need=need)
    assert any("Tap" in step for step in fix.steps)
    expected = fix.predicts[0]
    assert expected.reading == "sweep_x"
    assert -expected.low == pytest.approx(expected.high)


def test_nothing_asked_of_the_part_leaves_the_head_alone():
    fix = tram("x", 5.0, 300.0, need=head_need("x", FACE))
    assert fix.steps[0].startswith("Leave it")
    assert "nothing asked" in fix.steps[0]


def test_words_name_the_sides_of_each_axis():
    need = Need(1e-6, "hollow_across")
    right = " ".join(tram("x", 0.1, 300.0, need=need).steps)
    assert "high at the right" in right
    assert "needle reads more at the left" in right
    assert "top of the head has to go right" in right
    back = " ".join(tram("y", -0.1, 300.0, need=need).steps)
    assert "high at the front" in back
    assert "top of the head has to go forward" in back


def test_inch_people_get_thou():
    steps = " ".join(tram("x", 0.1397, 609.6, need=Need(1e-6, ""), habit="in").steps)
    assert "5.5 thou over 24 in" in steps
    assert "mm" not in steps


def test_scatter_beyond_the_need_is_said():
    rounds = [Round(0.0, 0.10), Round(-0.1, -0.15), Round(0.0, 0.12)]
    fix = tram("x", 0.1, 300.0, need=Need(1e-5, ""), rounds=rounds)
    assert any("scatters" in text for text in fix.warnings)


@pytest.mark.parametrize(
    "change", [{"reading": math.nan}, {"sweep": 0.0}, {"need": 0.0}, {"need": -1.0}, {"head": Head(arm=0.0)}]
)
def test_impossible_sweeps_are_refused(change):
    call = {"reading": 0.1, "sweep": 300.0, "need": 1e-4} | change
    with pytest.raises(RemedyError):
        aim("x", call.pop("reading"), call.pop("sweep"), **call)


# --- what the part needs ------------------------------------------------------------------------------


def test_nod_in_one_pass_leans_the_face_in_full():
    need = head_need("y", FACE, squareness=0.06)
    assert need.slope == pytest.approx(0.06 / 3 / 60)
    assert need.limits == "face_out_of_square"


def test_tram_in_one_centred_pass_does_not_touch_squareness():
    assert head_need("x", FACE, squareness=0.001).slope == math.inf


def test_off_centre_it_does():
    assert head_need("x", FACE.having(cutter_offset=5.0), squareness=0.01).slope < math.inf


def test_many_passes_make_teeth_of_the_tilt_across():
    many = FACE.having(cutter_diameter=20.0, passes=4, pass_spacing=15.0)
    need = head_need("y", many, step=0.009)
    assert need.slope == pytest.approx(0.009 / 3 / 15)
    assert need.limits == "step"


def test_feed_along_y_swaps_the_tilts():
    along_y = FACE.having(feed_axis="y", part_across=60.0)
    assert head_need("y", along_y, flatness=0.02).slope == pytest.approx(
        head_need("x", FACE, flatness=0.02).slope
    )
    assert head_need("x", along_y, squareness=0.001).slope == math.inf
    assert head_need("x", along_y, parallelism=0.06).slope == pytest.approx(0.06 / 3 / 60)
