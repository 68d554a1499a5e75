"""What the screen tests share: every screen that there is, and rendering one to text."""

from __future__ import annotations

from collections.abc import Callable

from askew.cli.chat import first
from askew.cli.chat.words import sayings
from askew.cli.config import settings_screen
from askew.cli.glossary import entries
from askew.cli.lines import Line, cells, plain
from askew.cli.screens.explain import entry_screen, explain_screen, list_screen
from askew.cli.screens.heard import read_screen
from askew.cli.screens.turn import turn_screen
from askew.cli.settings import gather
from askew.cli.view import View
from askew.engine.language.protocol import read_line
from askew.engine.seam import Turn
from askew.knowledge.load import load

Screen = Callable[[View], list[Line]]


def text(lines: list[Line]) -> str:
    """Return lines as text."""
    return "\n".join(plain(line).rstrip() for line in lines)


def widest(lines: list[Line]) -> int:
    """Return the cells of the widest line."""
    return max((cells(plain(line).rstrip()) for line in lines), default=0)


def fixed_screens() -> dict[str, Screen]:
    """Return every screen that is not an answer of the engine, by name."""
    known = load()
    screens: dict[str, Screen] = {
        "first": first.first_screen,
        "resumed": lambda view: first.resumed_lines("2026-05-04-mill-12", "corner open by 15 thou over 3 in", view),
        "help": lambda view: first.help_screen(sayings(known), view),
        "list": lambda view: list_screen(entries(known), view),
        "nothing": lambda view: explain_screen("zzz", known, view)[1],
        "many": lambda view: explain_screen("cut", known, view)[1],
        "read": lambda view: read_screen({"heard": [], "unread": ["hm"]}, known, view),
        "aside": lambda view: read_screen(read_line("on his mill the corner was open 6 thou over 3 in"), known, view),
        "config": lambda view: settings_screen(gather({}, {"ASKEW_CONFIG": "/nowhere"}), view),
    }
    for entry in entries(known):
        screens[f"explain {entry.kind} {entry.id}"] = lambda view, entry=entry: entry_screen(
            entry, known, view
        )
    return screens


def turn_screens(turns: list[Turn], name: str = "turn") -> dict[str, Screen]:
    """Return the screens of a row of answers, each alone and after the one before."""
    known = load()
    screens: dict[str, Screen] = {}
    before: Turn | None = None
    for turn in turns:
        screens[f"{name} {turn.turn} alone"] = lambda view, turn=turn: turn_screen(turn, known, view)
        screens[f"{name} {turn.turn} after"] = lambda view, turn=turn, before=before: turn_screen(
            turn, known, view, before
        )
        before = turn
    return screens
