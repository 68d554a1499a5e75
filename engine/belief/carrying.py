"""Which sets of troubled columns are carried through the ranges, and what they weigh then.

The numeric rows and the groups score every set at once; ranges cost a filter for each, so that only sets that may
matter go through. Which these are is foretold from smaller ones: sets of two and less are few enough to be carried
all, and what a further column does to a set is nearly what it does to the members of the set alone. Held to all sets
in the tests.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TypeVar

import numpy as np

from askew.engine.belief.gaussian import Base, project
from askew.engine.belief.hypotheses import Index
from askew.engine.belief.problem import Array, Group, Mask
from askew.engine.belief.ranges import apply_ranges

Made = TypeVar("Made")

DEPTH = 18.0
"""Sets foretold to be less likely than the best by more than this many nats (1.5e-8) are not carried."""

KEPT = 2000
"""Sets of three and more that are carried at most, the likeliest first; and twice as many pairs."""


@dataclass(frozen=True)
class Block:
    """Sets of one base with their weights and what they say of their lanes' amplitudes.

    Attributes:
        base: The healthy model of one choice of signs.
        sets: Column numbers, (most, h).
        weight: Posterior probability of each, (h,).
        mean: Amplitudes, (h, k).
        covariance: (h, k, k).
    """

    base: Base
    sets: Index
    weight: Array
    mean: Array
    covariance: Array

    @cached_property
    def lanes(self) -> Index:
        """Lane of each amplitude, (k, h)."""
        return self.base.lanes_of(self.sets)

    @cached_property
    def held(self) -> Mask:
        """Which columns each set holds, the padding last, (columns + 1, h)."""
        held = np.zeros((self.base.problem.columns.size + 1, self.weight.size), bool)
        held[self.sets, np.arange(self.weight.size)] = True
        return held

    def at_least(self, floor: float) -> Block:
        """Return only the sets that weigh at least `floor`, weights as they are."""
        keep = self.weight >= floor
        return Block(self.base, self.sets[:, keep], self.weight[keep], self.mean[keep], self.covariance[keep])


def of_bases(blocks: Sequence[Block], make: Callable[[Base], Made]) -> list[Made]:
    """Return what is made of the base of each block, in their order; made once for all blocks of a base."""
    bases = {id(block.base): block.base for block in blocks}
    made = {key: make(base) for key, base in bases.items()}
    return [made[id(block.base)] for block in blocks]


@dataclass(frozen=True)
class Search:
    """Sets of one base with their log weight from the prior and the numeric rows."""

    base: Base
    sets: Index
    score: Array

    @cached_property
    def members(self) -> Index:
        """How many columns each set holds, (h,)."""
        found: Index = (self.sets != self.base.problem.columns.size).sum(axis=0)
        return found

    def having(self, keep: Mask) -> Search:
        """Return only some of the sets."""
        return Search(self.base, self.sets[:, keep], self.score[keep])


def carried(searches: Sequence[Search]) -> tuple[tuple[Block, ...], float]:
    """Return the sets that matter with their weights after everything observed, and the log evidence.

    Ranges only take away, so that no set weighs more than its score.

    Args:
        searches: The sets of every choice of signs; several of one base do not repeat each other's sets.
    """
    searches = [replace(s, score=s.score + _group_evidence(s.base.problem.groups, s.sets)) for s in searches]
    small = _carried_small([s.having(s.members <= 2) for s in searches if (s.members <= 2).any()])
    found = [block for _, block in small]
    least = max(float(block.weight.max()) for block in found) - DEPTH
    large = [s.having((s.members > 2) & (s.score >= least)) for s in searches]
    found += [_with_ranges(s) for s in _likely([s for s in large if s.score.size], small)]
    total = log_sum(np.concatenate([block.weight for block in found]))
    weighed = [Block(b.base, b.sets, np.exp(b.weight - total), b.mean, b.covariance) for b in found]
    floor = float(np.exp(-3.0 * DEPTH))  # what the ranges contradict outright is not dragged along
    return tuple(block.at_least(floor) for block in weighed if (block.weight >= floor).any()), total


def _carried_small(searches: Sequence[Search]) -> list[tuple[Search, Block]]:
    """Carry no set, every single column and the pairs that may matter: more where the ranges contradict the best."""
    top = max(float(s.score.max()) for s in searches)
    floor = max(top - DEPTH, _floor([s.score for s in searches], 2 * KEPT))
    first = [s.having((s.members <= 1) | (s.score >= floor)) for s in searches]
    found = [(s, _with_ranges(s)) for s in first]
    least = max(float(block.weight.max()) for _, block in found) - DEPTH
    left = [s.having((s.members == 2) & (s.score < floor) & (s.score >= least)) for s in searches]
    likeliest = _floor([s.score for s in left], 2 * KEPT)
    further = [s.having(s.score >= likeliest) for s in left]
    return found + [(s, _with_ranges(s)) for s in further if s.score.size]


def _likely(large: Sequence[Search], small: Sequence[tuple[Search, Block]]) -> list[Search]:
    """Return the larger sets that are likely, the likeliest `KEPT` of them by what smaller ones foretell."""
    if sum(s.score.size for s in large) <= KEPT:
        return list(large)
    bases = {id(s.base): s.base for s, _ in small}
    told = {key: _told([pair for pair in small if pair[0].base is base]) for key, base in bases.items()}
    foretold = [s.score + told[id(s.base)].of(s.sets) for s in large]
    floor = max(max(float(guess.max()) for guess in foretold) - DEPTH, _floor(foretold, KEPT))
    return [s.having(g >= floor) for s, g in zip(large, foretold, strict=True) if (g >= floor).any()]


def _floor(scores: Sequence[Array], most: int) -> float:
    """Return the score from which there are at most so many."""
    every = np.concatenate([np.zeros(0), *scores])
    return float(np.partition(every, -most)[-most]) if every.size > most else -np.inf


@dataclass(frozen=True)
class _Told:
    """Log evidence of the ranges with at most two columns in trouble.

    Attributes:
        one: With each column alone, (s + 1,); the last is the padding, for nothing in trouble.
        two: With each pair, (s + 1, s + 1), symmetric; where a pair was not carried, as if its columns added up.
    """

    one: Array
    two: Array

    def of(self, sets: Index) -> Array:
        """Return the log evidence foretold of larger sets, (h,).

        The last to join a set does what it does to that member to which it does least; the order is the kindest. So
        what one column has explained is not explained again by a second, nor spoilt again.
        """
        if len(sets) == 2:
            return np.asarray(self.two[sets[0], sets[1]])
        found = []
        for last in range(len(sets)):
            rest = np.delete(sets, last, axis=0)
            joins = np.min([self.two[member, sets[last]] - self.one[member] for member in rest], axis=0)
            found.append(self.of(rest) + joins)
        return np.asarray(np.max(found, axis=0))


def _told(small: Sequence[tuple[Search, Block]]) -> _Told:
    """Return what the sets of at most two columns of one base show, no set and every single column among them."""
    size = small[0][0].base.problem.columns.size
    evidence = np.concatenate([block.weight - search.score for search, block in small])
    sets = np.concatenate([search.sets for search, _ in small], axis=1)
    members = np.concatenate([search.members for search, _ in small])
    first, second, *_ = np.vstack([np.sort(sets, axis=0), np.full((2, evidence.size), size)])
    none = evidence[members == 0][0]
    one = np.full(size + 1, none)
    single, pair = members == 1, members == 2
    one[first[single]] = evidence[single]
    two = one[:, None] + one[None, :] - none
    two[first[pair], second[pair]] = two[second[pair], first[pair]] = evidence[pair]
    return _Told(one, two)


def _with_ranges(search: Search) -> Block:
    """Return the sets with their log weights and amplitudes after the ranges."""
    base, sets, weight, problem = search.base, search.sets, search.score, search.base.problem
    mean, covariance = base.amplitudes(sets)
    if problem.soft.low.size:
        rows, lanes = project(base, problem.soft.rows), base.lanes_of(sets)
        log_evidence, mean, covariance = apply_ranges(rows, lanes, mean, covariance, problem.soft)
        weight = weight + log_evidence
    return Block(base, sets, weight, mean, covariance)


def _group_evidence(groups: Sequence[Group], sets: Index) -> Array:
    total = np.zeros(sets.shape[1])
    for group in groups:
        held = np.isin(sets, group.members).any(axis=0)
        total += np.where(held, np.log(group.hit), np.log(group.false_alarm))
    return total


def log_sum(values: Array) -> float:
    """Return the log of the sum of exponentials."""
    top = float(values.max())
    return top + float(np.log(np.exp(values - top).sum()))
