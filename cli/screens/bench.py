"""What is kept of the machine and the bench, and how to say what is not."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from askew.cli.lines import BLANK, Line, heading, labelled, wrap
from askew.cli.speech import name_of
from askew.cli.view import View
from askew.engine.on_hand import listed_words

if TYPE_CHECKING:
    from askew.knowledge.load import Knowledge

SAID: Mapping[str, str] = {
    "machine": "it is a knee mill",
    "instruments": "I have a dial indicator and a square",
    "cutters": "I have a 3 inch face mill and a half inch end mill",
    "leaves": "I have leaves of 1, 2, 5 and 10 thou",
}
"""What is kept for the next case, with a sentence that says it; a test sees that each is understood."""


def bench_screen(kept: Mapping[str, Any], known: Knowledge, view: View) -> list[Line]:
    """Return what is kept, and for what is not a sentence that would say it."""
    lines = heading("On the bench", view)
    for key, sentence in SAID.items():
        name = known.setup[key].name
        if kept.get(key):
            lines += labelled(name, _words(kept[key], known, view), view, column=28)
        else:
            lines += labelled(name, f"not told; say: {sentence}", view, column=28)
    return [*lines, BLANK, *wrap("Say same bench to use it in a new case; say it anew to change it.", view)]


def _words(value: Any, known: Knowledge, view: View) -> str:
    if isinstance(value, str):
        return name_of(value, known)
    return listed_words(value, view.habit) or ", ".join(name_of(item, known) for item in value)
