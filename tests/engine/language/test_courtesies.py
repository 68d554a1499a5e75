"""Greetings, thanks and appeals around a message change nothing of what it tells."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from askew.engine.language import Context, read
from askew.engine.language.clauses.courtesies import answer_alone, without_courtesies
from askew.engine.units import Habit

TOLD = [
    "corner is 4 thou open over 3 inches",
    "front edge rose 0.05 mm",
    "swept it, needle reads 2 thou more on the left over 8 inches",
    "one parallel slides, the back one is pinched",
    "cleaned the jaws and gripped it again",
]
AROUND = [
    "Hi all, {}",
    "hey there {}",
    "so far: {}",
    "First off, {}",
    "{}, any ideas?",
    "{}. Any idea what could cause that? TIA",
    "{}, what do you reckon mate?",
    "{} thanks",
    "{}. What am I doing wrong?",
    "{}. Is that normal?",
    "{}, right?",
    "{}. No idea why. Cheers lads",
    "Good morning gents, {}, can't figure it out, many thanks",
]


@pytest.mark.parametrize("told", TOLD)
@pytest.mark.parametrize("around", AROUND)
def test_what_is_said_around_a_message_changes_nothing(told: str, around: str) -> None:
    plain, beside = read(told), read(around.format(told))
    assert plain.facts
    assert [f"{fact}" for fact in beside.facts] == [f"{fact}" for fact in plain.facts]
    assert beside.unread == plain.unread


@pytest.mark.parametrize(
    "text",
    [
        "thanks",
        "any ideas?",
        "hi in the middle, a thou",
        "looked for chips under the part, bugger all",
        "2 thou high on the left, 0 on the right",
        "well",
        "no idea",
    ],
)
def test_what_tells_something_or_is_all_there_is_stays(text: str) -> None:
    assert without_courtesies(text) == text


def test_an_answer_that_looks_like_a_courtesy_is_an_answer() -> None:
    told = read("high on the right", Context(asked="vise_bed_x", unit="in"))
    assert without_courtesies("4 thou, high on the right") == "4 thou, high on the right"
    assert told.unread == ()


@pytest.mark.parametrize(
    "around",
    [
        *("dial says {}", "the clock says {}", "measured {}", "measured it, {}", "comes out at {}", "I get {}"),
        *("the answer is {}", "{} on the dial", "{} by the clock", "{}, according to the indicator"),
        "dial says {} when I checked",
    ],
)
@pytest.mark.parametrize(
    ("told", "asked", "unit"),
    [
        ("6 more on the right", "sweep_x", "in"),
        (".0015", "runout", "in"),
        ("0.02", "runout", "mm"),
        ("nothing", "step", "in"),
    ],
)
def test_how_an_answer_was_measured_changes_nothing(around: str, told: str, asked: str, unit: Habit) -> None:
    context = Context(asked=asked, unit=unit)
    plain, beside = read(told, context), read(around.format(told), context)
    assert plain.facts
    assert beside.facts == plain.facts


@pytest.mark.parametrize("around", ["had a look, {}", "pretty sure {}", "{}, if you must know", "the answer is {}"])
def test_a_sign_is_answered_whatever_is_said_around_it(around: str) -> None:
    context = Context(asked="parallel_loose")
    assert read(around.format("the back one slides"), context).facts == read("the back one slides", context).facts


@pytest.mark.parametrize(
    ("text", "left"),
    [
        ("dial says .0012, closed", ".0012, closed"),
        ("I get -3 thou", "-3 thou"),
        ("measured it. Then I swept the head", "Then I swept the head"),
        ("on the dial", "on the dial"),
        ("the dial is out", "the dial is out"),
    ],
)
def test_a_number_keeps_its_point_and_its_sign(text: str, left: str) -> None:
    assert answer_alone(text, reading=True) == left


def test_a_greeting_leaves_the_number_whole() -> None:
    assert without_courtesies("Quick update: .004 open over 3 inches") == ".004 open over 3 inches"


@given(st.text(alphabet=" ,.?!thanksmeideyouwr\u2019'", max_size=300))
def test_what_is_left_is_part_of_the_text(text: str) -> None:
    assert without_courtesies(text) in text
