"""Which sources are in play, as columns of the inference problem, one for each instance that anything speaks of."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from askew.engine.belief.problem import Columns
from askew.engine.case import Case, Memory, Situation
from askew.engine.setup import Setup, machine_of
from askew.knowledge.load import load
from askew.knowledge.schema import Size, Source

ONE_SIDED_MEAN, ONE_SIDED_SPREAD = 1.0, 1.0
"""Mean and standard deviation of a source that only goes one way, in units of its usual size when in trouble: those
of half a Student's t with four degrees of freedom (its mean is 1, its square 2)."""

TAILS = 1.4
"""Sizes in trouble have heavier tails than a Gaussian of their usual size: this much wider it has the variance of
Student's t with four degrees of freedom, and a size of four times the usual is not thought impossible."""


@dataclass(frozen=True)
class Column:
    """One instance of a source."""

    source: str
    instance: int


def in_play(source: Source, setup: Setup) -> bool:
    """Say whether a source can act in a setup; a fact that is not known leaves it in play."""
    told = setup.told()
    return all(key not in told or told[key] in values for key, values in source.needs.items())


def size_of(source: Source, setup: Setup) -> Size:
    """Return the usual sizes of a source for the kind of machine."""
    return source.size.get(machine_of(setup)) or source.size["any"]


def prior_of(source: Source, setup: Setup, factor: float) -> float:
    """Return the chance that a source is in trouble in a setup, its odds multiplied by `factor`."""
    prior = size_of(source, setup).prior
    for other in source.likelier:
        known = setup.known(other.key)
        if (other.known is not None and known == other.known) or getattr(setup, other.key) in other.values:
            prior = other.prior
    odds = prior / (1.0 - prior) * factor
    return odds / (1.0 + odds)


def table(case: Case, columns: tuple[Column, ...], wild_sizes: np.ndarray, wild_prior: float) -> Columns:
    """Return priors and variances of source instances, then of the stand-ins for readings taken wrongly.

    Args:
        case: The case, for the setup and for what actions did to the odds.
        columns: Source instances.
        wild_sizes: One standard deviation of each reading taken wrongly, mm, (w,).
        wild_prior: Chance that a reading was taken wrongly.
    """
    factors = _factors(case)
    beliefs = [_usual(column, case, factors.get(column, 1.0)) for column in columns]
    memory = {Column(m.source, 0): m for m in case.memory}
    beliefs = [remembered(b, memory[c]) if c in memory else b for b, c in zip(beliefs, columns, strict=True)]
    prior, healthy, trouble, mean = (
        (np.array(values) for values in zip(*beliefs, strict=True)) if beliefs else [np.zeros(0)] * 4
    )
    w = wild_sizes.size
    return Columns(
        prior=np.concatenate([prior, np.full(w, wild_prior)]),
        healthy=np.concatenate([healthy, np.zeros(w)]),
        trouble=np.concatenate([trouble, wild_sizes**2]),
        mean=np.concatenate([mean, np.zeros(w)]),
        wild=np.concatenate([np.zeros(len(columns), bool), np.ones(w, bool)]),
    )


Belief = tuple[float, float, float, float]
"""Chance of trouble, variance when healthy, variance and mean when in trouble."""


def _usual(column: Column, case: Case, factor: float) -> Belief:
    source = load().sources[column.source]
    size = size_of(source, case.setup)
    scale = ONE_SIDED_SPREAD if source.one_sided else TAILS
    trouble = max((scale * size.trouble) ** 2, 1.0001 * size.healthy**2)
    mean = ONE_SIDED_MEAN * size.trouble if source.one_sided else 0.0
    return prior_of(source, case.filled(case.setup), factor), size.healthy**2, trouble, mean


def remembered(usual: Belief, memory: Memory) -> Belief:
    """Return a usual prior as the machine's record changes it.

    With the memory's weight the source is as it was found; else it is as on any machine. A source found healthy
    is less likely to be in trouble now; one found out is in trouble with about the size that was found: the two
    ways of being in trouble are joined into one Gaussian with their mean and variance.
    """
    prior, healthy, trouble, mean = usual
    if abs(memory.mean) + memory.sd <= 3.0 * healthy**0.5:
        return max((1.0 - memory.weight) * prior, 1e-4), healthy, trouble, mean
    found = memory.weight
    chance = found + (1.0 - found) * prior
    share = found / chance
    middle = share * memory.mean + (1.0 - share) * mean
    spread = share * (memory.sd**2 + memory.mean**2) + (1.0 - share) * (trouble + mean**2) - middle**2
    return min(chance, 0.999), healthy, max(spread, 1.0001 * healthy), middle


def _factors(case: Case) -> dict[Column, float]:
    """What actions did to the odds of trouble, by instance."""
    found: dict[Column, float] = {}
    for situation in dict.fromkeys([*(e.situation for e in case.evidence), case.cut, case.now]):
        instance = dict(situation.instances)
        for source, factor in situation.factors:
            found[Column(source, instance.get(source, 0))] = factor
    return found


def column_of(source: str, situation: Situation) -> Column:
    """Return the instance of a source that is in force in a situation."""
    return Column(source, situation.instance(source))
