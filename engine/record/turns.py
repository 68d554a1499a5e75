"""What the records of a case add up to: the turns that stand after every undo, and a summary for lists."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from askew.engine.record.lines import Record


def standing(records: Iterable[Record]) -> list[Record]:
    """Return the turns that count: every "turn" except those a later "undo" took back."""
    turns: list[Record] = []
    for record in records:
        follow(turns, record)
    return turns


def follow(turns: list[Record], record: Record) -> None:
    """Bring a list of standing turns up to date with the next record, in place."""
    if record.kind == "turn":
        turns.append(record)
    elif record.kind == "undo":
        back = record.data.get("turns")
        if type(back) is int and back > 0:
            del turns[-back:]


def facts_of(turn: Record) -> Iterator[dict[str, Any]]:
    """Yield the facts that a turn was understood as, in the JSON form they were kept in."""
    facts = turn.data.get("facts")
    if isinstance(facts, list):
        yield from (fact for fact in facts if isinstance(fact, dict))


class SummaryData(BaseModel):
    """Content of a "summary" record: how the case stood when it was written.

    Attributes:
        state: "closed" once the fix is proved.
        complaint: The reading complained of, as an id.
        causes: The causes held responsible, as ids, the largest first.
    """

    model_config = ConfigDict(strict=True, extra="forbid", frozen=True)

    state: Literal["open", "closed"]
    complaint: str | None = Field(default=None, max_length=60)
    causes: list[str] = Field(default=[], max_length=40)


@dataclass(frozen=True, slots=True)
class Summary:
    """One line of a list of cases.

    Attributes:
        machine: Kind of machine as said, or None.
        complaint: Id of what was complained of: as last summed up, else the first reading told.
        causes: Ids of the causes last held responsible.
        state: "closed" if nothing was said since it was summed up as closed.
        opened: Time of the first record, ISO 8601, or "".
        changed: Time of the last one.
        turns: How many turns stand.
        words: What was said first.
    """

    machine: str | None
    complaint: str | None
    causes: tuple[str, ...]
    state: Literal["open", "closed"]
    opened: str
    changed: str
    turns: int
    words: str


def summarise(records: list[Record]) -> Summary:
    """Sum a case up from its records alone.

    The causes are those of its last "summary" record, as they were known then: listing a hundred cases
    must not take a hundred diagnoses, and an old verdict must not change with a later knowledge base.
    """
    turns = standing(records)
    machine = complaint = None
    for fact in (fact for turn in turns for fact in facts_of(turn)):
        if fact.get("kind") == "setup" and fact.get("key") == "machine":
            machine = _text(fact.get("value"))
        elif fact.get("kind") == "reading":
            complaint = complaint or _text(fact.get("id"))
    last, moved_on = _last_summary(records)
    return Summary(
        machine=machine,
        complaint=(last.complaint if last else None) or complaint,
        causes=tuple(last.causes) if last else (),
        state="closed" if last and last.state == "closed" and not moved_on else "open",
        opened=records[0].time if records else "",
        changed=records[-1].time if records else "",
        turns=len(turns),
        words=next((text for turn in turns if (text := _text(turn.data.get("text")))), ""),
    )


def _last_summary(records: list[Record]) -> tuple[SummaryData | None, bool]:
    moved_on = False
    for record in reversed(records):
        if record.kind == "summary":
            try:
                return SummaryData.model_validate(record.data), moved_on
            except ValidationError:
                continue
        moved_on = moved_on or record.kind in ("turn", "undo")
    return None, moved_on


def local(time: str) -> str:
    """Return a recorded time as the clock on the wall shows it: 2026-05-01 14:05."""
    try:
        return f"{datetime.fromisoformat(time).astimezone():%Y-%m-%d %H:%M}"
    except (ValueError, OverflowError, OSError):  # whatever a file claims
        return time[:16]


def local_day(time: str) -> str:
    """Return the day of a recorded time where the shop is: 2026-05-01."""
    return local(time)[:10]


def _text(value: object) -> str | None:
    return value if isinstance(value, str) else None
