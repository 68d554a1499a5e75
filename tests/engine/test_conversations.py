"""Whole consultations in words, through the Python door, from the first sentence to the closed case."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from askew.engine.consult import Consultation
from askew.engine.record.journal import Journal
from askew.engine.seam import Turn

STORIES: dict[str, dict[str, Any]] = tomllib.loads(
    (Path(__file__).parents[1] / "data" / "conversations.toml").read_text(encoding="utf-8")
)


def play(lines: list[str]) -> tuple[Consultation, list[Turn]]:
    consultation = Consultation(Journal.in_memory("test"))
    return consultation, [consultation.say(line) for line in lines]


@pytest.fixture(params=sorted(STORIES))
def story(request: pytest.FixtureRequest) -> dict[str, Any]:
    return STORIES[request.param]


def test_every_line_is_taken_and_the_case_closes(story: dict[str, Any]) -> None:
    _, turns = play(story["lines"])
    assert [turn.error for turn in turns] == [None] * len(turns)
    assert [turn.closed for turn in turns] == [False] * (len(turns) - 1) + [True]


def test_the_true_causes_lead_before_the_fix(story: dict[str, Any]) -> None:
    _, turns = play(story["lines"])
    before = turns[-2]
    leading = [s.source for s in before.suspects[:3]]
    assert leading[0] == story["causes"][0]
    assert set(story["causes"]) <= set(leading)


def test_what_is_too_small_is_cleared_with_its_number(story: dict[str, Any]) -> None:
    _, turns = play(story["lines"])
    cleared = {c.source: c for turn in turns[:2] for c in turn.cleared}
    for source in story["cleared"]:
        entry = cleared[source]
        assert entry.because
        assert entry.needed is None or entry.needed > entry.plausible > 0.0


def test_the_bar_story_is_settled_in_two_checks() -> None:
    story = STORIES["bar_rolls_the_cube"]
    _, turns = play(story["lines"])
    first = turns[0].next
    assert first is not None
    assert first.check in story["early"]
    verdict = turns[story["verdict_at"] - 1].verdict
    assert verdict is not None
    assert verdict.sources == story["causes"]
    assert 0.7 < verdict.explained < 1.1
    assert verdict.remedies
    assert "face_out_of_square" in verdict.verify


def test_the_old_cut_is_not_blamed_on_the_new_head() -> None:
    story = STORIES["nod_adjusted_half_way"]
    _, turns = play(story["lines"])
    swept = turns[8]
    nod = next(s for s in swept.suspects if s.source == "nod")
    assert nod.probability > 0.9, "what was wrong with the head then is still what made the step"
    assert nod.size.mid * 203.2 == pytest.approx(11 * 0.0254, rel=0.15)


def test_replaying_the_record_gives_the_same_belief_to_the_last_bit(story: dict[str, Any]) -> None:
    journal = Journal.in_memory("test")
    spoken = Consultation(journal)
    last = [spoken.say(line) for line in story["lines"][:-1]][-1]
    again = Consultation(journal).now()
    assert again.suspects == last.suspects
    assert again.cleared == last.cleared
    assert again.next == last.next
    assert again.turn == last.turn


def test_undo_takes_back_whole_turns(story: dict[str, Any]) -> None:
    consultation, turns = play(story["lines"][:4])
    consultation.say("undo")
    back = consultation.now()
    assert back.turn == 3
    assert back.suspects == turns[2].suspects
    assert back.next == turns[2].next


def test_a_closed_case_names_what_it_was(story: dict[str, Any]) -> None:
    _, turns = play(story["lines"])
    verdict = turns[-1].verdict
    assert verdict is not None
    assert verdict.sources[0] == story["causes"][0]
    assert set(verdict.sources) <= set(story["causes"])
