"""The algebra over many small matrices at once, beside numpy's own."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from askew.engine.belief.hypotheses import all_sets, cholesky, extended, inverted, whiten
from askew.engine.belief.problem import Array


def some(seed: int, k: int, h: int = 7) -> tuple[Array, list[list[Array]]]:
    """Positive definite matrices (h, k, k), and the same as the lower triangle of arrays over the batch."""
    half = np.random.default_rng(seed).normal(size=(h, k, k))
    whole = half @ half.transpose(0, 2, 1) + np.eye(k)
    return whole, [[whole[:, i, j] for j in range(i + 1)] for i in range(k)]


@given(st.integers(0, 10_000), st.integers(1, 6))
def test_factors_and_inverses_are_those_of_numpy(seed: int, k: int) -> None:
    whole, lower = some(seed, k)
    factors = cholesky([list(row) for row in lower])
    theirs, inverses = np.linalg.cholesky(whole), np.linalg.inv(whole)
    found = inverted(factors)
    for i in range(k):
        for j in range(i + 1):
            assert factors[i][j] == pytest.approx(theirs[:, i, j], abs=1e-9)
            assert found[i][j] == pytest.approx(inverses[:, i, j], abs=1e-9)


def test_a_whitened_vector_has_the_length_that_the_matrix_gives_it() -> None:
    whole, lower = some(3, 4)
    vector = np.random.default_rng(4).normal(size=(7, 4))
    white = whiten(cholesky(lower), [vector[:, i] for i in range(4)])
    length = np.einsum("hi,hij,hj->h", vector, np.linalg.inv(whole), vector)
    assert np.square(white).sum(axis=0) == pytest.approx(length)


def test_sets_are_counted_as_combinations_with_at_most_one_reading_taken_wrongly() -> None:
    sets = all_sets(5, 2, 3)
    plain = 1 + 5 + 10 + 10
    assert sets.shape == (3, plain + 2 * (1 + 5 + 10))
    assert ((sets == 5).sum(axis=0) + (sets == 6).sum(axis=0)).max() == 1


def test_extended_sets_come_once_each() -> None:
    grown = extended(np.array([[0, 0], [1, 2]]), 4)
    assert sorted(map(tuple, grown.T)) == [(0, 1, 2), (0, 1, 3), (0, 2, 3)]
