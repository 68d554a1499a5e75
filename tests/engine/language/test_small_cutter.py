"""Two letters swapped, and the cutter of the many small passes."""

from __future__ import annotations

import pytest

from askew.engine.language import read
from askew.engine.language.words.spelling import swapped
from askew.engine.observations import SetupFact


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
