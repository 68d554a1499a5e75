"""How much an outcome tells about the cause: the mutual information of the two.

Shannon, A mathematical theory of communication, 1948; for the choice of the next probe in diagnosis de Kleer and
Williams, Diagnosing multiple faults, Artificial Intelligence 32, 1987, section 4.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from askew.engine.belief.problem import Array


def information(membership: Array, chance: Array, density: Array) -> float:
    """Return the information about the cause in an outcome, nats; never less than 0 but for rounding.

    Args:
        membership: Weight of each explanation under the one cause it belongs to, (causes, h); sums to one.
        chance: Probability of each cause, the row sums of `membership`, (causes,).
        density: Probability of each outcome under each explanation, (h, outcomes).
    """
    return float(_terms(membership, chance, density).sum())


def informations(membership: Array, chance: Array, densities: Sequence[Array]) -> Array:
    """Return the information in the outcome of each of several steps, as `information` does of one, (steps,).

    Args:
        membership: As for one.
        chance: As for one.
        densities: For each step the probability of each outcome under each explanation, (h, outcomes).
    """
    if not densities:
        return np.zeros(0)
    told = _terms(membership, chance, np.concatenate(densities, axis=1)).sum(axis=0)
    first = np.cumsum([0, *(density.shape[1] for density in densities[:-1])])
    return np.asarray(np.add.reduceat(told, first), dtype=np.float64)


def _terms(membership: Array, chance: Array, density: Array) -> Array:
    """Return what each cause with each outcome adds to the information, (causes, outcomes)."""
    joint = membership @ density
    outcome = joint.sum(axis=0)
    with np.errstate(divide="ignore", invalid="ignore"):
        ratio = np.where(joint > 0.0, joint / (chance[:, None] * outcome[None, :]), 1.0)
    return np.asarray(joint * np.log(ratio))


def entropy(chance: Array) -> float:
    """Return what is not known about the cause, nats.

    Args:
        chance: Probability of each cause, (causes,); sums to one.
    """
    some = chance[chance > 0.0]
    return float(-(some * np.log(some)).sum())


def merged(density: Array, few: int) -> Array:
    """Return the probabilities of outcomes with neighbours taken together until few are left, (h, few)."""
    outcomes = density.shape[1]
    if outcomes <= few:
        return density
    return np.asarray(np.add.reduceat(density, (np.arange(few) * outcomes) // few, axis=1), dtype=np.float64)


def jointly(first: Array, second: Array) -> Array:
    """Return the probabilities of the outcomes of two steps together, independent under each explanation.

    Args:
        first: (h, outcomes); `second` likewise.

    Returns:
        (h, outcomes of the first times those of the second).
    """
    return (first[:, :, None] * second[:, None, :]).reshape(first.shape[0], -1)
