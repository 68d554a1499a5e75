"""A fix in a case: what it promises, what the proving cut makes of it, and that undo and resume keep both."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from askew.engine import mend
from askew.engine.consult import Consultation
from askew.engine.record.journal import Journal
from askew.engine.seam import Turn

JOB = {
    "machine": "knee_mill", "cutter_diameter": 100.0, "passes": 1, "feed_axis": "x", "part_across": 75.0,
    "part_along": 75.0, "part_height": 75.0, "part_depth": 75.0, "grip_height": 38.0, "moving_jaw_contact": "bar",
    "gripped_face": "fixed", "instruments": ["dial_indicator", "square", "magnetic_base"],
}  # fmt: skip
BAR = [
    {"setup": JOB},
    {"reading": "face_out_of_square", "value": -0.38, "over": 75.0},
    {"reading": "clamp_rise", "value": 0.36},
    {"done": "bar_removed"},
    {"reading": "clamp_rise_plain", "value": 0.01},
]
"""A round bar rolls the cube: known once it is out and the front edge stays down."""
LEAN = [
    {"setup": {**JOB, "moving_jaw_contact": "plain", "tolerance": 0.05}},
    {"reading": "face_out_of_square", "value": -0.12, "over": 75.0},
    {"reading": "sweep_y", "value": 0.48, "over": 300.0},
    {"sign": "locks_were_loose", "answer": "no"},
    {"setup": {"leaned_on_purpose": False}},
    {"reading": "clamp_rise", "value": 0.0},
    {"reading": "other_corner", "value": 0.12, "over": 75.0},
    {"reading": "face_out_of_square_clamped", "value": 0.0, "over": 30.0},
]
"""A head that nods: swept, and nothing else moves."""


def said(consultation: Consultation, *lines: dict[str, Any] | str) -> Turn:
    turn = consultation.now()
    for line in lines:
        turn = consultation.say(line if isinstance(line, str) else json.dumps(line))
        assert turn.error is None, turn.error
    return turn


def opened(*lines: dict[str, Any] | str) -> Consultation:
    consultation = Consultation(Journal.in_memory("test"))
    said(consultation, *lines)
    return consultation


def verdict_of_a_nod() -> Consultation:
    """Return the case of the nod once it is named, whatever checks it took."""
    consultation = opened(*LEAN)
    for _ in range(6):
        turn = consultation.now()
        if turn.verdict is not None or turn.next is None:
            break
        said(consultation, {"cannot": turn.next.check})
    assert consultation.now().verdict is not None
    return consultation


def test_a_fix_made_promises_what_the_complaint_must_read() -> None:
    consultation = verdict_of_a_nod()
    turn = said(consultation, {"done": "trammed"})
    first = turn.proof[0]
    assert first.reading == "face_out_of_square"
    assert first.low < first.mid < first.high
    assert abs(first.mid) < 0.5 * 0.12
    assert first.goal == 0.05
    assert "nod" in first.sources
    assert (first.read, first.outcome) == (None, None)
    assert "should then read" in first.says
    assert " to " in first.says
    assert {proof.reading for proof in turn.proof} >= {"sweep_y"}


def test_a_good_reading_closes_and_says_why_in_one_sentence() -> None:
    consultation = verdict_of_a_nod()
    turn = said(consultation, {"done": "trammed"}, {"reading": "sweep_y", "value": 0.01, "over": 300.0})
    assert any("as the fix predicts" in line for line in turn.says)
    turn = said(consultation, {"done": "recut"}, {"reading": "face_out_of_square", "value": 0.005, "over": 75.0})
    assert turn.closed
    assert (turn.proof[0].outcome, turn.proof[0].as_predicted) == ("closed", True)
    closing = [line for line in turn.says if line.startswith("Closed:")]
    assert len(closing) == 1
    assert "predicted was" in closing[0]
    assert any("It may be 0.050 mm" in line for line in turn.says)


def test_a_reading_that_did_not_move_reopens_with_the_fix_as_evidence() -> None:
    consultation = verdict_of_a_nod()
    before = {s.source: s.probability for s in consultation.now().suspects}
    turn = said(
        consultation, {"done": "trammed"}, {"reading": "sweep_y", "value": 0.0, "over": 300.0},
        {"done": "recut"}, {"reading": "face_out_of_square", "value": -0.12, "over": 75.0},
    )  # fmt: skip
    assert not turn.closed
    assert turn.proof[0].outcome == "reopened"
    assert any(line.startswith("Reopened:") and "not the cause" in line for line in turn.says)
    after = {s.source: s.probability for s in turn.suspects}
    assert after.get("nod", 0.0) < 0.5 * before["nod"]
    assert turn.next is not None or turn.verdict is not None


def test_what_was_done_to_find_the_cause_counts_as_the_fix() -> None:
    consultation = opened(*BAR)
    turn = consultation.now()
    assert turn.proof == []
    turn = said(consultation, {"done": "recut"}, {"reading": "face_out_of_square", "value": 0.01, "over": 75.0})
    assert turn.closed
    assert turn.proof[0].remedy == "no_bar"
    assert turn.proof[0].as_predicted
    assert any("Nobody told a tolerance" in line and "is assumed" in line for line in turn.says)


def test_a_fix_asked_for_is_taken_as_made_when_the_cut_is_read_anew() -> None:
    consultation = verdict_of_a_nod()
    turn = said(consultation, "fix it")
    assert "should then read" in turn.says[turn.says.index("What proves it") + 1]
    assert turn.proof[0].read is None
    assert not consultation.case.mends
    turn = said(consultation, "it is now out of square by 0.004 mm over 75 mm, corner open")
    assert any(line.startswith("Taken that this was done") for line in turn.says)
    assert turn.closed
    assert consultation.case.mends[-1].asked
    turn = said(consultation, "undo")
    assert not turn.closed
    assert turn.proof == []


def test_the_promise_outlives_the_program(tmp_path: Path) -> None:
    path = tmp_path / "jig.case"
    with Journal.open(path, create=True) as journal:
        consultation = Consultation(journal)
        said(consultation, *LEAN)
        for _ in range(6):
            if consultation.standing.next is None:
                break
            said(consultation, {"cannot": consultation.standing.next.id})
        said(consultation, "fix it")
        before = consultation.now()
    with Journal.open(path) as journal:
        again = Consultation(journal)
        assert again.now().proof == before.proof != []
        promised = said(again, {"done": "trammed"}).proof
    with Journal.open(path) as journal:
        assert Consultation(journal).now().proof == promised != []


def test_a_promise_that_was_tampered_with_is_left_out() -> None:
    consultation = verdict_of_a_nod()
    said(consultation, {"done": "trammed"})
    kept = mend.to_json(consultation.case.mends[-1])
    assert mend.from_json(kept) == consultation.case.mends[-1]
    assert mend.from_json(json.loads(json.dumps(kept))) == consultation.case.mends[-1]
    for wrong in (
        None, [], {}, {**kept, "remedy": "prayer"}, {**kept, "sources": []}, {**kept, "extra": 1},
        {**kept, "sources": ["nobody"]}, {**kept, "when": "soon"},
        {**kept, "proofs": [{**kept["proofs"][0], "low": "small"}]},
        {**kept, "proofs": [{**kept["proofs"][0], "reading": "nothing"}]},
    ):  # fmt: skip
        assert mend.from_json(wrong) is None


def test_rounds_of_setting_the_head_are_remembered_within_the_case() -> None:
    consultation = opened(
        LEAN[0], LEAN[1], {"reading": "sweep_y", "value": 0.3, "over": 300.0}, {"done": "trammed"},
        {"reading": "sweep_y", "value": 0.0, "over": 300.0}, {"reading": "sweep_y", "value": 0.06, "over": 300.0},
        {"done": "trammed"}, {"reading": "sweep_y", "value": 0.02, "over": 150.0},
    )  # fmt: skip
    # The one sweep after the second round may be anything: nobody asked how to aim, so it is no round.
    assert mend.rounds_of(consultation.case, "y", 300.0) == [(0.0, pytest.approx(0.06))]
    assert mend.rounds_of(consultation.case, "x", 300.0) == []
    assert mend.swept_over(consultation.case, "y") == 150.0


def test_the_next_round_aims_off_by_what_tightening_moved() -> None:
    consultation = opened(
        LEAN[0], LEAN[1], {"reading": "sweep_y", "value": 0.3, "over": 300.0}, {"done": "trammed"},
        {"reading": "sweep_y", "value": 0.0, "over": 300.0}, {"reading": "sweep_y", "value": 0.16, "over": 300.0},
    )  # fmt: skip
    turn = said(consultation, "fix nod")
    aimed = [line for line in turn.says if "tightening has moved it" in line]
    assert len(aimed) == 1
    # half of one round's move is believed: 0.08 of 0.16 mm
    assert "0.080 mm high at the back so far" in aimed[0]


def test_a_remedy_speaks_over_what_was_swept_and_in_round_inches() -> None:
    consultation = opened("3 in cube, 4 in cutter, one pass, knee mill", "5 thou out of square over 3 in, closed")
    turn = said(consultation, "sweep over 10 inches is 9 thou more at the front than at the back", "fix nod")
    text = " ".join(turn.says)
    assert "swept over 10 in" in text
    assert "10 in above the pivot, which lies 9 in behind the spindle" in text
    assert "is assumed" in text
    assert " -0" not in text
    assert max(len(line) for line in turn.says) < 260


def test_the_budget_adds_up_to_what_was_measured() -> None:
    consultation = opened(*LEAN)
    turn = said(consultation, "report")
    assert sum(entry.share for entry in turn.budget) == pytest.approx(1.0)
    assert sum(entry.makes for entry in turn.budget) == pytest.approx(0.12)
    assert turn.budget[0].source == "nod"
    assert said(consultation, "why").budget == []


def test_a_promise_is_made_over_the_length_that_was_measured_over() -> None:
    asked = {}
    for over in (2.5, 5.0):
        complaint = f"{2 * over} thou out of square over {over} in, closed"
        consultation = opened("3 in cube, 4 in cutter, one pass, knee mill", complaint)
        turn = said(consultation, "fix jaw_lift")
        assert turn.proof[0].over == pytest.approx(over * 25.4)
        assert turn.proof[0].says.endswith(f" over {over:g} in.")
        asked[over] = turn.proof[0]
    # The same slope over twice the length.
    assert asked[5.0].before == pytest.approx(2 * asked[2.5].before, rel=0.05)
