"""One diagnosis with sizes, for our belief and, cut into steps, for general Bayesian-network packages.

Six sources, each of usual size or in trouble, and four readings that are each a sum of three of them with scatter.
A package for discrete networks needs each size cut into steps; the finer they are, the nearer it comes.
"""

from __future__ import annotations

import numpy as np
from scipy.stats import norm

SOURCES = 6
PRIOR = (0.09, 0.12, 0.07, 0.1, 0.16, 0.06)
HEALTHY, TROUBLE = 0.01, 0.12
"""Standard deviations, mm."""
OF = ((0, 1, 2), (1, 2, 3), (2, 3, 4), (3, 4, 5))
FACTOR = ((1.0, -0.6, 0.8), (0.9, 1.0, -0.7), (1.0, 0.5, 0.9), (-0.8, 1.0, 0.6))
READ = (0.11, 0.05, 0.16, 0.13)
SCATTER = 0.012


def ours() -> np.ndarray:
    """Return the probability that each source is in trouble, by our own belief: exact."""
    from askew.engine.belief.posterior import infer
    from askew.engine.belief.problem import Columns, Problem, Rows, Soft

    one = np.ones(SOURCES)
    columns = Columns(
        np.array(PRIOR), HEALTHY**2 * one, TROUBLE**2 * one, 0.0 * one, np.zeros(SOURCES, bool)
    )
    jacobian = np.zeros((len(OF), SOURCES))
    for row, of, factors in zip(jacobian, OF, FACTOR, strict=True):
        row[list(of)] = factors
    empty, none = Rows(np.zeros((0, SOURCES)), np.zeros((0, SOURCES))), np.zeros(0)
    soft = Soft(empty, none, none, none, none, np.zeros(0, bool))
    noise = np.full(len(OF), SCATTER**2)
    rows = Rows(jacobian, np.zeros_like(jacobian))
    return infer([Problem(columns, rows, np.array(READ), noise, soft)], SOURCES, most=SOURCES).trouble


def steps(count: int) -> tuple[np.ndarray, np.ndarray]:
    """Return the middles of so many steps of a size, finer near nothing, mm, and each step's chance.

    Returns:
        Middles (count,), and chances (2, count): of usual size, in trouble.
    """
    edges = 0.42 * np.sinh(np.linspace(-1.0, 1.0, count + 1) * 3.5) / np.sinh(3.5)
    edges[0], edges[-1] = -np.inf, np.inf
    middles = np.concatenate([[-0.42], (edges[1:-2] + edges[2:-1]) / 2.0, [0.42]])
    chances = np.array([np.diff(norm.cdf(edges, scale=sd)) for sd in (HEALTHY, TROUBLE)])
    return middles, chances


def likelihood(reading: int, middles: np.ndarray) -> np.ndarray:
    """Return how well a reading goes with sizes of its three sources, at most 1, (count, count, count)."""
    a, b, c = (factor * middles for factor in FACTOR[reading])
    total = a[:, None, None] + b[None, :, None] + c[None, None, :]
    return np.asarray(np.exp(-0.5 * ((READ[reading] - total) / SCATTER) ** 2))
