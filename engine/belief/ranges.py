"""One-sided and banded evidence, by moment matching in a fixed order.

Each set of troubled columns gives a joint Gaussian of the rows that ranges speak of. A range multiplies it by
the chance that its row lies in it (blurred at the edge, mixed with the chance of being told wrongly); the
product is replaced by the Gaussian of the same mean and covariance before the next one (assumed-density
filtering: Minka, A family of algorithms for approximate Bayesian inference, 2001, section 3.2). Rows come in
a canonical order, so that the order in which things were told does not matter. Compared with Monte Carlo
in the tests.
"""

from __future__ import annotations

import numpy as np
from scipy.special import ndtr

from askew.engine.belief.gaussian import Projection
from askew.engine.belief.hypotheses import Index
from askew.engine.belief.problem import Array, Soft

AT_ONCE = 5000
"""Sets that go through the ranges together: as many as keep their joint Gaussians near the processor."""
ROOT_2PI = float(np.sqrt(2.0 * np.pi))
SMALLEST = 1e-300


def apply_ranges(
    rows: Projection, lanes: Index, mean: Array, covariance: Array, soft: Soft
) -> tuple[Array, Array, Array]:
    """Return log evidence of the ranges and what they leave of the amplitudes.

    Args:
        rows: What the m ranges speak of, as it depends on the amplitudes.
        lanes: Lane of each amplitude, (k, h).
        mean: Amplitudes of each set, (h, k).
        covariance: Theirs, (h, k, k).
        soft: The m ranges.

    Returns:
        Log evidence (h,), mean (h, k) and covariance (h, k, k) of the amplitudes.
    """
    log_evidence = np.zeros(mean.shape[0])
    means, covariances = np.empty_like(mean), np.empty_like(covariance)
    for start in range(0, mean.shape[0], AT_ONCE):
        some = slice(start, start + AT_ONCE)
        middle, joint = _joint(rows, lanes[:, some], mean[some], covariance[some])
        log_evidence[some] = _filtered(middle, joint, soft)
        m = soft.low.size
        means[some], covariances[some] = middle[m:].T, _whole(joint[m:, m:]).transpose(2, 0, 1)
    return log_evidence, means, covariances


def _joint(rows: Projection, lanes: Index, mean: Array, covariance: Array) -> tuple[Array, Array]:
    """Return the joint Gaussian of rows and amplitudes with the sets last, so that every step is over all of them.

    Returns:
        Means (m + k, h), and covariances (m + k, m + k, h) of which only the upper triangle is filled.
    """
    gain = rows.gain[:, lanes]
    m, k, h = gain.shape
    spread = np.ascontiguousarray(covariance.transpose(1, 2, 0))
    across = np.zeros_like(gain)
    for a in range(k):
        across += gain[:, a, None, :] * spread[a]
    joint = np.empty((m + k, m + k, h))
    for i in range(m):
        joint[i, i:m] = rows.rest[i, i:, None]
        for a in range(k):
            joint[i, i:m] += across[i, a] * gain[i:, a]
        joint[i, m:] = across[i]
    joint[m:, m:] = spread
    means = np.empty((m + k, h))
    means[:m] = rows.bias[:, None] + (gain * mean.T).sum(axis=1)
    means[m:] = mean.T
    return means, joint


def _filtered(means: Array, joint: Array, soft: Soft) -> Array:
    """Take in one range after another, in place; return the log evidence of each set, (h,)."""
    log_evidence = np.zeros(means.shape[1])
    size = joint.shape[0]
    for i in range(soft.low.size):
        chance, shift, shrink = _match(means[i], joint[i, i] + soft.blur[i] ** 2, soft, i)
        log_evidence += np.log(np.maximum(chance, SMALLEST))
        later = joint[i, i + 1 :]
        means[i + 1 :] += later * shift
        shrunk = later * shrink
        for j in range(i + 1, size):  # rows already used need no keeping, nor the lower triangle
            joint[j, j:] -= shrunk[j - i - 1] * later[j - i - 1 :]
    return log_evidence


def _whole(upper: Array) -> Array:
    """Return symmetric matrices of which only the upper triangle is given, the batch last, (k, k, h)."""
    whole = upper.copy()
    for i in range(upper.shape[0]):
        whole[i + 1 :, i] = upper[i, i + 1 :]
    return whole


def _match(mean: Array, variance: Array, soft: Soft, i: int) -> tuple[Array, Array, Array]:
    """Return chance of range i, and first and (negated) second derivative of its log by the mean."""
    sd = np.sqrt(np.maximum(variance, SMALLEST))
    low, high = (soft.low[i] - mean) / sd, (soft.high[i] - mean) / sd
    inside = _between(low, high)
    density_low, density_high = _density(low), _density(high)
    first = (density_low - density_high) / sd
    second = (_times(low, density_low) - _times(high, density_high)) / variance
    if soft.outside[i]:
        inside, first, second = 1.0 - inside, -first, -second
    keep = 1.0 - 2.0 * soft.misread[i]
    chance = soft.misread[i] + keep * inside
    slope = keep * first / np.maximum(chance, SMALLEST)
    bend = keep * second / np.maximum(chance, SMALLEST)
    return chance, slope, slope * slope - bend


def _between(low: Array, high: Array) -> Array:
    """P(low < z < high) without cancellation in either tail."""
    flip = low > 0.0
    a = np.where(flip, -high, low)
    b = np.where(flip, -low, high)
    inside: Array = np.maximum(ndtr(b) - ndtr(a), 0.0)
    return inside


def _density(z: Array) -> Array:
    return np.where(
        np.isfinite(z), np.exp(-0.5 * np.square(np.where(np.isfinite(z), z, 0.0))) / ROOT_2PI, 0.0
    )


def _times(z: Array, density: Array) -> Array:
    return np.where(np.isfinite(z), z, 0.0) * density
