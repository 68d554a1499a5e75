"""The posterior over sets of troubled columns: enumerate, weigh, and answer questions about it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from askew.engine.belief.carrying import Block, Search, carried, log_sum, of_bases
from askew.engine.belief.gaussian import Base, Projection, project
from askew.engine.belief.hypotheses import Index, all_sets, extended, log_prior
from askew.engine.belief.problem import Array, Problem, Rows

MOST = 3
"""Sets up to this size are enumerated; larger ones grow from the best of these where evidence asks."""

MANY, PAIRS = 62, 250
"""With more columns than so many, sets of three are not all enumerated: they grow from the best so many pairs, so that
twice the columns take no more than four times as long."""

GROW_FROM = 40
GROW_AT = 0.25
"""Sets of the largest size are extended from the best so many, when they hold this share of the belief."""


@dataclass(frozen=True)
class Posterior:
    """What is believed after everything observed.

    Attributes:
        blocks: One or more a choice of signs.
        sources: Number of source columns; the rest are readings taken wrongly.
        log_evidence: Log of the probability of everything observed.
    """

    blocks: tuple[Block, ...]
    sources: int
    log_evidence: float

    @cached_property
    def trouble(self) -> Array:
        """Probability that each column is in trouble, sources first, then wild readings, (s,)."""
        size = self.blocks[0].base.problem.columns.size
        total = np.zeros(size + 1)
        for block in self.blocks:
            for row in block.sets:
                total += np.bincount(row, weights=block.weight, minlength=size + 1)
        return total[:size]

    @cached_property
    def leading(self) -> tuple[Block, ...]:
        """The likeliest sets (about 300 over all blocks): enough for predictions and intervals."""
        return self.best(300)

    def best(self, count: int) -> tuple[Block, ...]:
        """Return the likeliest sets over all blocks, weights as they are."""
        weights = np.concatenate([block.weight for block in self.blocks])
        floor = float(np.partition(weights, -count)[-count]) if weights.size > count else 0.0
        return tuple(block.at_least(floor) for block in self.blocks if (block.weight >= floor).any())

    def size_of(self, column: int) -> tuple[Array, Array, Array]:
        """Return the mixture of a column's size given that it is in trouble: weights, means, sds."""
        found = [
            (block.weight[held], mean[held, column], sd[held, column])
            for block, (mean, sd) in zip(self.leading, self._sizes, strict=True)
            if (held := block.held[column]).any()
        ]
        if not found:
            columns = self.blocks[0].base.problem.columns
            return np.ones(1), columns.mean[[column]], np.sqrt(columns.trouble[[column]])
        weights, means, spreads = (np.concatenate(parts) for parts in zip(*found, strict=True))
        return weights, means, spreads

    @cached_property
    def _sizes(self) -> tuple[tuple[Array, Array], ...]:
        """Mean and standard deviation of the size of every source under each leading set, (h, sources) each."""
        one = np.eye(self.sources, self.blocks[0].base.problem.columns.size)
        each = Rows(one, np.zeros_like(one))
        found = map(projected, self.leading, of_bases(self.leading, lambda base: project(base, each)))
        return tuple((mean, np.sqrt(variance)) for mean, variance in found)


def infer(branches: Sequence[Problem], sources: int, most: int = MOST) -> Posterior:
    """Return the posterior of a problem given as its choices of signs.

    Args:
        branches: The problem for each choice of signs of its absolute values; all share their columns.
        sources: How many of the columns are sources; the rest are readings taken wrongly.
        most: Largest set that is enumerated.
    """
    columns = branches[0].columns
    bases = [Base(problem) for problem in branches]
    many = columns.size > MANY and most == MOST
    sets = all_sets(sources, columns.size - sources, min(2 if many else most, columns.size))
    searches = _searched(bases, sets)
    if many:
        pairs, _ = _full(searches)
        searches += _searched(bases, extended(pairs[:, :PAIRS], sources))
    grown = _grown(searches[-len(bases) :], sources) if most < columns.size else None
    if grown is not None:
        searches += _searched(bases, grown)
    blocks, log_evidence = carried(searches)
    return Posterior(blocks, sources, log_evidence)


def _searched(bases: Sequence[Base], sets: Index) -> list[Search]:
    prior = log_prior(sets, bases[0].problem.columns.prior)
    return [Search(base, sets, prior + base.score(sets) + base.problem.log_weight) for base in bases]


def _grown(searches: Sequence[Search], sources: int) -> Index | None:
    """Return larger sets, if the largest that were enumerated hold much of the belief by the numbers alone."""
    roots, weight = _full(searches)
    if weight < GROW_AT or not roots.size:
        return None
    return extended(roots[:, :GROW_FROM], sources)


def _full(searches: Sequence[Search]) -> tuple[Index, float]:
    """Return the largest sets of some searches, the likeliest first, and the part of the belief that they hold."""
    nothing = searches[0].base.problem.columns.size
    scores = np.concatenate([search.score for search in searches])
    full = np.concatenate([(search.sets != nothing).all(axis=0) for search in searches])
    weight = np.exp(scores - log_sum(scores))
    sets = np.concatenate([search.sets for search in searches], axis=1)[:, full]
    best = sets[:, _largest(weight[full], PAIRS * len(searches))]
    return best[:, np.sort(np.unique(best, axis=1, return_index=True)[1])], float(weight[full].sum())


def _largest(values: Array, count: int) -> Index:
    """Return where the largest values are, the largest first, of equal ones the first."""
    floor = np.partition(values, -count)[-count] if values.size > count else -np.inf
    where = np.flatnonzero(values >= floor)
    return where[np.argsort(-values[where], kind="stable")][:count]


def predictions(block: Block, rows: Rows) -> tuple[Array, Array]:
    """Return mean and variance of further rows under each set of a block, (h, m) each."""
    return projected(block, project(block.base, rows))


def projected(block: Block, projection: Projection) -> tuple[Array, Array]:
    """Return the same of rows that are projected already: once for all blocks of a base."""
    gain = projection.gain[:, block.lanes].transpose(2, 0, 1)
    mean = projection.bias[None, :] + np.einsum("hmk,hk->hm", gain, block.mean)
    variance = np.diag(projection.rest)[None, :] + np.einsum(
        "hmk,hkl,hml->hm", gain, block.covariance, gain, optimize=True
    )
    return mean, np.maximum(variance, 0.0)
