"""Quantiles of mixtures of Gaussians, many mixtures at once."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from scipy.special import ndtr

from askew.engine.belief.problem import Array

Gaussians = tuple[Array, Array, Array]
"""Weights, means and standard deviations of the parts of a mixture."""
MOST = 48
"""Parts of a mixture that are looked at, the heaviest; the rest could not move a quantile by anything that is shown."""
HALVINGS = 20
"""How often the range of ten standard deviations is halved: to a hundred thousandth of one."""


def quantiles(mixtures: Sequence[Gaussians], at: Sequence[float]) -> Array:
    """Return quantiles of mixtures by bisection on their distribution functions, (mixtures, at)."""
    if not mixtures:
        return np.zeros((0, len(at)))
    kept = [_heaviest(*mixture) for mixture in mixtures]
    ends = np.cumsum([0, *(weights.size for weights, _, _ in kept)])
    parts = [slice(*pair) for pair in pairwise(ends.tolist())]
    of = np.repeat(np.arange(len(kept)), np.diff(ends))
    _, means, sds = (np.concatenate(each) for each in zip(*kept, strict=True))
    shares = [weights / weights.sum() for weights, _, _ in kept]
    low = np.tile(np.minimum.reduceat(means - 5.0 * sds, ends[:-1]), (len(at), 1))
    high = np.tile(np.maximum.reduceat(means + 5.0 * sds, ends[:-1]), (len(at), 1))
    want = np.array(at)[:, None]
    for _ in range(HALVINGS):
        middle = (low + high) / 2.0
        chance = ndtr((middle[:, of] - means) / sds)
        # A copy each: rows that lie apart are summed in another order, and a median at a midpoint would change sides.
        each = [chance[:, part].copy() @ share for part, share in zip(parts, shares, strict=True)]
        below = np.stack(each, axis=1) < want
        low, high = np.where(below, middle, low), np.where(below, high, middle)
    return np.asarray((low + high).T / 2.0)


def _heaviest(weights: Array, means: Array, sds: Array) -> Gaussians:
    if weights.size <= MOST:
        return weights, means, sds
    keep = np.argpartition(-weights, MOST)[:MOST]
    return weights[keep], means[keep], sds[keep]
