"""Runs the rules on a case, and keeps the trace of what fired and on which facts.

The rest of the engine fills a `Snapshot` with what was said and what was computed; `conclude` declares it
as facts, runs the rules and returns `Findings`. No rule computes a size and no size is decided by a rule:
the two meet in the facts.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Any

from askew.engine.bench import bench_facts
from askew.engine.findings import Finding, Findings, Firing, InPlay
from askew.engine.situation import case_facts, numbers_fact
from askew.engine.snapshot import (
    BestCheck,
    Snapshot,
    SourceNumbers,
    ToldAction,
    ToldReading,
    ToldSign,
    Value,
)
from askew.engine.telling import CONCLUDES, Teller
from askew.engine.validity import of_one_time, speaks_of
from askew.knowledge.experta_port import Fact
from askew.knowledge.facts import Opinion, TradeFact
from askew.knowledge.load import Knowledge, load
from askew.knowledge.rule_engine import engine_of
from askew.knowledge.rules import rules
from askew.knowledge.rules.book import Stage, TradeRule, fill

__all__ = [
    "BestCheck", "Finding", "Findings", "Firing", "InPlay", "Reasoner", "Snapshot", "SourceNumbers",
    "ToldAction", "ToldReading", "ToldSign", "chain", "conclude", "in_play",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Match:
    """A rule that fired, and everything its conditions bound."""

    rule: TradeRule
    bound: dict[str, Any]
    because: str


class Reasoner:
    """The rules over one knowledge base. Engines are built once and reset for each run; thread-safe."""

    def __init__(self, known: Knowledge) -> None:
        """Take a knowledge base; the engines are built when they are first asked for."""
        self.known = known
        self._rank = {rule.id: index for index, rule in enumerate(rules())}
        self._deciding = _deciding_keys(known)
        self._lock = threading.Lock()
        self._engine = lru_cache(maxsize=None)(self._build)
        self._in_play = lru_cache(maxsize=256)(self._find_in_play)

    def _build(self, stage: Stage) -> Any:
        return engine_of((r.id, r.when, _body(r)) for r in rules() if r.stage == stage)

    def run(self, stage: Stage, told: Iterable[TradeFact], teller: Teller) -> list[Match]:
        """Run one stage on facts and return what fired, in the order of the themes."""
        with self._lock:
            engine = self._engine(stage)
            engine.matches, engine.teller = [], teller
            engine.fire(told)
            matches: list[Match] = engine.matches
            # What matched is kept; what it was matched against is not needed any more.
            engine.matches = []
        return sorted(matches, key=lambda match: (self._rank[match.rule.id], _fact_numbers(match.bound)))

    def in_play(
        self,
        machine: str,
        setup: Mapping[str, Value],
        instruments: frozenset[str] | None = None,
        refused: frozenset[str] = frozenset(),
        taken: frozenset[str] | None = None,
    ) -> InPlay:
        """Return which sources, checks and signs are in play; remembered by its arguments.

        Args:
            machine: Kind of machine, told or usual; it rules sources out only where `setup` tells it too.
            setup: What is known about the job, by setup key (lengths mm); unknown keys are absent.
            instruments: What is on the bench; None where nobody said, which rules nothing out.
            refused: Checks that the person cannot or will not make.
            taken: Readings taken so far, for checks that come after one; None leaves that open.
        """
        keys = frozenset((key, value) for key, value in setup.items() if key in self._deciding)
        return self._in_play(machine, keys, instruments, refused, taken)

    def _find_in_play(
        self,
        machine: str,
        setup: frozenset[tuple[str, Value]],
        instruments: frozenset[str] | None,
        refused: frozenset[str],
        taken: frozenset[str] | None,
    ) -> InPlay:
        told = bench_facts(self.known, machine, dict(setup), instruments, refused, taken)
        teller = Teller(self.known)
        matches = self.run("in_play", told, teller)
        out: dict[str, Finding] = {}
        for finding in _findings(matches, "out"):
            out.setdefault(finding.about, finding)
        return InPlay(
            sources=frozenset(self.known.sources) - frozenset(out),
            checks=frozenset(self.known.checks) - frozenset(out),
            signs=frozenset(self.known.signs) - frozenset(out),
            out=out,
            trace=tuple(_firing(match, teller) for match in matches),
        )

    def conclude(self, case: Snapshot) -> Findings:
        """Run every rule on a case and return what follows, with the trace."""
        bench = self.in_play(
            case.machine,
            case.setup,
            case.instruments,
            case.refused,
            frozenset(reading.id for reading in case.readings),
        )
        teller = Teller(self.known, case.habit, case.say)
        matches = self.run("case", case_facts(self.known, case, frozenset(bench.out)), teller)
        matches = [match for match in matches if of_one_time(self.known, case, _matched(match.bound))]
        matches += self.run("agreement", self._opinions(matches, case), teller)
        preparations: dict[str, list[Finding]] = {}
        for finding in _findings(matches, "first"):
            preparations.setdefault(finding.about, []).append(finding)
        stops, holds = _findings(matches, "stop"), _findings(matches, "hold")
        deciding = holds or stops
        return Findings(
            pointed=_findings(matches, "suspect"),
            cleared=_once(_findings(matches, "clear")),
            in_play=bench,
            preparations={about: tuple(found) for about, found in preparations.items()},
            contradictions=_findings(matches, "contradiction"),
            stop=bool(stops) and not holds,
            stop_because=deciding[0].because if deciding else "",
            cautions=tuple(dict.fromkeys(finding.about for finding in _findings(matches, "caution"))),
            notes=_findings(matches, "note"),
            trace=(*bench.trace, *(_firing(match, teller) for match in matches)),
        )

    def _opinions(self, matches: list[Match], case: Snapshot) -> Iterator[TradeFact]:
        """Yield what the patterns say of each source that is in play, with its numbers beside it."""
        numbers = {one.source: one for one in case.sizes}
        cleared = {finding.about for finding in _findings(matches, "clear")}
        said = [
            (match, concluded)
            for match in matches
            for concluded in match.rule.then
            if concluded.kind in {"points", "speaks_against"}
            and concluded.about in numbers
            and speaks_of(self.known, case, _matched(match.bound), concluded.about)
        ]
        pointed = {concluded.about for _, concluded in said if concluded.kind == "points"}
        for match, concluded in said:
            beside = numbers_fact(numbers[concluded.about], None, 1.0)
            yield Opinion(
                kind=concluded.kind,
                source=concluded.about,
                toward=concluded.toward,
                rule=match.rule.id,
                because=match.because,
                cleared=concluded.about in cleared,
                contested=concluded.about in pointed,
                **{key: beside[key] for key in ("standing", "probability", "share", "can_plus", "can_minus")},
            )


def _body(rule: TradeRule) -> Callable[..., None]:
    """Return what an engine does when a rule fires: keep the match, with its because-line filled in."""

    def fire(engine: Any, **bound: Any) -> None:
        engine.matches.append(Match(rule, bound, fill(rule.because, bound, engine.teller.fill)))

    fire.__name__ = rule.id
    return fire


def _about(about: str, bound: Mapping[str, Any]) -> str:
    return str(bound[about[1:]]) if about.startswith("?") else about


def _matched(bound: Mapping[str, Any]) -> list[Any]:
    return [
        value for name, value in sorted(bound.items()) if name.startswith("fact_") and isinstance(value, Fact)
    ]


def _fact_numbers(bound: Mapping[str, Any]) -> list[int]:
    return [fact["__factid__"] for fact in _matched(bound)]


def _firing(match: Match, teller: Teller) -> Firing:
    rule = match.rule
    return Firing(
        rule=rule.id,
        theme=rule.theme,
        because=match.because,
        basis=str(rule.basis),
        facts=tuple(teller.fact(fact) for fact in _matched(match.bound)),
        concludes=tuple((c.kind, _about(c.about, match.bound), c.toward) for c in rule.then),
    )


def _findings(matches: Iterable[Match], kind: str) -> tuple[Finding, ...]:
    """Return the conclusions of one kind; where numbers agree with a pattern, under its own id."""
    return tuple(
        dict.fromkeys(
            Finding(
                _about(c.about, match.bound), match.bound.get("rule", match.rule.id), match.because, c.toward
            )
            for match in matches
            for c in match.rule.then
            if c.kind == kind
        )
    )


def _once(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Keep the first finding about each thing."""
    kept: dict[str, Finding] = {}
    for finding in findings:
        kept.setdefault(finding.about, finding)
    return tuple(kept.values())


def _deciding_keys(known: Knowledge) -> frozenset[str]:
    """Return the setup keys that can put something out of play."""
    tables: list[Any] = [*known.sources.values(), *known.signs.values(), *known.checks.values()]
    keys = {key for table in tables for key in table.needs}
    for check in known.checks.values():
        keys.update((*check.more_than, *check.known))
    return frozenset(keys)


@cache
def _shipped() -> Reasoner:
    return Reasoner(load())


def in_play(
    machine: str,
    setup: Mapping[str, Value],
    instruments: frozenset[str] | None = None,
    refused: frozenset[str] = frozenset(),
    taken: frozenset[str] | None = None,
) -> InPlay:
    """Return what is in play with the knowledge that ships; see `Reasoner.in_play`."""
    return _shipped().in_play(machine, setup, instruments, refused, taken)


def conclude(case: Snapshot) -> Findings:
    """Run every rule that ships on a case."""
    return _shipped().conclude(case)


def chain(findings: Findings, about: str) -> tuple[str, ...]:
    """Return the chain that led to what is concluded about a source, check, reading or sign.

    Three lines for every rule that fired: the facts it matched, the rule with what it says and rests on, and
    the conclusion. Empty where no rule spoke of it.
    """
    teller = _shipped()
    lines: list[str] = []
    name = Teller(teller.known).name(about)
    for firing in findings.trace:
        for kind, subject, toward in firing.concludes:
            if subject != about:
                continue
            if firing.facts:
                lines.append("Facts: " + "; ".join(firing.facts))
            lines.append(f"Rule {firing.rule} ({firing.theme}; {firing.basis}): {firing.because}")
            way = f" ({toward})" if toward in {"plus", "minus"} else ""
            lines.append(f"So: {CONCLUDES[kind]} {name}{way}")
    return tuple(lines)
