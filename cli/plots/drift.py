"""A machine's readings over the years, the line through them, what is allowed, and what was corrected."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import TYPE_CHECKING

from askew.cli.plots.canvas import NARROW, Canvas, aligned, stacked
from askew.engine.phrases import chance_words
from askew.engine.units import Habit, format_length, format_span

if TYPE_CHECKING:
    from askew.engine.record.machine_drift import Drift, Series
    from askew.engine.record.machine_due import Due

ROWS = 11
WHY = {
    "beyond": "it is probably beyond what is allowed",
    "drift": "by then it may well be beyond what is allowed",
    "age": "by then the last reading is too old to lean on",
    "corrected": "something was corrected and not measured since",
}


def drift(
    stand: Due, today: date, habit: Habit = "mm", width: int = NARROW, *, ascii_: bool = False
) -> list[str]:
    """Return one reading's history as a plot with its numbers.

    Args:
        stand: From `askew.engine.record.machine_due.due`.
        today: The day it was reckoned for.
        habit: The person's unit.
        width: Columns to use; under 60 only the numbers are given.
        ascii_: Plain ASCII.
    """
    rows = _numbers(stand, today, habit)
    if width < NARROW or len(stand.series.dates) < 2:
        return stacked(rows) if width < NARROW else aligned(rows, width)
    return [*_drawn(stand, habit, width, ascii_=ascii_), "", *aligned(rows, width)]


def _numbers(stand: Due, today: date, habit: Habit) -> list[tuple[str, str]]:
    scale = stand.series.over or 1.0
    over = f" over {format_span(stand.series.over, habit)}" if stand.series.over else ""

    def said(size: float) -> str:
        return format_length(size * scale, habit)

    series = stand.series
    rows = [("last read", f"{said(float(series.values[-1]))}{over}, {series.dates[-1]}")]
    if stand.low is not None and stand.high is not None:
        rows.append(("now, as believed", f"{said(stand.low)} to {said(stand.high)}{over}"))
    if stand.drift is None:
        rows.append(("drift", "cannot be told yet: two readings on different days are needed"))
    else:
        verdict = "" if stand.drift.drifts else ", so it may be standing still"
        ends = f"{said(stand.drift.low)} to {said(stand.drift.high)}"
        rows.append(("drift a year", f"{said(stand.drift.rate)}{over} ({ends}{verdict})"))
    if stand.allowed is not None:
        rows.append(("allowed", f"{said(stand.allowed.size)}{over}"))
    if stand.chance is not None:
        rows.append(("chance beyond that", chance_words(stand.chance)))
    if stand.day is None or stand.why is None:
        rows.append(("due for a look", "not within three years"))
    else:
        when = "now" if stand.day <= today else stand.day.isoformat()
        rows.append(
            (
                "due for a look",
                f"{when}: {WHY[stand.why].replace('by then ', '') if when == 'now' else WHY[stand.why]}",
            )
        )
    return rows


def _drawn(stand: Due, habit: Habit, width: int, *, ascii_: bool) -> list[str]:
    series, scale = stand.series, stand.series.over or 1.0
    limit = stand.allowed.size if stand.allowed else 0.0
    values = [float(v) for v in series.values]
    high = max(*values, limit if max(values) > 0.3 * limit else 0.0, 0.0)
    low = min(*values, -limit if min(values) < -0.3 * limit else 0.0, 0.0)
    size = max(high - low, 1e-12)
    labels = {0: format_length(high * scale, habit), ROWS - 1: format_length(low * scale, habit)}
    gutter = max(len(label) for label in labels.values()) + 1
    canvas = Canvas(width - gutter - 1, ROWS)
    start, end = float(series.times[0]), float(series.times[-1])
    span = max(end - start, 1e-9)

    def row(value: float) -> int:
        return round((high - value) / size * (ROWS - 1))

    def column(time: float) -> int:
        return round((time - start) / span * (canvas.columns - 1))

    line, dot, bar, wall = ("-", "*", "|", "=") if ascii_ else ("\u2500", "\u25cf", "\u2506", "\u2550")
    if stand.drift is not None:
        for time, value in _points(series, stand.drift, canvas.columns):
            canvas.put(column(time), row(value), line)
    for time, value in zip(series.times, values, strict=True):
        canvas.put(column(float(time)), row(value), dot)
    for time in series.corrected:
        canvas.down(column(time), bar)
    for edge in (limit, -limit):
        if limit and low <= edge <= high:
            canvas.across(row(edge), wall)
    labels.setdefault(row(0.0), "0")
    side = "|" if ascii_ else "\u2502"
    out = [
        f"{labels.get(k, ''):>{gutter - 1}} {side}{text}".rstrip() for k, text in enumerate(canvas.lines())
    ]
    first, last = series.dates[0], series.dates[-1]
    out.append(" " * (gutter + 1) + f"{first}{last:>{canvas.columns - len(first)}}")
    legend = [f"{dot} read", f"{line} fitted", f"{bar} corrected", f"{wall} allowed"]
    return [*out, "   ".join(legend)]


def _points(series: Series, fit: Drift, most: int) -> Iterator[tuple[float, float]]:
    """Yield times and values along the fitted line, piece by piece."""
    for piece in sorted(set(series.pieces)):
        times = [float(t) for t, k in zip(series.times, series.pieces, strict=True) if k == piece]
        for k in range(most + 1):
            time = times[0] + (times[-1] - times[0]) * k / most
            yield time, fit.levels[piece] + fit.rate * time
