"""When a case is closed: the complaint, measured again after something was done, is as small as it may be."""

from __future__ import annotations

from askew.engine.belief.items import scatter_of
from askew.engine.case import Case
from askew.engine.observations import Reading
from askew.engine.units import Habit, format_length
from askew.knowledge.load import load

FALLEN = 0.2
"""Share of the first complaint below which it counts as cured, where no tolerance was told."""


def tolerance_of(case: Case) -> float:
    """Return the width of the zone that matters, mm: as told, or usual."""
    return float(case.setup.value("tolerance"))


def read_anew(case: Case) -> float | None:
    """Return the complaint as it reads since something was done, mm.

    None where it was not read since, or only said to be at least so much.
    """
    latest = case.latest
    if latest is None or not isinstance(latest.fact, Reading) or latest.fact.value is None:
        return None
    first = next(
        e
        for e in case.evidence
        if e.fact.id == latest.fact.id and isinstance(e.fact, Reading) and e.fact.value is not None
    )
    if first is latest or case.changed <= first.when or latest.fact.bound == "at_least":
        return None
    return latest.fact.value


def goal_of(case: Case) -> float | None:
    """Return how large the complaint may be for the case to close, mm: as asked, else a part of what it was."""
    if case.setup.known("tolerance"):
        return tolerance_of(case)
    complaint = case.complaint
    if complaint is None or not isinstance(complaint.fact, Reading):
        return None
    facts = [e.fact for e in case.evidence if e.fact.id == complaint.fact.id]
    first = next((f.value for f in facts if isinstance(f, Reading) and f.value is not None), None)
    floor = 3.0 * scatter_of(complaint.fact.id, complaint.fact.over)
    return max(FALLEN * abs(first), floor) if first is not None else None


def closed_words(case: Case, goal: float, unit: Habit, *, judged: bool) -> str:
    """Return the sentence that a closed case ends with.

    Args:
        case: The closed case.
        goal: How large the complaint may be, mm.
        unit: The person's habit.
        judged: A fix's own prediction has said already what the complaint is now.
    """
    complaint = case.complaint
    assert complaint is not None and isinstance(complaint.fact, Reading)
    most = format_length(goal, unit)
    size = format_length(abs(complaint.fact.value or 0.0), unit)
    name = load().readings[complaint.fact.id].name
    is_now = "" if judged else f"Proved: {name} is now {size}. "
    if case.setup.known("tolerance"):
        return f"{is_now}It may be {most}."
    return f"{is_now}Nobody told a tolerance; {most} is assumed to be good enough."
