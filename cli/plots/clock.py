"""A spindle sweep as a clock of readings, seen from above by the operator in front."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from askew.cli.plots.canvas import NARROW, Canvas, aligned, stacked
from askew.engine.units import Habit, format_length, format_span

if TYPE_CHECKING:
    from askew.engine.report.shapes import Circle

ROWS = 13
SIDES = {12: "back", 3: "right", 6: "front", 9: "left"}


def clock(
    circle: Circle,
    diameter: float | None = None,
    habit: Habit = "mm",
    width: int = NARROW,
    *,
    ascii_: bool = False,
) -> list[str]:
    """Return the readings at their places on the circle, the largest marked: there the cutter is lowest.

    Args:
        circle: From `askew.engine.report.shapes`.
        diameter: Diameter of the circle, mm, where it is known.
        habit: The person's unit.
        width: Columns to use; under 60 only the numbers are given.
        ascii_: Plain ASCII.
    """
    rows = _numbers(circle, diameter, habit)
    if width < NARROW:
        return stacked(rows)
    canvas = Canvas(min(width, 64), ROWS)
    middle, radius = (canvas.columns - 1) / 2, (ROWS - 3) / 2
    dot = "." if ascii_ else "\u00b7"
    for step in range(72):
        angle = step * math.pi / 36
        canvas.put(
            round(middle + 2.2 * radius * math.sin(angle)), round(ROWS // 2 - radius * math.cos(angle)), dot
        )
    top = max(circle.readings.values())
    for hour, value in circle.readings.items():
        if len(circle.readings) > 4 and hour not in SIDES and value != top:
            continue
        _put(canvas, hour, format_length(value, habit) + (" <" if value == top else ""), middle, radius)
    canvas.put(round(middle) - 4, ROWS // 2, "seen from")
    canvas.put(round(middle) - 2, ROWS // 2 + 1, "above")
    return [*canvas.lines(), "", *aligned(rows, width)]


def _put(canvas: Canvas, hour: int, text: str, middle: float, radius: float) -> None:
    angle = hour * math.pi / 6
    x, y = middle + 2.2 * radius * math.sin(angle), round(ROWS // 2 - radius * math.cos(angle))
    words = f"{SIDES[hour]} {text}" if hour in SIDES else text
    if hour in (12, 6):
        canvas.put(round(x - len(words) / 2), y + (-1 if hour == 12 else 1), words)
    elif hour < 6:
        canvas.put(round(x) + 2, y, words)
    else:
        canvas.put(round(x) - 1 - len(words), y, words)


def _numbers(circle: Circle, diameter: float | None, habit: Habit) -> list[tuple[str, str]]:
    over = f" over {format_span(diameter, habit)}" if diameter else ""
    rows = [
        (SIDES.get(hour, f"{hour} o'clock"), format_length(value, habit))
        for hour, value in sorted(circle.readings.items())
        if hour in SIDES or len(circle.readings) <= 4
    ]
    for label, tilt, high, low in (
        ("side to side", circle.tilt_x, "left", "right"),
        ("front to back", circle.tilt_y, "front", "back"),
    ):
        rows.append((label, _low(tilt, high if (tilt or 0.0) > 0 else low, over, habit)))
    if circle.low is not None and circle.tilt_x is not None and circle.tilt_y is not None:
        tilt = math.hypot(circle.tilt_x, circle.tilt_y)
        if round(tilt, 6):
            hour = round(circle.low / 30) % 12 or 12
            rows.append(("lowest", f"towards {hour} o'clock, {format_length(tilt, habit)} across the circle"))
    return rows


def _low(tilt: float | None, side: str, over: str, habit: Habit) -> str:
    if tilt is None:
        return "not swept"
    if round(tilt, 6) == 0:
        return f"level{over}"
    return f"{format_length(abs(tilt), habit)}{over}, cutter low at the {side}"
