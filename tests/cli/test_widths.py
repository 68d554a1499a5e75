"""Every screen at every width: nothing wider than the terminal, no word cut."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from looks import Screen, fixed_screens, text, turn_screens, widest
from scripted import ERROR, TURNS

from askew.cli.lines import bullet, cells, labelled, plain, shorten, wrap
from askew.cli.screens.said import said_lines
from askew.cli.view import View
from askew.engine.consult import Consultation
from askew.engine.record.journal import Journal
from askew.engine.safe import safe
from askew.engine.seam import Turn

SCREENS: dict[str, Screen] = fixed_screens() | turn_screens([*TURNS, Turn.model_validate(ERROR)])
STORIES = tomllib.loads(
    (Path(__file__).parents[1] / "data" / "conversations.toml").read_text(encoding="utf-8")
)
WIDTHS = range(40, 121)


def words(shown: str) -> set[str]:
    """Return the words of a text without the marks at their ends, and without bars, whose length goes by the width."""
    return {stripped for word in shown.split() if (stripped := word.strip(".,:;()[]\"'\u2588\u2592\u2502"))}


@pytest.mark.parametrize("name", SCREENS)
def test_no_screen_is_wider_than_the_terminal_or_cuts_a_word(name: str) -> None:
    screen = SCREENS[name]
    whole: set[str] = set()
    for linear in (False, True):
        whole |= words(text(screen(View(width=400, habit="in", linear=linear))))
        whole |= words(text(screen(View(width=59, habit="in", linear=linear))))
    # Every width for the answers, a spread of them for the hundreds of explanations.
    for width in WIDTHS if name.startswith("turn") else (40, 43, 48, 55, 59, 60, 61, 72, 80, 97, 120):
        for linear in (False, True):
            lines = screen(View(width=width, habit="in", linear=linear))
            assert widest(lines) <= width, f"{name} at {width}"
            assert words(text(lines)) <= whole, f"{name} at {width}: {words(text(lines)) - whole}"


@pytest.mark.parametrize("story", STORIES)
def test_no_answer_of_a_whole_conversation_is_wider_than_the_terminal(story: str) -> None:
    consultation = Consultation(Journal.in_memory())
    turns = [consultation.say(line) for line in STORIES[story]["lines"]]
    for name, screen in turn_screens([*turns, consultation.say("why"), consultation.say("report")]).items():
        whole = words(text(screen(View(width=400)))) | words(text(screen(View(width=59))))
        for width in (40, 48, 55, 60, 80, 98, 120):
            lines = screen(View(width=width))
            assert widest(lines) <= width, f"{name} at {width}"
            assert words(text(lines)) <= whole, f"{name} at {width}: {words(text(lines)) - whole}"


@given(
    said=st.lists(st.text(st.characters(codec="utf-8"), max_size=200), max_size=4),
    width=st.integers(40, 120),
    indent=st.integers(0, 8),
)
@settings(max_examples=150, deadline=None)
def test_no_text_from_outside_is_wider_than_the_terminal(said: list[str], width: int, indent: int) -> None:
    view = View(width=width)
    for item in said:
        for lines in (
            wrap(item, view, indent=indent),
            bullet(item, view),
            labelled(shorten(item, 18), item, view),
            said_lines([item], view),
        ):
            assert widest(lines) <= width
            assert all("\x1b" not in plain(line) and "\n" not in plain(line) for line in lines)


@given(st.lists(st.from_regex(r"[a-z]{1,30}", fullmatch=True), min_size=1, max_size=60), st.integers(40, 120))
@settings(max_examples=100, deadline=None)
def test_wrapping_keeps_every_word_in_its_order(said: list[str], width: int) -> None:
    lines = wrap(" ".join(said), View(width=width), indent=2, hang=4)
    assert " ".join(plain(line) for line in lines).split() == said


@given(st.text(max_size=80), st.integers(4, 60))
def test_a_shortened_text_fits_and_ends_between_words(said: str, most: int) -> None:
    short = shorten(said, most)
    assert cells(short) <= most
    if short.endswith(" ...") and short != said:
        kept = short.removesuffix("...").split()
        assert safe(said).split()[: len(kept)] == kept


def test_a_word_longer_than_a_line_is_broken_rather_than_lost() -> None:
    lines = wrap("x" * 100, View(width=40))
    assert widest(lines) == 40
    assert "".join(plain(line) for line in lines) == "x" * 100


def test_wide_characters_count_as_the_cells_they_take() -> None:
    lines = wrap("\u6f22" * 30, View(width=40))
    assert widest(lines) <= 40
    assert len(lines) == 2
