"""One turn through the door: what is refused changes nothing, undo restores, order does not matter."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from askew.engine.consult import Consultation
from askew.engine.record.journal import Journal
from askew.knowledge.load import load

THOU, INCH = 0.0254, 25.4
SETUP = {
    "setup": {
        "machine": "knee_mill",
        "cutter_diameter": 4 * INCH,
        "passes": 1,
        "feed_axis": "x",
        "part_across": 3 * INCH,
        "part_along": 90.0,
        "part_height": 3 * INCH,
        "grip_height": 40.0,
        "moving_jaw_contact": "bar",
    }
}
COMPLAINT = {"reading": "face_out_of_square", "value": -15 * THOU, "over": 3 * INCH}


def opened(*lines: dict[str, Any] | str) -> Consultation:
    consultation = Consultation(Journal.in_memory("test"))
    for line in lines:
        turn = consultation.say(line if isinstance(line, str) else json.dumps(line))
        assert turn.error is None, turn.error
    return consultation


BAD = [
    ("", "empty"),
    ("   ", "empty"),
    ("colourless green ideas", "nothing"),
    ("x" * 10_240, "characters"),
    ('{"reading": "sweep_x", "value": 1e999}', ""),
    ('{"reading": "sweep_x", "value": NaN}', ""),
    ('{"reading": "sweep_x", "value": "0.1"}', "value"),
    ('{"reading": "sweep_x", "value": true}', "value"),
    ('{"reading": "sweep_x", "value": 0.1, "weight_kg": 2}', "weight_kg"),
    ('{"reading": "sweep_x", "value": 0.1, "value": 0.2}', ""),
    ('{"reading": "sweep_x", "value": 900}', "900 mm"),
    ('{"reading": "sweep_x", "value": 0.1, "over": 0}', "over"),
    ('{"reading": "sweep_x", "at_least": 0.3, "at_most": 0.1}', "at_least"),
    ('{"reading": "swep_x", "value": 0.1}', "swep_x"),
    ('{"sign": "heel_marks", "answer": "upwards"}', "upwards"),
    ('{"setup": {"cutter_diameter": -80}}', "-80 mm"),
    ('{"setup": {"cutter_diameter": "80 kg"}}', "length"),
    ('{"setup": {"cutter_colour": "red"}}', "cutter_colour"),
    ('{"setup": {"passes": 1.5}}', "whole"),
    ('{"setup": {"overrun": "yes"}}', "true or false"),
    ('{"done": "prayed"}', "prayed"),
    ('{"cannot": "teleport"}', "teleport"),
    ('{"undo": 0}', "undo"),
    ('{"weather": "fine"}', "no key"),
    ('{"done": "locked", "undo": 1}', "more than one"),
    ("{", ""),
    ("[1, 2]", ""),
    ('{"setup": ' + "[" * 200 + "]" * 200 + "}", ""),
]


@pytest.mark.parametrize(("line", "names"), BAD, ids=range(len(BAD)))
def test_bad_input_gets_one_clear_sentence_and_changes_nothing(line: str, names: str) -> None:
    consultation = opened(SETUP, COMPLAINT)
    before = consultation.now()
    turn = consultation.say(line)
    assert turn.error is not None
    assert names in turn.error.message
    assert turn.error.message.endswith((".", "”."))
    assert turn.error.hint
    assert "\n" not in turn.error.message
    after = consultation.now()
    assert (after.turn, after.suspects, after.next) == (before.turn, before.suspects, before.next)


def test_a_length_in_kilograms_is_not_a_length() -> None:
    consultation = opened(SETUP, COMPLAINT)
    before = consultation.now()
    turn = consultation.say("the cutter is 4 kg in diameter")
    assert turn.turn == before.turn
    assert turn.error is not None or not turn.heard


def test_the_head_is_cleared_by_size_before_anyone_sweeps_it() -> None:
    """15 thou out of square over 3 in: even a head 5.5 thou out over 24 in hollows this face by 0.155 thou.

    Common practice, no source.
    """
    turn = opened(SETUP, COMPLAINT).now()
    tram = next(c for c in turn.cleared if c.source == "tram")
    swept = 5.5 * THOU / (24 * INCH)
    assert tram.needed is None or tram.needed > 20 * swept
    assert tram.plausible > swept, "cleared although it may well be that far out"


def test_with_a_bar_at_the_moving_jaw_the_needle_while_tightening_comes_first() -> None:
    turn = opened(SETUP, COMPLAINT).now()
    assert turn.next is not None
    asked = [turn.next.check]
    if turn.next.check != "tighten_on_part":
        after = opened(SETUP, COMPLAINT, {"skip": turn.next.check}).now()
        assert after.next is not None
        asked.append(after.next.check)
    assert "tighten_on_part" in asked
    assert "clamp_rise" in load().checks["tighten_on_part"].gives


def test_what_each_suspect_predicts_is_shown_before_the_check_is_made() -> None:
    turn = opened(SETUP, COMPLAINT).now()
    assert turn.next is not None
    rise = {e.source: e for e in turn.next.expects if e.reading == "clamp_rise"}
    bar = rise["off_centre_push"]
    assert 0.0 < bar.low < 13 * THOU < bar.high
    assert rise["chip_behind_jaw"].low < 0.01


def test_a_contradiction_is_named_and_asked_for_again() -> None:
    told = [{"reading": "sweep_x", "value": v, "over": 300.0} for v in (0.01, 0.012, 1.5)]
    turn = opened(SETUP, COMPLAINT, *told).now()
    assert "sweep_x" in turn.doubtful


def test_cannot_moves_on_and_names_no_check_twice() -> None:
    consultation = opened(SETUP, COMPLAINT)
    seen: list[str] = []
    for _ in range(6):
        turn = consultation.now()
        if turn.next is None:
            break
        assert turn.next.check not in seen
        seen.append(turn.next.check)
        consultation.say(json.dumps({"cannot": turn.next.check}))
    assert len(seen) >= 4


def test_only_checks_that_the_bench_allows_are_named() -> None:
    consultation = opened(
        SETUP, {"setup": {"instruments": ["square", "straight_edge", "feelers"]}}, COMPLAINT
    )
    checks = load().checks
    for _ in range(8):
        turn = consultation.now()
        if turn.next is None:
            break
        needs = checks[turn.next.check].instruments
        assert not needs or any(set(one) <= {"square", "straight_edge", "feelers"} for one in needs)
        consultation.say(json.dumps({"cannot": turn.next.check}))


def test_probabilities_are_probabilities() -> None:
    turn = opened(SETUP, COMPLAINT, {"reading": "clamp_rise", "value": 0.33}).now()
    assert all(0.0 <= s.probability <= 1.0 for s in turn.suspects)
    assert all(s.size.low <= s.size.mid <= s.size.high for s in turn.suspects)
    assert [abs(s.share) * s.probability for s in turn.suspects] == sorted(
        (abs(s.share) * s.probability for s in turn.suspects), reverse=True
    )


@pytest.mark.parametrize(
    "question", ["why", "why jaw_lift", "what next", "report", "help", "help tram", "why tram"]
)
def test_questions_answer_and_keep_nothing(question: str) -> None:
    consultation = opened(SETUP, COMPLAINT)
    before = consultation.now()
    turn = consultation.say(json.dumps({"ask": question}))
    assert turn.error is None
    assert turn.turn == before.turn
    assert turn.says or question == "what next"


def test_before_there_is_a_complaint_it_asks_for_one() -> None:
    turn = Consultation(Journal.in_memory("test")).now()
    assert turn.question is not None
    assert turn.next is None
    assert turn.verdict is None
    assert turn.turn == 0


FACTS = [
    {"reading": "clamp_rise", "value": 0.2},
    {"reading": "sweep_x", "value": 0.05, "over": 300.0},
    {"reading": "hollow_across", "value": 0.004},
    {"reading": "other_corner", "value": 0.35},
    {"sign": "light_in_middle", "answer": "no"},
    {"sign": "parallel_loose", "answer": "front"},
    {"reading": "fixed_jaw_square", "at_least": 0.01},
]


@settings(max_examples=12, deadline=None)
@given(st.permutations(FACTS))
def test_order_of_what_is_told_does_not_matter(order: list[dict[str, Any]]) -> None:
    here, there = (
        opened(SETUP, COMPLAINT, *FACTS[:5]).now(),
        opened(SETUP, COMPLAINT, *[fact for fact in order if fact in FACTS[:5]]).now(),
    )
    a = {s.source: s.probability for s in here.suspects}
    b = {s.source: s.probability for s in there.suspects}
    assert a == pytest.approx(b, abs=1e-6)


@settings(max_examples=15, deadline=None)
@given(st.lists(st.sampled_from(FACTS), min_size=1, max_size=4), st.integers(1, 3))
def test_undo_restores(facts: list[dict[str, Any]], back: int) -> None:
    plain = opened(SETUP, COMPLAINT)
    consultation = opened(SETUP, COMPLAINT, *facts)
    back = min(back, len(facts))
    for fact in facts[: len(facts) - back]:
        plain.say(json.dumps(fact))
    consultation.say(json.dumps({"undo": back}))
    a, b = plain.now(), consultation.now()
    assert (a.turn, a.suspects, a.next, a.cleared) == (b.turn, b.suspects, b.next, b.cleared)


def test_a_corner_told_without_its_length_is_over_the_complaints() -> None:
    consultation = opened("out of square by 0.2 mm over 50 mm, corner closed", "part is 90 mm tall")
    turn = consultation.say("the other corner is open by 0.2 mm")
    told = next(heard for heard in turn.heard if heard.id == "other_corner")
    assert told.over == 50.0


def test_no_caution_for_what_is_already_so() -> None:
    turn = opened(SETUP, COMPLAINT).now()
    assert not any("heavy" in caution for caution in turn.cautions), "the vise stays where it is"


@pytest.mark.parametrize(
    ("said", "id_"),
    [
        ("that one's shut by 0.19", "other_corner"),
        ("closed by 0.19", "other_corner"),
        ("it is still closed by 0.19", "face_out_of_square"),
        ("measured the face again, closed by 0.19", "face_out_of_square"),
    ],
)
def test_a_bare_corner_is_the_one_that_was_asked_for(said: str, id_: str) -> None:
    desk = Consultation(Journal.in_memory("1"))
    desk.say("solid brass cover, 50 mm tall, 40 mm across, one pass with a 63 mm face mill on a knee mill, plain jaw")
    asked = desk.say("corner open by 0.2 mm over 50 mm, square stood on the face that was on the fixed jaw").next
    assert asked is not None
    assert asked.check == "other_corner"
    assert [heard.id for heard in desk.say(said).heard if heard.kind == "reading"] == [id_]


@pytest.mark.parametrize("wish", ["why do you think that?", "show me where we stand"])
def test_a_wish_beside_what_is_told_is_answered_after_it(wish: str) -> None:
    consultation = opened(SETUP, COMPLAINT)
    turn = consultation.say(f"It is a knee mill and I locked everything. {wish}")
    assert turn.error is None
    assert [fact.kind for fact in turn.heard] != []
    alone = opened(SETUP, COMPLAINT).say("It is a knee mill and I locked everything.")
    assert len(turn.says) > len(alone.says)


def test_a_first_number_put_right_without_its_unit_stays_in_the_persons_own() -> None:
    desk = Consultation(Journal.in_memory("1"))
    desk.say("knee mill, the corner is four thou open over 3 inches")
    assert desk.unit == "in"
    turn = desk.say("no wait 5 not 4, me glasses were mucky")
    assert desk.unit == "in"
    assert any("5 thou" in line for line in turn.says)


def test_a_bare_number_after_a_question_with_a_choice_answers_the_check() -> None:
    case = opened("corner open 8 thou over 4 inches, knee mill, nothing at the moving jaw")
    question, turn = case.now().question, case.say("7")
    assert question is not None
    assert question.setup == "gripped_face"
    assert [(one.id, one.value) for one in turn.heard] == [("other_corner", pytest.approx(7 * THOU))]
