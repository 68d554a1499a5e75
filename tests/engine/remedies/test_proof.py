from __future__ import annotations

import numpy as np
import pytest

from askew.engine.physics.readings import predict
from askew.engine.remedies.draws import having_fixed, shares, usual
from askew.engine.remedies.proof import Proof, judge, proofs
from askew.engine.remedies.result import RemedyError
from askew.engine.setup import Setup
from askew.knowledge.load import load

SETUP = Setup(
    machine="knee_mill",
    part_across=60.0,
    part_along=90.0,
    part_height=60.0,
    part_depth=60.0,
    grip_height=40.0,
    cutter_diameter=80.0,
    passes=1,
    seat="jaw",
    tolerance=0.03,
)
LIFT = Proof("face_out_of_square", -0.03, 0.0, 0.03, -0.20, 60.0, ("jaw_lift",), tolerance=0.03)
LEAN = Proof("fixed_jaw_square", -0.01, 0.0, 0.01, 0.05, 40.0, ("fixed_jaw_lean",))


def only(**sizes: float) -> dict[str, np.ndarray]:
    return {source: np.full(2000, sizes.get(source, 0.0)) for source in load().sources}


def test_as_predicted_and_in_tolerance_closes():
    said = judge(LIFT, -0.01)
    assert (said.outcome, said.as_predicted) == ("closed", True)
    assert said.change == pytest.approx(0.95)
    assert said.sentence.startswith("Closed")


def test_hardly_moved_reopens_and_clears_the_cause():
    said = judge(LIFT, -0.19)
    assert said.outcome == "reopened"
    assert "not the cause" in said.sentence
    assert "jaw lift" in said.sentence


def test_half_way_says_that_it_is_not_the_whole_cause():
    said = judge(LIFT, -0.10)
    assert said.outcome == "reopened"
    assert "not the whole cause" in said.sentence


def test_past_the_mark_says_overdone():
    said = judge(LIFT, 0.20)
    assert said.outcome == "reopened"
    assert "overdone" in said.sentence


def test_predicted_but_out_of_tolerance_looks_elsewhere():
    said = judge(Proof("face_out_of_square", -0.08, 0.0, 0.08, -0.2, 60.0, ("jaw_lift",), 0.03), 0.06)
    assert (said.outcome, said.as_predicted) == ("reopened", True)
    assert "something other" in said.sentence


def test_a_good_part_closes_even_as_a_surprise():
    said = judge(Proof("face_out_of_square", -0.2, -0.1, -0.04, -0.2, 60.0, ("jaw_lift",), 0.03), 0.0)
    assert (said.outcome, said.as_predicted) == ("closed", False)
    assert "one more part" in said.sentence


def test_without_a_tolerance_the_interval_decides():
    assert judge(LEAN, 0.005).outcome == "closed"
    assert judge(LEAN, 0.04).outcome == "reopened"


def test_the_reading_before_the_fix_overrides_the_belief():
    assert judge(LEAN, 0.02, before=0.022).change == pytest.approx(0.002 / 0.022)


def test_sentences_speak_the_persons_unit():
    assert "thou" in judge(LIFT, -0.19, "in").sentence
    assert "mm" in judge(LIFT, -0.19, "mm").sentence


@pytest.mark.parametrize("reading", [float("nan"), float("inf")])
def test_readings_that_are_none_are_refused(reading):
    with pytest.raises(RemedyError):
        judge(LIFT, reading)


def test_the_prediction_follows_the_mended_source():
    """Lift 0.2 mm on 60 mm deep puts 60 mm of height 0.2 mm closed; mended, next to nothing is left."""
    found = proofs(["face_out_of_square"], ["jaw_lift"], only(jaw_lift=0.2), SETUP)[0]
    assert found.before == pytest.approx(-0.2)
    assert found.low < found.mid < 0.0 < found.high
    assert found.high - found.low < 0.06


def test_what_is_not_mended_stays_in_the_prediction():
    found = proofs(["face_out_of_square"], ["jaw_lift"], only(jaw_lift=0.2, fixed_jaw_lean=0.002), SETUP)[0]
    assert found.mid == pytest.approx(-0.12, abs=0.02)


def test_intervals_hold_as_many_readings_as_they_say():
    """Shops drawn afresh, mended the same way and read with scatter: nine in ten fall inside."""
    found = proofs(
        ["face_out_of_square"], ["jaw_lift"], usual(4000, SETUP, seed=1), SETUP, share=0.9, seed=2
    )[0]
    n, rng = 4000, np.random.default_rng(8)
    mended = having_fixed(usual(n, SETUP, seed=8), ["jaw_lift"], SETUP, rng)
    reads = predict("face_out_of_square", SETUP, mended, changes=shares(n, SETUP, 9))  # type: ignore[arg-type]
    reads = reads + load().readings["face_out_of_square"].scatter * rng.standard_normal(n)
    inside = np.mean((reads >= found.low) & (reads <= found.high))
    assert inside == pytest.approx(0.9, abs=0.02)


def test_a_head_set_only_to_what_the_part_needs_is_predicted_so():
    close = proofs(["sweep_x"], ["tram"], only(tram=1e-3), SETUP)[0]
    loose = proofs(["sweep_x"], ["tram"], only(tram=1e-3), SETUP, left={"tram": 4e-4})[0]
    assert loose.high - loose.low > 2 * (close.high - close.low)


def test_signs_are_no_numbers_and_are_left_out():
    assert proofs(["ink_print", "parallel_loose"], ["jaw_lift"], only(), SETUP) == ()
