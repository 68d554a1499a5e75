"""What a case leaves in the machine's record: its readings of the machine, the corrections, the verdict."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from askew.engine.record.machine import BESIDE, Entry, MachineRecord
from askew.engine.seam import HeardOut
from askew.engine.story import Event
from askew.knowledge.load import load
from askew.knowledge.upkeep import load_upkeep

_Z90 = 1.6448536269514722
"""Half the width of a 90% interval, in standard deviations."""


def entries_of(case: str, events: Iterable[Event]) -> list[Entry]:
    """Return the entries that a case adds to the record of its machine, in order.

    Readings of the machine with a plain number, actions that move something that keeps, and of the last
    verdict the size of every cause that keeps.
    """
    entries: list[Entry] = []
    verdict: Event | None = None
    for event in events:
        for fact in event.heard:
            entry = _entry(case, event.day, fact)
            if entry is not None and entry.kind == "correction" and verdict is not None:
                # What was found belongs to the machine as it was before it was put right.
                entries += _verdict(case, verdict)
                verdict = None
            if entry is not None:
                entries.append(entry)
        if event.turn.verdict is not None:
            verdict = event
    return entries + (_verdict(case, verdict) if verdict is not None else [])


def label_of(case: str, key: str) -> str:
    """Return what a machine's record calls a case: its name, and enough of its own key to tell it from a namesake."""
    return f"{case[:180]} #{key[:8]}"


@dataclass(frozen=True, slots=True)
class Taken:
    """What a case changed in the record of its machine.

    Attributes:
        added: Entries that are new.
        withdrawn: Entries of the same case that no longer hold: taken back since, or found otherwise.
    """

    added: tuple[Entry, ...] = ()
    withdrawn: tuple[Entry, ...] = ()

    def says(self, machine: str) -> list[str]:
        """Return one line for a person; none where nothing changed."""
        names = {"reading": "reading", "correction": "correction", "verdict": "finding"}
        kept = [
            f"{count} {name}{'' if count == 1 else 's'}"
            for kind, name in names.items()
            if (count := sum(entry.kind == kind for entry in self.added))
        ]
        back = f"{len(self.withdrawn)} taken back" if self.withdrawn else ""
        said = "; ".join(part for part in (", ".join(kept), back) if part)
        return [f"Kept for {machine}: {said}."] if said else []


def take_in(record: MachineRecord, case: str, events: Iterable[Event]) -> Taken:
    """Bring what a machine's record holds of a case up to date, so that everything stands in it once.

    Args:
        record: The machine's record.
        case: The case as `label_of` names it.
        events: The turns of the case that stand.

    Raises:
        MachineError: The record cannot be written.
    """
    wanted = Counter(entries_of(case, events))
    key = case[case.rfind("#") :]
    withdrawn = []
    for number, entry in record.numbered.items():
        if key and entry.case.endswith(key):
            if wanted[entry] > 0:
                wanted[entry] -= 1
            else:
                withdrawn.append(record.withdraw(number))
    added = list(wanted.elements())
    for entry in added:
        record.add(entry)
    return Taken(tuple(added), tuple(withdrawn))


def _entry(case: str, day: str, fact: HeardOut) -> Entry | None:
    known, keeps = load(), load_upkeep()
    if fact.kind == "reading" and fact.id in known.readings:
        plain = (
            isinstance(fact.value, int | float)
            and fact.bound in (None, "about")
            and fact.sign_known is not False
        )
        reading = known.readings[fact.id]
        if plain and (reading.of == "machine" or fact.id in BESIDE) and (reading.over is None or fact.over):
            over = fact.over if reading.over is not None else None
            sd = 2.0 * reading.scatter if fact.bound == "about" else None
            return Entry(
                date=day, kind="reading", id=fact.id, value=float(fact.value), over=over, sd=sd, case=case
            )
    if fact.kind == "action" and fact.id in known.actions:
        moved = known.actions[fact.id].redraws
        if any(keeps.keeping(s, known.sources[s].group) for s in moved):
            return Entry(date=day, kind="correction", id=fact.id, case=case, note=fact.words)
    return None


def _verdict(case: str, event: Event) -> list[Entry]:
    known, keeps, verdict = load(), load_upkeep(), event.turn.verdict
    entries: list[Entry] = []
    for suspect in event.turn.suspects:
        source = known.sources.get(suspect.source)
        if source is None or verdict is None or suspect.source not in verdict.sources:
            continue
        if not keeps.keeping(suspect.source, source.group):
            continue
        over = source.span if source.unit == "slope" else None
        scale = over or 1.0
        sd = (suspect.size.high - suspect.size.low) / (2.0 * _Z90) * scale
        value = suspect.size.mid * scale
        entries.append(
            Entry(
                date=event.day,
                kind="verdict",
                id=suspect.source,
                value=value,
                over=over,
                sd=max(sd, 1e-5),
                case=case,
            )
        )
    return entries
