"""A turn as the journal keeps it: from what was said to its record, and back."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from askew.engine.case import Case
from askew.engine.kept import BadFactError, from_json, to_json
from askew.engine.mend import Mend
from askew.engine.mend import from_json as mend_from_json
from askew.engine.mend import to_json as mend_to_json
from askew.engine.observations import Observation
from askew.engine.record.lines import Record
from askew.engine.record.turns import facts_of
from askew.engine.seam import Turn
from askew.engine.units import Habit
from askew.knowledge.load import load


@dataclass(frozen=True)
class KeptTurn:
    """A turn that counts: the case after it, what it said, the unit spoken in by then, and on which day."""

    case: Case
    facts: tuple[Observation, ...]
    unit: Habit | None
    day: str


@dataclass(frozen=True)
class ReadTurn:
    """What the record of a turn holds.

    Attributes:
        facts: What was said.
        unit: The unit that it showed, or None.
        asked: The check that had been asked for, or None.
        mend: The fix that it was, or proved, or None.
        notices: What could not be read, a sentence each.
    """

    facts: tuple[Observation, ...]
    unit: Habit | None
    asked: str | None
    mend: Mend | None
    notices: tuple[str, ...]


def turn_record(
    text: str, facts: Iterable[Observation], unit: Habit | None, asked: str | None, mend: Mend | None
) -> dict[str, Any]:
    """Return a turn as JSON values, for the record on disk."""
    record: dict[str, Any] = {
        "text": text,
        "facts": [to_json(fact) for fact in facts],
        "unit": unit,
        "asked": asked,
    }
    if mend is not None:
        record["mend"] = mend_to_json(mend)
    return record


def read_turn(turn: Record) -> ReadTurn:
    """Return what `turn_record` wrote; facts that cannot be read are left out, and told of."""
    facts: list[Observation] = []
    notices: list[str] = []
    for item in facts_of(turn):
        try:
            facts.append(from_json(item))
        except BadFactError as error:
            notices.append(f"Entry {turn.seq} holds {error}; it was left out.")
    unit, asked = turn.data.get("unit"), turn.data.get("asked")
    return ReadTurn(
        facts=tuple(facts),
        unit=unit if unit in ("in", "mm") else None,
        asked=asked if isinstance(asked, str) and asked in load().checks else None,
        mend=mend_from_json(turn.data["mend"]) if "mend" in turn.data else None,
        notices=tuple(notices),
    )


def last_asked(records: Sequence[Record]) -> Mend | None:
    """Return the fix asked for last, where nothing came of it yet."""
    asked: Mend | None = None
    for record in records:
        if record.kind == "fix":
            asked = mend_from_json(record.data.get("mend"))
        elif record.kind == "undo" or "mend" in record.data:
            asked = None
    return asked


def summary_record(case: Case, turn: Turn) -> dict[str, Any]:
    """Return how a case stands once there is a verdict, for lists of cases."""
    return {
        "state": "closed" if turn.closed else "open",
        "complaint": case.complaint.fact.id if case.complaint else None,
        "causes": turn.verdict.sources if turn.verdict is not None else [],
    }
