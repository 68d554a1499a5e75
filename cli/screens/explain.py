"""The explanation of a word, with its drawing."""

from __future__ import annotations

from typing import TYPE_CHECKING

from askew.cli.glossary import Entry, entries, find
from askew.cli.lines import BLANK, Line, Span, bullet, heading, shorten, span, wrap
from askew.cli.view import View

if TYPE_CHECKING:
    from askew.knowledge.load import Knowledge

MOST = 6
"""Entries explained at once; more than that are only listed."""


def explain_screen(words: str, known: Knowledge, view: View) -> tuple[bool, list[Line]]:
    """Return whether a word is known, and what to show for it."""
    found = find(words, entries(known))
    if not found:
        quoted = shorten(words, view.width - 24)
        return False, wrap(
            f'Nothing here is called "{quoted}". `askew explain --list` lists every word.', view
        )
    if len(found) > MOST:
        lines = wrap(f"{len(found)} things are called that; say more of the name:", view)
        return True, lines + names(found, view)
    lines = []
    for entry in found:
        lines += entry_screen(entry, known, view)
    return True, lines


def entry_screen(entry: Entry, known: Knowledge, view: View) -> list[Line]:
    """Return one entry in full."""
    lines = heading(entry.name, view, f"({entry.kind})")
    lines += wrap(entry.explain, view, indent=2)
    for note in entry.notes:
        lines += wrap(note, view, indent=2, style="dim")
    lines += picture_lines(entry.picture, known, view)
    for number, step in enumerate(entry.steps, 1):
        mark = f"{number}. "
        lines += wrap([Span(mark, "dim"), span(step)], view, indent=2, hang=2 + len(mark))
    return lines


def picture_lines(name: str | None, known: Knowledge, view: View) -> list[Line]:
    """Return a drawing where there is room for it; its words alone where there is not, or none is wanted."""
    picture = known.pictures.get(name) if name else None
    if picture is None:
        return []
    drawn = picture.drawing.rstrip("\n").split("\n")
    caption = wrap([span(picture.says)], view, indent=2)
    if view.linear or max(map(len, drawn)) + 2 > view.width:
        return [BLANK, *caption]
    return [BLANK, *((Span("  " + line),) for line in drawn), *caption]


def list_screen(among: list[Entry], view: View) -> list[Line]:
    """Return every word that can be explained, by kind."""
    lines: list[Line] = []
    for kind in dict.fromkeys(entry.kind for entry in among):
        lines += heading(kind.capitalize(), view)
        lines += names([entry for entry in among if entry.kind == kind], view)
    return lines


def names(among: list[Entry], view: View) -> list[Line]:
    """Return names with the id that is safe to type."""
    lines: list[Line] = []
    for entry in among:
        lines += bullet([span(entry.name), Span(f" [{entry.id}]", "dim")], view)
    return lines
