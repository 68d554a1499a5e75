"""Which checks can be made now, and what each costs in minutes with the machine as it stands."""

from __future__ import annotations

from functools import lru_cache

from askew.engine.case import Case, Situation, after_action, entered, measured, spoken_for
from askew.engine.observations import Reading
from askew.engine.physics.linear import felt_in
from askew.engine.setup import Setup, machine_of
from askew.knowledge.load import load
from askew.knowledge.schema import Check, ReadingKind, SignKind

STAND_INS = {"dial_indicator": ("tenths_indicator", "lever_indicator")}


def has_instruments(check: Check, instruments: tuple[str, ...] | None) -> bool:
    """Say whether one of a check's sets of instruments is on the bench; None means nobody said."""
    if instruments is None or not check.instruments:
        return True
    bench = set(instruments)
    return any(all(i in bench or bench & set(STAND_INS.get(i, ())) for i in one) for one in check.instruments)


def fits(check: Check, case: Case) -> bool:
    """Say whether a check makes sense with what is known of the job."""
    told = case.setup.told()
    if any(key in told and told[key] not in values for key, values in check.needs.items()):
        return False
    if any(key not in told for key in check.known):
        return False
    if any(_count(case.setup, key) <= least for key, least in check.more_than.items()):
        return False
    taken = {e.fact.id for e in case.evidence}
    return not check.after or any(id_ in taken for id_ in check.after)


def _count(setup: Setup, key: str) -> float:
    return float(setup.value(key) or 0.0)


def situation_of(check: Check, case: Case) -> Situation:
    """Return the situation that a check's readings will speak for when they are of the present state."""
    situation = case.now
    for action in check.first:
        situation = after_action(situation, action)
    return situation


def speaks_for(id_: str, check: Check, case: Case) -> Situation:
    """Return the situation that one reading or sign of a check will speak for."""
    known, kind = load(), _kind(id_)
    implied = list(known.readings[id_].implies) if id_ in known.readings else []
    recuts = any(known.actions[a].recuts for a in [*check.first, *implied])
    situation = situation_of(check, case)
    for action in implied:
        plain = action == "bar_removed" and situation.setup.moving_jaw_contact == "plain"
        if action not in check.first and not plain:
            situation = after_action(situation, action)
    return situation if recuts or kind.of != "cut" else measured(case)


def _kind(id_: str) -> ReadingKind | SignKind:
    known = load()
    return known.readings.get(id_) or known.signs[id_]


@lru_cache(maxsize=512)
def responds_to(id_: str, setup: Setup) -> frozenset[str]:
    """Return the sources that a reading or a sign speaks of in a setup."""
    known = load()
    if id_ in known.readings:
        return felt_in(id_, setup)
    found: set[str] = set()
    for meaning in (m for meanings in known.signs[id_].evidence.values() for m in meanings):
        found.update(meaning.troubled, [meaning.source] if meaning.source else [])
        found.update(felt_in(meaning.reading, setup) if meaning.reading else ())
    return frozenset(found)


def told_already(check: Check, case: Case, doubted: frozenset[str] = frozenset()) -> bool:
    """Say whether a check has told what it is made for: its first reading or sign, for the state it would speak for.

    A reading that is doubted has told nothing yet: it is worth taking again.

    Only what the reading or sign speaks of counts: another grip does not make an old sweep new. A check that
    begins by doing something has told it once its reading came after that was done, and nothing of it changed.
    """
    id_ = check.gives[0]
    if id_ in case.dont_know:
        return True
    if id_ in doubted:
        return False
    situation = speaks_for(id_, check, case)
    wanted = responds_to(id_, case.filled(situation.setup))
    now = spoken_for(case, _kind(id_).of)
    done = max((d.when for d in case.done if d.id in check.first), default=None)
    for e in case.evidence:
        if e.fact.id != id_ or (isinstance(e.fact, Reading) and e.fact.value is None):
            continue
        if check.first:
            told = done is not None and e.when >= done and _same(e.situation, now, wanted)
        else:
            told = _same(e.situation, situation, wanted)
        if told:
            return True
    return False


def _same(a: Situation, b: Situation, sources: frozenset[str]) -> bool:
    return all(a.instance(source) == b.instance(source) for source in sources)


AT_REST = frozenset({"vise_on", "part_gripped"})
"""States that are left as they are: getting out of them again is nobody's cost."""


def minutes_of(id_: str, case: Case) -> float:
    """Return the minutes of a check, with getting the machine into the states it needs and back."""
    return _minutes(id_, machine_of(case.setup), case.states)


@lru_cache(maxsize=8192)
def _minutes(id_: str, machine: str, states: frozenset[str]) -> float:
    """Return the minutes of a check; every check is asked for after every other, each turn."""
    known = load()
    check = known.checks[id_]
    total = check.minutes_on.get(machine, check.minutes)
    missing = [known.states[state] for state in check.states if state not in states]
    back = [known.states[state] for state in check.states if state not in states and state not in AT_REST]
    return total + sum(state.enter for state in missing) + sum(state.leave for state in back)


def available(case: Case, doubted: frozenset[str] = frozenset()) -> tuple[str, ...]:
    """Return the checks that can be made now and have something left to tell.

    Args:
        case: The case.
        doubted: Readings that were probably taken wrongly.
    """
    return tuple(
        id_
        for id_, check in load().checks.items()
        if id_ not in case.refused
        and id_ not in case.skipped
        and fits(check, case)
        and has_instruments(check, case.setup.instruments)
        and not told_already(check, case, doubted)
    )


__all__ = ["available", "entered", "fits", "has_instruments", "minutes_of", "situation_of", "speaks_for"]
