"""What is held responsible, and what follows from it: the remedies, what proves them, and the verdict that goes out."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from askew.engine.budget import Budget
from askew.engine.case import Case
from askew.engine.seam import VerdictOut
from askew.engine.suspects import Numbers
from askew.knowledge.load import load

NAMED = 0.5
"""Probability from which a source that makes a tenth of the complaint is named in the verdict."""
MUCH = 0.2
"""Expected share of the complaint from which a source is named, in trouble or of usual size."""


def held_responsible(label: Sequence[str], numbers: Iterable[Numbers]) -> tuple[str, ...]:
    """Return the sources of a cause with whatever else makes a tenth of the complaint, the largest share first."""
    held = [
        n
        for n in numbers
        if n.source in label or (n.probability >= NAMED and n.share >= 0.1) or n.expected >= MUCH
    ]
    return tuple(n.source for n in sorted(held, key=lambda n: -n.expected))


def remedies_for(sources: Iterable[str]) -> tuple[str, ...]:
    """Return the remedies for some sources, in the order of the sources, fixes before ways round."""
    known = load().remedies
    found: list[str] = []
    for source in sources:
        serving = [id_ for id_, remedy in known.items() if source in remedy.serves]
        found += sorted(serving, key=lambda id_: (known[id_].kind != "fix", known[id_].minutes))
    return tuple(dict.fromkeys(found))


def proved_by(case: Case, remedies: Sequence[str]) -> list[str]:
    """Return what proves the fix: the complaint cut and measured again first."""
    complaint = case.complaint
    first = [complaint.fact.id] if complaint is not None else []
    known = load().remedies
    more = [id_ for remedy in remedies[:2] for id_ in known[remedy].verify]
    return list(dict.fromkeys([*first, *more]))[:4]


def verdict_out(
    budget: Budget, named: Sequence[str], remedies: Sequence[str] = (), verify: Sequence[str] = ()
) -> VerdictOut:
    """Return the verdict on some sources, with how much of the complaint they leave unexplained (mm)."""
    explained = budget.explained_by(named)
    return VerdictOut(
        sources=list(named),
        explained=explained,
        unexplained=abs(budget.complaint) * max(0.0, 1.0 - explained),
        remedies=list(remedies),
        verify=list(verify),
    )
