"""The story of a case is what was said and answered, no more and no less."""

from __future__ import annotations

import pytest

from askew.engine.consult import Consultation
from askew.engine.record.journal import Journal
from askew.engine.report.replay import story
from askew.engine.report.view import build
from askew.engine.seam import Turn

LINES = [
    '{"setup": {"machine": "knee_mill", "cutter_diameter": 80, "passes": 1, "part_across": 60, '
    '"part_along": 90, "part_height": 60, "moving_jaw_contact": "bar", "tolerance": 0.03}}',
    '{"reading": "face_out_of_square", "value": -0.21, "over": 60}',
    '{"reading": "clamp_rise", "value": 0.19}',
    '{"reading": "clamp_rise_plain", "value": 0.014}',
    '{"done": "recut"}',
    '{"reading": "face_out_of_square", "value": -0.012, "over": 60}',
]


@pytest.fixture(scope="module")
def told() -> tuple[Journal, list[Turn]]:
    journal = Journal.in_memory()
    talk = Consultation(journal)
    turns = [talk.say(line) for line in LINES]
    assert all(turn.error is None for turn in turns)
    return journal, turns


def test_every_turn_is_answered_as_it_was(told: tuple[Journal, list[Turn]]) -> None:
    journal, turns = told
    again = story(journal, "motor-foot")
    assert len(again.events) == len(turns)
    for event, turn in zip(again.events, turns, strict=True):
        assert [fact.id for fact in event.heard] == [fact.id for fact in turn.heard]
        assert event.turn.suspects == turn.suspects
        assert event.turn.verdict == turn.verdict
        assert event.turn.closed == turn.closed


def test_the_journal_is_not_touched(told: tuple[Journal, list[Turn]]) -> None:
    journal, _ = told
    before = list(journal.records)
    assert story(journal, "a") == story(journal, "a")
    assert journal.records == before


def test_the_face_predicted_is_the_one_complained_of(told: tuple[Journal, list[Turn]]) -> None:
    journal, _ = told
    again = story(journal, "motor-foot")
    square = again.predicted["face_out_of_square"]
    assert square.low <= square.mid <= square.high
    # The bar has been taken away since; the prediction is of the cut it was there for.
    assert square.low < -0.21 < square.high
    assert "step" not in again.predicted
    report = build(again)
    assert report.status == "closed"
    assert report.proof[-1].result == "holds"


def test_the_budget_is_the_one_that_was_believed(told: tuple[Journal, list[Turn]]) -> None:
    journal, turns = told
    report = build(story(journal, "motor-foot"))
    verdict = turns[4].verdict
    assert verdict is not None
    assert sum(row.share for row in report.budget) == pytest.approx(1.0, abs=1e-9)
    assert report.budget[0].share == pytest.approx(verdict.explained, abs=1e-9)


def test_what_was_taken_back_is_not_told() -> None:
    journal = Journal.in_memory()
    talk = Consultation(journal)
    talk.say(LINES[1])
    talk.say('{"reading": "clamp_rise", "value": 1.9}')
    talk.say('{"undo": 1}')
    talk.say(LINES[2])
    values = [fact.value for event in story(journal, "x").events for fact in event.heard]
    assert values == [-0.21, 0.19]


def test_an_empty_journal_is_an_empty_story() -> None:
    empty = story(Journal.in_memory(), "x")
    assert (empty.events, empty.unit, dict(empty.predicted)) == ((), "mm", {})
