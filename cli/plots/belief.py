"""Belief over the checks: one letter a suspect, one column a step, and the numbers below."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from askew.cli.plots.canvas import NARROW, Canvas, stacked, wrapped

if TYPE_CHECKING:
    from askew.engine.report.rows import BeliefLine

ROWS = 11
GUTTER = 6
COLUMN = 5
"""Characters a step takes: room for "100%"."""


def belief(lines: Sequence[BeliefLine], width: int = NARROW, *, ascii_: bool = False) -> list[str]:
    """Return the chance of trouble of each suspect after every step.

    Where there are more steps than fit, the last ones are shown and the rest counted.

    Args:
        lines: From `askew.engine.report.view.build`.
        width: Columns to use; under 60 only the numbers are given.
        ascii_: Plain ASCII.
    """
    steps = len(lines[0].chances) if lines else 0
    if steps == 0:
        return ["No step has moved the belief yet."]
    if width < NARROW:
        return stacked([(line.name, " ".join(_percent(c).strip() for c in line.chances)) for line in lines])
    shown = min(steps, (width - GUTTER - 2) // COLUMN)
    first = steps - shown
    canvas = Canvas(shown * COLUMN, ROWS)
    # The leader is drawn last, so that it is never hidden.
    for k in reversed(range(len(lines))):
        for i, chance in enumerate(lines[k].chances[first:]):
            _mark(canvas, COLUMN * i + COLUMN // 2, round((1.0 - chance) * (ROWS - 1)), chr(ord("A") + k))
    side = "|" if ascii_ else "\u2502"
    out = [f"{_scale(row):>{GUTTER - 1}} {side}{text}".rstrip() for row, text in enumerate(canvas.lines())]
    numbers = "".join(f"{first + i + 1:^{COLUMN}}" for i in range(shown)).rstrip()
    out.append(f"{'step':>{GUTTER - 1}}  {numbers}")
    if first:
        out.append(f"(the first {first} steps do not fit)")
    out.append("")
    for k, line in enumerate(lines):
        out += _row(chr(ord("A") + k), line, first, width)
    return out


def _row(letter: str, line: BeliefLine, first: int, width: int) -> list[str]:
    values = "".join(f"{_percent(c):^{COLUMN}}" for c in line.chances[first:]).rstrip()
    start, *rest = wrapped(line.name, width - 3)
    return [f"{letter}  {start}", *(f"   {more}" for more in rest), " " * (GUTTER + 1) + values]


def _mark(canvas: Canvas, column: int, row: int, letter: str) -> None:
    """Put a letter at its place, beside another one where that is taken by a lesser one."""
    here = canvas.at(column, row)
    if here != " ":
        for aside in (1, -1, 2, -2):
            if canvas.at(column + aside, row) == " ":
                canvas.put(column + aside, row, here)
                break
    canvas.put(column, row, letter)


def _scale(row: int) -> str:
    return {0: "100%", (ROWS - 1) // 2: "50%", ROWS - 1: "0%"}.get(row, "")


def _percent(chance: float) -> str:
    """Return a chance in few characters, never as a certainty."""
    return "<1%" if chance < 0.005 else ">99%" if chance > 0.995 else f"{chance * 100:.0f}%"
