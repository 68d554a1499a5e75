"""Answers that are held against the complaint: the same, the opposite, so much the other way."""

from __future__ import annotations

import pytest

from askew.engine.consult import Consultation
from askew.engine.language import Context, read
from askew.engine.observations import Reading
from askew.engine.record.journal import Journal

OPEN = Reading("face_out_of_square", 0.2, 100.0, sign_known=True, unit="mm")
ASKED = Context(asked="other_corner", last=(OPEN,), readings={"face_out_of_square": OPEN}, unit="mm")


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("opposite", -0.2),
        ("same", 0.2),
        ("it's the same", 0.2),
        ("same amount other way", -0.2),
        ("0.15 the other way", -0.15),
        ("minus 0.15", -0.15),
        ("that one is tight 0.15", -0.15),
        ("closed by 0.15", -0.15),
    ],
)
def test_what_was_asked_for_is_answered(text: str, value: float) -> None:
    heard = read(text, ASKED)
    (told,) = heard.facts
    assert isinstance(told, Reading)
    assert (told.id, told.value) == ("other_corner", pytest.approx(value))
    assert not heard.corrects


@pytest.mark.parametrize("text", ["no, closed", "I meant closed", "closed 0.15, not open", "sorry, 0.15 closed"])
def test_what_takes_something_back_corrects_the_complaint(text: str) -> None:
    heard = read(text, ASKED)
    (told,) = heard.facts
    assert isinstance(told, Reading)
    assert told.id == "face_out_of_square"
    assert heard.corrects


def test_nothing_is_held_against_a_complaint_of_unknown_direction() -> None:
    unknown = Reading("face_out_of_square", 0.2, 100.0, sign_known=False, unit="mm")
    context = Context(asked="other_corner", last=(unknown,), readings={"face_out_of_square": unknown}, unit="mm")
    assert not [fact for fact in read("same", context).facts if isinstance(fact, Reading)]


@pytest.mark.parametrize(("answer", "value"), [("opposite", -0.2), ("same", 0.2), ("0.15 the other way", -0.15)])
def test_in_a_consultation_the_check_is_answered_and_the_complaint_stays(answer: str, value: float) -> None:
    case = Consultation(Journal.in_memory("test"))
    case.say("corner open 0.2 mm over 100 mm, knee mill, nothing at the moving jaw, gripped from the fixed jaw")
    turn = case.say(answer)
    told = {e.fact.id: e.fact.value for e in case.case.evidence if isinstance(e.fact, Reading)}
    assert turn.error is None
    assert told == {"face_out_of_square": pytest.approx(0.2), "other_corner": pytest.approx(value)}
