"""A unit that was asked about is settled by the unit alone, or by the unit of what is said next."""

from __future__ import annotations

import pytest

from askew.engine.consult import Consultation
from askew.engine.language import Ambiguity
from askew.engine.observations import Reading
from askew.engine.record.journal import Journal
from askew.engine.unit_asked import UnitAsked

SIZES = "aluminium block, 50 tall and 40 across"


def told(*lines: str) -> Consultation:
    desk = Consultation(Journal.in_memory("1"))
    for line in lines:
        assert desk.say(line).error is None, line
    return desk


@pytest.mark.parametrize("answer", ["mm", "millimetres", "it's in mm", "50 mm", "mm of course"])
def test_the_unit_alone_settles_the_whole_message(answer: str) -> None:
    setup = told(SIZES, answer).case.setup
    assert (setup.part_height, setup.part_across, setup.material) == (50.0, 40.0, "aluminium")


def test_inches_are_as_good() -> None:
    setup = told("steel block, 3 tall", "inches").case.setup
    assert setup.part_height == pytest.approx(76.2)


def test_the_unit_of_what_is_said_next_settles_it_too() -> None:
    desk = told(SIZES, "it came out 0.12 mm out of square, corner open")
    assert (desk.case.setup.part_height, desk.case.setup.part_across) == (50.0, 40.0)
    assert desk.case.complaint is not None


def test_what_is_said_next_without_a_unit_leaves_it_open() -> None:
    desk = told(SIZES, "one pass, plain jaw")
    assert desk.case.setup.part_height is None
    desk.say("mm")
    assert desk.case.setup.part_height == 50.0


def test_a_size_told_again_is_not_overruled_by_the_earlier_message() -> None:
    setup = told(SIZES, "it is 60 mm tall").case.setup
    assert (setup.part_height, setup.part_across) == (60.0, 40.0)


def test_an_answer_tells_nothing_twice() -> None:
    desk = told("the face is 15 out of square, corner open", "thou")
    values = [e.fact.value for e in desk.case.evidence if isinstance(e.fact, Reading)]
    assert values == [None, pytest.approx(0.381)]


def test_the_unit_chosen_for_answers_settles_it_as_well() -> None:
    desk = told(SIZES)
    desk.speak("mm")
    assert (desk.case.setup.part_height, desk.case.setup.part_across) == (50.0, 40.0)


def test_numbers_that_wait_for_their_unit_are_not_shown_as_not_understood() -> None:
    turn = Consultation(Journal.in_memory("1")).say(SIZES)
    assert "Is that 50 inches or 50 mm?" in turn.says
    assert not [part for part in turn.unread if "50" in part or "40" in part]


def test_what_was_taken_back_is_no_longer_asked_about() -> None:
    desk = told(SIZES)
    desk.say("undo")
    assert desk.say("mm").error is not None


@pytest.mark.parametrize("said", ["no idea", "it leans 3 mm and 4 thou", "7 mm", "mm or thou"])
def test_what_names_no_one_answer_is_none(said: str) -> None:
    question = Ambiguity("Is that 15 thou or 15 mm?", ("15 thou", "15 mm"), ("15 thou open", "15 mm open"), "15")
    assert UnitAsked(question).answered(said) is None
    assert UnitAsked(question).answered("15 thou") == "15 thou open"
    assert UnitAsked(question).shown("in") == "15 thou open"
    assert UnitAsked(question).shown(None) is None
