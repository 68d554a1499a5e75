"""What lies ready at the bench: told once, used by fixes and plans, and never taken for a change of the cut."""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from askew.engine.ahead import worked_out
from askew.engine.case import Case, tell
from askew.engine.consult import Consultation
from askew.engine.kept import from_json, to_json
from askew.engine.observations import SetupFact
from askew.engine.on_hand import KINDS, Cutter, CutterError, kept_cutter, listed_words, read_cutter
from askew.engine.questions import question_about
from askew.engine.record.journal import Journal
from askew.engine.remedies.parts import HEADINGS, differing, laid_out
from askew.engine.remedies.ways import Tool, tools_on_hand
from askew.engine.setup import Setup, SetupError, checked
from askew.knowledge.load import load

JOB = "knee mill; closed corner by 6 thou over 4 in, 3 in face mill one pass, no bar"


def opened(*lines: str) -> Consultation:
    consultation = Consultation(Journal.in_memory())
    for line in lines:
        assert consultation.say(line).error is None, line
    return consultation


@given(
    st.builds(
        Cutter,
        st.decimals("0.5", "1000", places=3).map(float),
        st.sampled_from(KINDS),
        st.none() | st.integers(1, 60),
        st.booleans(),
    )
)
def test_a_cutter_that_is_kept_reads_back_the_same(cutter: Cutter) -> None:
    assert kept_cutter(cutter.kept()) == cutter


@pytest.mark.parametrize("text", ["", "face_mill", "3in face_mill", "0 mm end_mill", "20 mm end_mill 90 teeth"])
def test_what_is_no_cutter_is_refused_with_a_sentence(text: str) -> None:
    with pytest.raises(CutterError, match=r"\.$|like"):
        kept_cutter(text)


def test_a_cutter_is_read_from_what_is_typed() -> None:
    cutter = read_cutter("20mm end mill 4 flutes carbide", lambda text: float(text.removesuffix("mm")))
    assert cutter == Cutter(20.0, "end_mill", 4, carbide=True)


def test_setup_takes_lists_and_refuses_what_is_none() -> None:
    assert checked("leaves", [0.2, 0.05, 0.05]) == (0.05, 0.2)
    assert checked("cutters", ["80.0 mm face_mill"]) == ("80 mm face_mill",)
    for key, wrong in (("leaves", 0.1), ("leaves", [0.0]), ("leaves", ["thin"]), ("leaves", [True]),
                       ("cutters", "80 mm face_mill"), ("cutters", ["spoon"]), ("leaves", [0.1] * 99)):  # fmt: skip
        with pytest.raises(SetupError) as refused:
            checked(key, wrong)
        assert refused.value.hint.startswith("For example")


def test_they_are_said_in_the_persons_units() -> None:
    assert listed_words((0.0254, 0.0508, 0.254), "in") == "1, 2 and 10 thou"
    assert listed_words((0.05, 0.1), "mm") == "0.05 and 0.1 mm"
    cutters = ("76.2 mm face_mill", "12.7 mm end_mill carbide")
    assert listed_words(cutters, "in") == "3 in face mill; 0.5 in end mill, carbide"
    assert listed_words(("dial_indicator",), "in") is None


@pytest.mark.parametrize("fact", [SetupFact("leaves", (0.05, 0.1)), SetupFact("cutters", ("80 mm face_mill",))])
def test_they_go_through_a_case_file(fact: SetupFact) -> None:
    assert from_json(json.loads(json.dumps(to_json(fact)))) == fact


def test_naming_more_of_the_bench_is_no_change_of_the_cut() -> None:
    case = tell(Case(), [SetupFact("leaves", (0.05,))])
    assert tell(case, [SetupFact("leaves", (0.05, 0.1))]).changed == case.changed
    case = tell(Case(), [SetupFact("cutter_diameter", 50.0)])
    assert tell(case, [SetupFact("cutter_diameter", 80.0)]).changed != case.changed


def test_a_plan_has_the_cutters_on_hand_and_the_one_in_use() -> None:
    assert tools_on_hand(Setup()) == []
    here = Setup(cutters=("76.2 mm face_mill", "12.7 mm end_mill carbide 4 teeth"))
    assert tools_on_hand(here) == [Tool(76.2, "face_mill"), Tool(12.7, "end_mill", 4, carbide=True)]
    in_use = here.having(cutter_diameter=50.0, cutter_kind="fly_cutter")
    assert tools_on_hand(in_use)[0] == Tool(50.0, "fly_cutter")
    assert len(tools_on_hand(here.having(cutter_diameter=76.0, cutter_kind="face_mill"))) == 2


def test_leaves_are_asked_for_once_and_the_shim_is_made_from_them() -> None:
    consultation = opened(JOB)
    asked = consultation.say("fix bed_tilt_y")
    assert asked.question is not None
    assert asked.question.setup == "leaves"
    assert any("Put " in line for line in asked.says)
    told = consultation.say("0.7 11 thou")  # an answer needs no noun
    assert consultation.setup.leaves == pytest.approx((0.7 * 0.0254, 11 * 0.0254))
    put = next(line for line in told.says if "Put " in line).partition("Put ")[2].partition(" (")[0]
    assert set(put.split(" + ")) <= {"7 tenths", "11 thou"}
    assert not any("Vises, heads" in line for line in told.says)  # only what changed
    again = consultation.say("fix bed_tilt_y")
    assert again.question is None or again.question.setup != "leaves"


def test_the_question_for_leaves_may_be_left_open() -> None:
    for answer in ("I don't know", "the front edge rises 1 thou when I tighten"):
        consultation = opened(JOB)
        consultation.say("fix bed_tilt_y")
        turn = consultation.say(answer)
        assert turn.question is None or turn.question.setup != "leaves"


def test_cutters_are_asked_for_by_a_plan() -> None:
    consultation = opened(JOB)
    asked = consultation.say("plan")
    assert asked.question is not None
    assert asked.question.setup == "cutters"
    told = consultation.say("a 2 inch fly cutter and a 3/4 end mill")
    assert consultation.setup.cutters == ("50.8 mm fly_cutter", "19.05 mm end_mill")
    assert any(line.startswith("With those") for line in told.says)


def test_a_layout_says_again_only_what_is_new() -> None:
    before = laid_out([("", ("slacken", "put 2")), ("Beware", ("dirt",)), ("Take care", ("heavy",))])
    after = laid_out([("", ("slacken", "put 3")), ("Beware", ("dirt",)), ("Take care", ("heavy", "sharp"))])
    assert {"Beware", "Take care"} <= HEADINGS
    assert differing(after, before) == ["2. put 3", "Take care", "- sharp"]
    assert differing(before, before) == []


def test_a_cut_told_of_only_after_a_regrip_is_what_came_out_wrong() -> None:
    consultation = opened("re-gripped it after turning it a quarter, now the corner is open 4 thou over 2.5 in")
    complaint = consultation.case.complaint
    assert complaint is not None
    assert complaint.fact.id == "face_out_of_square"
    assert consultation.now().suspects
    # Where there is a complaint already it stays the comparison that it is.
    again = "turned it a quarter and cut again: open 4 thou over 2.5 in"
    consultation = opened("closed corner, 9 thou over 2.5 in", again)
    assert [e.fact.id for e in consultation.case.evidence][-1] == "turned_error"


@pytest.mark.parametrize(
    ("complaint", "held"),
    [
        ({"reading": "step", "value": 0.015}, "no step above"),
        ({"reading": "hollow_across", "value": 0.02}, "flat within"),
        ({"reading": "face_out_of_parallel_along", "value": 0.02}, "parallel to the bottom within"),
        ({"reading": "face_out_of_square", "value": -0.2}, "square to the reference face within"),
    ],
)
def test_a_plan_holds_what_came_out_wrong(complaint: dict[str, object], held: str) -> None:
    job = {"setup": {"machine": "knee_mill", "cutter_diameter": 50, "passes": 2, "pass_spacing": 25}}
    consultation = opened(json.dumps(job), json.dumps(complaint))
    plan = next(i for i, kind in load().remedies.items() if kind.arithmetic == "plan" and "tram" in kind.serves)
    advice = worked_out("tram", plan, consultation.standing, "mm")
    assert not isinstance(advice, str)
    assert any(line.startswith(f"Asked: {held}") for line in advice.lines)


@pytest.mark.parametrize("key", ["wall", "part_depth", "grip_height", "part_height"])
def test_a_number_that_was_measured_is_no_answer_to_a_question_about_the_job(key: str) -> None:
    consultation = opened("closed corner, 9 thou over 2.5 in", "round bar at the moving jaw")
    vars(consultation.standing)["question"] = question_about(key)  # asked now, whatever is most telling
    turn = consultation.say("the front edge rises 8 thou when I tighten")
    heard = {fact.id: fact.value for fact in turn.heard if fact.kind in ("reading", "setup")}
    assert heard == {"clamp_rise": pytest.approx(8 * 0.0254)}
