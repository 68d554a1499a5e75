"""Quantiles of mixtures of Gaussians, held to one Gaussian, to symmetry, and to each mixture by itself."""

from __future__ import annotations

import numpy as np
import pytest

from askew.engine.belief.quantiles import MOST, Gaussians, quantiles

AT = (0.05, 0.5, 0.95)


def mixture(seed: int, parts: int) -> Gaussians:
    rng = np.random.default_rng(seed)
    return rng.random(parts), rng.normal(size=parts), 0.1 + rng.random(parts)


def test_one_gaussian_has_its_own_quantiles() -> None:
    found = quantiles([(np.array([0.3]), np.array([2.0]), np.array([0.5]))], AT)
    assert found[0] == pytest.approx([2.0 - 1.6449 * 0.5, 2.0, 2.0 + 1.6449 * 0.5], abs=1e-4)


def test_many_at_once_are_what_each_is_alone() -> None:
    several = [mixture(seed, parts) for seed, parts in enumerate((1, 7, MOST, 3 * MOST))]
    alone = [quantiles([one], AT)[0] for one in several]
    assert quantiles(several, AT).tolist() == [one.tolist() for one in alone]


def test_no_mixture_has_none() -> None:
    assert quantiles([], AT).shape == (0, 3)
