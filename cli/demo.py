"""`askew --demo`: a whole consultation of an invented case, played without a word typed.

The part, the shop and the readings are made up; what the program answers is computed as in any other case.
"""

from __future__ import annotations

import tempfile
from pathlib import Path

from askew.cli import door
from askew.cli.emit import emit
from askew.cli.exits import OK
from askew.cli.lines import BLANK, Line, Span, span, wrap
from askew.cli.plain import ShortForms, Teller
from askew.cli.view import View

STORY = (
    "An invented case: a cast-iron block for a drill jig, faced on a knee mill. What the machinist says "
    "stands after >. Every answer is computed."
)

SAID = (
    "closed corner, 9 thou over 2.5 in, feeding in x",
    "2",
    "knee mill, 3 in face mill, one pass",
    "1",
    "the front edge rises 8 thou when I tighten",
    "without the bar the front edge rises half a thou",
    "hollow across 1 tenth",
    "why",
    "took the bar out",
    "cut the face again",
    "closed 3 tenths over 2.5 in",
)
"""What the machinist says, line by line."""


def play(view: View) -> int:
    """Play the consultation and print its screens."""
    emit(wrap(STORY, view, style="dim"), view)
    with tempfile.TemporaryDirectory(prefix="askew-demo-") as folder:
        opened = door.open_file(Path(folder) / "jig-block.jsonl")
        consultation = ShortForms(opened.consultation)
        teller = Teller(view, consultation)
        for line in SAID:
            emit(said(line, view), view)
            teller.tell(consultation.say(line))
        opened.close()
    return OK


def said(line: str, view: View) -> list[Line]:
    """Return what the machinist says, set off from the answers."""
    return [BLANK, *wrap([Span("> ", "accent"), span(line, "strong")], view, hang=2)]
