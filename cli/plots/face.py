"""The face in profile: slope, hollow or sawtooth, with its scale."""

from __future__ import annotations

from typing import TYPE_CHECKING

from askew.cli.plots.canvas import NARROW, Canvas, aligned, stacked
from askew.engine.units import Habit, format_length, format_span

if TYPE_CHECKING:
    from askew.engine.report.face import Array, Profile
    from askew.engine.report.shapes import Shape

ROWS = 11


def face(profile: Profile, habit: Habit = "mm", width: int = NARROW, *, ascii_: bool = False) -> list[str]:
    """Return the face seen along the feed: measured, predicted, and the line that would be true.

    Args:
        profile: From `askew.engine.report.face.profile`.
        habit: The person's unit.
        width: Columns to use; under 60 only the numbers are given.
        ascii_: Plain ASCII.
    """
    from askew.engine.report.shapes import shape_of

    lines = {"predicted": profile.predicted, "measured": profile.measured}
    shapes = {name: shape_of(profile.places, line) for name, line in lines.items() if line is not None}
    rows = [row for name, shape in shapes.items() for row in _numbers(name, shape, profile, habit)]
    if width < NARROW:
        return stacked(rows)
    marks = {"predicted": "-" if ascii_ else "\u2500", "measured": "*" if ascii_ else "\u2022"}
    legend = "   ".join([f"{marks[name]} {name}" for name in shapes] + [f"{_true(ascii_)} true face"])
    return [*_drawn(profile, habit, width, marks, ascii_=ascii_), legend, "", *aligned(rows, width)]


def _numbers(name: str, shape: Shape, profile: Profile, habit: Habit) -> list[tuple[str, str]]:
    over = format_span(round(float(profile.places[-1] - profile.places[0]), 1), habit)
    higher = profile.right if shape.rise > 0 else profile.left
    slope = f"{format_length(abs(shape.rise), habit)} over {over}"
    rows = [(name, {"slope": "mostly a slope"}.get(shape.name, shape.name)), ("  slope", slope)]
    if shape.rise:
        rows[-1] = ("  slope", f"{slope}, {higher} high")
    bow = "hollow" if shape.hollow >= 0 else "crowned"
    rows.append((f"  {bow}", format_length(abs(shape.hollow), habit)))
    return [*rows, ("  teeth", format_length(shape.teeth, habit))]


def _true(ascii_: bool) -> str:
    return "." if ascii_ else "\u00b7"


def _drawn(profile: Profile, habit: Habit, width: int, marks: dict[str, str], *, ascii_: bool) -> list[str]:
    lines = {"predicted": profile.predicted, "measured": profile.measured}
    present = {name: line for name, line in lines.items() if line is not None}
    high = max(0.0, *(float(line.max()) for line in present.values()))
    low = min(0.0, *(float(line.min()) for line in present.values()))
    size = max(high - low, 1e-9)
    labels = [format_length(high, habit), format_length(low, habit)]
    gutter = max(len(label) for label in labels) + 1
    canvas = Canvas(width - gutter - 1, ROWS)

    def row(height: float) -> int:
        return round((high - height) / size * (ROWS - 1))

    for name, line in present.items():
        for column in range(canvas.columns):
            canvas.put(column, row(_at(line, column, canvas.columns)), marks[name])
    canvas.across(row(0.0), _true(ascii_))
    side = "|" if ascii_ else "\u2502"
    out = []
    for k, text in enumerate(canvas.lines()):
        label = labels[0] if k == 0 else labels[1] if k == ROWS - 1 else "0" if k == row(0.0) else ""
        out.append(f"{label:>{gutter - 1}} {side}{text}".rstrip())
    sides = f"{profile.left}{profile.right:>{canvas.columns - len(profile.left)}}"
    return [*out, " " * (gutter + 1) + sides]


def _at(line: Array, column: int, columns: int) -> float:
    return float(line[round(column / (columns - 1) * (len(line) - 1))])
