"""What goes without saying: what a message takes for granted, given the check or the fix that was asked for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from askew.engine.case import Case
from askew.engine.mend import Mend
from askew.engine.observations import Action, Observation, Reading, Sign
from askew.knowledge.load import load

SAME_CUT = {
    "turned_error": "face_out_of_square", "fine_cutter_error": "face_out_of_square",
    "cross_feed_hollow": "hollow_across", "cross_feed_step": "step", "reversed_step": "step",
}  # fmt: skip
"""What is read of a cut made anew, and the complaint that it is where nothing was complained of before."""


def first_told(facts: Sequence[Observation], case: Case) -> Sequence[Observation]:
    """Return facts in which a cut told of only after the part was turned or the cutter changed is the complaint."""
    kinds = load().readings
    told = any(isinstance(f, Reading) and kinds[f.id].complaint for f in facts)
    if told or case.complaint is not None:
        return facts
    return [
        replace(f, id=SAME_CUT[f.id]) if isinstance(f, Reading) and f.id in SAME_CUT else f for f in facts
    ]


def over_the_same(fact: Observation, case: Case) -> Observation:
    """Return a corner told without its length as one measured over the same length as the complaint's."""
    complaint = case.complaint
    if not isinstance(fact, Reading) or fact.over is not None or complaint is None:
        return fact
    kinds, said = load().readings, complaint.fact
    same = kinds[fact.id].over is not None and kinds[fact.id].over == kinds[said.id].over
    return replace(fact, over=said.over) if same and isinstance(said, Reading) and said.over else fact


def followed(
    facts: Sequence[Observation], case: Case, pending: str | None, asked: Mend | None
) -> tuple[Action, ...]:
    """Return what the steps just asked for had the person do before a reading, unless they said so.

    On the scriptable seam actions are said, never assumed.

    Args:
        facts: What was said.
        case: The case before it.
        pending: The check asked for.
        asked: The fix asked for, not made yet.
    """
    if asked is not None and tells_proof(facts, case, pending):
        return tuple(Action(a, "as asked") for a in asked.actions)
    if pending is None:
        return ()
    known = load()
    check = known.checks[pending]
    ids = {fact.id for fact in facts if isinstance(fact, Reading | Sign)}
    if not ids & set(check.gives):
        return ()
    said = {fact.id for fact in facts if isinstance(fact, Action)}
    implied = {a for id_ in ids & set(known.readings) for a in known.readings[id_].implies}
    return tuple(Action(a, "as asked") for a in check.first if a not in said | implied)


def tells_proof(facts: Sequence[Observation], case: Case, pending: str | None) -> bool:
    """Say whether the complaint is read anew after a fix was asked for, and nothing said of what was done."""
    complaint = case.complaint
    if complaint is None or any(isinstance(fact, Action) for fact in facts):
        return False
    if pending is not None and complaint.fact.id in load().checks[pending].gives:
        return False
    told = [f for f in facts if isinstance(f, Reading) and f.id == complaint.fact.id and f.value is not None]
    return bool(told) and isinstance(complaint.fact, Reading) and told[-1].value != complaint.fact.value
