"""What is taken back: the last message, its number, or one before that is named."""

from __future__ import annotations

import pytest

from askew.engine.consult import Consultation
from askew.engine.record.journal import Journal
from askew.engine.seam import Turn
from askew.engine.take_back import named

FACE = "bronze yoke, corner closed 8 thou over 4 inches"
SWEEP = "head swept left to right, 4 thou over 8 inches, left high"
RISE = "front edge rose 2 thou"


def told(*lines: str) -> tuple[Consultation, Turn]:
    consultation = Consultation(Journal.in_memory("test"))
    for line in lines:
        turn = consultation.say(line)
    return consultation, turn


def readings(consultation: Consultation) -> dict[str, float]:
    return {e.fact.id: e.fact.value for e in consultation.case.evidence if hasattr(e.fact, "over")}


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("undo the sweep reading", {"sweep"}),
        ("scrap what I said about the face, wrong block", {"face"}),
        ("take back the front edge one", {"front", "edge"}),
        ("undo", set()),
        ("scratch that last one", set()),
        ("forget the last thing I told you", set()),
    ],
)
def test_what_is_named(text: str, words: set[str]) -> None:
    assert named(text) == words


@pytest.mark.parametrize(
    "line", ["undo that, it was 9 thou", "take that back, 9 thou", "forget that last one, it was 9 thou not 8"]
)
def test_a_number_beside_the_taking_back_stands_for_the_one_before(line: str) -> None:
    consultation, turn = told(FACE, line)
    assert turn.error is None
    assert readings(consultation) == {"face_out_of_square": pytest.approx(-9 * 0.0254)}


@pytest.mark.parametrize("line", ["undo the 8 thou reading", "forget the 8 thou one", "undo the 8", "undo"])
def test_the_number_that_is_taken_back_is_no_new_one_and_no_count(line: str) -> None:
    consultation, _ = told(SWEEP, FACE, line)
    assert [*readings(consultation)] == ["sweep_x"]


def test_what_is_told_beside_the_taking_back_is_kept() -> None:
    consultation, turn = told(FACE, SWEEP, "Strike that last number, dial was bumped. The front edge rose 3 thou")
    assert [*readings(consultation)] == ["face_out_of_square", "clamp_rise"]
    assert "Took back:" in turn.says
    assert turn.says[turn.says.index("Took back:") + 1].startswith("- spindle sweep")


def test_the_last_message_goes_where_it_is_named() -> None:
    consultation, turn = told(FACE, SWEEP, "scrap the sweep reading")
    assert turn.says[0] == "Took back:"
    assert [*readings(consultation)] == ["face_out_of_square"]


def test_another_message_that_is_named_is_not_mistaken_for_the_last() -> None:
    consultation, turn = told(FACE, SWEEP, RISE, "scrap what I said about the sweep")
    assert turn.error is not None
    assert turn.error.message.startswith("That was told 2 messages back: spindle sweep")
    assert "undo 2" in turn.error.hint
    assert [*readings(consultation)] == ["face_out_of_square", "sweep_x", "clamp_rise"]
    consultation.say("undo 2")
    assert [*readings(consultation)] == ["face_out_of_square"]


def test_a_reading_is_meant_before_what_only_has_its_name() -> None:
    _, turn = told(FACE, "3 inch face mill, one pass", "scrap what I said about the face")
    assert turn.error is not None
    assert turn.error.message == "That was told 2 messages back: corner closed by 8 thou over 4 in."


def test_what_was_put_right_is_known_by_what_was_said_back() -> None:
    _, turn = told(FACE, "undo that, it was 6 thou", RISE, "scrap what I said about the corner")
    assert turn.error is not None
    assert turn.error.message == "That was told 2 messages back: corner closed by 6 thou over 4 in."


def test_what_was_never_told_takes_nothing_back() -> None:
    consultation, turn = told(FACE, RISE, "forget the runout reading")
    assert turn.error is not None
    assert "undo" in turn.error.hint
    assert "front edge rises by 2 thou" in turn.error.hint
    assert [*readings(consultation)] == ["face_out_of_square", "clamp_rise"]


def test_nothing_told_is_nothing_to_take_back() -> None:
    _, turn = told("scrap what I said about the sweep")
    assert turn.error is not None
    assert turn.error.message == "There is nothing to take back."
