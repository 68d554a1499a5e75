"""Belief against brute force: every set weighed one by one with a general multivariate normal."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import multivariate_normal, norm

from askew.engine.belief.posterior import infer, predictions
from askew.engine.belief.problem import Columns, Group, Problem, Rows, Soft


def no_ranges(columns: int) -> Soft:
    none = np.zeros(0)
    empty = np.zeros((0, columns))
    return Soft(Rows(empty, empty), none, none, none, none, np.zeros(0, bool))


def random_problem(seed: int, sources: int = 6, readings: int = 3, spread: float = 0.3) -> Problem:
    rng = np.random.default_rng(seed)
    columns = Columns(
        prior=rng.uniform(0.03, 0.3, sources),
        healthy=rng.uniform(0.005, 0.02, sources),
        trouble=rng.uniform(0.5, 2.0, sources),
        mean=np.where(rng.random(sources) < 0.3, rng.uniform(0.2, 1.0, sources), 0.0),
        wild=np.zeros(sources, bool),
    )
    rows = Rows(rng.normal(size=(readings, sources)), spread * rng.normal(size=(readings, sources)))
    return Problem(
        columns, rows, 1.5 * rng.normal(size=readings), np.full(readings, 0.05), no_ranges(sources)
    )


def brute_force(problem: Problem) -> tuple[np.ndarray, float]:
    """Probability of trouble of each column and log evidence, over all sets."""
    c, rows = problem.columns, problem.rows
    weights: dict[tuple[int, ...], float] = {}
    for size in range(c.size + 1):
        for members in combinations(range(c.size), size):
            on = np.isin(np.arange(c.size), members)
            variance = np.where(on, c.trouble, c.healthy)
            second = np.where(on, c.trouble + c.mean**2, c.healthy)
            cov = (rows.jacobian * variance) @ rows.jacobian.T + (rows.spread * second) @ rows.spread.T
            cov += np.diag(problem.noise)
            mean = rows.jacobian @ np.where(on, c.mean, 0.0)
            prior = np.log(np.where(on, c.prior, 1.0 - c.prior)).sum()
            weights[members] = prior + multivariate_normal(mean, cov).logpdf(problem.values)
    logs = np.array(list(weights.values()))
    total = logs.max() + np.log(np.exp(logs - logs.max()).sum())
    chance = [sum(np.exp(w - total) for m, w in weights.items() if i in m) for i in range(c.size)]
    return np.array(chance), float(total)


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize("spread", [0.0, 0.3])
def test_equals_enumeration(seed: int, spread: float) -> None:
    problem = random_problem(seed, spread=spread)
    posterior = infer([problem], problem.columns.size, most=problem.columns.size)
    chance, total = brute_force(problem)
    assert posterior.trouble == pytest.approx(chance, abs=1e-7)
    assert posterior.log_evidence == pytest.approx(total, abs=1e-7)


def test_equals_enumeration_to_nine_places_where_nothing_is_pruned() -> None:
    problem = random_problem(3, sources=5, readings=2, spread=0.0)
    posterior = infer([problem], 5, most=5)
    chance, total = brute_force(problem)
    assert np.abs(posterior.trouble - chance).max() < 1e-9
    assert abs(posterior.log_evidence - total) < 1e-9


def test_larger_sets_grow_where_evidence_asks() -> None:
    sources = 7
    columns = Columns(
        np.full(sources, 0.05),
        np.full(sources, 1e-4),
        np.full(sources, 1.0),
        np.zeros(sources),
        np.zeros(sources, bool),
    )
    values = np.array([1.0, -1.0, 1.2, 0.9, 0.0, 0.0, 0.0])
    problem = Problem(
        columns,
        Rows(np.eye(sources), np.zeros((sources, sources))),
        values,
        np.full(sources, 1e-4),
        no_ranges(sources),
    )
    trouble = infer([problem], sources).trouble
    assert trouble[:4].min() > 0.99
    assert trouble[4:].max() < 0.05


def test_sizes_are_those_of_a_linear_gaussian_model() -> None:
    """One column, one reading: the textbook posterior of a Gaussian mean."""
    columns = Columns(np.array([0.5]), np.array([1e-6]), np.array([4.0]), np.zeros(1), np.zeros(1, bool))
    problem = Problem(
        columns, Rows(np.array([[2.0]]), np.zeros((1, 1))), np.array([3.0]), np.array([0.25]), no_ranges(1)
    )
    posterior = infer([problem], 1)
    _, means, sds = posterior.size_of(0)
    precision = 1.0 / 4.0 + 4.0 / 0.25
    assert means[0] == pytest.approx((2.0 * 3.0 / 0.25) / precision, rel=1e-5)
    assert sds[0] == pytest.approx(precision**-0.5, rel=1e-4)


def test_a_wild_reading_does_not_wreck_the_rest() -> None:
    """Three readings of one column, one of them absurd: it is named, and the column keeps its size."""
    columns = Columns(
        prior=np.array([0.1, 0.02, 0.02, 0.02]),
        healthy=np.array([1e-4, 0, 0, 0]),
        trouble=np.array([1.0, 100.0, 100.0, 100.0]),
        mean=np.zeros(4),
        wild=np.array([False, True, True, True]),
    )
    jacobian = np.hstack([np.ones((3, 1)), np.eye(3)])
    problem = Problem(
        columns,
        Rows(jacobian, np.zeros_like(jacobian)),
        np.array([1.0, 1.02, -9.0]),
        np.full(3, 1e-3),
        no_ranges(4),
    )
    posterior = infer([problem], 1)
    assert posterior.trouble[3] > 0.99
    assert posterior.trouble[0] > 0.9
    weights, means, _ = posterior.size_of(0)
    assert float(weights @ means / weights.sum()) == pytest.approx(1.0, abs=0.05)


RANGES = [
    (0.4, np.inf, 0.02, False),
    (-np.inf, -0.3, 0.05, False),
    (-0.5, 0.5, 0.02, True),
    (-0.2, 0.2, 0.02, False),
]


@pytest.mark.parametrize(("low", "high", "misread", "outside"), RANGES)
def test_one_range_is_exact(low: float, high: float, misread: float, outside: bool) -> None:
    """A single range needs no approximation: for each set, condition the joint Gaussian by hand."""
    problem = random_problem(11, sources=4, readings=1, spread=0.0)
    row, blur = np.array([[0.8, -0.5, 0.3, 0.0]]), 0.1
    soft = Soft(
        Rows(row, np.zeros_like(row)),
        np.array([low]),
        np.array([high]),
        np.array([blur]),
        np.array([misread]),
        np.array([outside]),
    )
    ranged = Problem(problem.columns, problem.rows, problem.values, problem.noise, soft)
    posterior = infer([ranged], 4, most=4)
    c, jacobian = problem.columns, problem.rows.jacobian
    weights: dict[tuple[int, ...], float] = {}
    for size in range(5):
        for members in combinations(range(4), size):
            on = np.isin(np.arange(4), members)
            variance, mean = np.where(on, c.trouble, c.healthy), np.where(on, c.mean, 0.0)
            seen = ((jacobian * variance) @ jacobian.T)[0, 0] + problem.noise[0]
            gain = ((row * variance) @ jacobian.T)[0, 0] / seen
            off = problem.values[0] - (jacobian @ mean)[0]
            middle = (row @ mean)[0] + gain * off
            sd = np.sqrt(((row * variance) @ row.T)[0, 0] - gain**2 * seen + blur**2)
            inside = norm.cdf((high - middle) / sd) - norm.cdf((low - middle) / sd)
            chance = misread + (1.0 - 2.0 * misread) * (1.0 - inside if outside else inside)
            prior = np.where(on, c.prior, 1.0 - c.prior).prod()
            weights[members] = prior * norm.pdf(off, 0.0, np.sqrt(seen)) * chance
    total = sum(weights.values())
    expected = [sum(w for m, w in weights.items() if i in m) / total for i in range(4)]
    assert posterior.trouble == pytest.approx(expected, abs=1e-7)


def test_several_ranges_come_close_to_monte_carlo() -> None:
    """Moment matching is an approximation for several ranges at once; it stays within three points here."""
    problem = random_problem(5, sources=4, readings=1, spread=0.0)
    rows = np.array([[0.8, -0.5, 0.3, 0.0], [0.1, 0.9, 0.0, 0.4], [0.0, 0.2, -1.0, 0.6]])
    soft = Soft(
        Rows(rows, np.zeros_like(rows)),
        np.array([0.3, -np.inf, -0.4]),
        np.array([np.inf, 0.2, 0.4]),
        np.full(3, 0.1),
        np.full(3, 0.03),
        np.array([False, False, True]),
    )
    ranged = Problem(problem.columns, problem.rows, problem.values, problem.noise, soft)
    assert infer([ranged], 4, most=4).trouble == pytest.approx(monte_carlo(ranged, 2_000_000), abs=0.03)


def monte_carlo(problem: Problem, count: int) -> np.ndarray:
    rng = np.random.default_rng(1)
    c = problem.columns
    on = rng.random((count, c.size)) < c.prior
    sd = np.where(on, np.sqrt(c.trouble), np.sqrt(c.healthy))
    x = rng.normal(size=(count, c.size)) * sd + np.where(on, c.mean, 0.0)
    weight = norm.pdf(problem.values, x @ problem.rows.jacobian.T, np.sqrt(problem.noise)).prod(axis=1)
    soft = problem.soft
    f = x @ soft.rows.jacobian.T
    inside = norm.cdf((soft.high - f) / soft.blur) - norm.cdf((soft.low - f) / soft.blur)
    seen = np.where(soft.outside, 1.0 - inside, inside)
    weight = weight * (soft.misread + (1.0 - 2.0 * soft.misread) * seen).prod(axis=1)
    return (weight[:, None] * on).sum(axis=0) / weight.sum()


def test_groups_multiply_the_odds() -> None:
    """Without readings a sign that points at a set follows Bayes' rule over the sets."""
    columns = Columns(np.array([0.2, 0.1]), np.full(2, 1e-4), np.ones(2), np.zeros(2), np.zeros(2, bool))
    empty = Rows(np.zeros((0, 2)), np.zeros((0, 2)))
    problem = Problem(columns, empty, np.zeros(0), np.zeros(0), no_ranges(2), (Group((0,), 0.8, 0.1),))
    trouble = infer([problem], 2).trouble
    assert trouble[0] == pytest.approx(0.2 * 0.8 / (0.2 * 0.8 + 0.8 * 0.1))
    assert trouble[1] == pytest.approx(0.1)


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10_000))
def test_order_of_readings_does_not_matter(seed: int) -> None:
    problem = random_problem(seed, sources=5, readings=4)
    order = np.random.default_rng(seed).permutation(4)
    mixed = Problem(
        problem.columns,
        Rows(problem.rows.jacobian[order], problem.rows.spread[order]),
        problem.values[order],
        problem.noise[order],
        problem.soft,
    )
    a, b = infer([problem], 5), infer([mixed], 5)
    assert a.trouble == pytest.approx(b.trouble, abs=1e-9)


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10_000))
def test_mirror_leaves_probabilities_and_turns_sizes(seed: int) -> None:
    """With symmetric priors, readings of the other sign give the same chances and sizes of the other sign."""
    problem = random_problem(seed, sources=5, readings=3)
    c = problem.columns
    even = Columns(c.prior, c.healthy, c.trouble, np.zeros(5), c.wild)
    here = Problem(even, problem.rows, problem.values, problem.noise, problem.soft)
    there = Problem(even, problem.rows, -problem.values, problem.noise, problem.soft)
    a, b = infer([here], 5), infer([there], 5)
    assert a.trouble == pytest.approx(b.trouble, abs=1e-9)
    assert a.size_of(0)[1].sum() == pytest.approx(-b.size_of(0)[1].sum(), abs=1e-9)


def test_predictions_are_those_of_the_joint_gaussian() -> None:
    """A further row under one set: conditioning a joint Gaussian by hand."""
    problem = random_problem(2, sources=2, readings=1, spread=0.0)
    posterior = infer([problem], 2, most=2)
    new = np.array([[0.7, -0.2]])
    block = posterior.blocks[0]
    mean, variance = predictions(block, Rows(new, np.zeros_like(new)))
    h = int(np.flatnonzero((np.sort(block.sets, axis=0) == np.array([[0], [1]])).all(axis=0))[0])
    cov = np.diag(problem.columns.trouble)
    j = problem.rows.jacobian
    s = j @ cov @ j.T + problem.noise[0]
    gain = new @ cov @ j.T / s
    prior_mean = problem.columns.mean
    expected = new @ prior_mean + gain @ (problem.values - j @ prior_mean)
    assert mean[h, 0] == pytest.approx(float(expected[0]), abs=1e-6)
    assert variance[h, 0] == pytest.approx(float((new @ cov @ new.T - gain * s @ gain.T)[0, 0]), abs=1e-6)


def test_with_many_columns_the_triples_that_matter_are_found_from_the_pairs(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Against all sets of three, on random problems of eighty columns."""
    for seed in range(3):
        rng = np.random.default_rng(seed)
        n = 80
        columns = Columns(np.full(n, 0.04), np.full(n, 1e-4), np.ones(n), np.zeros(n), np.zeros(n, bool))
        jacobian = rng.normal(size=(12, n)) * (rng.random((12, n)) < 0.3)
        truth = np.zeros(n)
        truth[rng.choice(n, 3, replace=False)] = rng.normal(size=3)
        values = jacobian @ truth + 0.05 * rng.normal(size=12)
        problem = Problem(
            columns, Rows(jacobian, np.zeros_like(jacobian)), values, np.full(12, 0.0025), no_ranges(n)
        )
        grown = infer([problem], n)
        with monkeypatch.context() as patch:
            patch.setattr("askew.engine.belief.posterior.MANY", 10**6)
            whole = infer([problem], n)
        assert np.abs(grown.trouble - whole.trouble).max() < 0.02
        assert grown.log_evidence == pytest.approx(whole.log_evidence, abs=0.05)
