"""The best that any order of checks can do, on a problem small enough to solve exactly.

An exact dynamic program (Bellman, Dynamic Programming, 1957) over what has been seen: from every state it takes
the check, or the act, of the least expected minutes to the end. The states are as many as the outcomes can be
combined, so it is for some ten checks of two outcomes, not for the whole bench. It says how far a rule that looks
one check ahead is from the best.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from askew.engine.belief.problem import Array
from askew.engine.planner.information import information

SETTLED = 1e-9
"""A cause whose rivals together are less likely than this is known."""


@dataclass(frozen=True)
class Step:
    """A check as the dynamic program sees it.

    Attributes:
        minutes: What it costs.
        density: Probability of each outcome under each explanation, (h, outcomes).
        ends: Outcomes that end the search: the trouble is found.
        after: Steps that must have been made before, by number.
        risk: How much it disturbs what is being looked for, 0 to 1.
    """

    minutes: float
    density: Array
    ends: frozenset[int] = frozenset()
    after: tuple[int, ...] = ()
    risk: float = 0.0


def _nothing(_first: int, _second: int) -> float:
    return 0.0


@dataclass(frozen=True)
class Problem:
    """Causes to be told apart by steps that cost minutes.

    Attributes:
        weight: Probability of each explanation, (h,); sums to one.
        causes: The cause of each explanation, numbered from 0, (h,).
        steps: The checks, each made at most once.
        wrong: Minutes that acting on the wrong cause costs; infinite where the search goes on until the cause is
            known; None where only an outcome that ends the search will do.
        stakes: How many times `wrong` it costs to act on each cause where it is not the true one, (causes,); None:
            once.
        names: A finer division of the explanations, where it is also worth something to tell those apart, (h,).
        saved: Minutes that a step saves another that is made right after it, because they share a preparation, by
            the numbers of the two. The exact program does not look at these.
    """

    weight: Array
    causes: np.ndarray
    steps: Sequence[Step]
    wrong: float | None
    stakes: Array | None = None
    names: np.ndarray | None = None
    saved: Callable[[int, int], float] = _nothing

    def at_stake(self, chance: Array) -> float:
        """Return what acting now is expected to cost, as a fraction of `wrong`, on the cause for which that is least.

        Args:
            chance: Probability of each cause, (causes,).
        """
        rest = 1.0 - chance
        return max(float((rest if self.stakes is None else rest * self.stakes).min()), 0.0)

    def minutes(self, i: int, after: int | None = None) -> float:
        """Return the minutes of a step, by itself or right after another."""
        return self.steps[i].minutes - (0.0 if after is None else self.saved(after, i))

    def membership(self, weight: Array, causes: np.ndarray | None = None) -> Array:
        """Return the weights as one row a cause, normalised, (causes, h); by `causes` of one's own where given."""
        causes = self.causes if causes is None else causes
        rows = np.zeros((int(causes.max()) + 1, weight.size))
        rows[causes, np.arange(weight.size)] = weight / weight.sum()
        return rows


Seen = frozenset[tuple[int, int]]
"""Steps made, each with its outcome."""
Rule = Callable[[Problem, Array, Sequence[int]], int | None]
"""Given the problem, the weights as they now stand and the steps left, returns the next step, or None to act."""


@dataclass(frozen=True)
class Plan:
    """What a way of choosing costs.

    Attributes:
        minutes: Expected minutes to the end, acting on the wrong cause included.
        first: The step it begins with, or None where it acts at once.
    """

    minutes: float
    first: int | None


def optimum(problem: Problem) -> Plan:
    """Return the least expected minutes of all ways of choosing, and the step that it begins with."""
    known: dict[Seen, Plan] = {}

    def plan(seen: Seen, weight: Array) -> Plan:
        if seen not in known:
            known[seen] = min(_plans(seen, weight), key=lambda p: p.minutes)
        return known[seen]

    def _plans(seen: Seen, weight: Array) -> list[Plan]:
        left = _left(problem, seen)
        act = _acting(problem, weight, left)
        if act == 0.0 or not left:
            return [Plan(act, None)]
        return [Plan(act, None), *(Plan(_after(problem, i, seen, weight, plan), i) for i in left)]

    return plan(frozenset(), problem.weight)


def cost_of(rule: Rule, problem: Problem) -> Plan:
    """Return the expected minutes of one rule of choosing, and the step that it begins with."""

    def plan(seen: Seen, weight: Array) -> Plan:
        left = _left(problem, seen)
        act = _acting(problem, weight, left)
        chosen = rule(problem, weight, left) if left and act > 0.0 else None
        return Plan(act if chosen is None else _after(problem, chosen, seen, weight, plan), chosen)

    return plan(frozenset(), problem.weight)


def information_rate(problem: Problem, weight: Array, left: Sequence[int]) -> int | None:
    """Return the step that is expected to tell most about the cause a minute; a `Rule`."""
    membership = problem.membership(weight)
    chance = membership.sum(axis=1)
    steps = problem.steps
    rates = [information(membership, chance, steps[i].density) / steps[i].minutes for i in left]
    return left[int(np.argmax(rates))]


def _left(problem: Problem, seen: Seen) -> list[int]:
    made = {i for i, _ in seen}
    return [i for i, s in enumerate(problem.steps) if i not in made and made.issuperset(s.after)]


def _acting(problem: Problem, weight: Array, left: Sequence[int]) -> float:
    """Expected minutes of acting now on the likeliest cause; infinite where that is not yet allowed."""
    if problem.wrong is None:
        return np.inf if left else 0.0
    rest = problem.at_stake(problem.membership(weight).sum(axis=1))
    return 0.0 if rest < SETTLED else problem.wrong * rest


def _after(problem: Problem, i: int, seen: Seen, weight: Array, plan: Callable[[Seen, Array], Plan]) -> float:
    """Expected minutes of making step i now and going on by `plan`."""
    step, total = problem.steps[i], float(weight.sum())
    minutes = step.minutes
    for outcome in range(step.density.shape[1]):
        left = weight * step.density[:, outcome]
        if outcome in step.ends or not left.sum() > 0.0:
            continue
        minutes += float(left.sum()) / total * plan(seen | {(i, outcome)}, left).minutes
    return minutes
