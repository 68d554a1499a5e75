from __future__ import annotations

import pytest

from askew.engine.physics.readings import predict
from askew.engine.remedies.result import RemedyError
from askew.engine.remedies.shims import PLACES, shim
from askew.engine.setup import Setup

CALL = {"distance": 200.0, "over": 300.0}


def test_thickness_is_slope_times_distance():
    """0.15 mm over 300 mm, 200 mm from bolts to hinge: 0.0005 * 200 = 0.10 mm, one leaf."""
    fix = shim("nod", 0.0005, **CALL)
    assert fix.numbers["thickness"] == pytest.approx(0.10)
    assert fix.numbers["leaves"] == 1
    assert fix.numbers["left"] == pytest.approx(0.0, abs=1e-12)
    assert "0.100 mm (one leaf)" in " ".join(fix.steps)


@pytest.mark.parametrize(
    ("source", "plus", "minus"),
    [
        ("nod", "bottom", "top"),
        ("lean_fore", "back", "front"),
        ("lean_side", "right", "left"),
        ("bed_tilt_y", "front", "back"),
        ("bed_tilt_x", "left", "right"),
        ("fixed_jaw_lean", "top", "bottom"),
        ("jaw_plate_seat", "top", "bottom"),
    ],
)
def test_the_edge_that_goes_up_or_out(source, plus, minus):
    assert plus in " ".join(shim(source, 0.001, **CALL).steps[2:3])
    assert minus in " ".join(shim(source, -0.001, **CALL).steps[2:3])


@pytest.mark.parametrize("source", PLACES)
def test_the_proving_reading_is_predicted_as_the_forward_model_has_it(source):
    """What is left of the slope must read in the middle of the predicted interval."""
    fix = shim(source, 0.00047, **CALL)
    expected = fix.predicts[0]
    reads = float(
        predict(expected.reading, Setup(vertical_travel="knee"), {source: fix.numbers["left"]}, over=300.0)
    )
    assert (expected.low + expected.high) / 2 == pytest.approx(reads)
    assert expected.low < reads < expected.high


def test_the_common_set_follows_the_unit():
    inch = shim("nod", 0.001, habit="in", **CALL)
    assert "thou" in " ".join(inch.steps)
    assert inch.numbers["total"] / 0.0254 == pytest.approx(8.0)


def test_a_small_lean_is_better_worked_round():
    assert any("Better not" in text for text in shim("lean_fore", 0.00006, **CALL).warnings)
    assert not any("Better not" in text for text in shim("lean_fore", 0.0006, **CALL).warnings)


def test_many_leaves_are_warned_of_and_cost_stiffness():
    fix = shim("nod", 0.0005, on_hand=[0.03, 0.04], need=1e-6, **CALL)
    assert len(fix.warnings) == 1
    assert "more than two leaves" in fix.warnings[0].lower()
    assert "4 contact faces" in fix.cost.stiffness


def test_leaves_that_come_nowhere_near_are_named():
    fix = shim("nod", 0.0005, on_hand=[1.0], **CALL)
    assert fix.numbers["leaves"] == 0
    assert "No shim" in fix.steps[0]


def test_columns_say_what_goes_with_them_and_what_to_block():
    fix = shim("lean_fore", 0.001, **CALL)
    assert "block_head_first" in fix.cautions
    assert "head" in fix.cost.disturbs
    assert any("nod moves with it" in text for text in fix.shows)


@pytest.mark.parametrize(
    "change", [{"source": "tram"}, {"slope": float("inf")}, {"distance": 0.0}, {"over": -1.0}]
)
def test_impossible_shims_are_refused(change):
    call = {"source": "nod", "slope": 0.001, **CALL} | change
    with pytest.raises(RemedyError):
        shim(call.pop("source"), call.pop("slope"), call.pop("distance"), **call)
