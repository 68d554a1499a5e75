"""The information in the outcomes of several steps, reckoned at once."""

from __future__ import annotations

import numpy as np
import pytest

from askew.engine.planner.information import information, informations


def test_many_at_once_tell_what_each_tells_alone() -> None:
    rng = np.random.default_rng(3)
    membership = rng.random((4, 30))
    membership /= membership.sum()
    densities = [rng.dirichlet(np.ones(n), size=30) for n in (2, 11, 33, 3)]
    chance = membership.sum(axis=1)
    alone = [information(membership, chance, density) for density in densities]
    assert informations(membership, chance, densities) == pytest.approx(alone, rel=1e-12)


def test_no_step_tells_nothing() -> None:
    assert informations(np.ones((1, 1)), np.ones(1), []).size == 0
