"""What messages may be about by all their words, and what strangers said."""

from __future__ import annotations

from types import ModuleType

import pytest

from askew.engine.language import Context, read
from askew.engine.language.clauses.prepare import prepare
from askew.engine.language.learned.told import meanings
from askew.engine.language.together import bearing as words_bear
from askew.engine.language.together.bearing import likely, meaning_of, unlikely
from askew.engine.observations import Action, Command, Reading, SetupFact


def test_what_the_words_do_not_speak_of_is_not_heard() -> None:
    message = prepare("the corner is open by 4 thou against the reference face")
    far, near = Reading("runout", 0.1, words="4 thou"), Reading("face_out_of_square", 0.1, words="4 thou")
    assert unlikely(message, [far, near], Context()) == [far]
    assert unlikely(message, [far], Context(asked="runout")) == []


def test_what_was_asked_for_makes_a_bare_answer_likely() -> None:
    message = prepare("yes behind the fixed jaw")
    assert meanings(message, "chip_found")["chip_found"] > meanings(message)["chip_found"]


def test_names_tell_the_kinds_apart() -> None:
    assert meaning_of(Action("recut")) == "!recut"
    assert meaning_of(Command("why")) == "$why"
    assert meaning_of(SetupFact("wall", 5.0)) == "wall:="
    assert meaning_of(SetupFact("wall", 0.0)) == "wall:=0"
    assert meaning_of(SetupFact("overrun", False)) == "overrun:="
    assert meaning_of(Reading("step", 0.1)) == "step"


def test_a_message_of_strange_words_is_likely_about_nothing() -> None:
    assert likely(prepare("zyxq blorf the qwert flumph"), Context()) == []


@pytest.mark.parametrize(
    "said",
    [
        "I have not slipped any shim in under the column",
        "tomorrow I will swap the old cutter for a new one",
        "should I clean it and grip it again?",
        "the parallel universe theory",
    ],
)
def test_what_is_likely_does_not_make_a_deed_of_what_was_not_done(said: str) -> None:
    assert not [fact for fact in read(said).facts if isinstance(fact, Action)]


@pytest.mark.parametrize(
    "said",
    [
        "I faced a solid 3 inch cube of mild steel and it is 15 thou out of square over 3 inches",
        "it is a solid block of brass, 60 mm tall",
        "solid right through",
    ],
)
def test_solid_work_is_heard_wherever_it_is_told(said: str) -> None:
    assert SetupFact("wall", 0.0) in [SetupFact(f.key, f.value) for f in read(said).facts if isinstance(f, SetupFact)]


def test_in_a_long_message_little_is_refused_for_what_others_speak_of(
    labelled: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Four sentences told in one go: little of what they tell is refused for what the others speak of."""
    alone = [one for one in labelled.load("blind_h") if not one.context.asked and not one.context.last and one.facts]
    together = [
        labelled.Labelled(". ".join(one.text for one in four), Context(), sum((one.facts for one in four), ()), False)
        for four in zip(*[iter(alone)] * 4, strict=False)
    ]
    with_it = labelled.score(together)
    monkeypatch.setattr(words_bear, "HARDLY", dict.fromkeys(words_bear.HARDLY, 0.0))
    monkeypatch.setattr(words_bear, "BARELY", 0.0)
    without = labelled.score(together)
    assert with_it.recall > without.recall - 0.03
    assert with_it.precision >= without.precision
    assert with_it.invented <= without.invented


def test_in_a_long_message_a_fact_far_from_its_words_is_refused() -> None:
    message = prepare(
        "good morning to you all, I had my tea and then I came down to the shop to see what the night shift had left. "
        "the corner is open by 4 thou against the reference face. after that I swept the floor and went for a walk"
    )
    far, near = Reading("runout", 0.1, words="4 thou"), Reading("face_out_of_square", 0.1, words="4 thou")
    assert len(message.tokens) > words_bear.LONG
    assert unlikely(message, [far, near], Context()) == [far]
