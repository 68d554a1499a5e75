"""Ids and numbers in the person's words: names from the knowledge, lengths in their unit."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import TYPE_CHECKING

from askew.cli.view import View
from askew.engine.units import format_length, format_span, from_mm

if TYPE_CHECKING:
    from askew.engine.seam import HeardOut, SizeOut
    from askew.knowledge.load import Knowledge


def name_of(id_: str, known: Knowledge) -> str:
    """Return the name of anything the knowledge has an id for; the id in plain words where it has none."""
    tables: tuple[Mapping[str, object], ...] = (
        known.readings,
        known.signs,
        known.checks,
        known.actions,
        known.remedies,
        known.instruments,
        known.setup,
        known.machines,
        known.commands,
    )
    if id_ in known.sources:
        return known.sources[id_].short
    for table in tables:
        if id_ in table:
            return str(getattr(table[id_], "name"))  # noqa: B009 - the tables share no base with a name
    return id_.replace("_", " ")


def text_of(id_or_text: str, known: Knowledge) -> str:
    """Return a caution's sentence, a name, or the text itself where it is no id."""
    if id_or_text in known.cautions:
        return known.cautions[id_or_text].text
    return id_or_text if " " in id_or_text else name_of(id_or_text, known)


def signed(mm: float, view: View) -> str:
    """Return a length with its sign, plus included."""
    text = format_length(mm, view.habit)
    return text if text.startswith(("-", "0 ", "0.000")) else f"+{text}"


def between(low: float, high: float, view: View) -> str:
    """Return a range of signed lengths, with the unit said once where both ends share it."""
    first, last = signed(low, view), signed(high, view)
    if first == last:
        return first
    unit = unit_of(low if abs(low) > abs(high) else high, view)
    return f"{_in_unit(low, unit)} to {_in_unit(high, unit)} {unit}"


def unit_of(mm: float, view: View) -> str:
    """Return the unit that a length of this size is spoken in, as a plural."""
    unit = format_length(mm, view.habit).partition(" ")[2]
    return "tenths" if unit == "tenth" else unit


def _in_unit(mm: float, unit: str) -> str:
    """Return the signed number of a length in one of the units that lengths are spoken in."""
    value = float(from_mm(Decimal(repr(mm)), {"tenths": "tenth"}.get(unit, unit)))
    places = {"mm": 3 if abs(mm) < 1 else 2, "in": 3}.get(unit, 1)
    text = f"{value:+.{places}f}"
    if unit != "mm" and "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if float(text) == 0 else text


def size_of(size: SizeOut, source: str, known: Knowledge, view: View) -> str:
    """Return the size of a source as a range, a slope over the length that shops speak it over."""
    scale, over = 1.0, ""
    if size.unit == "slope":
        scale = span_of(source, known, view)
        over = f" over {format_span(scale, view.habit)}"
    if either_way(size):
        return f"up to {format_length(size.high * scale, view.habit)}{over}, either way"
    return f"{between(size.low * scale, size.high * scale, view)}{over}"


def either_way(size: SizeOut) -> bool:
    """Say whether a size is as large one way as the other, as where only its amount shows."""
    return size.low < 0.0 < size.high and abs(size.high + size.low) < 0.05 * (size.high - size.low)


def span_of(source: str, known: Knowledge, view: View) -> float:
    """Return the length in mm that a source's slope is spoken over: whole inches for inch people."""
    span = known.sources[source].span if source in known.sources else 100.0
    return max(1, round(span / 25.4)) * 25.4 if view.habit == "in" else span


def amount(value: float, unit: str, source: str, known: Knowledge, view: View) -> str:
    """Return the size of one source without its sign."""
    if unit != "slope":
        return format_length(abs(value), view.habit)
    span = span_of(source, known, view)
    return f"{format_length(abs(value) * span, view.habit)} over {format_span(span, view.habit)}"


def heard_value(heard: HeardOut, view: View) -> str:
    """Return the value of a sign, a fact about the job or an action, echoed as it will count."""
    if heard.kind == "sign":
        return (heard.answer or str(heard.value or "yes")).replace("_", " ")
    if heard.kind == "setup":
        from askew.engine.report.words import setup_value  # the engine is there by then

        return "not known" if heard.value is None else setup_value(heard.id, heard.value, view.habit)
    return "done" if heard.kind == "action" else ""


def option_name(key: str, option: str, known: Knowledge) -> str:
    """Return how an answer offered with a question is shown."""
    kind = known.setup.get(key)
    if kind and option in kind.labels:
        return kind.labels[option]
    return option.replace("_", " ")


def minutes(value: float) -> str:
    """Return minutes as people say them."""
    if value >= 90:
        return f"{value / 60:.1f} h"
    return f"{value:.0f} min" if value >= 1 or value == 0 else "under a minute"
