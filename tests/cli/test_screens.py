"""What the screens say, say once, and leave out."""

from __future__ import annotations

import pytest
from looks import text
from scripted import TURNS

from askew.cli.lines import TIE, bar, plain, wrap
from askew.cli.screens.bench import SAID, bench_screen
from askew.cli.screens.cleared import cleared_screen
from askew.cli.screens.said import said_lines
from askew.cli.screens.stand import stand_screen
from askew.cli.screens.status import status_text
from askew.cli.screens.turn import question_screen, turn_screen
from askew.cli.screens.verdict import closed_screen
from askew.cli.speech import size_of
from askew.cli.view import View
from askew.engine.consult import Consultation
from askew.engine.language import read
from askew.engine.observations import SetupFact
from askew.engine.questions import question_about
from askew.engine.record.journal import Journal
from askew.engine.seam import ExpectOut, SizeOut, Turn, VerdictOut
from askew.knowledge.load import load

KNOWN = load()
NARROW = View(width=48, habit="in")
WIDE = View(width=100, habit="in")


def opened(*lines: str) -> tuple[Consultation, Turn]:
    consultation = Consultation(Journal.in_memory())
    turn = consultation.now()
    for line in lines:
        turn = consultation.say(line)
        assert turn.error is None, line
    return consultation, turn


def test_before_there_is_a_number_no_share_and_no_size_is_claimed() -> None:
    _, turn = opened("it is out of square")
    shown = text(stand_screen(turn, KNOWN, NARROW))
    assert "likely" in shown
    assert "of the error" not in shown
    assert "size" not in shown


def test_what_works_against_the_error_is_drawn_otherwise() -> None:
    assert bar(0.5, NARROW).text == "\u2588" * 5 + "\u2591" * 5
    assert bar(-0.5, NARROW).text == "-" * 5 + "\u2591" * 5
    assert bar(-0.5, View(ascii=True)).text == "-----....."


def test_what_no_number_cleared_takes_one_sentence() -> None:
    _, turn = opened("closed corner, 9 thou over 2.5 in")
    lines = text(cleared_screen(turn, KNOWN, NARROW))
    assert lines.count("it would need") <= 3
    assert lines.count("Also cleared:") == 1
    assert "No size of" not in lines
    everything = text(cleared_screen(turn, KNOWN, NARROW, most=len(turn.cleared)))
    assert everything.count("No size of") == 1
    unbroken = " ".join(everything.split())
    for cleared in turn.cleared:
        assert KNOWN.sources[cleared.source].short in unbroken


def test_a_verdict_names_the_cause_once_and_ends_with_what_to_do() -> None:
    shown = text(turn_screen(TURNS[2], KNOWN, NARROW, TURNS[1]))
    assert "What did it" in shown
    assert "Where it stands" not in shown
    cautious = TURNS[2].model_copy(update={"cautions": ["clamp_for_cut"]})
    shown = text(turn_screen(cautious, KNOWN, NARROW, TURNS[0]))
    assert shown.index("Take care") < shown.index("What to do") < shown.index("Prove it")
    assert "Say fix for the numbers" in shown


def test_the_minutes_are_said_when_they_change() -> None:
    spent = TURNS[2]
    assert "Spent so far" in text(turn_screen(spent, KNOWN, NARROW, TURNS[1]))
    assert "Spent so far" not in text(turn_screen(spent, KNOWN, NARROW, spent))


@pytest.mark.parametrize("width", [40, 41, 43, 48, 55, 60, 77])
def test_a_question_still_open_keeps_its_numbered_answers_whole(width: int) -> None:
    turn = TURNS[0]
    shown = text(turn_screen(turn, KNOWN, View(width=width), turn))
    assert "Still open" in shown
    lines = [line for line in shown.splitlines() if "paper" in line]
    assert any("4 paper" in line for line in lines)
    assert TIE not in shown


def test_a_tie_holds_a_line_together_and_is_shown_as_a_space() -> None:
    for width in range(40, 60):
        lines = wrap("; ".join(f"{n}{TIE}answer number" for n in range(1, 9)), View(width=width))
        assert all("\u00a0" not in plain(line) for line in lines)


def test_a_check_says_its_name_and_its_plus_once() -> None:
    assert TURNS[0].next is not None
    signed = TURNS[0].next.model_copy(update={"how": [*TURNS[0].next.how, "Plus: the front edge rises."]})
    turn = TURNS[0].model_copy(update={"next": signed})
    shown = text(turn_screen(turn, KNOWN, WIDE))
    name = KNOWN.readings["clamp_rise"].name
    assert "minus: front edge drops" in text(turn_screen(TURNS[0], KNOWN, WIDE))
    assert "If it is ..., it reads:" in shown
    assert name not in shown.split("Next:")[1]
    assert "minus: front edge drops" not in shown  # its steps say which way is plus
    assert "Why this one" in shown
    assert "Why this one" not in text(turn_screen(turn, KNOWN, NARROW))


def test_undo_says_what_it_took_back() -> None:
    consultation, _ = opened("closed corner, 9 thou over 2.5 in", "round bar", "skip")
    said = consultation.say("undo 2").says
    assert said[0] == "Took back:"
    assert said[1] == "- at the moving jaw: bar"
    assert said[2].startswith("- Put aside for now: needle on the part")
    assert consultation.say("undo").says[1] == "- corner closed by 9 thou over 2.5 in"


def test_a_check_passed_over_is_named_in_a_sentence() -> None:
    consultation, turn = opened("closed corner, 9 thou over 2.5 in")
    assert turn.next is not None
    name = KNOWN.checks[turn.next.check].name
    assert consultation.say("skip").says[0] == f"Put aside for now: {name}"
    again = consultation.now().next
    assert again is not None
    assert consultation.say("I can't do that here").says[0] == f"Cannot be made here: {KNOWN.checks[again.check].name}"


def test_why_tells_each_reason_with_what_was_seen_and_the_rule() -> None:
    consultation, _ = opened(
        "closed corner, 9 thou over 2.5 in", "round bar at the moving jaw",
        "the front edge rises 8 thou when I tighten",
        "without the bar the front edge rises half a thou",
    )  # fmt: skip
    says = consultation.say("why off_centre_push").says
    at = says.index("What the rules make of it")
    assert says[at + 1].startswith("- Without the bar the rise on tightening falls from 8 thou to 5 tenths")
    assert says[at + 2].startswith("  Seen: front top edge of the part while tightening: +8 thou")
    assert says[at + 3].startswith("  Rule bar_was_it; handbook")
    assert says[-2].startswith("- As it is set up now: off-centre push is out of play")
    assert sum("falls from 8 thou to 5 tenths" in line for line in says) == 1
    assert " over 12 in to " not in " ".join(consultation.say("why tram").says)


def test_why_in_full_shows_every_rule_and_all_that_it_matched() -> None:
    consultation, _ = opened("closed corner, 9 thou over 2.5 in", "round bar at the moving jaw")
    says = consultation.say("why table slope in full").says
    assert any(line.startswith("- Facts: ") for line in says)
    assert any(line.startswith("- Rule ") for line in says)
    assert consultation.say("why in full").says
    plain_ = consultation.say("why other_corner").says
    assert not any("gives:" in line or "requirement:" in line for line in plain_)


def test_why_of_a_reading_explains_it() -> None:
    consultation, _ = opened("closed corner, 9 thou over 2.5 in")
    says = consultation.say("why clamp_rise").says
    assert KNOWN.readings["clamp_rise"].explain in says[0]


def test_a_remedy_is_laid_out_under_headings() -> None:
    consultation, _ = opened("closed corner, 9 thou over 2.5 in", "2")
    shown = text(said_lines(consultation.say("fix off_centre_push").says, NARROW))
    rows = shown.splitlines()
    for heading in ("What the cut will show", "What it costs", "What proves it", "Take care"):
        assert heading in rows
        assert rows[rows.index(heading) - 1] == ""
    assert any(row.startswith("1. ") for row in rows)


@pytest.mark.parametrize("key", SAID)
def test_what_the_bench_screen_tells_to_say_is_understood(key: str) -> None:
    facts = [fact for fact in read(SAID[key]).facts if isinstance(fact, SetupFact)]
    assert [fact.key for fact in facts] == [key]


def test_the_bench_is_shown_with_what_is_not_told_yet() -> None:
    shown = text(bench_screen({"leaves": [0.0254, 0.0508], "machine": "knee_mill"}, KNOWN, WIDE))
    assert "1 and 2 thou" in shown
    assert "knee mill" in shown
    assert f"not told; say: {SAID['cutters']}" in shown


def test_a_question_leaves_out_the_answers_that_are_listed_under_it() -> None:
    question = question_about("moving_jaw_contact")
    shown = text(question_screen(question, KNOWN, WIDE))
    assert "? What is between the moving jaw and the part?" in shown
    assert shown.count("paper") == 1
    open_ = question.model_copy(update={"options": None})
    assert "nothing, a round bar" in text(question_screen(open_, KNOWN, WIDE))


@pytest.mark.parametrize("width", [40, 48, 60, 80, 120])
def test_the_status_line_keeps_minutes_and_help_in_sight(width: int) -> None:
    turn = TURNS[0].model_copy(update={"spent": 12.0})
    status = status_text(turn, KNOWN, width)
    assert len(status) <= width
    assert status.startswith("next: ")
    assert status.endswith(", 3 min | spent 12 min | ? help" if width >= 60 else ", 3 min | ? help")
    lost = status_text(turn.model_copy(update={"saved": False}), KNOWN, width)
    assert len(lost) <= width
    assert lost.startswith("NOT SAVED | next: ")
    assert lost.endswith("? help")


def test_a_size_whose_direction_does_not_show_is_said_once() -> None:
    unsigned = SizeOut(mid=0.0, low=-0.00103, high=0.00104, unit="slope")
    assert size_of(unsigned, "tram", KNOWN, NARROW) == "up to 12.5 thou over 12 in, either way"
    signed = SizeOut(mid=0.0005, low=-0.0002, high=0.00104, unit="slope")
    assert size_of(signed, "tram", KNOWN, NARROW) == "-2.4 to +12.5 thou over 12 in"


def test_predictions_are_said_again_only_where_they_have_moved() -> None:
    before = TURNS[0]
    assert before.next is not None
    for by, again in ((0.02, False), (0.2, True)):
        first, *others = before.next.expects
        moved = first.model_copy(update={"high": first.high + by})
        check = before.next.model_copy(update={"expects": [moved, *others]})
        shown = text(turn_screen(before.model_copy(update={"next": check}), KNOWN, NARROW, before))
        assert "Next is still" in shown
        assert ("If it is ..." in shown) is again


def test_of_several_readings_those_that_tell_suspects_apart_are_foretold() -> None:
    def expect(source: str, reading: str, low: float, high: float) -> ExpectOut:
        return ExpectOut(source=source, reading=reading, low=low, high=high, unit="mm")

    assert TURNS[0].next is not None
    same = [expect("tram", "square_travel_x", -0.02, 0.02), expect("nod", "square_travel_x", -0.019, 0.02)]
    apart = [expect("tram", "square_travel_y", -0.02, 0.02), expect("nod", "square_travel_y", 0.05, 0.09)]
    check = TURNS[0].next.model_copy(update={"expects": [*same, *apart]})
    shown = " ".join(text(turn_screen(TURNS[0].model_copy(update={"next": check}), KNOWN, WIDE)).split())
    assert "front to back:" in shown
    assert "side to side:" not in shown
    check = TURNS[0].next.model_copy(update={"expects": same})
    assert "it reads:" in text(turn_screen(TURNS[0].model_copy(update={"next": check}), KNOWN, WIDE))


def test_what_if_spaces_the_passes_of_another_cutter_anew() -> None:
    consultation, _ = opened(
        '{"setup": {"cutter_diameter": 90, "passes": 2, "pass_spacing": 54, "part_across": 100, "part_along": 120}}',
        "hollow across 0.03 mm",
    )
    says = consultation.say("what if I used a 50 mm cutter in 3 passes").says
    assert "must be from" not in " ".join(says)
    assert says[0].startswith("From what is believed") or says[0].startswith("Nothing that is known")


def test_a_settled_direction_is_said_on_a_narrow_screen_too() -> None:
    turn = TURNS[0]
    low = turn.suspects[0].model_copy(
        update={"source": "nod", "size": SizeOut(mid=0.0005, low=0.0002, high=0.0008, unit="slope")}
    )
    shown = " ".join(text(stand_screen(turn.model_copy(update={"suspects": [low]}), KNOWN, NARROW)).split())
    assert f"(plus: {KNOWN.sources['nod'].plus})" in shown
    open_ = low.model_copy(update={"size": SizeOut(mid=0.0005, low=-0.0002, high=0.0008, unit="slope")})
    shown = text(stand_screen(turn.model_copy(update={"suspects": [open_]}), KNOWN, NARROW))
    assert "plus:" not in shown


@pytest.mark.parametrize("width", [40, 48, 80])
def test_after_a_question_of_the_persons_own_nothing_else_is_said_again(width: int) -> None:
    consultation, _ = opened("closed corner, 9 thou over 2.5 in", "I don't know")
    before = consultation.now()
    assert before.question is not None
    assert before.next is not None
    for line in ("why jaw lift", "report", "help tram"):
        turn = consultation.say(line)
        shown = text(turn_screen(turn, KNOWN, View(width=width), before)).splitlines()
        assert not any("Next is still" in row for row in shown)
        assert sum("Still open" in row for row in shown) == 1
        assert shown[-2].startswith("? Still open: ")  # the last says that this case is not kept
    shown_aloud = text(turn_screen(consultation.say("why"), KNOWN, View(width=width, linear=True), before))
    assert "Next is still" in " ".join(shown_aloud.split())
    assert "1. " in text(turn_screen(consultation.say("what next"), KNOWN, View(width=width), before))


def test_solid_work_and_a_tolerance_are_echoed_as_they_will_count() -> None:
    _, turn = opened("the part is solid, tolerance is 2 thou, 3 in face mill")
    shown = text(turn_screen(turn, KNOWN, WIDE))
    assert "wall thickness: solid work, no wall to yield" in shown
    assert "tolerance: 2 thou" in shown
    assert "cutter diameter: 3 in" in shown


@pytest.mark.parametrize(
    ("sources", "said"),
    [
        (["jaw_lift"], "It was jaw lift, and"),
        (["jaw_lift", "unlisted"], "It was jaw lift and something besides that is not on the list, and"),
        (["unlisted"], "It was something else, and"),
    ],
)
def test_a_closed_case_says_what_it_was(sources: list[str], said: str) -> None:
    verdict = VerdictOut(sources=sources, explained=0.9, unexplained=0.1, remedies=[], verify=[])
    closed = text(closed_screen(Turn(turn=3, verdict=verdict, closed=True), KNOWN, View(width=120, habit="in"), None))
    assert f"{said} the fix is proved." in closed
