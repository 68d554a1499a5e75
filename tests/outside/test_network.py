"""A discretised network: our belief against the figures that two general Bayesian-network packages agree on.

The figures are from pyAgrum 3.3 (lazy propagation) and pgmpy 1.1 (variable elimination), run by
tests/benchmarks/bench_belief.py. Sets less likely than the best by 18 nats are not carried, hence 1e-6.
"""

from __future__ import annotations

import numpy as np
import pytest

from tests.outside import sized_case
from tests.outside.network_case import ours

AGREED = [
    0.084507212,
    0.219794117,
    0.070724280,
    0.658149852,
    0.117876231,
    0.078038351,
    0.056401416,
    0.302306107,
    0.301520446,
    0.213879343,
]


def test_our_belief_is_that_of_the_general_packages() -> None:
    assert ours() == pytest.approx(AGREED, abs=1e-6)


def test_a_diagnosis_with_sizes_is_the_limit_of_finer_and_finer_steps() -> None:
    """The discretised network summed out by numpy's einsum; packages give the same sums (see bench_belief.py)."""
    mine, errors = sized_case.ours(), []
    for count in (31, 61, 121):
        middles, chances = sized_case.steps(count)
        fits = [sized_case.likelihood(j, middles) for j in range(len(sized_case.OF))]
        prior = np.array(sized_case.PRIOR)[:, None]
        both = (1.0 - prior) * chances[0] + prior * chances[1]
        whole = _summed(fits, both)
        one_in_trouble = [np.where(np.arange(6)[:, None] == i, prior * chances[1], both) for i in range(6)]
        theirs = np.array([_summed(fits, weights) for weights in one_in_trouble]) / whole
        errors.append(float(np.abs(theirs - mine).max()))
    assert errors[0] > errors[1] > errors[2]
    assert errors[2] < 2e-3


def _summed(fits: list[np.ndarray], weights: np.ndarray) -> float:
    return float(np.einsum("abc,bcd,cde,def,a,b,c,d,e,f->", *fits, *weights, optimize=True))
