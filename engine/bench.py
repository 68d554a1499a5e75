"""What the bench, the machine and the setup rule out, as facts."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from askew.engine.snapshot import Value
from askew.knowledge import facts
from askew.knowledge.facts import TradeFact
from askew.knowledge.load import Knowledge
from askew.knowledge.schema import Check


def bench_facts(
    known: Knowledge,
    machine: str,
    setup: Mapping[str, Value],
    instruments: frozenset[str] | None,
    refused: frozenset[str],
    taken: frozenset[str] | None,
) -> Iterator[TradeFact]:
    """Yield what decides which sources, checks and signs are in play; see `Reasoner.in_play`."""
    for id_, source in known.sources.items():
        for key, value in _unmet(source.needs, setup):
            yield facts.Requirement(subject=id_, kind="source", key=key, value=value, met="no")
    for id_, sign in known.signs.items():
        for key, value in _unmet(sign.needs, setup):
            yield facts.Idle(sign=id_, key=key, value=value)
    for id_, check in known.checks.items():
        yield from _check_facts(known, id_, check, setup, instruments, taken)
    yield from (facts.Refused(check=id_) for id_ in sorted(refused) if id_ in known.checks)
    if machine in known.machines:
        for id_ in known.machines[machine].without:
            yield facts.Without(
                subject=id_, kind="check" if id_ in known.checks else "source", machine=machine
            )


def _unmet(needs: Mapping[str, list[str | bool]], here: Mapping[str, Value]) -> Iterator[tuple[str, Value]]:
    """Yield the keys whose known value is not among those needed; what is not known rules nothing out."""
    yield from (
        (key, here[key]) for key, allowed in needs.items() if key in here and here[key] not in allowed
    )


def _check_facts(
    known: Knowledge,
    id_: str,
    check: Check,
    here: Mapping[str, Value],
    bench: frozenset[str] | None,
    taken: frozenset[str] | None,
) -> Iterator[TradeFact]:
    def needs(key: str, value: Value, met: str) -> TradeFact:
        return facts.Requirement(subject=id_, kind="check", key=key, value=value, met=met)

    for key, value in _unmet(check.needs, here):
        yield needs(key, value, "no")
    for key, bound in check.more_than.items():
        size = here.get(key)
        if isinstance(size, int | float) and not size > bound:
            yield needs(key, size, "no")
    for key in check.known:
        if key not in here:
            yield needs(key, "", "unknown")
    if check.after and taken is not None and not taken.intersection(check.after):
        yield needs(check.after[0], "", "later")
    missing = "" if bench is None else _missing(check, bench)
    if missing and bench is not None:
        instead = _makeable_instead(known, check, bench)
        yield facts.Lacks(check=id_, missing=missing, instead=instead, has_trick=bool(instead))


def _missing(check: Check, bench: frozenset[str]) -> str:
    """Return what the bench lacks for a check: one of the set that comes nearest; "" where it can be made."""
    lacking = [[tool for tool in choice if tool not in bench] for choice in check.instruments]
    nearest = min(lacking, key=len, default=[])
    return nearest[0] if nearest else ""


def _makeable_instead(known: Knowledge, check: Check, bench: frozenset[str]) -> str:
    """Follow `instead` to the first check that this bench can make; "" if there is none."""
    tried: set[str] = set()
    instead = check.instead
    while instead is not None and instead not in tried:
        if not _missing(known.checks[instead], bench):
            return instead
        tried.add(instead)
        instead = known.checks[instead].instead
    return ""
