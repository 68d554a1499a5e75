"""What is shown back as not understood where a fact was told by a message as a whole."""

from __future__ import annotations

import pytest

from askew.engine.language import Context, read
from askew.engine.observations import name_of


@pytest.mark.parametrize(
    ("text", "name", "left"),
    [
        ("indicator on front edge of part on top, needle does not make any move", "needle_moves_on_tightening", ()),
        ("leaned on the table fore and aft and got 0.06 mm movement at the saddle", "push_pull_y", ()),
    ],
)
def test_the_words_that_a_fact_rests_on_are_not_shown_back(text: str, name: str, left: tuple[str, ...]) -> None:
    heard = read(text)
    assert name in {name_of(fact) for fact in heard.facts}
    assert heard.unread == left


def test_what_stands_beside_them_is_still_shown_back() -> None:
    text = "leaned on the table fore and aft and got 0.06 mm movement at the saddle, my cousin plays the trombone"
    heard = read(text)
    assert [name_of(fact) for fact in heard.facts] == ["push_pull_y"]
    assert any("trombone" in part for part in heard.unread)
    assert not any("saddle" in part for part in heard.unread)


def test_an_answer_of_one_clause_is_understood_whole() -> None:
    heard = read("none that I could see", Context(asked="chip_found"))
    assert heard.facts
    assert heard.unread == ()


@pytest.mark.parametrize(
    ("text", "left"),
    [
        ("straight edge laid across shows daylight in the middle", ()),
        ("corner is open 5 thou over 4 inches by the frobnitz", ("frobnitz",)),
        ("corner is open 5 thou over 4 inches by the trombone", ("trombone",)),
        ("corner is open 5 thou over 4 inches, and the flange of the gearbox is cracked", True),
    ],
)
def test_a_lone_plain_word_in_a_clause_that_was_understood_is_spared(text: str, left: tuple[str, ...] | bool) -> None:
    heard = read(text)
    assert heard.facts
    assert bool(heard.unread) if left is True else heard.unread == left
