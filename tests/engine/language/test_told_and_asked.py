"""What is told beside a wish, what was not done after all, and what is another's."""

from __future__ import annotations

import pytest

from askew.engine.language import Context, read
from askew.engine.observations import Action, Command, Reading, SetupFact


def heard(text: str, context: Context | None = None) -> list[str]:
    """Return the ids of the actions and commands that a message tells, commands behind a dollar."""
    told = [fact for fact in read(text, context).facts if isinstance(fact, Action | Command)]
    return [f"${fact.id}" if isinstance(fact, Command) else fact.id for fact in told]


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("I locked all of it. What should I check now?", ["locked", "$next"]),
        ("wiped the jaws and clamped it again, what next", ["cleaned", "regripped", "$next"]),
        ("Regripped it. Where do we stand?", ["regripped", "$report"]),
        ("I wiped the jaws, so why do you still blame the vise", ["cleaned", "$why"]),
    ],
)
def test_a_wish_in_its_own_sentence_stands_beside_what_is_told(text: str, wanted: list[str]) -> None:
    assert sorted(heard(text)) == sorted(wanted)


def test_what_is_put_off_before_a_comma_stands_beside_what_is_told() -> None:
    assert heard("park that one, I changed the cutter", Context(asked="sweep_x")) == ["cutter_changed", "$skip"]


@pytest.mark.parametrize(
    "text",
    [
        "I have not changed the cutter",
        "gonna let it cool down and see",
        "I intend to regrip it after lunch",
        "if it were any warmer I'd have cleaned the jaws",
        "Plan for later: cool part, recut",
        "the vise is still being cleaned",
    ],
)
def test_what_was_not_done_is_no_deed(text: str) -> None:
    assert not [name for name in heard(text) if name[0] != "$"]


@pytest.mark.parametrize(
    "text",
    ["a guy in town has a mill that cuts four thou hollow", "what does a decent face mill cost these days"],
)
def test_what_is_anothers_or_for_sale_tells_nothing(text: str) -> None:
    assert not read(text).facts


def test_what_is_tried_on_anothers_machine_is_told() -> None:
    assert read("my mate ran the part on his mill and the error went with it").facts


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("no, closed, not open", -0.05),
        ("same as before", 0.05),
        ("typed it backwards, it was closed", -0.05),
    ],
)
def test_a_second_corner_is_put_right_in_the_words_of_the_first(text: str, value: float) -> None:
    last = Reading("turned_error", 0.05, unit="mm")
    facts = read(text, Context(last=(last,))).facts
    assert [(fact.id, fact.value) for fact in facts if isinstance(fact, Reading)] == [("turned_error", value)]


@pytest.mark.parametrize("said", ["nowt, just the plain jaw", "nothing at all, plain jaw", "plain jaw, nothing else"])
def test_a_nothing_at_the_jaw_is_no_reading_of_what_was_asked_for(said: str) -> None:
    told = read(said, Context(asked="other_corner")).facts
    assert [(fact.key, fact.value) for fact in told if isinstance(fact, SetupFact)] == [("moving_jaw_contact", "plain")]
    assert not [fact for fact in told if isinstance(fact, Reading)]


def test_a_reading_of_nothing_stays_beside_a_plain_jaw() -> None:
    told = read("dead nuts now, plain jaw", Context(asked="other_corner")).facts
    assert [(fact.id, fact.value) for fact in told if isinstance(fact, Reading)] == [("other_corner", 0.0)]


def test_the_length_of_a_nothing_is_not_the_size_that_was_asked_for() -> None:
    told = read("square on it now, dead nuts over 3 inches", Context(asked="grip_height", unit="in")).facts
    assert [(type(fact), fact.value) for fact in told if isinstance(fact, Reading | SetupFact)] == [(Reading, 0.0)]
    assert [fact.over for fact in told if isinstance(fact, Reading)] == [pytest.approx(76.2)]


@pytest.mark.parametrize("said", ["bearing cap in brass on my knee mill", "brass bracket on my knee mill"])
def test_the_knee_of_a_mill_is_nobodys_own(said: str) -> None:
    told = [(fact.key, fact.value) for fact in read(said).facts if isinstance(fact, SetupFact)]
    assert told == [("material", "brass"), ("machine", "knee_mill")]


@pytest.mark.parametrize("said", ["my knee hurts from standing", "my knees are shot", "my knee's giving me gip"])
def test_a_knee_that_hurts_is_no_slide(said: str) -> None:
    assert not read(said).facts
