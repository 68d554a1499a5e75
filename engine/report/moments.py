"""Which turns of a case matter: the complaint, the steps that moved the belief, the verdict, the fix."""

from __future__ import annotations

from collections.abc import Sequence

from askew.engine.seam import HeardOut
from askew.engine.story import Event
from askew.knowledge.load import load


def judged(events: Sequence[Event]) -> int | None:
    """Return the place of the verdict that was acted on last, before it was acted on.

    The last verdict where none was acted on; without any, the last turn with suspects (of a closed case, the
    last before what closed it); None without one.
    """
    ends = [
        i
        for i, event in enumerate(events)
        if event.turn.verdict is not None
        and not event.turn.closed  # that one says what it was, not what to do
        and (i + 1 == len(events) or acted(events[i + 1]) or events[i + 1].turn.verdict is None)
    ]
    acted_on = [i for i in ends if any(acted(event) for event in events[i + 1 :])]
    suspected = [i for i, event in enumerate(events) if event.turn.suspects and not event.turn.closed]
    for places in (acted_on, ends, suspected):
        if places:
            return places[-1]
    return None


def acted(event: Event) -> bool:
    """Say whether something was done in a turn."""
    return any(fact.kind == "action" for fact in event.heard)


def complaint_of(events: Sequence[Event]) -> HeardOut | None:
    """Return what was complained of first, with the last number that was given for it."""
    known, found = load().readings, None
    for event in events:
        for fact in event.heard:
            if fact.kind != "reading" or fact.id not in known or not known[fact.id].complaint:
                continue
            if found is None or (fact.id == found.id and fact.value is not None):
                found = fact
    return found


def steps_of(events: Sequence[Event]) -> list[Event]:
    """Return the turns that could move the belief: something was read, seen or done."""
    return [event for event in events if any(f.kind in ("reading", "sign", "action") for f in event.heard)]


def status_of(events: Sequence[Event]) -> str:
    """Return "closed", "found" once there was a verdict, or "open"."""
    if events and events[-1].turn.closed:
        return "closed"
    return "found" if any(event.turn.verdict for event in events) else "open"
