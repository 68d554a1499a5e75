"""The first screen, and the help on what can be said."""

from __future__ import annotations

from collections.abc import Sequence

from askew.cli.chat.words import LOCAL, Saying
from askew.cli.lines import BLANK, Line, Span, bullet, heading, labelled, span, wrap
from askew.cli.view import View

EXAMPLES = ("the top is 8 thou out of square over 2 in", "hollow along the feed by 0.05 mm over 90 mm")
"""Sentences of the first screen; a test sees that they are understood."""

KEYS: tuple[tuple[str, str], ...] = (
    ("F1, or ?", "help; ? on an empty line"),
    ("Tab", "complete what is typed; it offers itself from the third letter"),
    ("Up, Down", "lines typed before"),
    ("Ctrl-R", "search the lines typed before"),
    ("Right, Ctrl-E", "take the greyed suggestion"),
    ("Alt-Enter", "a new line in the same message"),
    ("Enter, Space", "go on where a long text stops; q stops it; any other key begins your next line"),
    ("Ctrl-C", "clear the line; nothing else"),
    ("Ctrl-D", "leave; everything said is kept"),
)
"""Keys of the chat and what they do."""


def first_screen(view: View) -> list[Line]:
    """Return what the program says before anything was said."""
    lines: list[Line] = []
    for text in (
        "askew finds why a milled part is wrong:",
        "what could do it, and what could not,",
        "then the next check worth its minutes.",
    ):
        lines += wrap(text, view)
    lines += [BLANK, *wrap("What came out wrong? Say it your way:", view, style="title")]
    for example in EXAMPLES:
        lines += wrap(example, view, indent=2, hang=4, style="accent")
    return [*lines, *wrap("? for help, Ctrl-D leaves.", view, style="dim")]


def resumed_lines(name: str, about: str, view: View) -> list[Line]:
    """Return what is said before a case that is gone on with: its name, and what it is about."""
    spans = [Span("Going on with case "), Span(name, "strong")]
    spans += [Span(": "), span(about)] if about else []
    return wrap([*spans, Span(". Say new case for another part.")], view)


def help_screen(sayings: Sequence[Saying], view: View) -> list[Line]:
    """Return what can be said, and the keys."""
    lines = heading("Say what you see", view)
    lines += wrap(
        "Plain sentences, with the number, the unit and the length it was measured over. One thing or "
        "several at a time. Say which side is high, or where it is open. For example:",
        view,
        indent=2,
    )
    for example in EXAMPLES:
        lines += wrap(example, view, indent=4, hang=6, style="accent")
    lines += heading("Ask", view)
    own = {word.say.strip(): word.usage for word in LOCAL}
    for saying in sayings:
        if saying.kind == "command":
            lines += labelled(own.get(saying.say.strip(), saying.say), saying.about, view)
    lines += keys_screen(view)
    lines += heading("Say more of", view)
    for kind, text in (
        ("reading", "readings, numbers you measured"),
        ("sign", "signs, what you saw or felt"),
        ("check", "checks you can make"),
        ("action", "things you did"),
        ("setup", "facts about the job"),
        ("source", "sources of error"),
    ):
        count = sum(saying.kind == kind for saying in sayings)
        if count:
            lines += bullet(f"{count} {text}", view)
    return lines + wrap(
        "Type three letters and they are offered; explain WORD says what one means.", view, indent=2
    )


def keys_screen(view: View) -> list[Line]:
    """Return the keys and what they do."""
    lines = heading("Keys", view)
    for key, text in KEYS:
        lines += labelled(key, text, view)
    return lines
