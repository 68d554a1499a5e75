"""A discretised network: our belief against the figures that two general Bayesian-network packages agree on.

The figures are from pyAgrum 3.3 (lazy propagation) and pgmpy 1.1 (variable elimination), run by
tests/benchmarks/bench_belief.py. Sets less likely than the best by 18 nats are not carried, hence 1e-6.
"""

from __future__ import annotations

import pytest

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
