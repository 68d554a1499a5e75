"""One screenful at a time on a terminal; everything at once elsewhere."""

from __future__ import annotations

import shutil
import sys
from collections.abc import Sequence

from askew.cli.emit import emit
from askew.cli.lines import Line
from askew.cli.view import View

MORE = "-- Enter for more, q to stop --"


def page(lines: Sequence[Line], view: View) -> None:
    """Write lines, stopping after each screenful where a person sits at a terminal that scrolls.

    A screen reader has its own way of going through a text, so linear views are never stopped.
    """
    rows = shutil.get_terminal_size((80, 24)).lines - 1
    if view.linear or not (sys.stdin.isatty() and sys.stdout.isatty()) or len(lines) <= rows:
        return emit(lines, view)
    for start in range(0, len(lines), rows):
        emit(lines[start : start + rows], view)
        if start + rows >= len(lines):
            return None
        try:
            answer = input(MORE)
        except (EOFError, KeyboardInterrupt):
            print()  # noqa: T201
            return None
        if answer.strip().lower().startswith("q"):
            return None
    return None
