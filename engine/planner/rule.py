"""The rule of choosing: what telling more is worth a minute, looking one or two checks ahead, and when to act.

A check is worth what it is expected to tell about what to do, a minute: about the remedies that the causes ask for,
and to a lesser part about which cause it is. Where two checks tell more a minute than one, because they share a
preparation or only together part the causes, both are weighed as one. Checking pays as long as the minutes that it
is expected to save over acting now are more than its own.

It works on a `Problem`, so that the same rule is held to the best possible order on small ones.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import permutations
from typing import TypeVar

from askew.engine.belief.problem import Array
from askew.engine.planner.information import entropy, information, informations, jointly, merged
from askew.engine.planner.optimum import Problem

NAMING = 0.3
"""Part of the worth, and of what is at stake, that lies in knowing the cause itself, where the remedy is the same: the
machine's record and the next case go by it. Judgement."""
PAIRED = 4
"""Checks, the best by themselves, that are looked at as the second of two."""
FINISHED = 0.9
"""Where one check settles this share of what is open there is no use in looking further."""
COARSE = 5
"""Outcomes of each of two checks that are told apart when both are looked at together."""


Told = TypeVar("Told", float, Array)
"""Nats of one step, or of several."""


@dataclass(frozen=True)
class Score:
    """What a step is worth now.

    Attributes:
        step: Its number.
        gain: Expected information about what to do, nats.
        share: The same as a share of what is not known, 0 to 1.
        worth: Nats a minute, less for what it disturbs; steps are ranked by this.
        saves: Minutes that it is expected to save over acting now, less its own.
        then: The step with which it was weighed, where two tell more a minute than one.
    """

    step: int
    gain: float
    share: float
    worth: float
    saves: float
    then: int | None = None


class Sight:
    """What is believed of a problem's causes at a moment, and what steps would tell of them."""

    def __init__(self, problem: Problem, weight: Array) -> None:
        """Gather the explanations by what they ask to be done, and by cause."""
        self.acts = problem.membership(weight)
        self.names = problem.membership(weight, problem.names) if problem.names is not None else None
        self.open = self._told(lambda rows: entropy(rows.sum(axis=1)))
        self.at_stake = problem.at_stake(self.acts.sum(axis=1))
        if self.names is not None:
            misnamed = 1.0 - float(self.names.sum(axis=1).max())
            self.at_stake = (1.0 - NAMING) * self.at_stake + NAMING * misnamed

    def gain(self, density: Array) -> float:
        """Return the expected information in one outcome, nats.

        Args:
            density: Probability of each outcome under each explanation, (h, outcomes).
        """
        return self._told(lambda rows: information(rows, rows.sum(axis=1), density))

    def gains(self, densities: Sequence[Array]) -> Array:
        """Return the expected information in the outcome of each of some steps, nats, (steps,).

        Args:
            densities: For each, the probability of each outcome under each explanation, (h, outcomes).
        """
        return self._told(lambda rows: informations(rows, rows.sum(axis=1), densities))

    def _told(self, measure: Callable[[Array], Told]) -> Told:
        """Measure the explanations gathered by act, (causes, h), and to a lesser part by name."""
        of_acts = measure(self.acts)
        return of_acts if self.names is None else (1.0 - NAMING) * of_acts + NAMING * measure(self.names)


def scores(problem: Problem, weight: Array, left: Sequence[int]) -> list[Score]:
    """Return what each of the steps left is worth now, in their order.

    Args:
        problem: Causes, steps and what acting on the wrong cause costs; `wrong` must be a number.
        weight: Weights as they now stand, (h,).
        left: Numbers of the steps that can be made.
    """
    sight = Sight(problem, weight)
    gains = sight.gains([problem.steps[i].density for i in left])
    alone = [
        _score(i, None, float(gain), problem.minutes(i), problem, sight)
        for i, gain in zip(left, gains, strict=True)
    ]
    best = sorted(alone, key=lambda score: -score.worth)[:PAIRED]
    if not best or best[0].share >= FINISHED or len(left) < 2:
        return alone
    pairs = _pairs([score.step for score in best], problem, sight)
    return [_with_second(score, best, pairs) if score in best else score for score in alone]


def _pairs(steps: Sequence[int], problem: Problem, sight: Sight) -> dict[tuple[int, int], Score]:
    """Return what each two of some steps are worth, one right after the other."""
    coarse = {i: merged(problem.steps[i].density, COARSE) for i in steps}
    found = {}
    for i, j in permutations(steps, 2):
        minutes = problem.minutes(i) + problem.minutes(j, after=i)
        found[i, j] = _score(i, j, sight.gain(jointly(coarse[i], coarse[j])), minutes, problem, sight)
    return found


def _with_second(score: Score, others: Sequence[Score], pairs: dict[tuple[int, int], Score]) -> Score:
    """Return a step's score with the best second step, where the two together are worth more a minute."""
    found = score
    for other in others:
        if other.step == score.step:
            continue
        pair = pairs[score.step, other.step]
        if pair.worth > 1.02 * max(found.worth, other.worth) or max(found.saves, other.saves) <= 0.0 < pair.saves:
            found = replace(
                score,
                worth=max(pair.worth, score.worth),
                saves=max(pair.saves, score.saves),
                then=other.step,
            )
    return found


def _score(i: int, then: int | None, gain: float, minutes: float, problem: Problem, sight: Sight) -> Score:
    assert problem.wrong is not None
    share = min(gain / sight.open, 1.0) if sight.open > 0.0 else 0.0
    worth = gain * (1.0 - 0.5 * problem.steps[i].risk) / minutes
    return Score(i, gain, share, worth, share * sight.at_stake * problem.wrong - minutes, then)


def best_of(found: Sequence[Score], problem: Problem) -> Score | None:
    """Return the step to make next, or None where it is time to act."""
    worth_it = [score for score in found if score.saves > 0.0]
    return min(worth_it, key=lambda s: (-s.worth, problem.steps[s.step].minutes), default=None)


def next_step(problem: Problem, weight: Array, left: Sequence[int]) -> int | None:
    """Return the step to make next, or None to act; a `Rule` to hold to the optimum."""
    best = best_of(scores(problem, weight, left), problem)
    return best.step if best is not None else None
