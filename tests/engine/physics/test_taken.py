"""Readings taken by hand from a grid of heights."""

from __future__ import annotations

import numpy as np
import pytest

from askew.engine.physics.limits import PhysicsError
from askew.engine.physics.surface import FaceCut, simulate_face
from askew.engine.physics.taken import take_readings

X, Y = np.linspace(-45, 45, 61), np.linspace(-30, 30, 41)


def test_a_plane_a_bowl_and_a_twist() -> None:
    z = 1e-3 * X[None, :] - 2e-3 * Y[:, None]
    got = take_readings(X, Y, z)
    assert (got.slope_right, got.slope_back) == pytest.approx((1e-3, -2e-3))
    assert (got.hollow_x, got.hollow_y, got.twist) == pytest.approx((0, 0, 0), abs=1e-15)
    bowl = take_readings(X, Y, 0.01 * (X[None, :] / 45) ** 2 + 0.02 * (Y[:, None] / 30) ** 2)
    assert (bowl.hollow_x, bowl.hollow_y) == pytest.approx((0.01, 0.02))
    twisted = take_readings(X, Y, 0.03 * (X[None, :] / 45) * (Y[:, None] / 30))
    assert twisted.twist == pytest.approx(0.06)
    assert (twisted.slope_right, twisted.slope_back) == pytest.approx((0, 0), abs=1e-15)


def test_one_pass_reads_as_the_simulator_says() -> None:
    seen = simulate_face(FaceCut(80, 60, 90, tilt_x=4e-4, tilt_y=-3e-4, slide_x=1e-4, offset=3.0), 61, 61)
    got = take_readings(seen.x, seen.y, seen.z)
    assert got.hollow_y == pytest.approx(seen.readings.hollow_across, rel=1e-9)
    assert got.slope_back == pytest.approx(seen.readings.slope_back, rel=1e-9)
    assert got.slope_right == pytest.approx(seen.readings.slope_right, rel=1e-9)


def test_a_contact_as_wide_as_the_passes_averages_their_teeth() -> None:
    row = FaceCut(10, 60, 90, passes=12, spacing=6, tilt_y=1e-3, slide_y=5e-4)
    seen = simulate_face(row, 9, 1201)
    got = take_readings(seen.x, seen.y, seen.z, contact=6.0)
    assert got.slope_back * 60 == pytest.approx(5e-4 * 54, rel=0.02)
    assert got.hollow_y == pytest.approx(0, abs=2e-4)


def test_a_grid_that_is_none_is_refused() -> None:
    with pytest.raises(PhysicsError, match="at least three by three"):
        take_readings(X, Y, np.zeros((61, 41)))
