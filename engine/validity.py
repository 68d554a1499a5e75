"""What a reading or sign still speaks for, after what was done since."""

from __future__ import annotations

from collections.abc import Iterable

from askew.engine.snapshot import Snapshot
from askew.knowledge import facts
from askew.knowledge.facts import ENDS, VISE_READINGS, TradeFact
from askew.knowledge.load import Knowledge


def ended(known: Knowledge, case: Snapshot, what: str, of: str, since: int, until: int | None = None) -> bool:
    """Tell whether an action after state `since`, up to `until`, ended what an observation speaks for."""
    ends = ENDS["vise" if what in VISE_READINGS else of] if of != "cut" else ()
    return any(
        action.when > since
        and (until is None or action.when <= until)
        and (action.id in ends or (of == "cut" and known.actions[action.id].recuts))
        for action in case.actions
    )


def of_one_time(known: Knowledge, case: Snapshot, matched: Iterable[TradeFact]) -> bool:
    """Tell whether the readings and signs that a rule matched speak for things as they were at one time.

    They do where nothing done between them ended what any of them speaks for: a cut and a sweep are not of
    one time when the head was adjusted between them, although the cut is still there.
    """
    told = [fact for fact in matched if isinstance(fact, facts.Seen | facts.Measured)]
    last = max((fact["when"] for fact in told), default=0)
    subjects = [_subject(known, fact) for fact in told]
    return not any(ended(known, case, what, of, fact["when"], last) for fact in told for what, of in subjects)


def _subject(known: Knowledge, fact: TradeFact) -> tuple[str, str]:
    if isinstance(fact, facts.Seen):
        return fact["sign"], known.signs[fact["sign"]].of
    return fact["reading"], fact["of"]


def speaks_of(known: Knowledge, case: Snapshot, matched: Iterable[TradeFact], source: str) -> bool:
    """Tell whether what a rule matched speaks of a source as it was when the complaint arose.

    A source that was changed between the two (a head adjusted, a part gripped again) is not the same one: the
    old cut is not blamed on the new head, nor the new cut on the old one.
    """
    arose = _complaint_state(case)
    for fact in matched:
        if isinstance(fact, facts.Seen | facts.Measured | facts.Compared):
            first, last = sorted((fact["when"], arose))
            if any(first < a.when <= last and source in known.actions[a.id].redraws for a in case.actions):
                return False
    return True


def _complaint_state(case: Snapshot) -> int:
    if case.complaint is None:
        return 0
    told = [r.when for r in case.readings if r.id == case.complaint[0] and r.value == case.complaint[1]]
    return told[-1] if told else 0
