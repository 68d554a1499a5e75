"""The word shown while an answer takes long."""

from __future__ import annotations

import io
import sys
import time

import pytest

from askew.cli.chat import working as module
from askew.cli.chat.working import WORD, working
from askew.cli.view import View


class Screen(io.StringIO):
    """A stream that says it is a terminal."""

    def isatty(self) -> bool:
        return True


@pytest.fixture
def screen(monkeypatch: pytest.MonkeyPatch) -> Screen:
    stream = Screen()
    monkeypatch.setattr(sys, "stdout", stream)
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.setattr(module, "PATIENCE", 0.02)
    return stream


def test_a_long_answer_is_announced_and_the_word_taken_away_again(screen: Screen) -> None:
    with working(View()):
        time.sleep(0.2)
        assert screen.getvalue() == WORD
    assert screen.getvalue() == WORD + "\r\x1b[K"


def test_a_quick_answer_shows_nothing(screen: Screen, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "PATIENCE", 5.0)
    with working(View()):
        pass
    assert screen.getvalue() == ""


@pytest.mark.parametrize(("view", "term"), [(View(linear=True), "xterm"), (View(), "dumb")])
def test_nothing_is_shown_that_cannot_be_taken_back(
    view: View, term: str, screen: Screen, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TERM", term)
    with working(view):
        time.sleep(0.1)
    assert screen.getvalue() == ""


def test_it_goes_away_when_the_answer_fails(screen: Screen) -> None:
    with pytest.raises(KeyboardInterrupt), working(View()):
        time.sleep(0.1)
        raise KeyboardInterrupt
    assert screen.getvalue().endswith("\r\x1b[K")
