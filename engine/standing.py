"""Where a case stands: belief, rules, next check, question and verdict, computed once from the case."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from askew.engine.belief.assemble import Assembled, assemble
from askew.engine.belief.draws import draws_of
from askew.engine.belief.posterior import Posterior, infer
from askew.engine.budget import Budget, budget_of
from askew.engine.case import Case
from askew.engine.closing import closed_words, goal_of, read_anew, tolerance_of
from askew.engine.mend import proof_out
from askew.engine.observations import Reading
from askew.engine.planner.choose import Choice, Scored, choose, expectations
from askew.engine.planner.outlook import Outlook, complaint_size
from askew.engine.questions import question_for
from askew.engine.reasoner import Findings, conclude
from askew.engine.seam import ClearedOut, NextOut, ProofOut, QuestionOut, SuspectOut, VerdictOut
from askew.engine.setup import machine_of
from askew.engine.snapshot import Snapshot
from askew.engine.standing_out import (
    cautions_out,
    cleared_out,
    judged_words,
    next_out,
    notes_out,
    suspects_out,
)
from askew.engine.suspects import Numbers, numbers, together
from askew.engine.told import (
    told_actions,
    told_best,
    told_complaint,
    told_numbers,
    told_readings,
    told_signs,
)
from askew.engine.units import Habit
from askew.engine.verdict import held_responsible, proved_by, remedies_for, verdict_out
from askew.knowledge.load import load

DOUBTFUL = 0.35
"""Probability of having been taken wrongly from which a reading is asked for again."""


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
        best, decided = told_best(self.choice)
        return Snapshot(
            setup=setup.told(),
            machine=machine_of(setup),
            instruments=frozenset(setup.instruments) if setup.instruments is not None else None,
            refused=case.refused,
            held=case.states,
            readings=told_readings(case),
            signs=told_signs(case),
            actions=told_actions(case),
            complaint=told_complaint(case),
            sizes=tuple(told_numbers(n) for n in self.numbers),
            doubtful=tuple(self.doubts.items()),
            best_check=best,
            decided=decided,
            explained=self.budget.explained_by([n.source for n in self.numbers]) if self.budget else 0.0,
            next_check=self.next.id if self.next is not None else None,
            remedies=self.remedies,
            tolerance=self.tolerance,
            habit=self.unit,
        )

    @property
    def tolerance(self) -> float:
        """Width of the zone that matters, mm: as told, or usual."""
        return tolerance_of(self.case)

    # --- verdict ---------------------------------------------------------------------------------------

    @cached_property
    def closed(self) -> bool:
        """True once the complaint, after something was done, reads within what was asked for."""
        value, goal = read_anew(self.case), self.goal
        return value is not None and goal is not None and abs(value) <= goal

    @cached_property
    def found(self) -> VerdictOut | None:
        """What it was, once the case is closed: the cause of what was wrong before, with the proof as evidence."""
        then = self.before_it_closed
        if then is None or then.budget is None:
            return None
        return verdict_out(then.budget, then.held(then.outlook.explanations.leading[0]))

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
        return goal_of(self.case)

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
        return held_responsible(label, self.numbers)

    @cached_property
    def verdict(self) -> VerdictOut | None:
        """The explanation, when it is time to stop checking."""
        if self.choice is None or self.next is not None or self.budget is None:
            return None
        return verdict_out(self.budget, self.named, self.remedies, self.verify)

    @cached_property
    def remedies(self) -> tuple[str, ...]:
        """Remedies for what is held responsible, in the order of their share, fixes before ways round."""
        if self.choice is None or self.next is not None:
            return ()
        return remedies_for(self.named)

    @property
    def verify(self) -> list[str]:
        """What proves the fix: the complaint cut and measured again first."""
        return proved_by(self.case, self.remedies)

    # --- for the screens -------------------------------------------------------------------------------

    @cached_property
    def suspects(self) -> list[SuspectOut]:
        """The sources that may still be it, best first."""
        if self.closed or not self.numbers:
            return []
        return suspects_out(self.numbers, self.findings)

    @cached_property
    def cleared(self) -> list[ClearedOut]:
        """The sources that cannot matter, with the number that says so."""
        if self.closed or not self.numbers:
            return []
        return cleared_out(self.numbers, self.findings)

    @cached_property
    def next_out(self) -> NextOut | None:
        """The next check as it goes out."""
        if self.next is None or self.choice is None:
            return None
        leading = tuple(n.source for n in self.numbers[:4] if n.probability > 0.01)
        expects = expectations(self.outlook, self.next.id, leading)
        return next_out(self.next, self.choice, expects, self.findings)

    @cached_property
    def cautions(self) -> list[str]:
        """Safety sentences that belong to what is asked for now; a closed case asks for nothing."""
        if self.closed:
            return []
        return cautions_out(self.findings, self.next.id if self.next is not None else None, self.remedies)

    @cached_property
    def notes(self) -> list[str]:
        """Remarks of the rules, contradictions, and what to take again."""
        if self.closed:
            judged = judged_words(self.proof)
            ended = closed_words(self.case, self.goal or 0.0, self.unit, judged=bool(judged))
            return [*judged, ended]
        return notes_out(self.case, self.proof, self.findings, self.verdict)

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
        return draws_of(self.assembled, self.posterior, count, seed)


def stand(case: Case, unit: Habit) -> Standing:
    """Return where a case stands, to be spoken of in the person's units."""
    return Standing(case, unit)
