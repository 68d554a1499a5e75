"""Where a case stands: belief, rules, next check, question and verdict, computed once from the case."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from askew.engine.belief.assemble import Assembled, assemble
from askew.engine.belief.columns import column_of, in_play, prior_of, size_of
from askew.engine.belief.items import scatter_of
from askew.engine.belief.posterior import Posterior, infer
from askew.engine.budget import Budget, budget_of
from askew.engine.case import Case
from askew.engine.mend import proof_out
from askew.engine.observations import Reading, Sign
from askew.engine.planner.choose import Choice, Scored, choose, expectations, runner_up
from askew.engine.planner.outlook import Outlook, complaint_size
from askew.engine.questions import question_for
from askew.engine.reasoner import Findings, conclude
from askew.engine.seam import (
    ClearedOut,
    ExpectOut,
    NextOut,
    ProofOut,
    QuestionOut,
    SizeOut,
    SuspectOut,
    VerdictOut,
)
from askew.engine.setup import machine_of
from askew.engine.snapshot import BestCheck, Snapshot, SourceNumbers, ToldAction, ToldReading, ToldSign
from askew.engine.suspects import Numbers, numbers, together
from askew.engine.units import Habit, format_length
from askew.knowledge.load import load

NAMED = 0.5
"""Probability from which a source that makes a tenth of the complaint is named in the verdict."""
MUCH = 0.2
"""Expected share of the complaint from which a source is named, in trouble or of usual size."""
DOUBTFUL = 0.35
"""Probability of having been taken wrongly from which a reading is asked for again."""
SUSPECTS_SHOWN = 12
ASKED_FOR = frozenset({"gripped_face", "leaned_on_purpose"})
"""Preparations that `questions` asks about, so that they are not said twice."""
FALLEN = 0.2
"""Share of the first complaint below which it counts as cured, where no tolerance was told."""


@dataclass(frozen=True)
class Standing:
    """What follows from a case. Everything is computed when it is first asked for."""

    case: Case
    unit: Habit

    # --- belief ----------------------------------------------------------------------------------------

    @cached_property
    def assembled(self) -> Assembled:
        """The inference problem."""
        return assemble(self.case)

    @cached_property
    def posterior(self) -> Posterior:
        """The posterior over sets of troubled sources."""
        return infer(self.assembled.branches, len(self.assembled.columns))

    @cached_property
    def outlook(self) -> Outlook:
        """The leading explanations and their predictions."""
        return Outlook(self.assembled, self.posterior)

    @cached_property
    def numbers(self) -> tuple[Numbers, ...]:
        """Every source with its numbers; empty before there is a complaint."""
        return numbers(self.assembled, self.posterior) if self.case.complaint else ()

    @cached_property
    def size(self) -> float | None:
        """Size of the complaint, mm."""
        return complaint_size(self.case)

    @cached_property
    def budget(self) -> Budget | None:
        """The error budget, once the complaint has a number."""
        complaint = self.case.complaint
        if complaint is None or not self.size:
            return None
        assert isinstance(complaint.fact, Reading) and complaint.fact.value is not None
        return budget_of(complaint.fact.value, self.numbers)

    @cached_property
    def together(self) -> list[tuple[str, str]]:
        """Pairs of suspects that no reading so far tells apart; none once the case is closed."""
        if self.closed:
            return []
        return together(self.assembled, self.posterior, self.numbers) if self.case.complaint else []

    @cached_property
    def doubts(self) -> dict[str, float]:
        """Readings that may have been taken wrongly, with the probability of it; none once the case is closed."""
        if self.closed:
            return {}
        return self.assembled.doubts(self.posterior.trouble, DOUBTFUL)

    @cached_property
    def doubtful(self) -> tuple[str, ...]:
        """Readings that were probably taken wrongly."""
        return tuple(self.doubts)

    # --- plan ------------------------------------------------------------------------------------------

    @cached_property
    def choice(self) -> Choice | None:
        """The plan: None before the complaint has a number."""
        return choose(self.outlook) if self.size and not self.closed else None

    @cached_property
    def next(self) -> Scored | None:
        """The next check, or None: nothing to look for yet, or nothing left worth its minutes."""
        return self.choice.best if self.choice is not None else None

    @cached_property
    def question(self) -> QuestionOut | None:
        """The one question worth asking now."""
        return None if self.closed or self.verdict is not None else question_for(self.case, self.numbers)

    # --- rules -----------------------------------------------------------------------------------------

    @cached_property
    def findings(self) -> Findings:
        """What the rules conclude."""
        return conclude(self.snapshot)

    @cached_property
    def snapshot(self) -> Snapshot:
        """The case as the rules see it."""
        case, setup = self.case, self.case.setup
        complaint = case.complaint
        fact = complaint.fact if complaint is not None else None
        best, decided = None, 0.0
        if self.choice is not None:
            decided = self.choice.settled if self.choice.label else 0.0
            first = self.choice.ranked[0] if self.choice.ranked else None
            best = BestCheck(first.id, first.saves, first.gain) if first is not None else None
        return Snapshot(
            setup=setup.told(),
            machine=machine_of(setup),
            instruments=frozenset(setup.instruments) if setup.instruments is not None else None,
            refused=case.refused,
            held=case.states,
            readings=tuple(
                self._told_reading(i) for i, e in enumerate(case.evidence) if isinstance(e.fact, Reading)
            ),
            signs=tuple(self._told_sign(i) for i, e in enumerate(case.evidence) if isinstance(e.fact, Sign)),
            actions=tuple(ToldAction(done.id, done.state) for done in case.done),
            complaint=(fact.id, fact.value, fact.over) if isinstance(fact, Reading) else None,
            sizes=tuple(_for_rules(n) for n in self.numbers),
            doubtful=tuple(self.doubts.items()),
            best_check=best,
            decided=decided,
            explained=self.budget.explained_by([n.source for n in self.numbers]) if self.budget else 0.0,
            next_check=self.next.id if self.next is not None else None,
            remedies=self.remedies,
            tolerance=self.tolerance,
            habit=self.unit,
        )

    def _told_reading(self, i: int) -> ToldReading:
        evidence = self.case.evidence[i]
        fact = evidence.fact
        assert isinstance(fact, Reading)
        kind = load().readings[fact.id]
        return ToldReading(
            fact.id,
            fact.value,
            fact.over,
            fact.bound,
            evidence.state,
            kind.of,
            fact.sign_known,
        )

    def _told_sign(self, i: int) -> ToldSign:
        evidence = self.case.evidence[i]
        assert isinstance(evidence.fact, Sign)
        return ToldSign(evidence.fact.id, evidence.fact.answer, evidence.state)

    @property
    def tolerance(self) -> float:
        """Width of the zone that matters, mm: as told, or usual."""
        return float(self.case.setup.value("tolerance"))

    # --- verdict ---------------------------------------------------------------------------------------

    @cached_property
    def closed(self) -> bool:
        """True once the complaint, after something was done, reads within what was asked for."""
        latest = self.case.latest
        if latest is None or not isinstance(latest.fact, Reading) or latest.fact.value is None:
            return False
        first = next(
            e
            for e in self.case.evidence
            if e.fact.id == latest.fact.id and isinstance(e.fact, Reading) and e.fact.value is not None
        )
        if first is latest or self.case.changed <= first.when or latest.fact.bound == "at_least":
            return False
        goal = self.goal
        return goal is not None and abs(latest.fact.value) <= goal

    @cached_property
    def found(self) -> VerdictOut | None:
        """What it was, once the case is closed: the cause of what was wrong before, with the proof as evidence."""
        then = self.before_it_closed
        if then is None or then.budget is None:
            return None
        return _verdict(then.budget, then.held(then.outlook.explanations.leading[0]), (), ())

    @cached_property
    def before_it_closed(self) -> Standing | None:
        """How a closed case stood, with all that is known now, before the reading that closed it; None while open."""
        latest = self.case.latest
        if not self.closed or latest is None:
            return None
        return Standing(replace(self.case, before=latest.when), self.unit)

    @cached_property
    def goal(self) -> float | None:
        """How large the complaint may be for the case to close, mm: as asked, else a part of what it was at first."""
        if self.case.setup.known("tolerance"):
            return self.tolerance
        complaint = self.case.complaint
        if complaint is None or not isinstance(complaint.fact, Reading):
            return None
        facts = [e.fact for e in self.case.evidence if e.fact.id == complaint.fact.id]
        first = next((f.value for f in facts if isinstance(f, Reading) and f.value is not None), None)
        floor = 3.0 * scatter_of(complaint.fact.id, complaint.fact.over)
        return max(FALLEN * abs(first), floor) if first is not None else None

    @cached_property
    def proof(self) -> list[ProofOut]:
        """What the fix in force promised, and what came of it."""
        return proof_out(self.case.mends[-1], self.case, self.unit) if self.case.mends else []

    @cached_property
    def named(self) -> tuple[str, ...]:
        """The sources held responsible, the largest share first."""
        if self.choice is None:
            return ()
        return self.held(self.choice.label)

    def held(self, label: tuple[str, ...]) -> tuple[str, ...]:
        """Return the sources of a cause with whatever else makes a tenth of the complaint, the largest share first."""
        held = [
            n
            for n in self.numbers
            if n.source in label or (n.probability >= NAMED and n.share >= 0.1) or n.expected >= MUCH
        ]
        return tuple(n.source for n in sorted(held, key=lambda n: -n.expected))

    @cached_property
    def verdict(self) -> VerdictOut | None:
        """The explanation, when it is time to stop checking."""
        if self.choice is None or self.next is not None or self.budget is None:
            return None
        return _verdict(self.budget, self.named, self.remedies, self.verify)

    @cached_property
    def remedies(self) -> tuple[str, ...]:
        """Remedies for what is held responsible, in the order of their share, fixes before ways round."""
        if self.choice is None or self.next is not None:
            return ()
        known = load().remedies
        found: list[str] = []
        for source in self.named:
            serving = [id_ for id_, remedy in known.items() if source in remedy.serves]
            found += sorted(serving, key=lambda id_: (known[id_].kind != "fix", known[id_].minutes))
        return tuple(dict.fromkeys(found))

    @property
    def verify(self) -> list[str]:
        """What proves the fix: the complaint cut and measured again first."""
        complaint = self.case.complaint
        first = [complaint.fact.id] if complaint is not None else []
        known = load().remedies
        more = [id_ for remedy in self.remedies[:2] for id_ in known[remedy].verify]
        return list(dict.fromkeys([*first, *more]))[:4]

    # --- for the screens -------------------------------------------------------------------------------

    @cached_property
    def suspects(self) -> list[SuspectOut]:
        """The sources that may still be it, best first."""
        if self.closed or not self.numbers:
            return []
        away = {finding.about for finding in self.findings.cleared}
        pointed: dict[str, list[str]] = {}
        for finding in self.findings.pointed:
            pointed.setdefault(finding.about, []).append(finding.because)
        shown = [
            n for n in self.numbers if n.source not in away and (n.probability > 0.005 or n.rank > 0.001)
        ]
        return [
            SuspectOut(
                source=n.source,
                probability=n.probability,
                share=n.share,
                size=self._size(n),
                because=pointed.get(n.source, []) + self._history(n),
            )
            for n in shown[:SUSPECTS_SHOWN]
        ]

    def _history(self, n: Numbers) -> list[str]:
        return ["It was changed since this cut: what stands now may be different."] if n.old else []

    @staticmethod
    def _size(n: Numbers) -> SizeOut:
        return SizeOut(mid=n.mid, low=n.low, high=n.high, unit=load().sources[n.source].unit)

    @cached_property
    def cleared(self) -> list[ClearedOut]:
        """The sources that cannot matter, with the number that says so."""
        if self.closed or not self.numbers:
            return []
        by_source = {n.source: n for n in self.numbers}
        return [
            ClearedOut(
                source=finding.about,
                needed=by_source[finding.about].needed,
                plausible=by_source[finding.about].plausible,
                unit=load().sources[finding.about].unit,
                because=finding.because,
            )
            for finding in {f.about: f for f in self.findings.cleared}.values()
            if finding.about in by_source
        ]

    @cached_property
    def next_out(self) -> NextOut | None:
        """The next check as it goes out."""
        if self.next is None or self.choice is None:
            return None
        check = load().checks[self.next.id]
        leading = tuple(n.source for n in self.numbers[:4] if n.probability > 0.01)
        expects = [
            ExpectOut(source=e.source, reading=e.reading, low=e.low, high=e.high, unit="mm")
            for e in expectations(self.outlook, self.next.id, leading)
        ]
        how = [*self._preparations(self.next.id), *check.how]
        return NextOut(
            check=self.next.id,
            minutes=self.next.minutes,
            readings=list(check.gives),
            how=how,
            expects=expects,
            because=self._why_next(),
        )

    def _preparations(self, check_id: str) -> list[str]:
        return [finding.because for finding in self.findings.preparations.get(check_id, ())]

    def _why_next(self) -> str:
        assert self.choice is not None and self.next is not None
        known = load().checks
        text = f"It should settle {100 * self.next.share:.0f}% of what is open, for {_minutes(self.next.minutes)}."
        if self.next.then is not None:
            text += f" It pays together with the one after it: {known[self.next.then].name}."
        second = runner_up(self.choice)
        if second is not None and second.gain > 0.0:
            name = known[second.id].name
            text += f" Next best: {name}, {100 * second.share:.0f}% for {_minutes(second.minutes)}."
        return text

    @cached_property
    def cautions(self) -> list[str]:
        """Safety sentences that belong to what is asked for now; a closed case asks for nothing."""
        if self.closed:
            return []
        known = load().cautions
        wanted = list(self.findings.cautions)
        if self.next is not None:
            wanted += load().checks[self.next.id].cautions
        for remedy in self.remedies[:2]:
            wanted += load().remedies[remedy].cautions
        return [known[id_].text for id_ in dict.fromkeys(wanted) if id_ in known]

    @cached_property
    def notes(self) -> list[str]:
        """Remarks of the rules, contradictions, and what to take again."""
        judged = [proof.says for proof in self.proof if proof.read is not None]
        if self.closed:
            return [*judged, self._proved(judged)]
        lines = [*judged, *self._goes_on()]
        lines += [finding.because for finding in (*self.findings.contradictions, *self.findings.notes)]
        complaint = self.case.complaint
        first = self.findings.preparations.get(complaint.fact.id, ()) if complaint is not None else ()
        lines += [finding.because for finding in first if finding.toward not in ASKED_FOR]
        if self.verdict is not None and not self.verdict.sources:
            lines.append("No single cause stands out: this much is what usual small errors add up to here.")
        return list(dict.fromkeys(lines))

    def _goes_on(self) -> list[str]:
        """Say how a case goes on that a proving reading reopened."""
        if not any(proof.outcome == "reopened" for proof in self.proof):
            return []
        return ["What was done and what it came to count as evidence from here on."]

    def _proved(self, judged: list[str]) -> str:
        complaint = self.case.complaint
        assert complaint is not None and isinstance(complaint.fact, Reading)
        goal = format_length(self.goal or 0.0, self.unit)
        size = format_length(abs(complaint.fact.value or 0.0), self.unit)
        name = load().readings[complaint.fact.id].name
        is_now = "" if judged else f"Proved: {name} is now {size}. "
        if self.case.setup.known("tolerance"):
            return f"{is_now}It may be {goal}."
        return f"{is_now}Nobody told a tolerance; {goal} is assumed to be good enough."

    @cached_property
    def spent(self) -> float:
        """Minutes of the checks made so far."""
        known = load().checks
        machine = machine_of(self.case.setup)
        return sum(
            times * known[id_].minutes_on.get(machine, known[id_].minutes)
            for id_, times in self.case.made.items()
            if id_ in known
        )

    # --- draws -----------------------------------------------------------------------------------------

    def samples(self, count: int, seed: int = 0) -> dict[str, np.ndarray]:
        """Return draws of every source's present size: from the posterior where it is spoken of, else the prior."""
        rng = np.random.default_rng(seed)
        draws: dict[str, np.ndarray] = {}
        known = load().sources
        blocks = self.posterior.leading
        weights = np.concatenate([block.weight for block in blocks])
        picked = rng.choice(weights.size, size=count, p=weights / weights.sum())
        starts = np.concatenate([[0], np.cumsum([block.weight.size for block in blocks])])
        amplitude = self._amplitudes(picked, starts, rng)
        for id_, source in known.items():
            usual = size_of(source, self.case.setup)
            place = self.assembled.position.get(column_of(id_, self.case.now))
            healthy = rng.normal(0.0, usual.healthy, count)
            if not in_play(source, self.case.setup) or id_ == "unlisted":
                draws[id_] = np.zeros(count)
            elif place is not None:
                draws[id_] = healthy + amplitude[:, place]
            else:
                trouble = rng.random(count) < prior_of(source, self.case.setup, 1.0)
                size = rng.normal(0.0, usual.trouble, count)
                draws[id_] = np.where(trouble, np.abs(size) if source.one_sided else size, healthy)
        return draws

    def _amplitudes(self, picked: np.ndarray, starts: np.ndarray, rng: np.random.Generator) -> np.ndarray:
        n = len(self.assembled.columns)
        found = np.zeros((picked.size, n))
        for b, block in enumerate(self.posterior.leading):
            for h in np.unique(picked[(picked >= starts[b]) & (picked < starts[b + 1])]):
                rows = np.flatnonzero(picked == h)
                local = int(h - starts[b])
                draw = rng.multivariate_normal(
                    block.mean[local], block.covariance[local], rows.size, method="eigh"
                )
                for position, column in enumerate(block.sets[:, local]):
                    if column < n:
                        found[rows, column] = draw[:, position]
        return found


def stand(case: Case, unit: Habit) -> Standing:
    """Return where a case stands, to be spoken of in the person's units."""
    return Standing(case, unit)


def _for_rules(n: Numbers) -> SourceNumbers:
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


def _verdict(budget: Budget, named: Sequence[str], remedies: Sequence[str], verify: Sequence[str]) -> VerdictOut:
    explained = budget.explained_by(named)
    return VerdictOut(
        sources=list(named),
        explained=explained,
        unexplained=abs(budget.complaint) * max(0.0, 1.0 - explained),
        remedies=list(remedies),
        verify=list(verify),
    )


def _minutes(minutes: float) -> str:
    return f"{minutes:.0f} min"
