"""The next check: what to do, what it costs, and what each suspect predicts it will read."""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING

from askew.cli.lines import Line, Span, cells, heading, span, wrap
from askew.cli.speech import between, minutes, name_of
from askew.cli.view import View

if TYPE_CHECKING:
    from askew.engine.seam import ExpectOut, NextOut, Turn
    from askew.knowledge.load import Knowledge


MOVED = 0.25
"""Part of its width by which a prediction must move to be said again, or to tell suspects apart."""


def check_screen(turn: Turn, known: Knowledge, view: View, before: NextOut | None = None) -> list[Line]:
    """Return the next check with its steps and predictions.

    Where it is the check that was named before, its steps are not said again; where nothing about it has
    changed, one sentence says so.
    """
    check = turn.next
    if check is None:
        return []
    if before is not None and before.check == check.check and before.how == check.how:
        lines = _still(check, known, view)
        return lines + _predictions(check, known, view) if _otherwise(check, before) else lines
    lines = heading(f"Next: {name_of(check.check, known)},", view, minutes(check.minutes))
    for number, step in enumerate(check.how, 1):
        mark = f"{number}. "
        lines += wrap([Span(mark, "dim"), span(step)], view, indent=2, hang=2 + len(mark))
    lines += _predictions(check, known, view)
    # On a narrow screen the steps must stay in sight; why says it there.
    if check.because and not view.stacked:
        lines += wrap([Span("Why this one: ", "dim"), span(check.because)], view, indent=2, hang=4)
    return lines


def _still(check: NextOut, known: Knowledge, view: View) -> list[Line]:
    name = name_of(check.check, known)
    text = f"Next is still: {name}, {minutes(check.minutes)}. Say what next for its steps."
    return [(), *wrap(text, view)]


def _otherwise(check: NextOut, before: NextOut) -> bool:
    """Say whether the predictions differ from those before by enough to be worth saying again."""
    now = {(e.source, e.reading): e for e in check.expects}
    then = {(e.source, e.reading): e for e in before.expects}
    return now.keys() != then.keys() or any(_apart(e, then[key]) > MOVED for key, e in now.items())


def _apart(one: ExpectOut, other: ExpectOut) -> float:
    """Return how far apart two predictions are, in widths of the wider."""
    wide = max(one.high - one.low, other.high - other.low, 1e-9)
    return max(abs(one.low - other.low), abs(one.high - other.high)) / wide


def _telling(check: NextOut) -> list[str]:
    """Return the readings for which the suspects predict different things; the first where none does."""
    readings = list(dict.fromkeys(expect.reading for expect in check.expects))
    of = {reading: [e for e in check.expects if e.reading == reading] for reading in readings}
    telling = [
        reading for reading in readings if any(_apart(a, b) > MOVED for a, b in combinations(of[reading], 2))
    ]
    return telling or readings[:1]


def _predictions(check: NextOut, known: Knowledge, view: View) -> list[Line]:
    lines: list[Line] = []
    readings = _telling(check)
    alone = len({expect.reading for expect in check.expects}) == 1
    told = " ".join(check.how).lower()
    for number, reading in enumerate(readings):
        # Where the check gives one reading, its own name has just been said.
        which = "" if alone else name_of(reading, known)
        if number == 0:
            which = "If it is ..., it reads:" if alone else f"If it is ..., it reads for the {which}:"
        else:
            which = f"And for the {which}:"
        lines += wrap(Span(which, "dim"), view, indent=2, hang=4)
        kind = known.readings.get(reading)
        for expect in check.expects:
            if expect.reading == reading:
                lines += _prediction(expect, known, view)
        if kind and not kind.size_only and not (alone and "plus" in told):
            lines += wrap(f"plus: {kind.plus}; minus: {kind.minus}", view, indent=4, style="dim")
    return lines


def _prediction(expect: ExpectOut, known: Knowledge, view: View) -> list[Line]:
    name = name_of(expect.source, known)
    value = between(expect.low, expect.high, view)
    column = 30
    if view.stacked or cells(name) >= column:
        return wrap([span(f"{name}: "), span(value, "strong")], view, indent=4, hang=6)
    return [(Span("    " + name + " " * (column - cells(name))), span(value, "strong"))]
