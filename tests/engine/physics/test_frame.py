"""The squeezed hollow section: laws it must obey and sizes it must refuse."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from askew.engine.physics.frame import (
    Frame,
    Push,
    allowed_force,
    hollow_on_release,
    squeeze,
    thinner_top,
)
from askew.engine.physics.limits import PhysicsError

TUBE = Frame(60, 40, 4, 5, 3, 6, 80, 69_000)
MIDDLE = Push("line", 20)
FULL = Push("band", low=0, high=40)


def test_pushed_walls_go_in_and_free_walls_bulge_out() -> None:
    got = squeeze(TUBE, 500, MIDDLE)
    assert min(got.front, got.back, got.top, got.bottom) > 0
    assert got.front > got.back > 0
    assert got.top > got.bottom
    assert got.top == pytest.approx(float(got.top_shape[got.top_shape.size // 2]))


@given(st.floats(1, 1e5), st.floats(2, 38))
def test_it_is_linear_in_the_force(force: float, at: float) -> None:
    one, many = squeeze(TUBE, 1.0, Push("line", at)), squeeze(TUBE, force, Push("line", at))
    assert many.top == pytest.approx(force * one.top, rel=1e-9)
    assert many.stress == pytest.approx(force * one.stress, rel=1e-9)


@given(st.floats(0, 1))
def test_two_pushes_add_up(share: float) -> None:
    low, high = Push("band", low=0, high=20), Push("band", low=20, high=40)
    both = squeeze(TUBE, 100, FULL)
    a, b = squeeze(TUBE, 50, low), squeeze(TUBE, 50, high)
    assert both.top == pytest.approx(a.top + b.top, rel=1e-9)
    assert both.front_rise == pytest.approx(a.front_rise + b.front_rise, abs=1e-12)


@given(st.floats(1, 39))
def test_upside_down_is_the_same(at: float) -> None:
    a = squeeze(TUBE, 100, Push("line", at))
    b = squeeze(replace(TUBE, top=6, bottom=3), 100, Push("line", 40 - at))
    assert a.top == pytest.approx(b.bottom, rel=1e-7)
    assert a.corners[0] == pytest.approx(b.corners[1], rel=1e-7)
    assert a.corners[3] == pytest.approx(b.corners[2], rel=1e-7)


def test_a_push_at_a_corner_goes_straight_through() -> None:
    got = squeeze(TUBE, 1000, Push("line", 40))
    assert abs(got.top) < 1e-9
    assert got.largest_moment < 1e-6


def test_full_face_bends_less_than_a_line_and_long_tubes_less_than_rings() -> None:
    assert squeeze(TUBE, 500, FULL).top < squeeze(TUBE, 500, MIDDLE).top
    long = replace(TUBE, poisson=0.33)
    assert squeeze(long, 500, MIDDLE).top == pytest.approx((1 - 0.33**2) * squeeze(TUBE, 500, MIDDLE).top)


@given(st.floats(0.5, 6.0))
def test_deflection_falls_with_the_cube_of_the_wall(wall: float) -> None:
    even = replace(TUBE, front=wall, back=wall, top=wall, bottom=wall)
    thick = replace(TUBE, front=2 * wall, back=2 * wall, top=2 * wall, bottom=2 * wall)
    assert squeeze(even, 100, MIDDLE).top == pytest.approx(8 * squeeze(thick, 100, MIDDLE).top, rel=1e-9)


@given(st.floats(0.3, 12), st.floats(1.01, 1.2))
def test_towards_a_solid_part_everything_stiffens(wall: float, thicker: float) -> None:
    thin, thick = (Frame.from_outside(60, 50, w, 80, 69_000) for w in (wall, wall * thicker))
    a, b = (squeeze(f, 1000, Push("line", f.height / 2)) for f in (thin, thick))
    assert 0 < b.top < a.top
    assert 0 < b.front < a.front
    assert b.stress < a.stress


def test_a_wall_of_a_third_is_as_good_as_solid() -> None:
    nearly = Frame.from_outside(50, 50, 16, 80, 69_000)
    assert squeeze(nearly, 20_000, Push("line", nearly.height / 2)).top < 0.005


def test_a_high_push_racks_the_ring_and_lets_the_far_end_of_the_jaw_go() -> None:
    high = squeeze(TUBE, 500, Push("line", 35), FULL)
    low = squeeze(TUBE, 500, Push("line", 5), FULL)
    assert high.front_rise != pytest.approx(0, abs=1e-6)
    assert np.sign(high.front_rise) != np.sign(low.front_rise) or TUBE.top != TUBE.bottom
    with pytest.raises(PhysicsError, match="part rolls"):
        squeeze(TUBE, 500, Push("line", 38), Push("band", low=0, high=30))
    with pytest.raises(PhysicsError, match="part rolls"):
        squeeze(TUBE, 500, Push("line", 30), Push("line", 20))


def test_allowed_force_gives_back_the_wanted_distortion() -> None:
    force = allowed_force(TUBE, 0.01, MIDDLE)
    assert hollow_on_release(TUBE, force, MIDDLE) == pytest.approx(0.01)
    assert hollow_on_release(thinner_top(TUBE, 1.0), force, MIDDLE) > 0.01
    assert allowed_force(TUBE, 0.01, MIDDLE, of="at_push") < allowed_force(
        TUBE, 0.01, MIDDLE, of="front_rise"
    )


def test_outside_sizes() -> None:
    tube = Frame.from_outside(64, 44, 4, 80, 69_000)
    assert (tube.depth, tube.height, tube.top) == (60, 40, 4)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: Frame.from_outside(50, 50, 25, 80, 69_000), "thinner than half the part"),
        (lambda: Frame.from_outside(50, 50, 18, 80, 69_000), "at most a third"),
        (lambda: Frame.from_outside(50, 50, -1, 80, 69_000), "wall thickness must be more than 0"),
        (lambda: replace(TUBE, top=30), "top wall must be more than 0 and at most 20 mm"),
        (lambda: replace(TUBE, modulus=0), "modulus must be more than 0"),
        (lambda: replace(TUBE, poisson=0.7), "Poisson's ratio must be from 0 to 0.5"),
        (lambda: squeeze(TUBE, -5, MIDDLE), "clamp force must be more than 0"),
        (lambda: squeeze(TUBE, 5, Push("line", 50)), "height of the push must be from 0 to 40"),
        (lambda: squeeze(TUBE, 5, Push("band", low=10, high=10)), "width of the push"),
        (lambda: allowed_force(TUBE, 0, MIDDLE), "wanted distortion must be more than 0"),
        (lambda: thinner_top(TUBE, 3), "depth of cut must be more than 0 and at most"),
    ],
)
def test_impossible_frames_are_refused(call, words: str) -> None:
    with pytest.raises(PhysicsError, match=words):
        call()
