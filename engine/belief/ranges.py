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

from askew.engine.belief.problem import Array, Soft

ROOT_2PI = float(np.sqrt(2.0 * np.pi))
SMALLEST = 1e-300


def apply_ranges(mean: Array, covariance: Array, soft: Soft) -> tuple[Array, Array, Array]:
    """Return log evidence of the ranges and what they leave of the amplitudes.

    Args:
        mean: Joint means, the first m entries those of the ranges' rows, the rest amplitudes, (h, m + k).
        covariance: Joint covariances, (h, m + k, m + k).
        soft: The m ranges.

    Returns:
        Log evidence (h,), mean (h, k) and covariance (h, k, k) of the amplitudes.
    """
    m = soft.low.size
    means = mean.T.copy()
    joint = np.ascontiguousarray(
        covariance.transpose(1, 2, 0)
    )  # sets run fastest: every step is over all of them
    log_evidence = np.zeros(mean.shape[0])
    for i in range(m):
        chance, shift, shrink = _match(means[i], joint[i, i] + soft.blur[i] ** 2, soft, i)
        log_evidence += np.log(np.maximum(chance, SMALLEST))
        later = joint[i, i + 1 :]
        means[i + 1 :] += later * shift
        shrunk = later * shrink
        for j in range(i + 1, joint.shape[0]):  # rows already used need no keeping
            joint[j, i + 1 :] -= shrunk[j - i - 1] * later
    return log_evidence, means[m:].T, joint[m:, m:].transpose(2, 0, 1)


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
