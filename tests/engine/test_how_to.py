"""What a line asks how to do, and the steps that answer it."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from askew.engine.consult import Consultation
from askew.engine.how_to import checks_asked, steps_asked
from askew.engine.language import Context, read
from askew.engine.observations import Command
from askew.engine.record.journal import Journal
from askew.knowledge.load import load

ASKED = {
    "how do I sweep the head": {"sweep_table", "sweep_beside_vise", "sweep_with_feelers"},
    "How to sweep the table?": {"sweep_table", "sweep_beside_vise", "sweep_with_feelers"},
    "how do you tram a head": {"sweep_table", "sweep_beside_vise", "sweep_with_feelers"},
    "ok, how should I measure the other corner": {"other_corner"},
    "please show me how to square the other corner": {"other_corner"},
    "how do I check for runout": {"runout"},
    "how do i measure runout at the taper": {"runout"},
    "how do you look for chips behind the part": {"look_for_chips"},
    "how do I run an indicator along the vise bed": {"vise_bed_run"},
    "how can I turn my square round": {"square_flip", "square_flip_scribed"},
    "how do we test the lost motion in X": {"dial_reversal_x"},
    "how do i find the backlash of the y dial": {"dial_reversal_y"},
    "how should I check the fixed jaw": {"indicator_up_jaw", "jaw_run", "square_in_vise", "try_jaw_plate"},
    "how do I ink the face": {"ink"},
    "how would I use paper strips": {"paper_strips"},
    "how do you check the parallels by hand": {"parallels_by_hand"},
    "how do I measure the parallels": {"compare_parallels", "parallels_by_hand"},
    "how do I make a test cut": {"test_cut"},
    "how do i do a spring pass": {"spring_pass"},
    "how to check if the part lifts while tightening": {"tighten_on_part"},
    "how do I push and pull the table": {"push_pull"},
    "how do i know if the locks were loose": {"feel_locks"},
    "tell me how to check the corners for twist": {"corners_on_plate"},
    "how do I check vertical travel with a square": {"vertical_travel"},
    "how do I use a straight edge": {"straight_edge", "gap_under_straight_edge"},
    "remind me how to check the step between passes": {"indicator_over_joint", "fingernail"},
    "how do I put a needle behind the fixed jaw": {"needle_behind_jaw"},
    "how do I check the wall for taper": {"up_the_wall"},
    "how do I check the head": {"sweep_table"},
    "how do i check the column": {"vertical_travel"},
    "how do I check the spindle bearings for play": {"spindle_push_pull"},
}
"""Questions, and the checks that answer each: written before the words of checks were weighed."""

NOTHING = [
    "how do I make tea",
    "the head is swept",
    "sweep the head",
    "how do I",
    "how to",
    "how do I get to the station",
    "how do I pay for this",
    "how do you spell aluminium",
    "how do I know you are right",
    "how do I start over",
    "how do I fix the head",
    "how do I undo",
    "hows the weather",
    "how to become a better machinist",
    "",
]


@pytest.mark.parametrize(("line", "fit"), ASKED.items())
def test_the_check_that_is_asked_for_is_found(line: str, fit: set[str]) -> None:
    assert checks_asked(line)[0] in fit


@pytest.mark.parametrize("line", NOTHING)
def test_what_asks_for_no_check_gets_no_steps(line: str) -> None:
    assert steps_asked(line) == []


def test_every_check_is_found_by_its_own_name() -> None:
    checks = load().checks
    for id_, check in checks.items():
        found = checks_asked(f"how do I {check.name}")[0]
        assert found == id_ or set(check.gives) == set(checks[found].gives)


def test_checks_that_fit_nearly_as_well_are_named_beside_the_first() -> None:
    asked = "how can I check my square"
    found = checks_asked(asked)
    assert len(found) > 1
    names = [load().checks[id_].name for id_ in found]
    assert [line for line in steps_asked(asked) if line.startswith("Or: ")] == [f"Or: {name}." for name in names[1:]]


def test_who_asks_how_that_is_done_is_told_of_the_check_just_named() -> None:
    for line in ("how do I do that?", "how do i do it", "how do I do this check", "how is that done"):
        assert steps_asked(line, "runout")[0] == f"{load().checks['runout'].name}:"
        assert steps_asked(line) == []


def test_in_a_talk_the_steps_are_told_and_the_question_tells_no_reading() -> None:
    consultation = Consultation(Journal.in_memory("test"))
    consultation.say("corner is open 5 thou over 4 inches")
    before = consultation.case
    for line in ("how can I check my square", "how do I do that?", "so how do I sweep the head"):
        turn = consultation.say(line)
        assert turn.error is None
        assert any(said.startswith("1. ") for said in turn.says)
        assert turn.heard == []
    assert consultation.case == before
    assert consultation.say("how do I make tea").error is not None


@given(st.sampled_from([*ASKED]), st.sampled_from([None, "other_corner", "face_out_of_square", "sweep_x"]))
def test_a_question_of_how_tells_no_fact_whatever_was_asked_for(line: str, asked: str | None) -> None:
    assert all(isinstance(fact, Command) for fact in read(line, Context(asked=asked)).facts)


def test_all_steps_are_told_in_order_with_their_cautions() -> None:
    steps = steps_asked("how do I sweep the head")
    check = load().checks[checks_asked("how do I sweep the head")[0]]
    assert steps[0] == f"{check.name}:"
    assert [line for line in steps if line[0].isdigit()] == [f"{i}. {step}" for i, step in enumerate(check.how, 1)]
    assert any("by hand" in line for line in steps if line.startswith("Take care: "))
