"""Facts and because-lines in words, in the person's units."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from askew.engine.on_hand import listed_words
from askew.engine.phrases import chance_words
from askew.engine.snapshot import Say, say_size
from askew.engine.units import Habit, format_span
from askew.knowledge import facts
from askew.knowledge.facts import PAIRS
from askew.knowledge.load import Knowledge

CONCLUDES = {
    "points": "points to",
    "speaks_against": "speaks against",
    "suspect": "suspected:",
    "clear": "cleared:",
    "aside": "set aside:",
    "contradiction": "in doubt:",
    "first": "to settle first for",
    "out": "out of play:",
    "stop": "stop checking:",
    "hold": "keep checking:",
    "caution": "caution:",
    "note": "worth noting:",
}


@dataclass(frozen=True)
class Teller:
    """Puts values into words for one person."""

    known: Knowledge
    habit: Habit = "mm"
    say: Say = say_size

    def name(self, id_: object) -> str:
        """Return the name that a person uses for any id; plain values as they are spoken."""
        if isinstance(id_, bool):
            return "yes" if id_ else "no"
        if isinstance(id_, int | float):
            return f"{id_:g}"
        text = str(id_)
        if text in self.known.sources:
            return self.known.sources[text].short
        if text in PAIRS:
            return self.name(PAIRS[text].before)
        known = self.known
        tables: tuple[Mapping[str, Any], ...] = (
            known.readings, known.signs, known.checks, known.remedies, known.actions, known.setup,
            known.instruments, known.machines,
        )  # fmt: skip
        for table in tables:
            if text in table:
                return str(table[text].name)
        return text.replace("_", " ")

    def length(self, mm: float | None, over: float | None = None) -> str:
        """Return the size of a length in words, with what it was taken over where that is known."""
        if mm is None:
            return "no number"
        size = self.say(abs(mm), "mm", None, self.habit)
        return f"{size} over {format_span(over, self.habit)}" if over else size

    def signed(self, mm: float | None, over: float | None = None) -> str:
        """Return a length in words, with its sign."""
        if mm is None or mm == 0:
            return self.length(mm, over)
        return ("+" if mm > 0 else "-") + self.length(mm, over)

    def size(self, source: str, value: float) -> str:
        """Return the size of a source in words: a slope over the length it is spoken over."""
        spoken = self.known.sources[source]
        over = spoken.span if spoken.unit == "slope" else None
        return self.say(abs(value), spoken.unit, over, self.habit)

    def fill(self, name: str, bound: dict[str, Any], way: str) -> str:
        """Return what a because-line says for `{name:way}`, given everything the conditions bound."""
        value = bound[name]
        if way == "length":
            return self.length(value, bound.get("over") if name == "value" else None)
        if way == "signed":
            return self.signed(value, bound.get("over") if name == "value" else None)
        if way == "size":
            return self.size(bound["source"], value)
        if way == "percent":
            return chance_words(value)
        if way == "minutes":
            return f"{value:.0f} minute{'' if round(value) == 1 else 's'}"
        if way == "name":
            key = bound.get("key")
            if name == "value" and key in self.known.setup:
                return self.setup_value(str(key), value)
            return self.name(value).removeprefix("the ")  # the line has its own article
        return str(value)

    def setup_value(self, key: str, value: object) -> str:
        """Return the value of a setup key in words."""
        known = self.known.setup.get(key)
        if known is not None and known.kind == "length" and isinstance(value, int | float):
            return self.length(value)
        if isinstance(value, tuple):
            return listed_words(value, self.habit) or ", ".join(self.name(item) for item in value)
        if known is not None and str(value) in known.labels:
            return known.labels[str(value)]
        return self.name(value)

    def fact(self, fact: Any) -> str:
        """Return a fact in words, for the chain that `why` prints."""
        if isinstance(fact, facts.Seen):
            return f"{self.name(fact['sign'])}: {self.name(fact['answer'])}"
        if isinstance(fact, facts.Measured):
            return f"{self.name(fact['reading'])}: {self.signed(fact['value'], fact['over'])}"
        if isinstance(fact, facts.Known):
            return f"{self.name(fact['key'])}: {self.setup_value(fact['key'], fact['value'])}"
        if isinstance(fact, facts.Compared):
            before, after = self.signed(fact["before"]), self.signed(fact["after"])
            return f"{self.name(fact['pair'])}: {before}, then {after}"
        if isinstance(fact, facts.Done):
            return f"done: {self.name(fact['action'])}"
        if isinstance(fact, facts.Outdated):
            return f"{self.name(fact['what'])}, then {self.name(fact['action'])}"
        if isinstance(fact, facts.Complaint):
            return f"complaint: {self.name(fact['reading'])}: {self.signed(fact['value'], fact['over'])}"
        if isinstance(fact, facts.Numbers):
            return self._numbers(fact)
        if isinstance(fact, facts.Opinion):
            said = f"{fact['rule']} {CONCLUDES[fact['kind']]} {self.name(fact['source'])}"
            return f"{said}, which is {chance_words(fact['probability'])} likely"
        parts = (
            self.name(value)
            for key, value in fact.items()
            if not fact.is_special(key) and value not in ("", None)
        )
        return f"{type(fact).__name__.lower()}: {', '.join(parts)}"

    def _numbers(self, fact: Any) -> str:
        source = fact["source"]
        said = f"{self.name(source)}: {chance_words(fact['probability'])} likely"
        if fact["explains"] == "by_size":
            needed, plausible = self.size(source, fact["needed"]), self.size(source, fact["plausible"])
            said += f", needed {needed}, at most {plausible} plausible"
        return said
