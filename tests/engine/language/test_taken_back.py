"""What is taken back in the same breath, two letters swapped, and the cutter of the many small passes."""

from __future__ import annotations

import pytest

from askew.engine.language import read
from askew.engine.language.clauses.taken_back import as_meant
from askew.engine.language.words.spelling import swapped
from askew.engine.language.words.tokens import tokenize
from askew.engine.observations import SetupFact


def _said(text: str) -> str:
    return " ".join(token.text for token in as_meant(list(tokenize(text))))


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("it came up 3, no hang on, 2 thou more", "it came up 2 thou more"),
        ("the wall is 20 mm high, no 22", "the wall is 22 mm high ,"),
        ("5 inches, no, 4", "4 inches"),
        ("it leans forward, no, back", "it leans back"),
        ("back is 2 thou high, front I mean", "front is 2 thou high , i mean"),
    ],
)
def test_what_was_meant_stands_where_the_slip_stood(typed: str, meant: str) -> None:
    assert _said(typed) == meant


@pytest.mark.parametrize(
    "typed",
    [
        "a step of 2 thou , no ridge that i can feel",
        "did 3 passes , no 3 inch shell mill here",
        "at the left no , at the right yes",
        "it's closed , no open",
        "reads 4 thou on the left , right side is zero , sorry for the delay",
    ],
)
def test_a_no_that_takes_nothing_back_leaves_the_words_alone(typed: str) -> None:
    assert _said(typed) == typed


def test_two_letters_swapped_are_put_right_only_where_the_word_is_none() -> None:
    assert [swapped(word) for word in ("jwas", "nkee", "bde")] == ["jaws", "knee", "bed"]
    assert [swapped(word) for word in ("spilt", "form", "tarp", "trail")] == [None] * 4


def _setup(text: str) -> dict[str, object]:
    return {fact.key: fact.value for fact in read(text).facts if isinstance(fact, SetupFact)}


@pytest.mark.parametrize(
    "text",
    [
        "ran a 10 mm end mill over it in heaps of skinny passes, closed by 2 thou now",
        "the many fine passes were done with a 10 mm end mill",
    ],
)
def test_the_cutter_of_many_small_passes_is_the_small_one(text: str) -> None:
    assert _setup(text) == {"small_cutter_diameter": pytest.approx(10)}


def test_a_large_cutter_or_few_passes_make_the_cutter_of_the_complaint() -> None:
    assert _setup("80 mm face mill, lots of small passes, a step at each joint")["cutter_diameter"] == pytest.approx(80)
    assert _setup("16 mm end mill, two passes")["cutter_diameter"] == pytest.approx(16)
