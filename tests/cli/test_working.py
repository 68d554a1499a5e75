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


def stand_in(monkeypatch: pytest.MonkeyPatch, patience: float = 0.02, term: str = "xterm") -> Screen:
    """Put a screen in place of standard output; from within the test, since capturing sets it anew before."""
    stream = Screen()
    monkeypatch.setattr(sys, "stdout", stream)
    monkeypatch.setenv("TERM", term)
    monkeypatch.setattr(module, "PATIENCE", patience)
    return stream


def test_a_long_answer_is_announced_and_the_word_taken_away_again(monkeypatch: pytest.MonkeyPatch) -> None:
    screen = stand_in(monkeypatch)
    with working(View()):
        time.sleep(0.3)
        meanwhile = screen.getvalue()
    assert meanwhile == WORD
    assert screen.getvalue() == WORD + "\r\x1b[K"


def test_a_quick_answer_shows_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    screen = stand_in(monkeypatch, patience=5.0)
    with working(View()):
        pass
    assert screen.getvalue() == ""


@pytest.mark.parametrize(("view", "term"), [(View(linear=True), "xterm"), (View(), "dumb")])
def test_nothing_is_shown_that_cannot_be_taken_back(view: View, term: str, monkeypatch: pytest.MonkeyPatch) -> None:
    screen = stand_in(monkeypatch, term=term)
    with working(view):
        time.sleep(0.1)
    assert screen.getvalue() == ""


def test_it_goes_away_when_the_answer_is_broken_off(monkeypatch: pytest.MonkeyPatch) -> None:
    screen = stand_in(monkeypatch)

    def broken_off() -> None:
        with working(View()):
            time.sleep(0.3)
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        broken_off()
    assert screen.getvalue().endswith("\r\x1b[K")
