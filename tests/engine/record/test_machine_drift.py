"""The drift of a machine against published data, third-party fits, and the law of its interval."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import curve_fit
from scipy.stats import t as student

from askew.engine.record.machine_drift import fit_drift

# NIST Statistical Reference Datasets, Norris (linear least squares, calibration of ozone monitors): x, y.
NORRIS = """0.2 0.1 337.4 338.8 118.2 118.1 884.6 888.0 10.1 9.2 226.5 228.1 666.3 668.5 996.3 998.5
448.6 449.1 777.0 778.9 558.2 559.2 0.4 0.3 0.6 0.1 775.5 778.1 666.9 668.8 338.0 339.3
447.5 448.9 11.6 10.8 556.0 557.7 228.1 228.3 995.8 998.0 887.6 888.8 120.2 119.6 0.3 0.3
0.3 0.6 556.8 557.6 339.1 339.3 887.2 888.0 999.0 998.5 779.0 778.9 11.1 10.2 118.3 117.6
229.2 228.9 669.1 668.4 448.9 449.2 0.5 0.2"""


def norris() -> tuple[np.ndarray, np.ndarray]:
    numbers = np.array(NORRIS.split(), dtype=float).reshape(-1, 2)
    assert len(numbers) == 36
    return numbers[:, 0], numbers[:, 1]


def test_norris_certified_values() -> None:
    x, y = norris()
    fit = fit_drift(x, y)
    assert fit is not None
    assert fit.rate == pytest.approx(1.00211681802045, rel=1e-13)
    assert fit.levels[0] == pytest.approx(-0.262323073774029, rel=1e-11)
    assert fit.rate_sd == pytest.approx(0.429796848199937e-03, rel=1e-12)
    assert fit.level_sd[0] == pytest.approx(0.232818234301152, rel=1e-12)
    assert fit.spread == pytest.approx(0.884796396144373, rel=1e-12)
    assert fit.dof == 34
    assert fit.high - fit.rate == pytest.approx(student.ppf(0.95, 34) * fit.rate_sd, rel=1e-12)


@pytest.mark.parametrize("seed", range(5))
def test_weighted_line_is_that_of_scipy(seed: int) -> None:
    rng = np.random.default_rng(seed)
    t, sd = np.sort(rng.uniform(0, 5, 12)), rng.uniform(0.5, 3, 12)
    y = 0.4 + 1.7 * t + sd * rng.normal(size=12)
    # Trusted without bound, the stated scatter is absolute; not trusted at all, only its ratios count.
    for worth, absolute in ((1e12, True), (0.0, False)):
        fit = fit_drift(t, y, sd, worth=worth)
        (level, rate), cov = curve_fit(lambda x, a, b: a + b * x, t, y, sigma=sd, absolute_sigma=absolute)
        assert fit is not None
        assert fit.rate == pytest.approx(rate, rel=1e-6)
        assert fit.levels[0] == pytest.approx(level, rel=1e-5, abs=1e-6)
        assert fit.rate_sd == pytest.approx(math.sqrt(cov[1, 1]), rel=1e-5)
        assert fit.level_sd[0] == pytest.approx(math.sqrt(cov[0, 0]), rel=1e-5)


@given(st.integers(0, 10_000), st.integers(1, 4))
@settings(max_examples=60, deadline=None)
def test_broken_line_is_the_least_squares_solution_of_its_design(seed: int, pieces: int) -> None:
    rng = np.random.default_rng(seed)
    n = int(rng.integers(pieces + 2, 15))
    t, y, sd = rng.uniform(0, 3, n), rng.normal(size=n), rng.uniform(0.2, 2, n)
    piece = np.sort(np.concatenate([np.arange(pieces), rng.integers(0, pieces, n - pieces)]))
    design = np.column_stack([t, *(piece == k for k in range(pieces))]) / sd[:, None]
    theta = np.linalg.lstsq(design, y / sd, rcond=None)[0]
    fit = fit_drift(t, y, sd, piece)
    assert fit is not None
    assert fit.rate == pytest.approx(theta[0], rel=1e-6, abs=1e-9)
    assert [fit.levels[k] for k in range(pieces)] == pytest.approx(list(theta[1:]), rel=1e-6, abs=1e-8)
    cov = np.linalg.inv(design.T @ design) * fit.spread**2
    assert fit.rate_sd == pytest.approx(math.sqrt(cov[0, 0]), rel=1e-6)
    assert fit.level_sd[0] == pytest.approx(math.sqrt(cov[1, 1]), rel=1e-6)


def test_a_correction_moves_the_level_and_not_the_rate() -> None:
    t = np.arange(8) / 4
    y = 3.0 * t - 5.0 * (t >= 1.0)
    fit = fit_drift(t, y, np.full(8, 0.1), (t >= 1.0).astype(int).tolist())
    assert fit is not None
    assert fit.rate == pytest.approx(3.0)
    assert fit.levels[0] - fit.levels[1] == pytest.approx(5.0)
    assert fit.drifts
    whole = fit_drift(t, y, np.full(8, 0.1))
    assert whole is not None
    assert whole.rate < 0.5


@pytest.mark.parametrize("worth", [0.0, 8.0])
def test_the_interval_holds_the_rate_as_often_as_it_says(worth: float) -> None:
    rng = np.random.default_rng(20310)
    t = np.array([0.0, 0.2, 0.5, 0.6, 1.1, 1.5, 1.6])
    piece = [0, 0, 0, 1, 1, 1, 1]
    inside = 0
    for _ in range(3000):
        # The prior says what the true scatter may be; with worth 0 it makes no difference.
        scale = math.sqrt(8.0 / rng.chisquare(8.0))
        y = 2.0 * t + np.where(np.array(piece) == 1, 4.0, 0.0) + scale * rng.normal(size=t.size)
        fit = fit_drift(t, y, np.ones(t.size), piece, worth=worth)
        assert fit is not None
        inside += fit.low <= 2.0 <= fit.high
    assert inside / 3000 == pytest.approx(0.90, abs=0.02)


@given(st.floats(1e-3, 1e3), st.floats(-1e3, 1e3))
def test_the_rate_goes_with_the_unit_and_not_with_the_zero(scale: float, shift: float) -> None:
    t, y = [0.0, 0.5, 1.5, 2.0], [0.1, 0.0, 0.4, 0.35]
    a = fit_drift(t, y, [0.1] * 4)
    b = fit_drift(t, [scale * (v + shift) for v in y], [0.1 * scale] * 4)
    assert a is not None
    assert b is not None
    assert b.rate == pytest.approx(scale * a.rate, rel=1e-6)
    assert b.high - b.low == pytest.approx(scale * (a.high - a.low), rel=1e-5)


def test_where_nothing_can_be_told_nothing_is() -> None:
    assert fit_drift([], [], []) is None
    assert fit_drift([1.0], [0.2], [0.1]) is None
    assert fit_drift([1.0, 1.0], [0.2, 0.3], [0.1, 0.1]) is None
    assert fit_drift([0.0, 1.0], [0.2, 0.3], [0.1, 0.1], [0, 1]) is None
    assert fit_drift([0.0, 1.0], [0.2, 0.3]) is None  # a line through two points of unknown scatter
    two = fit_drift([0.0, 1.0], [0.2, 0.3], [0.1, 0.1])
    assert two is not None
    assert not two.drifts
    with pytest.raises(ValueError, match="one length"):
        fit_drift([0.0, 1.0], [0.2])
    with pytest.raises(ValueError, match="more than zero"):
        fit_drift([0.0, 1.0], [0.2, 0.3], [0.1, 0.0])
