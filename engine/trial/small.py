"""Small problems cut out of simulated shops, on which the best possible order of checks can be worked out exactly.

A shop as it stands after its complaint, with the likeliest causes and the checks that tell most, each with a few
outcomes. The assistant's own rule of choosing plays it through all outcomes, and so does the exact program.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from askew.engine.case import Case, tell
from askew.engine.planner.available import available
from askew.engine.planner.choose import problem_of
from askew.engine.planner.information import merged
from askew.engine.planner.optimum import Problem, Rule, cost_of, information_rate, optimum
from askew.engine.planner.rule import next_step, scores
from askew.engine.said import parse
from askew.engine.standing import stand
from askew.engine.trial.person import Person
from askew.engine.trial.shop import draw_shop

CHECKS, CAUSES, OUTCOMES = 6, 6, 3


@dataclass(frozen=True)
class Compared:
    """Expected minutes of one small problem, acting on the wrong cause included.

    Attributes:
        seed: The shop it is cut out of.
        best: Of the best possible order; `ours` of the assistant's rule.
        others: Of other rules, by name.
    """

    seed: int
    best: float
    ours: float
    others: dict[str, float]


def small_problem(seed: int) -> Problem:
    """Return the problem of a shop, cut down to what can be solved exactly."""
    person, case = Person(draw_shop(seed)), Case()
    for line in person.opens():
        case = tell(case, parse(json.loads(line)).facts)
    outlook = stand(case, "mm").outlook
    ids = available(case)
    whole = replace(problem_of(outlook, ids), saved=lambda _first, _second: 0.0)
    found = scores(whole, whole.weight, range(len(ids)))
    kept = [score.step for score in sorted(found, key=lambda score: -score.worth)[:CHECKS]]
    chance = np.bincount(whole.causes, weights=whole.weight)
    causes = np.argsort(-chance, kind="stable")[:CAUSES]
    held = np.isin(whole.causes, causes)
    number = {int(cause): i for i, cause in enumerate(causes)}
    weight = whole.weight[held] / whole.weight[held].sum()
    steps = [
        replace(step, density=merged(step.density[held], OUTCOMES)) for step in (whole.steps[i] for i in kept)
    ]
    return Problem(
        weight=weight,
        causes=np.array([number[int(cause)] for cause in whole.causes[held]]),
        steps=steps,
        wrong=whole.wrong,
        stakes=whole.stakes[causes] if whole.stakes is not None else None,
        names=np.unique(whole.names[held], return_inverse=True)[1] if whole.names is not None else None,
    )


def quickest_first(problem: Problem, weight: np.ndarray, left: Sequence[int]) -> int | None:
    """Return the check of the fewest minutes, while checking pays by our own stop rule; a `Rule`."""
    if next_step(problem, weight, left) is None:
        return None
    return min(left, key=lambda i: (problem.steps[i].minutes, i))


RIVALS: dict[str, Rule] = {
    "information a minute, to the end": information_rate,
    "quickest first": quickest_first,
}


def compare(seeds: Sequence[int], progress: Callable[[int, int], None] | None = None) -> list[Compared]:
    """Return the minutes of the best order, of ours and of others on the small problems of some shops."""
    found = []
    for i, seed in enumerate(seeds):
        problem = small_problem(seed)
        others = {name: cost_of(rule, problem).minutes for name, rule in RIVALS.items()}
        found.append(Compared(seed, optimum(problem).minutes, cost_of(next_step, problem).minutes, others))
        if progress is not None:
            progress(i + 1, len(seeds))
    return found
