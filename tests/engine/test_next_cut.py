"""The chance of a good next cut, and what it asks to be put right beside the cause."""

from __future__ import annotations

import json

import numpy as np
import pytest

from askew.engine.ahead import how_to_fix
from askew.engine.consult import Consultation
from askew.engine.next_cut import ENOUGH, alongside, next_cut
from askew.engine.record.journal import Journal
from askew.engine.standing import Standing
from askew.engine.trial.play import conversation
from askew.knowledge.load import load

JOB = {
    "machine": "knee_mill", "cutter_diameter": 80.0, "cutter_kind": "face_mill", "passes": 1, "feed_axis": "x",
    "part_across": 40.0, "part_along": 60.0, "part_height": 42.0, "grip_height": 18.0, "moving_jaw_contact": "bar",
    "gripped_face": "fixed", "leaned_on_purpose": False, "tolerance": 0.05,
}  # fmt: skip


def told(*lines: dict[str, object]) -> Standing:
    consultation = Consultation(Journal.in_memory())
    for line in lines:
        turn = consultation.say(json.dumps(line))
        assert turn.error is None, turn.error
    return consultation.standing


@pytest.fixture(scope="module")
def pressed() -> Standing:
    """The jaw lifted a part at a bar; then the bar was taken out for a check, and the plain jaw presses its wall."""
    lines = [json.loads(line) for line, _ in conversation(30019)]
    return told({"setup": {"tolerance": 0.05}}, *lines)


def test_what_came_in_since_is_put_right_too(pressed: Standing) -> None:
    cut = next_cut(pressed, ["jaw_lift"])
    assert cut is not None
    assert pressed.named == ("jaw_lift",)
    assert cut.alone < 0.1
    assert "wall_squeeze" in cut.also
    assert cut.chance > 0.9
    assert "wall_squeeze" in alongside(pressed, ["jaw_lift"])


def test_the_chance_is_what_fixes_one_by_one_come_to(pressed: Standing) -> None:
    """Chances agree with draws of the complaint counted one at a time, each through the formula for single numbers."""
    from askew.engine.next_cut import DRAWS, _Fixes
    from askew.engine.physics.readings import predict
    from askew.engine.remedies.draws import shares

    fixes = _Fixes(pressed, "face_out_of_square", 0.05, 42.5)
    after, setup = fixes._after(["jaw_lift"])
    drawn = shares(DRAWS, setup)
    good = 0
    for i in range(DRAWS):
        one = {source: float(values[i]) for source, values in after.items()}
        changes = {key: float(values[i]) for key, values in drawn.items()}
        good += abs(float(predict("face_out_of_square", setup, one, 42.5, changes=changes))) <= 0.05
    assert fixes.chance(["jaw_lift"]) == pytest.approx(good / DRAWS, abs=1e-12)


def test_a_wider_tolerance_and_a_needle_never_make_it_worse(pressed: Standing) -> None:
    from askew.engine.next_cut import _Fixes

    chances = [_Fixes(pressed, "face_out_of_square", goal, 42.5).chance(["jaw_lift"]) for goal in (0.02, 0.05, 0.5)]
    assert chances == sorted(chances)
    cut = next_cut(pressed, ["jaw_lift"])
    assert cut is not None
    assert cut.by_needle is not None
    assert cut.by_needle >= cut.chance - 0.02


def test_before_the_verdict_nothing_is_added() -> None:
    standing = told({"setup": JOB}, {"reading": "face_out_of_square", "value": -0.3, "over": 42.0})
    assert standing.verdict is None
    cut = next_cut(standing, ["tram"])
    assert cut is not None
    assert cut.also == ()
    assert cut.chance == cut.alone


def test_without_a_number_there_is_no_chance() -> None:
    assert next_cut(told({"setup": JOB}), ["tram"]) is None


def test_the_chance_is_said_only_for_a_tolerance_that_was_told() -> None:
    complaint = {"reading": "face_out_of_square", "value": -0.3, "over": 42.0}
    untold = {key: value for key, value in JOB.items() if key != "tolerance"}
    with_it, without = (
        " ".join(how_to_fix("jaw_lift", told({"setup": job}, complaint), "mm")[0]) for job in (JOB, untold)
    )
    assert "the chance that the next cut is within 0.050 mm is" in with_it
    assert "chance that the next cut" not in without


def test_every_fix_of_a_leaning_part_has_the_needle_before_the_cut() -> None:
    standing = told({"setup": JOB}, {"reading": "face_out_of_square", "value": -0.3, "over": 42.0})
    needle = load().steps["needle"].text
    for source in ("tram", "jaw_lift", "chip_behind_jaw", "fixed_jaw_lean", "wall_squeeze"):
        lines = how_to_fix(source, standing, "mm")[0]
        if any("Leave it" in line or "does not come into it" in line for line in lines):
            continue
        assert sum(needle in line for line in lines) == 1, source


def test_enough_is_a_chance_and_draws_are_repeatable(pressed: Standing) -> None:
    assert 0.5 < ENOUGH < 1.0
    first, second = next_cut(pressed, ["jaw_lift"]), next_cut(pressed, ["jaw_lift"])
    assert first == second
    assert np.isfinite(first.chance if first else np.nan)
