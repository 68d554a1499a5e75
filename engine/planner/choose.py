"""The next check, and when to stop: the checks that can be made here as steps of a problem, ranked by the rule."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from askew.engine.belief.items import Term, scatter_of
from askew.engine.belief.quantiles import Gaussians, quantiles
from askew.engine.case import Case
from askew.engine.planner.available import available, entered, minutes_of
from askew.engine.planner.optimum import Problem, Step
from askew.engine.planner.outcomes import densities
from askew.engine.planner.outlook import Outlook
from askew.engine.planner.rule import Score, scores
from askew.engine.remedies.first import remedy_for
from askew.knowledge.load import load

COST_OF_WRONG = 2000.0
"""Minutes that acting on the wrong cause costs: the wrong fix, more cuts, days of measuring, and less trust in the next
answer. Judgement, chosen on simulated shops: of four hundred the largest cause came first in 93.5% at 600 and in 95.0%
at 1200, for 14.1 and 15.6 minutes; of four hundred others in 94.5% at 1200 and in 95.5% at 2500, for 13.9 and 15.7; of
three hundred in 94.3% at 2000, and in 94.0% at 4000 and at 6000, for 16.1, 17.6 and 18.5. More checks buy no more."""
NO_FIX = frozenset({remedy_for("unlisted")})
GIVEN_UP = 2.0
"""How many times worse it is to hold something unlisted responsible, or nothing, where it was a cause that can be
found: nothing is put right at all. Judgement."""
OVERHEAD = 1.5
"""Minutes that turning to any check takes, so that a free look is not infinitely good."""


@dataclass(frozen=True)
class Scored:
    """A check with what it is expected to tell, its minutes, its worth and what it saves.

    Attributes:
        id: Check id.
        gain: Expected information about what to do, nats.
        share: The same as a share of what is open, 0 to 1.
        minutes: What it costs with the machine as it stands.
        worth: Nats a minute, less for what it disturbs; checks are ranked by this.
        saves: Minutes that acting after it is expected to save over acting now, less its own.
        then: The check with which it was weighed, where the two together are worth more a minute.
    """

    id: str
    gain: float
    share: float
    minutes: float
    worth: float
    saves: float
    then: str | None = None


@dataclass(frozen=True)
class Choice:
    """The plan at this moment.

    Attributes:
        best: The next check, or None where none is worth it.
        ranked: All checks that can be made, the best first.
        settled: Probability of the leading cause.
        label: The leading cause, as source ids.
    """

    best: Scored | None
    ranked: tuple[Scored, ...]
    settled: float
    label: tuple[str, ...]


def choose(outlook: Outlook) -> Choice:
    """Return the next check by what it tells about what to do, a minute."""
    ids = available(outlook.case, outlook.doubted)
    problem = problem_of(outlook, ids)
    scored = (_scored(score, ids, problem) for score in scores(problem, problem.weight, range(len(ids))))
    ranked = tuple(sorted(scored, key=lambda s: (s.saves <= 0.0, -s.worth, s.minutes, s.id)))
    best = ranked[0] if ranked and ranked[0].saves > 0.0 else None
    label, settled = outlook.explanations.leading
    return Choice(best, ranked, settled, label)


def problem_of(outlook: Outlook, ids: Sequence[str]) -> Problem:
    """Return the choice among some checks as a problem: what each may tell, and what is to be done for each cause."""
    explanations = outlook.explanations
    checks, minutes = load().checks, [minutes_of(id_, outlook.case) for id_ in ids]
    steps = [
        Step(alone + OVERHEAD, density, risk=checks[id_].risk)
        for id_, alone, density in zip(ids, minutes, densities(outlook, ids), strict=True)
    ]
    acts: dict[frozenset[str], int] = {}
    act_of = np.array(
        [acts.setdefault(frozenset(map(remedy_for, label)), len(acts)) for label in explanations.labels]
    )
    return Problem(
        explanations.weight,
        act_of[explanations.of],
        steps,
        COST_OF_WRONG,
        stakes=np.array([GIVEN_UP if act <= NO_FIX else 1.0 for act in acts]),
        names=explanations.of,
        saved=partial(_saved, ids, outlook.case),
    )


def _saved(ids: Sequence[str], case: Case, first: int, second: int) -> float:
    """Return the minutes that a check saves the next one by leaving the machine in a state that it needs."""
    after = replace(case, states=entered(case.states, load().checks[ids[first]].states))
    return minutes_of(ids[second], case) - minutes_of(ids[second], after)


def _scored(score: Score, ids: Sequence[str], problem: Problem) -> Scored:
    minutes = problem.minutes(score.step) - OVERHEAD
    then = ids[score.then] if score.then is not None else None
    return Scored(ids[score.step], score.gain, score.share, minutes, score.worth, score.saves, then)


@dataclass(frozen=True)
class Expectation:
    """What a suspect predicts that a reading will be: 90% interval, mm."""

    source: str
    reading: str
    low: float
    high: float


def expectations(outlook: Outlook, check_id: str, suspects: tuple[str, ...]) -> list[Expectation]:
    """Return what each of the leading suspects predicts for the readings of a check.

    A suspect's prediction is that of the explanations in which it is the largest contributor.
    """
    known, explanations = load().readings, outlook.explanations
    asked: list[tuple[str, str]] = []
    mixtures: list[Gaussians] = []
    for id_ in load().checks[check_id].gives:
        if id_ not in known:
            continue
        mean, variance = outlook.row(Term(id_, None, outlook.situation(id_, check_id), None))
        scatter = scatter_of(id_, None, outlook.case.setup.instruments)
        for source in suspects:
            mine = np.array([bool(label) and label[0] == source for label in explanations.labels])
            weight = np.where(mine[explanations.of], explanations.weight, 0.0)
            if weight.sum() <= 1e-9:
                continue
            keep = weight > 0.0
            asked.append((source, id_))
            mixtures.append((weight[keep], mean[keep], np.sqrt(variance[keep] + scatter**2)))
    ends = quantiles(mixtures, (0.05, 0.95)).tolist()
    return [
        Expectation(source, id_, *(_sizes(low, high) if known[id_].size_only else (low, high)))
        for (source, id_), (low, high) in zip(asked, ends, strict=True)
    ]


def _sizes(low: float, high: float) -> tuple[float, float]:
    """Return an interval of what is read without its direction."""
    near, far = sorted((abs(low), abs(high)))
    return (0.0 if low < 0.0 < high else near), far


def runner_up(choice: Choice) -> Scored | None:
    """Return the check that came second, if any."""
    return choice.ranked[1] if len(choice.ranked) > 1 else None
