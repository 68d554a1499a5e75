"""One screenful at a time on a terminal; everything at once elsewhere."""

from __future__ import annotations

import shutil
import sys
from collections.abc import Sequence

from askew.cli.emit import emit
from askew.cli.lines import Line
from askew.cli.view import View
from askew.engine.safe import safe

MORE = "-- Enter for more, q to stop --"


def page(lines: Sequence[Line], view: View) -> str:
    """Write lines, stopping after each screenful where a person sits at a terminal that scrolls.

    Returns what was typed at a stop if it was neither Enter nor q: the person has gone on talking.

    A screen reader has its own way of going through a text, so linear views are never stopped.
    """
    rows = shutil.get_terminal_size((80, 24)).lines - 1
    if view.linear or not (sys.stdin.isatty() and sys.stdout.isatty()) or len(lines) <= rows:
        emit(lines, view)
        return ""
    start = 0
    while start < len(lines):
        stop = _stop(lines, start, rows)
        emit(lines[start:stop], view)
        start = stop
        if start >= len(lines):
            break
        try:
            answer = safe(input(MORE)).strip()
        except (EOFError, KeyboardInterrupt):
            print()  # noqa: T201
            break
        if answer:
            return "" if answer.lower() == "q" else answer
    return ""


def _stop(lines: Sequence[Line], start: int, rows: int) -> int:
    """Return where a screenful ends: between two paragraphs where that leaves at least half of it."""
    last = start + rows
    if last >= len(lines):
        return len(lines)
    for place in range(last, start + rows // 2, -1):
        if not lines[place]:
            return place
    return last
