"""Facts that the network tells where no phrase does: numbers, answers and directions."""

from __future__ import annotations

import pytest

from askew.engine.language import Context, read
from askew.engine.language.clauses.prepare import prepare
from askew.engine.language.together import answers_told, directions_told, numbers_told
from askew.engine.language.together.answers_told import answer_of, fact_of
from askew.engine.language.together.attempt import Trial
from askew.engine.language.together.directions_told import direction_of
from askew.engine.observations import Action, Command, Observation, Reading, SetupFact, Sign


@pytest.mark.parametrize(
    "fact",
    [
        Sign("chip_found", "behind_jaw"),
        Action("recut"),
        Command("why"),
        SetupFact("material", "brass"),
        SetupFact("overrun", False),
    ],
)
def test_an_answer_is_learned_under_a_name_that_gives_it_back(fact: Observation) -> None:
    name = answer_of(fact)
    assert name is not None
    assert fact_of(name, "") == fact


def test_readings_and_sizes_are_no_answers() -> None:
    assert answer_of(Reading("step", 0.1)) is None
    assert answer_of(SetupFact("wall", 3.0)) is None


def test_a_direction_is_learned_of_readings_that_have_one() -> None:
    assert direction_of(Reading("step", 0.1)) == "+"
    assert direction_of(Reading("step", -0.1)) == "-"
    assert direction_of(Reading("step", 0.1, sign_known=False)) == "?"
    assert direction_of(Reading("runout", 0.1)) is None
    assert direction_of(Reading("step", 0.0)) is None


@pytest.mark.parametrize(
    ("said", "name", "mm"),
    [
        ("if I lift the head with the hand it moves about 0,1 mm", "push_pull_z", 0.1),
        ("6 mm end mill in the collet, the needle swings 0,03 mm on it in one turn", "runout", 0.03),
        ("the tool crawled 0.5 mm out of its collet while it was cutting", "holder_mark", 0.5),
    ],
)
def test_a_number_that_no_phrase_took_goes_to_what_its_words_speak_of(said: str, name: str, mm: float) -> None:
    found = [fact for fact in read(said).facts if isinstance(fact, Reading) and fact.id == name]
    assert [fact.value for fact in found] == [pytest.approx(mm)]


@pytest.mark.parametrize(
    "said",
    [
        "what if I lift the head with the hand and it moves 0.1 mm",
        "I am planning to lift the head and see if it moves 0.1 mm",
    ],
)
def test_a_number_that_is_only_asked_about_or_planned_is_no_reading(said: str) -> None:
    assert [fact for fact in read(said).facts if isinstance(fact, Reading) and fact.value] == []


def test_what_was_asked_for_is_not_taken_for_something_else() -> None:
    facts = read("3/8 end mill", Context(asked="small_cutter_diameter", unit="in")).facts
    assert ("small_cutter_diameter", pytest.approx(9.525)) in [
        (fact.key, fact.value) for fact in facts if isinstance(fact, SetupFact)
    ]


def test_without_its_thresholds_nothing_is_added(monkeypatch: pytest.MonkeyPatch) -> None:
    """What the network adds is its own, so that the thresholds hold it."""
    said = "if I lift the head with the hand it moves about 0,1 mm"
    monkeypatch.setattr(numbers_told, "SURE_IN_A_STORY", 2.0)
    monkeypatch.setattr("askew.engine.language.reader.SURE", 2.0)
    monkeypatch.setattr("askew.engine.language.reader.SURE_IN_A_STORY", 2.0)
    monkeypatch.setattr("askew.engine.language.reader.SURE_ALONE", 2.0)
    assert read(said).facts == ()


def test_a_direction_is_only_taken_where_the_words_give_one() -> None:
    sure = directions_told.with_direction
    lean = Reading("block_out_of_square", 0.01, sign_known=False, words="leans forward 0,01 mm")
    assert sure(prepare("gripped just like the piece it leans forward 0,01 mm"), lean).value == pytest.approx(-0.01)
    step = Reading("step", 0.1, sign_known=False, words="a step of 4 thou")
    assert not sure(prepare("a step of 4 thou, no idea which side"), step).sign_known


def test_an_answer_needs_a_fair_chance(monkeypatch: pytest.MonkeyPatch) -> None:
    said = "First couple parts of the morning before she's warmed up are the sorriest ones."
    assert Sign("worse_when_cold", "yes") in [Sign(f.id, f.answer) for f in read(said).facts if isinstance(f, Sign)]
    monkeypatch.setattr(answers_told, "LIKELY", 1.1)
    monkeypatch.setattr(answers_told, "SURE", 1.1)
    monkeypatch.setattr("askew.engine.language.together.bearing.LIKELY", 1.1)
    assert [fact for fact in read(said).facts if isinstance(fact, Sign)] == []


def test_an_answer_that_its_words_hardly_tell_gives_way_to_the_one_they_do(monkeypatch: pytest.MonkeyPatch) -> None:
    chances = {"heel_marks:left": 0.02, "heel_marks:right": 0.7, "rubbing:yes": 0.001, "edge_worn:yes": 0.9}
    monkeypatch.setattr(answers_told.learned, "answers", lambda *_: chances)
    signs = [Sign("heel_marks", "left"), Sign("rubbing", "yes"), Sign("edge_worn", "yes")]
    trial = Trial(prepare("a second set of arcs"), None, [*signs])
    answers_told.mend_signs(trial, Context())
    assert trial.facts == [Sign("heel_marks", "right"), Sign("edge_worn", "yes")]
    trial = Trial(prepare("it squeals"), None, [Sign("rubbing", "yes")])
    answers_told.mend_signs(trial, Context(asked="rubbing"))
    assert trial.facts == [Sign("rubbing", "yes")]  # what was asked for is not let go of


def test_what_a_message_neither_tells_nor_speaks_of_is_let_go(monkeypatch: pytest.MonkeyPatch) -> None:
    chances = {"rubbing:yes": 0.2, "edge_worn:yes": 0.2, "chip_found:unknown": 0.4, "$why": 0.3}
    spoken = {"rubbing": 0.1, "edge_worn": 0.9, "chip_found": 0.1, "$why": 0.1, "step": 0.1, "twist": 0.1}
    monkeypatch.setattr(answers_told.learned, "answers", lambda *_: chances)
    monkeypatch.setattr(answers_told.learned, "meanings", lambda *_: spoken)
    kept = [Sign("edge_worn", "yes"), Sign("chip_found", "unknown"), Reading("twist", 0.1)]
    facts = [Sign("rubbing", "yes"), Command("why"), Reading("step", None), *kept]
    trial = Trial(prepare("it squeals"), None, [*facts])
    answers_told.drop_untold(trial, facts, Context())
    assert trial.facts == kept
    trial = Trial(prepare("it squeals"), None, [facts[0]])
    answers_told.drop_untold(trial, facts, Context(asked="rubbing"))
    assert trial.facts == [facts[0]]  # what was asked for is not let go of


def test_a_place_that_the_words_surely_tell_stays() -> None:
    said = "second arcs only show when the cutter travels left, going right it leaves the one set"
    assert [fact.answer for fact in read(said).facts if isinstance(fact, Sign)] == ["left"]


def test_a_setting_is_taken_though_nothing_else_was_told() -> None:
    assert [(fact.key, fact.value) for fact in read("the cutter was walking to the left the whole way").facts] == [
        ("feed_sense", "left")
    ]
    assert read("which coolant is better for stainless, oil or emulsion?").facts == ()


def test_a_command_that_a_whole_clause_follows_must_be_spoken_of() -> None:
    assert read("next week they will show me how to set the head straight").facts == ()
    assert [fact.id for fact in read("please show me how to measure the other corner").facts] == ["help"]
