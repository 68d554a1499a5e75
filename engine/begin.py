"""What a case begins with where its machine is known by name: the kind of machine, and what its record says."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from askew.engine.case import Case, Memory, Situation
from askew.engine.safe import safe
from askew.engine.setup import Setup
from askew.engine.snapshot import say_size
from askew.engine.units import Habit
from askew.knowledge.load import Knowledge, load

MOST_SAID = 3
"""Remembered sizes that are spelt out; the others are only counted."""


@dataclass(frozen=True)
class Beginning:
    """What is known before the first word.

    Attributes:
        machine: Name of the machine in the shop; empty where none was named.
        kind: Kind of machine, or None.
        memory: What its record says, by source.
    """

    machine: str = ""
    kind: str | None = None
    memory: tuple[Memory, ...] = ()

    @property
    def case(self) -> Case:
        """The case before anything was said."""
        told = Setup(machine=self.kind)
        start = Situation(setup=told)
        return Case(now=start, cut=start, memory=self.memory, told=told)

    def to_json(self) -> dict[str, Any]:
        """Return it as JSON values, for the record on disk."""
        sources = {m.source: [m.mean, m.sd, m.weight] for m in self.memory}
        return {"machine": self.machine, "kind": self.kind, "sources": sources}

    def says(self, unit: Habit | None) -> list[str]:
        """Return what there is to say of it: the sizes that stand out, and how many more are known."""
        if not self.machine:
            return []
        if not self.memory:
            return [f"The record of {self.machine} says nothing yet that this case could start from."]
        known = load().sources
        out = [m for m in self.memory if self._out_by(m) > 3.0]
        out.sort(key=lambda m: -self._out_by(m))
        said = [_in_words(m, unit or "mm") for m in out[:MOST_SAID]]
        rest = [known[m.source].short for m in self.memory if m not in out[:MOST_SAID]]
        lines = [f"Starting from the record of {self.machine}."]
        if said:
            lines.append(f"Last known: {'; '.join(said)}.")
        if rest:
            lines.append(f"Known to be about as usual: {', '.join(rest[:MOST_SAID])}"
                         + (f" and {len(rest) - MOST_SAID} more." if len(rest) > MOST_SAID else "."))  # fmt: skip
        return lines

    def _out_by(self, m: Memory) -> float:
        """Return how far out a remembered source is, in sizes usual of a healthy one."""
        size = load().sources[m.source].size
        return (abs(m.mean) + m.sd) / (size.get(self.kind or "any") or size["any"]).healthy


def _in_words(m: Memory, unit: Habit) -> str:
    source = load().sources[m.source]
    return f"{source.short} {say_size(m.mean, source.unit, source.span, unit)} (plus: {source.plus})"


def beginning(machine: str, kind: str | None, memory: Mapping[str, tuple[float, float, float]]) -> Beginning:
    """Return what a case on a machine begins with; sources that are not known are left out."""
    kept = {source: list(values) for source, values in memory.items()}
    return read_beginning({"machine": safe(machine)[:60], "kind": kind, "sources": kept}, load())


def read_beginning(data: Mapping[str, Any], known: Knowledge) -> Beginning:
    """Return the beginning that a record keeps; entries of another shape, or of no known source, are left out."""
    machine, kind, sources = data.get("machine"), data.get("kind"), data.get("sources")
    found = []
    for source, values in sorted(sources.items()) if isinstance(sources, dict) else ():
        numbers = [float(v) for v in values if type(v) in (int, float)] if isinstance(values, list) else []
        if source in known.sources and len(numbers) == 3 and numbers[1] > 0.0 and 0.0 <= numbers[2] <= 1.0:
            found.append(Memory(source, *numbers))
    return Beginning(
        safe(machine)[:60] if isinstance(machine, str) else "",
        kind if isinstance(kind, str) and kind in known.machines else None,
        tuple(found),
    )
