"""The picture of the face has the readings that it is drawn from."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from askew.engine.physics.face import hollow
from askew.engine.physics.readings import predict
from askew.engine.report.face import profile
from askew.engine.report.shapes import circle_from, circle_of, shape_of
from askew.engine.setup import Setup

SETUP = Setup(
    cutter_diameter=80.0,
    passes=1,
    feed_axis="x",
    part_across=60.0,
    part_along=90.0,
    part_height=60.0,
    cutter_offset=0.0,
)


def test_a_tilted_head_draws_its_hollow() -> None:
    """A head 0.10 mm out over 300 mm hollows 60 mm under an 80 mm cutter by 0.0045 mm (sagitta)."""
    picture = profile(SETUP, {"tram": 0.10 / 300}, {}, {})
    assert picture is not None
    assert picture.predicted is not None
    ends = (picture.predicted[0] + picture.predicted[-1]) / 2
    assert ends - picture.predicted[len(picture.places) // 2] == pytest.approx(
        hollow(0.10 / 300, 80, 60), rel=1e-9
    )
    assert ends == pytest.approx(0.0045, abs=5e-5)


def test_a_lifted_front_draws_a_face_that_is_low_in_front() -> None:
    sizes = {"jaw_lift": 0.2}
    lean = float(predict("face_out_of_square", SETUP, sizes))
    assert lean < 0  # the corner is closed
    picture = profile(SETUP, sizes, {"face_out_of_square": lean}, {"face_out_of_square": -0.2})
    assert picture is not None
    assert picture.predicted is not None
    assert picture.measured is not None
    assert (picture.left, picture.right) == ("front", "back")
    assert picture.predicted[-1] - picture.predicted[0] == pytest.approx(-lean, rel=1e-6)
    assert picture.measured[-1] - picture.measured[0] == pytest.approx(0.2)


@given(st.floats(-0.3, 0.3), st.floats(-0.05, 0.05), st.floats(-0.02, 0.02), st.integers(1, 6))
@settings(max_examples=60, deadline=None)
def test_the_measured_line_has_the_readings_it_is_drawn_from(
    lean: float, bow: float, step: float, passes: int
) -> None:
    setup = SETUP.having(passes=passes, pass_spacing=60.0 / passes)
    measured = {"face_out_of_square": lean, "hollow_across": bow} | ({"step": step} if passes > 1 else {})
    picture = profile(setup, {}, {}, measured)
    assert picture is not None
    line, u = picture.measured, picture.places / picture.places[-1]
    assert line is not None
    if passes > 1:
        # Away from the joints only the teeth bend it: take them off and a parabola is left.
        jumps = np.diff(line)
        smooth = np.median(jumps)
        assert np.abs(jumps - smooth).max() == pytest.approx(
            abs(step), abs=abs(step) * 0.2 + abs(bow) * 0.1 + 1e-9
        )
    else:
        fit = np.polyfit(u, line, 2)
        assert fit[1] * 2 == pytest.approx(-lean, abs=1e-9)
        assert fit[0] == pytest.approx(bow, abs=1e-9)


def test_shapes_have_their_names() -> None:
    x = np.linspace(-30, 30, 241)
    assert shape_of(x, 0.001 * x).name == "slope"
    assert shape_of(x, 1e-5 * x**2).name == "hollow"
    assert shape_of(x, -1e-5 * x**2).name == "crowned"
    assert shape_of(x, 0.01 * ((x / 10) % 1)).name == "sawtooth"
    assert shape_of(x, 0 * x).name == "flat"
    lean = shape_of(x, 0.001 * x + 1e-5 * x**2)
    assert lean.rise == pytest.approx(0.06)
    assert lean.hollow == pytest.approx(0.009)
    assert lean.teeth == pytest.approx(0.0, abs=1e-12)


@given(st.floats(-0.5, 0.5), st.floats(-0.5, 0.5))
def test_a_clock_of_readings_gives_the_sweep_back(x: float, y: float) -> None:
    circle = circle_of(x, y)
    # With readings at the two ends: left minus right, front minus back.
    assert circle.readings[9] - circle.readings[3] == pytest.approx(x, abs=1e-12)
    assert circle.readings[6] - circle.readings[12] == pytest.approx(y, abs=1e-12)
    back = circle_from(circle.readings)
    assert (back.tilt_x, back.tilt_y) == (pytest.approx(x, abs=1e-12), pytest.approx(y, abs=1e-12))
    assert min(circle.readings.values()) >= -1e-12
    if math.hypot(x, y) > 1e-6:
        # The needle reads most where the cutter plane is lowest.
        assert circle.low is not None
        highest = max(circle.readings, key=lambda hour: circle.readings[hour])
        assert abs((highest * 30 - circle.low + 180) % 360 - 180) <= 15.0 + 1e-6


def test_a_sweep_one_way_says_nothing_of_the_other() -> None:
    side = circle_of(0.06, None)
    assert side.readings == {9: 0.06, 3: 0.0}
    assert (side.tilt_x, side.tilt_y, side.low) == (0.06, None, None)
    assert circle_of(None, -0.02).readings == {6: 0.0, 12: 0.02}
    with pytest.raises(ValueError, match="at least one direction"):
        circle_of(None, None)


def test_a_clock_needs_three_hours() -> None:
    with pytest.raises(ValueError, match="at least three"):
        circle_from({3: 0.1, 9: 0.2})
    with pytest.raises(ValueError, match="hours from 1 to 12"):
        circle_from({3: 0.1, 9: 0.2, 13: 0.1})
