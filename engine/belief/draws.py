"""Draws of every source's present size from the belief: what a fix or a plan is tried out on."""

from __future__ import annotations

import numpy as np

from askew.engine.belief.assemble import Assembled
from askew.engine.belief.columns import column_of, in_play, prior_of, size_of
from askew.engine.belief.posterior import Posterior
from askew.knowledge.load import load


def draws_of(assembled: Assembled, posterior: Posterior, count: int, seed: int) -> dict[str, np.ndarray]:
    """Return draws of every source's size now: from the posterior where it is spoken of, else the prior.

    Args:
        assembled: The inference problem.
        posterior: Its posterior.
        count: How many draws.
        seed: Where the random numbers start.

    Returns:
        By source: sizes in mm or rad, (count,).
    """
    rng = np.random.default_rng(seed)
    draws: dict[str, np.ndarray] = {}
    case = assembled.case
    amplitude = _amplitudes(posterior, len(assembled.columns), count, rng)
    for id_, source in load().sources.items():
        usual = size_of(source, case.setup)
        place = assembled.position.get(column_of(id_, case.now))
        healthy = rng.normal(0.0, usual.healthy, count)
        if not in_play(source, case.setup) or id_ == "unlisted":
            draws[id_] = np.zeros(count)
        elif place is not None:
            draws[id_] = healthy + amplitude[:, place]
        else:
            trouble = rng.random(count) < prior_of(source, case.setup, 1.0)
            size = rng.normal(0.0, usual.trouble, count)
            draws[id_] = np.where(trouble, np.abs(size) if source.one_sided else size, healthy)
    return draws


def _amplitudes(posterior: Posterior, columns: int, count: int, rng: np.random.Generator) -> np.ndarray:
    """Return draws of every column's size beyond the usual, (count, columns); 0 where it is in no trouble."""
    blocks = posterior.leading
    weights = np.concatenate([block.weight for block in blocks])
    picked = rng.choice(weights.size, size=count, p=weights / weights.sum())
    starts = np.concatenate([[0], np.cumsum([block.weight.size for block in blocks])])
    found = np.zeros((count, columns))
    for b, block in enumerate(blocks):
        for h in np.unique(picked[(picked >= starts[b]) & (picked < starts[b + 1])]):
            rows = np.flatnonzero(picked == h)
            local = int(h - starts[b])
            draw = rng.multivariate_normal(
                block.mean[local], block.covariance[local], rows.size, method="eigh"
            )
            for position, column in enumerate(block.sets[:, local]):
                if column < columns:
                    found[rows, column] = draw[:, position]
    return found
