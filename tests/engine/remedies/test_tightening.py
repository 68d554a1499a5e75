from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, stats

from askew.engine.remedies.result import RemedyError
from askew.engine.remedies.tightening import PRIOR_ROUNDS, PRIOR_SCATTER_ROUNDS, next_move

moves = st.lists(st.floats(-0.2, 0.2), min_size=0, max_size=12)


def test_before_any_round_no_move_is_expected_but_room_is_left():
    move = next_move([], 0.02)
    assert move.mid == 0.0
    assert move.rounds == 0
    low, high = move.interval()
    assert low == pytest.approx(-high)
    assert high > 0.02


def test_one_round_is_half_believed_and_many_are_believed():
    assert next_move([0.04], 0.02).mid == pytest.approx(0.02)
    assert next_move([0.04] * 9, 0.02).mid == pytest.approx(0.036)


def test_a_head_that_repeats_is_predicted_closer_than_one_that_wanders():
    steady = next_move([0.030, 0.031, 0.029, 0.030], 0.02)
    wandering = next_move([0.08, -0.02, 0.05, 0.01], 0.02)
    assert steady.scale < wandering.scale


@given(moves, st.floats(0.001, 0.1))
def test_the_prediction_lies_between_no_move_and_the_mean_of_the_moves(seen, usual):
    mid = next_move(seen, usual).mid
    mean = float(np.mean(seen)) if seen else 0.0
    assert min(0.0, mean) - 1e-12 <= mid <= max(0.0, mean) + 1e-12


@given(moves)
def test_the_unit_does_not_matter(seen):
    mm, um = next_move(seen, 0.02), next_move([1000 * m for m in seen], 20.0)
    assert um.mid == pytest.approx(1000 * mm.mid, abs=1e-9)
    assert um.scale == pytest.approx(1000 * mm.scale)


@pytest.mark.parametrize("seen", [[], [0.03], [0.02, 0.05, -0.01]])
def test_the_closed_form_is_the_posterior_predictive_integrated_by_hand(seen):
    """Against numerical integration over mean and variance of the same normal model."""
    usual, at = 0.02, 0.015

    def density(variance: float) -> float:
        prior = stats.invgamma.pdf(
            variance, PRIOR_SCATTER_ROUNDS / 2, scale=PRIOR_SCATTER_ROUNDS * usual**2 / 2
        )
        # Mean integrated out: rounds are jointly normal with a shared mean.
        n = len(seen)
        cov = variance * (np.eye(n) + np.ones((n, n)) / PRIOR_ROUNDS) if n else np.zeros((0, 0))
        like = stats.multivariate_normal.pdf(seen, np.zeros(n), cov) if n else 1.0
        return float(prior * like)

    def joint(variance: float) -> float:
        n = len(seen) + 1
        cov = variance * (np.eye(n) + np.ones((n, n)) / PRIOR_ROUNDS)
        prior = stats.invgamma.pdf(
            variance, PRIOR_SCATTER_ROUNDS / 2, scale=PRIOR_SCATTER_ROUNDS * usual**2 / 2
        )
        return float(prior * stats.multivariate_normal.pdf([*seen, at], np.zeros(n), cov))

    top = 0.02
    expected = (
        integrate.quad(joint, 1e-7, top, limit=400)[0] / integrate.quad(density, 1e-7, top, limit=400)[0]
    )
    move = next_move(seen, usual)
    assert stats.t.pdf(at, move.freedom, move.mid, move.scale) == pytest.approx(expected, rel=2e-3)


def test_chance_within_agrees_with_the_interval():
    move = next_move([0.02, 0.03], 0.02)
    low, high = move.interval(0.8)
    assert move.chance_within(low, high) == pytest.approx(0.8)


@pytest.mark.parametrize(("seen", "usual"), [([float("nan")], 0.02), ([0.1], 0.0), ([0.1], -1.0)])
def test_impossible_rounds_are_refused(seen, usual):
    with pytest.raises(RemedyError):
        next_move(seen, usual)


def test_following_the_prediction_ends_sooner_than_ignoring_it():
    """A head that moves 0.06 +- 0.01 each time: aiming off by the prediction gets within 0.02 sooner."""
    rng = np.random.default_rng(3)

    def rounds_until_true(learn: bool) -> int:
        seen: list[float] = []
        for n in range(1, 30):
            aim = -next_move(seen, 0.02).mid if learn else 0.0
            move = float(rng.normal(0.06, 0.01))
            seen.append(move)
            if abs(aim + move) <= 0.02:
                return n
        return 30

    learned = np.mean([rounds_until_true(True) for _ in range(200)])
    ignored = np.mean([rounds_until_true(False) for _ in range(200)])
    assert learned < 5 < 25 < ignored
