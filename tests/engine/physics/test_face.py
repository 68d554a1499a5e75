"""The closed forms of the cut face: worked sizes, brute force, symmetry, limits, refusals."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from askew.engine.physics import face
from askew.engine.physics.envelope import Passes, pass_centres
from askew.engine.physics.limits import PhysicsError

tilts = st.floats(1e-6, 5e-3)


def brute(z: np.ndarray, y: np.ndarray) -> float:
    """Least-squares slope of a fine sampling."""
    return float(np.polyfit(y, z, 1)[0])


def test_hollow_of_a_head_out_a_tenth_of_a_millimetre_over_300() -> None:
    p = 0.10 / 300
    assert face.hollow(p, 80, 60) == pytest.approx(0.0045, abs=5e-5)
    # Five millimetres off centre leans it by about as much again, no more.
    assert abs(face.chord_slope(p, 80, 60, 5.0)) * 60 == pytest.approx(0.0040, abs=1e-4)


def test_side_away_from_the_cutter_comes_out_higher() -> None:
    assert face.chord_slope(1e-3, 80, 60, 5.0) < 0 < face.chord_slope(-1e-3, 80, 60, -5.0)
    assert face.chord_slope(1e-3, 80, 60, 0.0) == 0.0


@given(tilts, st.floats(20, 200), st.floats(0.1, 0.99), st.floats(-0.4, 0.4))
def test_chord_slope_is_the_rise_from_side_to_side(p: float, d: float, part: float, off: float) -> None:
    w = d * part
    e = off * (d - w)
    y = np.array([-w / 2, w / 2])
    z = -p * np.sqrt(np.maximum((d / 2) ** 2 - (y - e) ** 2, 0))
    assert face.chord_slope(p, d, w, e) == pytest.approx((z[1] - z[0]) / w, rel=1e-6, abs=1e-12)


@given(
    tilts, st.floats(5, 300), st.floats(0.01, 0.999), st.floats(0.1, 10)
)  # at 1 the root loses half its digits
def test_hollow_does_not_care_about_the_unit_or_the_sign(p: float, d: float, part: float, k: float) -> None:
    w = d * part
    assert face.hollow(-p, d * k, w * k) == pytest.approx(k * face.hollow(p, d, w), rel=1e-9)


def test_hollow_vanishes_with_the_tilt_and_never_passes_tilt_times_radius() -> None:
    assert face.hollow(0.0, 50, 40) == 0.0
    assert face.hollow(1e-3, 50, 50) == pytest.approx(1e-3 * 25)


CASES = [
    (20, 60, 5, 15, False),
    (20, 60, 3, 20, False),
    (40, 60, 2, 20, False),
    (50, 60, 2, 38, True),
    (20, 60, 30, 2.2, True),
    (80, 60, 2, 10, False),
    (12, 75, 9, 8.0, True),
]


@pytest.mark.parametrize(("d", "w", "n", "s", "over"), CASES)
def test_slope_share_and_drift_lean_agree_with_brute_force(
    d: float, w: float, n: int, s: float, over: bool
) -> None:
    centres = pass_centres(d, w, n, s, over)
    y = (np.arange(200_000) + 0.5) / 200_000 * w - w / 2
    z = np.full(y.size, np.inf)
    for c in centres:
        z = np.where(np.abs(y - c) <= d / 2, np.minimum(z, y - c), z)
    assert face.envelope_slope_share(d, w, n, s, over) == pytest.approx(brute(z, y), abs=2e-4)

    pair = face.drift_pair(centres, d / 2, 1.0, w)
    z = np.full(y.size, np.inf)
    for i, c in enumerate(centres):
        rise = float(pair is not None and i > pair)
        z = np.where(np.abs(y - c) <= d / 2, np.minimum(z, rise), z)
    assert face.drift_lean(d, w, n, s, over) == pytest.approx(brute(z, y), abs=2e-4 / w)


def test_shares_that_the_shop_should_expect() -> None:
    assert face.envelope_slope_share(80, 60, 1, 0, True) == 1.0
    # Many fine passes that only just cover, with a cutter a third of the width: about a fifth stays.
    assert 0.15 < face.envelope_slope_share(20, 60, 21, 2.0, False) < 0.3
    assert 1 / 3 < face.envelope_slope_share(40, 60, 2, 20, False) < 2 / 3
    assert abs(face.envelope_slope_share(20, 60, 21, 2.0, True)) < 0.01
    # One pass that covers everything leaves all of it, however many others follow.
    assert face.envelope_slope_share(80, 60, 2, 10, False) == pytest.approx(1.0)


def test_the_share_left_goes_to_the_slide_as_the_passes_close_up() -> None:
    shares = [abs(face.envelope_slope_share(20, 60, 3, s, True)) for s in (16, 8, 4, 2, 1, 0.5)]
    assert shares[-1] < 1e-3
    assert shares[-1] < shares[0]


def test_a_drift_leans_the_face_half_to_one_and_a_half_times() -> None:
    for d, w, n, s, over in CASES:
        lean = face.drift_lean(d, w, n, s, over) * w
        assert lean == 0.0 or 0.5 <= lean <= 1.5 + 1e-9
    assert face.drift_lean(20, 60, 30, 2.2, False, 0.0, True) * 60 == pytest.approx(0.9, abs=0.15)


@given(tilts, tilts, st.floats(10, 100), st.floats(0.05, 0.95))
def test_two_passes_meet_where_the_closed_form_says(cross: float, feed: float, d: float, part: float) -> None:
    s = d * part
    delta = face.joint_delta(cross, s)
    at = face.joint_position(delta, feed, d, s)
    row = Passes(np.array([-s / 2, s / 2]), d / 2, 1.0, np.array([cross, cross]), feed, np.zeros(2))
    front, back = row.heights(np.array([at]))[:, 0]
    jump = face.step(delta, feed, d, s)
    if jump == 0.0:
        assert front == pytest.approx(back, abs=1e-6 * feed * d)
    else:
        assert jump < 0 < cross
        beside = row.heights(np.array([at - 1e-9 * d, at + 1e-9 * d]))
        front_side, back_side = beside.min(axis=0)
        assert back_side - front_side == pytest.approx(jump, rel=1e-3, abs=2e-4 * feed * d)


def test_step_has_a_dead_zone_and_the_sign_of_the_higher_side() -> None:
    p, d, s = 1e-3, 50.0, 30.0
    zone = face.dead_zone(p, d, s)
    assert zone == pytest.approx(p * math.sqrt(2 * 25 * 30 - 900))
    assert face.step(zone * 0.999, p, d, s) == 0.0
    assert face.step(-2 * zone, p, d, s) == pytest.approx(-zone)
    assert face.step(0.01, 0.0, d, s) == 0.01


def test_ridge_is_highest_between_equal_passes_and_gone_at_a_step() -> None:
    p, d, s = 1e-3, 50.0, 30.0
    top = p * (25 - math.sqrt(25**2 - 15**2))
    heights = [face.ridge(p, d, s, k * face.dead_zone(p, d, s)) for k in (0, 0.3, 0.6, 0.9, 1.0)]
    assert heights[0] == pytest.approx(top)
    assert heights == sorted(heights, reverse=True)
    assert heights[-1] == 0.0


@given(tilts, tilts, st.floats(10, 100), st.floats(0.05, 0.6))
def test_teeth_agree_with_a_long_row(cross: float, feed: float, d: float, part: float) -> None:
    s = d * part
    centres = np.arange(-12, 13) * s
    row = Passes(centres, d / 2, 2 * s, np.full(25, cross), feed, np.zeros(25))
    z = row.profile(np.linspace(-s, s, 4001))
    assert face.teeth(cross, feed, d, s) == pytest.approx(float(np.ptp(z)), rel=5e-3)


def test_teeth_limits() -> None:
    assert face.teeth(1e-3, 0.0, 20, 5) == pytest.approx(5e-3)
    assert face.teeth(0.0, 1e-3, 20, 5) == pytest.approx(1e-3 * face.sagitta(10, 5))
    assert face.teeth(1e-3, 1e-3, 20, 0) == 0.0


def test_heel_cuts_when_the_plane_rises_with_the_feed() -> None:
    assert face.heel_sense(1e-3, 80) == "right"
    assert face.heel_sense(-1e-3, 80) == "left"
    assert face.heel_sense(1e-3, 80, "y") == "back"
    assert face.heel_sense(-1e-3, 80, "y") == "front"
    assert face.heel_sense(1e-5, 80) == "both"


def test_droop_goes_with_the_square_of_the_length() -> None:
    assert face.droop_hollow(0.1, 100, 500) == pytest.approx(0.004)
    assert face.droop_hollow(-0.1, 500, 500) == pytest.approx(-0.1)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: face.hollow(1e-3, 50, 60), "cutter diameter must be at least 60 mm"),
        (lambda: face.hollow(1e-3, -50, 60), "cutter diameter must be more than 0"),
        (lambda: face.hollow(float("nan"), 80, 60), "tilt must be a finite number"),
        (lambda: face.chord_slope(1e-3, 80, 60, 15), "at least 90 mm"),
        (lambda: face.envelope_slope_share(20, 60, 3, 25, False), "distance between passes must be from"),
        (lambda: face.envelope_slope_share(20, 60, 2, 15, False), "cutter diameter must be at least 45 mm"),
        (lambda: face.envelope_slope_share(20, 60, 0, 15, False), "number of passes must be from 1"),
        (lambda: face.droop_hollow(0.1, 100, 0), "table travel must be more than 0"),
        (lambda: face.step(0.1, 1e-3, 20, 30), "distance between passes must be from 0 to 20"),
    ],
)
def test_impossible_sizes_are_refused_in_one_sentence(call, words: str) -> None:
    with pytest.raises(PhysicsError, match=words) as caught:
        call()
    assert str(caught.value).endswith(".")
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("feed", [0.0, 0.001])
def test_only_the_passes_that_reach_a_place_need_a_look(feed: float) -> None:
    rng = np.random.default_rng(2)
    for spacing in (0.3, 4.0, 9.5):
        centres = pass_centres(10.0, 70.0, 3, spacing, True)
        passes = Passes(
            centres, 5.0, 70.0, rng.normal(size=centres.size), feed, rng.normal(size=centres.size)
        )
        y = np.linspace(-35.0, 35.0, 211)
        assert (passes._lowest(y) == passes.heights(y).argmin(axis=0)).all()
