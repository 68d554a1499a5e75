"""What was understood, said back in one line in the person's own unit, with the direction in plain words."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from functools import cache
from importlib import resources
from typing import Any

from askew.engine.observations import Action, Command, Observation, Reading, SetupFact, Sign
from askew.engine.on_hand import listed_words
from askew.engine.units import Habit, format_length, format_span

_BOUNDS = {"at_least": "at least ", "at_most": "at most ", "about": "about "}
_BLIND = {"at_least": "at_most", "at_most": "at_least"}


def echo(facts: Iterable[Observation], unit: Habit | None = None) -> str:
    """Return one line that says what was taken from a message, in `unit`s.

    For example "corner closed by 12 thou over 4 in; 2 passes". Empty for no facts.
    """
    return "; ".join(_said(fact, unit) for fact in facts)


@cache
def _rows(name: str) -> dict[str, Any]:
    text = resources.files("askew.knowledge").joinpath(f"{name}.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def _row(table: str, key: str) -> dict[str, Any]:
    row = _rows(table).get(key, {})
    return row if isinstance(row, dict) else {}


def _name(table: str, key: str) -> str:
    return str(_row(table, key).get("name", key.replace("_", " ")))


def _said(fact: Observation, unit: Habit | None) -> str:
    match fact:
        case Reading():
            return _reading(fact, unit)
        case Sign():
            answer = {"yes": "yes", "no": "no", "unknown": "could not tell"}.get(
                fact.answer, fact.answer.replace("_", " ")
            )
            return f"{_name('signs', fact.id)}: {answer}"
        case SetupFact():
            return _setup(fact, unit)
        case Action():
            return _name("actions", fact.id)
        case Command():
            return _name("commands", fact.id) + (
                f" ({fact.argument.replace('_', ' ')})" if fact.argument else ""
            )


def _setup(fact: SetupFact, unit: Habit | None) -> str:
    name, value = _name("setup", fact.key), fact.value
    if isinstance(value, bool):
        return f"{name}: {'yes' if value else 'no'}"
    if value is None:
        return f"{name}: none"
    if isinstance(value, tuple):
        listed = listed_words(value, unit) or ", ".join(str(item).replace("_", " ") for item in value)
        return f"{name}: {listed}"
    if isinstance(value, str):
        return f"{name}: {value.replace('_', ' ')}"
    row = _row("setup", fact.key)
    if row.get("kind") == "count":
        return f"{name}: {value}"
    if value == 0 and row.get("zero"):
        return f"{name}: {row['zero']}"
    size = (
        format_length(float(value), unit)
        if fact.key in ("tolerance", "cutter_offset")
        else format_span(float(value), unit)
    )
    return f"{name} {size}"


def _reading(fact: Reading, unit: Habit | None) -> str:
    name = _name("readings", fact.id)
    over = f" over {format_span(fact.over, unit)}" if fact.over is not None else ""
    if fact.value is None:
        return f"{name}, no number yet{over}"
    if fact.value == 0 and fact.low is None:
        return f"{name}: {_BOUNDS.get(fact.bound or '', '')}none{over}"
    size = _size(fact, unit)
    row = _row("readings", fact.id)
    plus, minus = (_plain(str(row.get(key, ""))) for key in ("plus", "minus"))
    if plus == minus:
        return f"{name} {size}{over}"
    if not fact.sign_known:
        return f"{name} by {size}{over}, which way not said"
    return (
        f"{plus if fact.value > 0 else minus} by {size}{over}"
        if _stands_alone(fact.id)
        else f"{name}: {plus if fact.value > 0 else minus} by {size}{over}"
    )


def _stands_alone(name: str) -> bool:
    """Tell whether the direction words say what was measured without its name."""
    return name in ("face_out_of_square", "clamp_rise", "depth_drift")


def _size(fact: Reading, unit: Habit | None) -> str:
    value = fact.value or 0.0
    if fact.low is not None and fact.high is not None:
        ends = sorted((abs(fact.low), abs(fact.high)))
        if fact.low * fact.high < 0:
            return f"{format_length(fact.low, unit)} to {format_length(fact.high, unit)}"
        return f"{format_length(ends[0], unit)} to {format_length(ends[1], unit)}"
    bound = fact.bound
    if bound in _BLIND and value < 0 and fact.sign_known:
        bound = "at_most" if bound == "at_least" else "at_least"
    return _BOUNDS.get(bound or "", "") + format_length(abs(value), unit)


def _plain(text: str) -> str:
    return text.split(" (", maxsplit=1)[0]
