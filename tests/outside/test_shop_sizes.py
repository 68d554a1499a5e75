"""Sizes a machinist knows by heart (common practice, no source), in inches as they are spoken."""

from __future__ import annotations

import pytest

from askew.engine.physics import face
from askew.engine.physics.surface import FaceCut, simulate_face

INCH = 25.4
THOU = 0.0254
# Readings of 1.0 and 6.5 thou at the ends of a 24 in swing: common practice, no source.
TILT = (6.5 - 1.0) * THOU / (24 * INCH)


def test_a_tilt_of_five_and_a_half_thou_hollows_a_face_by_a_sixth_of_a_thou() -> None:
    """Common practice, no source: a 4 in cutter over a 3 in face."""
    hollow = face.hollow(TILT, 4 * INCH, 3 * INCH)
    assert hollow / THOU == pytest.approx(0.155, abs=5e-4)
    read = simulate_face(FaceCut(4 * INCH, 3 * INCH, 5 * INCH, tilt_x=TILT)).readings
    assert read.hollow_across == pytest.approx(hollow, rel=1e-6)
    assert read.slope_back == pytest.approx(0.0, abs=1e-12)


def test_no_such_tilt_explains_fifteen_thou_out_of_square_over_three_inches() -> None:
    """Common practice, no source: even leaned the worse way, it puts 3 in out by under 0.7 thou."""
    worst = TILT * 3 * INCH
    assert worst / THOU == pytest.approx(0.6875)
    assert worst < 15 * THOU / 20


def test_two_passes_with_that_tilt_leave_a_smooth_ridge_and_no_true_step() -> None:
    """Common practice, no source: a 2 in cutter, passes 1.5 in apart, the tilt along the feed."""
    read = simulate_face(
        FaceCut(2 * INCH, 3 * INCH, 5 * INCH, passes=2, spacing=1.5 * INCH, overrun=False, tilt_x=TILT)
    ).readings
    assert abs(read.step) < 0.01 * THOU
    assert 0 < read.ridge < 0.1 * THOU
    assert face.ridge(TILT, 2 * INCH, 1.5 * INCH) == pytest.approx(read.ridge, rel=1e-6)


def test_a_true_step_of_a_thou_needs_two_thirds_of_a_thou_an_inch_across_the_feed() -> None:
    """Common practice, no source."""
    across = 0.667 * THOU / INCH
    cut = FaceCut(2 * INCH, 3 * INCH, 5 * INCH, passes=2, spacing=1.5 * INCH, overrun=False, tilt_y=across)
    assert abs(simulate_face(cut).readings.step) / THOU == pytest.approx(1.0, abs=0.002)
    # With the tilt along the feed as well, the dead zone takes off a little, not the most of it.
    delta = face.joint_delta(across, 1.5 * INCH)
    assert 0.7 < abs(face.step(delta, TILT, 2 * INCH, 1.5 * INCH)) / THOU < 1.0


def test_half_a_thou_over_the_swing_is_well_trammed() -> None:
    """Common practice, no source: what is left then hollows a 3 in face by under two hundredths of a thou."""
    tilt = 0.5 * THOU / (24 * INCH)
    assert face.hollow(tilt, 4 * INCH, 3 * INCH) < 0.02 * THOU
    assert face.heel_sense(tilt, 2 * INCH) == "both"
