"""The surface simulator: against its closed forms, brute force, mirror images and impossible cuts."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from askew.engine.physics import face
from askew.engine.physics.limits import PhysicsError
from askew.engine.physics.surface import FaceCut, simulate_face

ONE = FaceCut(diameter=80, across=60, along=90)
slopes = st.floats(-2e-3, 2e-3)


def sweep_of_the_rim(cut: FaceCut, x: float, y: float, centres: list[tuple[float, float]]) -> float:
    """Height left at one place by stepping a tilted rim along, point by point (slow, independent)."""
    best = np.inf
    for yc, rise in centres:
        xc = np.linspace(-200, 200, 40_001)
        inside = (x - xc) ** 2 + (y - yc) ** 2 <= (cut.diameter / 2) ** 2
        if inside.any():
            u, v = x - xc[inside], y - yc
            z = rise + cut.slide_x * xc[inside] + cut.slide_y * yc + cut.tilt_x * u + cut.tilt_y * v
            best = min(best, float(z.min()))
    return best


@pytest.mark.parametrize("sign", [1, -1])
def test_the_surface_is_what_a_tilted_disc_cuts_away(sign: int) -> None:
    cut = FaceCut(
        40, 60, 90, passes=2, spacing=30, overrun=False, rises=(0.0, 0.004),
        tilt_x=sign * 8e-4, tilt_y=5e-4, slide_x=-2e-4, slide_y=3e-4,
    )  # fmt: skip
    surface = simulate_face(cut, 7, 9)
    origin = surface.z[0, 0] - sweep_of_the_rim(cut, -45, -30, [(-15, 0.0), (15, 0.004)])
    for i, x in enumerate(surface.x):
        for j, y in enumerate(surface.y):
            expected = sweep_of_the_rim(cut, float(x), float(y), [(-15, 0.0), (15, 0.004)])
            assert surface.z[j, i] - origin == pytest.approx(expected, abs=2e-5)


@given(slopes, slopes, slopes, slopes)
def test_one_centred_pass_agrees_with_the_closed_forms(
    tilt_x: float, tilt_y: float, slide_x: float, slide_y: float
) -> None:
    cut = replace(ONE, tilt_x=tilt_x, tilt_y=tilt_y, slide_x=slide_x, slide_y=slide_y)
    read = simulate_face(cut).readings
    assert read.hollow_across == pytest.approx(face.hollow(tilt_x - slide_x, 80, 60), rel=1e-6, abs=1e-15)
    assert read.slope_back == pytest.approx(tilt_y, rel=1e-6, abs=1e-15)
    assert read.slope_right == pytest.approx(slide_x, rel=1e-6, abs=1e-15)
    assert read.step == read.ridge == 0.0


@given(slopes, st.floats(-9, 9))
def test_one_pass_off_the_middle_leans_by_the_chord(tilt_x: float, offset: float) -> None:
    read = simulate_face(replace(ONE, tilt_x=tilt_x, offset=offset)).readings
    assert read.slope_back == pytest.approx(face.chord_slope(tilt_x, 80, 60, offset), rel=1e-6, abs=1e-15)


MANY = replace(ONE, diameter=25, passes=4, spacing=17)


@pytest.mark.parametrize("overrun", [True, False])
@pytest.mark.parametrize("tilt", [1e-3, -4e-4])
def test_many_passes_agree_with_share_step_and_lean(overrun: bool, tilt: float) -> None:
    read = simulate_face(replace(MANY, overrun=overrun, tilt_y=tilt, slide_y=2e-4)).readings
    share = face.envelope_slope_share(25, 60, 4, 17, overrun)
    assert read.slope_back == pytest.approx(2e-4 + share * (tilt - 2e-4), rel=1e-6)
    assert read.step == pytest.approx(-(tilt - 2e-4) * 17, rel=1e-6)
    for once, share in ((True, 1.0), (False, 1 / 3)):
        moved = replace(MANY, overrun=overrun, rise=0.01, once=once)
        read = simulate_face(moved).readings
        lean = face.drift_lean(25, 60, 4, 17, overrun, 0.0, not once)
        assert read.slope_back == pytest.approx(0.01 * lean, rel=1e-6)
        assert read.step == pytest.approx(0.01 * share)
        read = simulate_face(replace(moved, order="back_to_front")).readings
        assert read.slope_back == pytest.approx(-0.01 * lean, rel=1e-6)
        assert read.step == pytest.approx(-0.01 * share)
    read = simulate_face(replace(MANY, overrun=overrun, tilt_x=tilt)).readings
    assert read.ridge == pytest.approx(face.ridge(tilt, 25, 17), rel=1e-6)
    assert read.hollow_across == pytest.approx(
        abs(tilt) * face.hollow_share(25, 60, 4, 17, overrun), rel=1e-6
    )
    assert read.teeth == pytest.approx(face.teeth(0, tilt, 25, 17), rel=1e-3)


@given(st.floats(2e-5, 2e-3), st.floats(2e-5, 2e-3), st.floats(-0.02, 0.02))
def test_two_passes_step_as_the_closed_form_with_both_tilts(feed: float, cross: float, rise: float) -> None:
    cut = FaceCut(50.8, 76.2, 90, passes=2, spacing=38.1, overrun=False, rise=rise, tilt_x=feed, tilt_y=cross)
    delta = face.joint_delta(cross, 38.1, rise)
    expected = face.step(delta, feed, 50.8, 38.1)
    read = simulate_face(cut).readings
    assert read.step == pytest.approx(expected, rel=1e-6, abs=1e-9)
    if expected == 0.0:
        assert read.ridge == pytest.approx(face.ridge(feed, 50.8, 38.1, delta), rel=1e-6, abs=1e-12)


def test_where_the_step_formula_does_not_hold() -> None:
    """One pass moved in a close row: the next ones reach into the joint, and the step is smaller."""
    cut = FaceCut(60, 50, 90, passes=6, spacing=10, tilt_x=5e-4, rise=0.02, once=True)
    read = simulate_face(cut).readings
    alone = face.step(0.02, 5e-4, 60, 10)
    reach = 5e-4 * 30  # the whole hollow of the rim is the widest dead zone there can be
    assert 0.02 - reach - 1e-9 <= read.step < alone


@given(slopes, slopes, slopes, st.floats(-4, 4), st.floats(-0.02, 0.02))
def test_mirror_front_to_back(tx: float, ty: float, sy: float, offset: float, rise: float) -> None:
    cut = FaceCut(30, 60, 90, 3, 20, offset, tilt_x=tx, tilt_y=ty, slide_y=sy, rise=rise)
    twin = replace(cut, offset=-offset, tilt_y=-ty, slide_y=-sy, order="back_to_front")
    a, b = simulate_face(cut, 9, 41), simulate_face(twin, 9, 41)
    assert a.readings.slope_back == pytest.approx(
        -b.readings.slope_back, abs=1e-10
    )  # joints move by roundings
    assert a.readings.hollow_across == pytest.approx(b.readings.hollow_across, abs=1e-9)
    # On a joint the two sides differ; which of them a grid place takes is rounding.
    assert np.mean(np.abs(a.z - b.z[::-1]) > 1e-9) < 0.2


@given(slopes, slopes, slopes, slopes)
def test_feeding_along_y_trades_the_axes(tx: float, ty: float, sx: float, sy: float) -> None:
    a = simulate_face(FaceCut(80, 60, 90, tilt_x=tx, tilt_y=ty, slide_x=sx, slide_y=sy))
    b = simulate_face(
        FaceCut(
            80, 60, 90, feed_axis="y", tilt_x=ty, tilt_y=tx, slide_x=sy, slide_y=sx, order="left_to_right"
        )
    )
    assert np.allclose(a.z, b.z.T, atol=1e-14)
    assert a.readings.slope_back == pytest.approx(b.readings.slope_right, abs=1e-15)
    assert a.readings.hollow_across == pytest.approx(b.readings.hollow_across, abs=1e-15)


@given(st.floats(0.1, 30))
def test_the_unit_does_not_matter(k: float) -> None:
    cut = FaceCut(30, 60, 90, 3, 20, 2.0, tilt_x=4e-4, tilt_y=-6e-4, slide_y=1e-4, rise=0.01)
    big = replace(
        cut,
        diameter=30 * k,
        across=60 * k,
        along=90 * k,
        spacing=20 * k,
        offset=2 * k,
        rise=0.01 * k,
        travel=500 * k,
    )
    a, b = simulate_face(cut).readings, simulate_face(big).readings
    assert b.slope_back == pytest.approx(a.slope_back, rel=1e-7)
    assert b.step == pytest.approx(k * a.step, rel=1e-7)
    assert b.hollow_across == pytest.approx(k * a.hollow_across, rel=1e-6)


@given(slopes, slopes, st.floats(-0.05, 0.05))
def test_slides_add_to_a_level_cut(sx: float, sy: float, droop: float) -> None:
    """A cutter parallel to the slide cuts flat, however the table lies; what the slide does adds up."""
    read = simulate_face(replace(MANY, tilt_x=sx, tilt_y=sy, slide_x=sx, slide_y=sy, droop=droop)).readings
    assert read.slope_back == pytest.approx(sy, abs=1e-12)
    assert read.slope_right == pytest.approx(sx, abs=1e-12)
    assert read.teeth == pytest.approx(0, abs=1e-12)
    assert read.hollow_along == pytest.approx(face.droop_hollow(droop, 90, 500), abs=1e-15)


def test_droop_shows_across_when_the_feed_is_along_y() -> None:
    cut = FaceCut(10, 200, 60, passes=30, spacing=7, feed_axis="y", droop=0.1, order="left_to_right")
    read = simulate_face(cut).readings
    assert read.hollow_across == pytest.approx(face.droop_hollow(0.1, 200, 500), rel=0.05)
    assert read.hollow_along == 0.0
    # In one pass the table stands still in X, so that its curve leaves nothing.
    assert simulate_face(FaceCut(80, 60, 90, feed_axis="y", droop=0.1)).readings.hollow_across == 0.0


def test_droop_of_the_saddle_is_that_of_the_table_turned_round() -> None:
    curves = {"droop": 0.1, "travel": 400, "droop_y": 0.07, "travel_y": 250}
    turned = {"droop": 0.07, "travel": 250, "droop_y": 0.1, "travel_y": 400}
    cut = FaceCut(10, 200, 60, passes=30, spacing=7)
    x = replace(cut, tilt_x=1e-4, **curves)
    y = replace(cut, tilt_y=1e-4, feed_axis="y", order="left_to_right", **turned)
    a, b = simulate_face(x), simulate_face(y)
    assert np.allclose(a.z, b.z.T, atol=1e-12)
    assert a.readings.hollow_across == pytest.approx(face.droop_hollow(0.07, 200, 250), rel=0.05)


def test_lost_motion_steps_every_other_pass() -> None:
    cut = replace(MANY, overrun=False, lost_motion=0.01)
    steps = [j.step for j in simulate_face(cut).readings.joints]
    assert steps == pytest.approx([0.01, -0.01, 0.01])
    one_way = simulate_face(replace(cut, feed_sense="right")).readings
    assert one_way.joints == ()


def test_heel_senses() -> None:
    tilted = replace(ONE, tilt_x=1e-3)
    assert simulate_face(replace(tilted, feed_sense="right")).readings.heel == "right"
    assert simulate_face(replace(tilted, feed_sense="left")).readings.heel == "none"
    assert simulate_face(replace(MANY, tilt_x=1e-3)).readings.heel == "right"
    assert simulate_face(MANY).readings.heel == "both"
    along_y = replace(tilted, feed_axis="y", tilt_x=0.0, tilt_y=-1e-3, feed_sense="front")
    assert simulate_face(along_y).readings.heel == "front"


def test_a_cutter_that_stops_leaves_the_arc_of_its_low_heel_behind() -> None:
    full = simulate_face(replace(ONE, tilt_x=1e-3, feed_sense="right"), 91, 61)
    short = simulate_face(replace(ONE, tilt_x=1e-3, feed_sense="right", stops=0.0), 91, 61)
    # Up to where the heel came, the face is as it would be; beyond it stands proud by up to tilt * D.
    rise = short.z - full.z
    rise = rise - rise[:, 0].mean()
    assert np.abs(rise[:, short.x <= 45 - 40]).max() < 1e-12
    assert rise[30, -1] == pytest.approx(1e-3 * 80, rel=1e-2)
    # With the toe low the run-off does not matter.
    toe = simulate_face(replace(ONE, tilt_x=-1e-3, feed_sense="right", stops=0.0))
    assert toe.readings.hollow_across == pytest.approx(face.hollow(1e-3, 80, 60))
    assert toe.readings.hollow_along == pytest.approx(0, abs=1e-12)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"diameter": 50}, "cutter diameter must be at least 60 mm"),
        ({"passes": 2, "spacing": 90}, "distance between passes must be from"),
        ({"along": 0}, "length of the face must be more than 0"),
        ({"tilt_x": 0.5}, "tilt to the right must be a slope"),
        ({"slide_y": float("inf")}, "saddle slope must be a finite number"),
        ({"travel": -1}, "table travel must be more than 0"),
        ({"feed_sense": "back"}, "feed sense along X must be right, left or both"),
        ({"rises": (0.0, 0.1)}, "one number for each pass"),
        ({"stops": -40.0}, "leaves part of it uncut"),
    ],
)
def test_impossible_cuts_are_refused(change: dict[str, object], words: str) -> None:
    with pytest.raises(PhysicsError, match=words):
        simulate_face(replace(ONE, **change))


def test_named_readings_carry_the_sign_of_an_open_corner() -> None:
    read = simulate_face(replace(ONE, tilt_y=1e-3, slide_x=2e-4)).readings.named(50, 60, 90, "x")
    assert read["face_out_of_square"] == pytest.approx(-0.05)
    assert read["face_out_of_parallel_across"] == pytest.approx(0.06)
    assert read["face_out_of_parallel_along"] == pytest.approx(0.018)
