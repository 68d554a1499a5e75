"""Facts in the person's words and units, for the report."""

from __future__ import annotations

import re
from typing import Any, NamedTuple

from askew.engine.on_hand import listed_words
from askew.engine.seam import HeardOut, SizeOut
from askew.engine.story import CaseStory
from askew.engine.units import Habit, format_length, format_slope, format_span
from askew.knowledge.load import load


class Speech(NamedTuple):
    """How to speak to the person: their unit, and the axis they fed along."""

    habit: Habit
    feed: str = "x"


def speech_of(story: CaseStory) -> Speech:
    """Return how to speak of a case."""
    return Speech(story.unit, story.setup.feed_axis or "x")


def source_name(id_: str) -> str:
    """Return what a source is called."""
    source = load().sources.get(id_)
    return source.name if source else spaced(id_)


def source_short(id_: str) -> str:
    """Return the short name of a source."""
    source = load().sources.get(id_)
    return source.short if source else spaced(id_)


def observed_name(id_: str) -> str:
    """Return what a reading or a sign is called."""
    known = load()
    if id_ in known.readings:
        return known.readings[id_].name
    return known.signs[id_].name if id_ in known.signs else spaced(id_)


def check_name(id_: str) -> str:
    """Return what a check is called."""
    check = load().checks.get(id_)
    return check.name if check else spaced(id_)


def remedy_name(id_: str) -> str:
    """Return what a remedy is called; a sentence stays as it is."""
    remedy = load().remedies.get(id_)
    return remedy.name if remedy else id_


def caution_text(id_: str) -> str:
    """Return the sentence of a caution; a sentence stays as it is."""
    caution = load().cautions.get(id_)
    return caution.text if caution else id_


def fact_words(fact: HeardOut, speech: Speech) -> str:
    """Return a fact as one phrase: what it is, its value, and in which direction."""
    known = load()
    if fact.kind == "reading" and fact.id in known.readings:
        return f"{known.readings[fact.id].name}: {reading_value(fact, speech)}"
    if fact.kind == "sign" and fact.id in known.signs:
        return f"{known.signs[fact.id].name}: {_answer(fact.answer or fact.value)}"
    if fact.kind == "setup" and fact.id in known.setup:
        return f"{known.setup[fact.id].name}: {setup_value(fact.id, fact.value, speech.habit)}"
    if fact.kind == "action" and fact.id in known.actions:
        return known.actions[fact.id].name
    return spaced(fact.id)


def reading_value(fact: HeardOut, speech: Speech) -> str:
    """Return the value of a reading with its bound, its length and its direction."""
    habit = speech.habit
    kind = load().readings[fact.id]
    if not isinstance(fact.value, int | float):
        return "no number given"
    value = float(fact.value)
    signed = fact.sign_known is not False and not kind.size_only and value != 0.0
    size = abs(value) if signed or fact.sign_known is False else value
    if fact.bound == "between" and fact.low is not None and fact.high is not None:
        text = f"{format_length(fact.low, habit)} to {format_length(fact.high, habit)}"
    else:
        bound = {"at_least": "at least ", "at_most": "at most ", "about": "about "}.get(fact.bound or "", "")
        text = bound + format_length(size, habit)
    if fact.over:
        text += f" over {format_span(fact.over, habit)}"
    if signed and fact.bound != "between":
        text += f", {direction(fact.id, value, speech)}"
    return text + (", direction not said" if fact.sign_known is False else "")


def signed_value(reading: str, mm: float, speech: Speech) -> str:
    """Return a reading's size and the word for its direction."""
    kind = load().readings.get(reading)
    if kind is None or kind.size_only or round(mm, 5) == 0:
        return format_length(mm, speech.habit)
    return f"{format_length(abs(mm), speech.habit)}, {direction(reading, mm, speech)}"


# Where the direction has another name for the other feed axis, the knowledge gives it in brackets.
_OTHER_AXIS = re.compile(r"(.*?) \((.*?), for feed along Y\)")


def direction(reading: str, mm: float, speech: Speech) -> str:
    """Return the word for the direction that a reading's sign means, for the axis fed along."""
    kind = load().readings[reading]
    words = kind.plus if mm > 0 else kind.minus
    both = _OTHER_AXIS.fullmatch(words)
    if both is None:
        return words
    if speech.feed == "x":
        return both[1]
    return re.sub(r"^(front|back|left|right)\b", both[2], both[1]) if " " in both[1] else both[2]


def span_words(low: float, high: float, habit: Habit) -> str:
    """Return an interval of lengths; of sizes where both ends go the same way, the smaller first."""
    if low < 0.0 and high <= 0.0:
        low, high = -high, -low
    return f"{format_length(low, habit)} to {format_length(high, habit)}"


def size_words(source: str, size: SizeOut, habit: Habit) -> str:
    """Return the size of a source with its interval; a slope over the length it is spoken over."""
    known = load().sources.get(source)
    if size.unit == "slope":
        over = known.span if known else 100.0
        if habit == "in":
            over = 25.4 * round(over / 25.4)
        mid, scale = format_slope(size.mid, over, habit), float(over)
    else:
        mid, scale = format_length(size.mid, habit), 1.0
    return f"{mid}; {format_length(size.low * scale, habit)} to {format_length(size.high * scale, habit)}"


def setup_value(key: str, value: Any, habit: Habit | None) -> str:
    """Return the value of a setup fact."""
    kind = load().setup.get(key)
    if kind is None:
        return str(value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list | tuple):
        instruments = load().instruments
        names = (instruments[v].name if v in instruments else spaced(str(v)) for v in value)
        return listed_words(value, habit) or ", ".join(names)
    if kind.zero and value == 0:
        return kind.zero
    if kind.kind == "length" and isinstance(value, int | float):
        return format_length(float(value), habit) if key == "tolerance" else format_span(float(value), habit)
    if isinstance(value, str):
        return kind.labels.get(value, spaced(value))
    return str(value)


def spaced(id_: str) -> str:
    """Return an id as words."""
    return id_.replace("_", " ")


def _answer(answer: Any) -> str:
    return {"unknown": "could not tell"}.get(str(answer), spaced(str(answer)))
