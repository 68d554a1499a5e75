"""The error budget as bars, and where the whole case can be had as one page."""

from __future__ import annotations

from typing import TYPE_CHECKING

from askew.cli.lines import BLANK, Line, span, wrap
from askew.cli.plots.budget import budget
from askew.cli.plots.canvas import NARROW
from askew.cli.view import View
from askew.engine.report.rows import BudgetRow
from askew.engine.units import format_length

if TYPE_CHECKING:
    from askew.engine.seam import Turn


def budget_screen(turn: Turn, view: View) -> list[Line]:
    """Return the budget that a report was asked for; nothing where none was."""
    if not turn.budget:
        return []
    rows = [
        BudgetRow(entry.name, entry.share, format_length(entry.makes, view.habit), "", "")
        for entry in turn.budget
    ]
    lines: list[Line] = [BLANK]
    # For a screen reader no bar is drawn: no width is given, and the numbers stand alone.
    drawn = budget(rows, 0 if view.linear else view.width, ascii_=view.ascii)
    lines += [line for text in drawn for line in ([(span(text),)] if view.width >= NARROW else wrap(text, view))]
    if any(entry.makes < 0 for entry in turn.budget):
        lines += wrap("Minus works against the error.", view, indent=2, style="dim")
    return [*lines, BLANK, *wrap("The whole case on one page, to print or send: askew report", view)]
