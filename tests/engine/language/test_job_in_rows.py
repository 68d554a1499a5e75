"""How the job is set up, told in words that stand apart, misspelt or beside a unit that is also a word."""

from __future__ import annotations

import pytest

from askew.engine.language import Context, read
from askew.engine.language.words.row_words import as_in_rows
from askew.engine.observations import SetupFact


def set_up(text: str) -> dict[str, object]:
    return {fact.key: fact.value for fact in read(text, Context()).facts if isinstance(fact, SetupFact)}


@pytest.mark.parametrize(
    ("text", "key", "value"),
    [
        ("it's a box section, three mil wall", "wall", 3.0),
        ("it's only a thin box is this, six mil wall", "wall", 6.0),
        ("did the near edge first and the far edge last", "pass_order", "front_to_back"),
        ("the cutter came in at the left end and went out at the right", "feed_sense", "right"),
        ("it's the head that goes up and down on mine", "vertical_travel", "head"),
        ("head is tipped a touch, and that is intended", "leaned_on_purpose", True),
        ("the blade was standing on the moving jaw's side", "gripped_face", "moving"),
        ("tall job so it folows the fixed jwa", "seat", "jaw"),
        ("we opened the jaws up about 90 mm to take it", "part_depth", 90.0),
        ("six adjacent passes", "passes", 6),
        ("four side by side cuts did it", "passes", 4),
        ("held here: a caliper, a square, some feelers", "instruments", ("caliper", "square", "feelers")),
    ],
)
def test_a_setup_is_heard_in_other_words(text: str, key: str, value: object) -> None:
    assert set_up(text).get(key) == value


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("the vise opened 2 thou when I hit it", "part_depth"),
        ("should I cut the near strip first and the far one last?", "pass_order"),
        ("the head itself comes up 3 thou when I lock it", "vertical_travel"),
        ("what I found here: the square rocks on the parallels", "instruments"),
        ("slid a strip of brass shim under the block", "material"),
    ],
)
def test_what_only_sounds_like_a_setup_is_not_heard(text: str, key: str) -> None:
    assert key not in set_up(text)


def test_a_slip_is_written_as_in_the_rows() -> None:
    assert as_in_rows("haed", "head") == "head"
    assert as_in_rows("head", "head") == "head"
    assert as_in_rows("heron", "") == "heron"
