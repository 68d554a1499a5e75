"""The case as the rules are told it: from what was said, with the numbers beside it, to a snapshot's parts."""

from __future__ import annotations

from askew.engine.case import Case, Evidence
from askew.engine.observations import Reading, Sign
from askew.engine.planner.choose import Choice
from askew.engine.snapshot import BestCheck, SourceNumbers, ToldAction, ToldReading, ToldSign
from askew.engine.suspects import Numbers
from askew.knowledge.load import load


def told_readings(case: Case) -> tuple[ToldReading, ...]:
    """Return every reading of a case, in order."""
    return tuple(_reading(e, e.fact) for e in case.evidence if isinstance(e.fact, Reading))


def _reading(evidence: Evidence, fact: Reading) -> ToldReading:
    of = load().readings[fact.id].of
    return ToldReading(fact.id, fact.value, fact.over, fact.bound, evidence.state, of, fact.sign_known)


def told_signs(case: Case) -> tuple[ToldSign, ...]:
    """Return every sign of a case, in order."""
    return tuple(
        ToldSign(e.fact.id, e.fact.answer, e.state) for e in case.evidence if isinstance(e.fact, Sign)
    )


def told_actions(case: Case) -> tuple[ToldAction, ...]:
    """Return everything done in a case, in order."""
    return tuple(ToldAction(done.id, done.state) for done in case.done)


def told_complaint(case: Case) -> tuple[str, float | None, float | None] | None:
    """Return the complaint as (reading id, value mm, over mm), or None before there is one."""
    fact = case.complaint.fact if case.complaint is not None else None
    return (fact.id, fact.value, fact.over) if isinstance(fact, Reading) else None


def told_numbers(n: Numbers) -> SourceNumbers:
    """Return the numbers of a source without those that no rule asks for."""
    return SourceNumbers(
        n.source,
        load().sources[n.source].group,
        n.probability,
        n.expected,
        n.mid,
        n.low,
        n.high,
        n.needed,
        n.plausible,
        n.reach,
    )


def told_best(choice: Choice | None) -> tuple[BestCheck | None, float]:
    """Return the best check left with the probability that the leading cause is right; (None, 0) without a plan."""
    if choice is None:
        return None, 0.0
    first = choice.ranked[0] if choice.ranked else None
    best = BestCheck(first.id, first.saves, first.gain) if first is not None else None
    return best, choice.settled if choice.label else 0.0
