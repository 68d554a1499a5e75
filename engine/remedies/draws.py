"""Draws of sources: of a machine nothing is known of, of what an action starts afresh, of what a fix leaves.

Sizes are one standard deviation (normal draws, half-normal for what only goes one way), mm or rad, from the
knowledge base.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache

import numpy as np
from numpy.typing import NDArray

from askew.engine.physics.scene import SHARES, seat_share
from askew.engine.setup import Setup, machine_of, resolve
from askew.knowledge.load import load
from askew.knowledge.schema import Size

Array = NDArray[np.float64]
Samples = Mapping[str, Array]


@cache
def measuring() -> frozenset[str]:
    """Return the sources that act on the measuring only, and so are not on the part that is shipped."""
    found = {source for source, kind in load().sources.items() if kind.group == "measuring"}
    return frozenset(found | {"heat_growth"})


def size_of(source: str, machine: str) -> Size:
    """Return how often a source is the trouble and how large it is, for a kind of machine.

    Raises:
        KeyError: if there is no such source.
    """
    sizes = load().sources[source].size
    return sizes.get(machine) or sizes.get("any") or next(iter(sizes.values()))


def in_play(source: str, setup: Setup) -> bool:
    """Say whether a source can act with this setup; an unknown fact rules nothing out."""
    needs = load().sources[source].needs
    return all(
        getattr(setup, key) is None or getattr(setup, key) in allowed for key, allowed in needs.items()
    )


def fresh(source: str, n: int, setup: Setup, rng: np.random.Generator, odds: float = 1.0) -> Array:
    """Return `n` new instances of a source.

    Args:
        source: A source id.
        n: How many.
        setup: The kind of machine is taken from it.
        rng: Source of chance.
        odds: Factor on the odds that it is in trouble (cleaning: below 1); 0 for never.
    """
    size = size_of(source, machine_of(setup))
    ratio = odds * size.prior / (1.0 - size.prior)
    troubled = rng.random(n) < ratio / (1.0 + ratio)
    value: Array = rng.standard_normal(n) * np.where(troubled, size.trouble, size.healthy)
    if not in_play(source, setup):
        return np.zeros(n)
    return np.abs(value) if load().sources[source].one_sided else value


def usual(n: int, setup: Setup, seed: int = 0) -> dict[str, Array]:
    """Return draws of every source for a machine and a grip that nothing is known of, each shape (n,)."""
    rng = np.random.default_rng(seed)
    return {source: fresh(source, n, setup, rng) for source in load().sources}


def having_done(
    samples: Samples, actions: Iterable[str], setup: Setup, rng: np.random.Generator
) -> dict[str, Array]:
    """Return the draws after actions: each starts its sources afresh, at its own odds of trouble.

    Raises:
        KeyError: if an action id does not exist.
    """
    after = dict(samples)
    n = count(samples)
    for action in actions:
        kind = load().actions[action]
        for source in kind.redraws:
            after[source] = fresh(source, n, setup, rng, kind.prior_factor)
    return after


def having_fixed(
    samples: Samples, sources: Iterable[str], setup: Setup, rng: np.random.Generator
) -> dict[str, Array]:
    """Return the draws after a fix that leaves its sources as on a healthy machine."""
    after = dict(samples)
    n = count(samples)
    for source in sources:
        after[source] = fresh(source, n, setup, rng, 0.0)
    return after


def count(samples: Samples) -> int:
    """Return how many draws there are.

    Raises:
        ValueError: if there are none, or the sources differ in number.
    """
    sizes = {np.asarray(values).shape for values in samples.values()}
    if len(sizes) != 1 or len(shape := sizes.pop()) != 1 or shape[0] == 0:
        raise ValueError("every source needs the same number of draws, at least one")
    return int(shape[0])


def shares(n: int, setup: Setup, seed: int = 0) -> dict[str, Array]:
    """Return draws of the factors that no setup fact gives, each shape (n,).

    How much of a taper a grip turns into roll, what of a squeeze is left on release, how far a bow reaches
    along the face: evenly or normally about the middles of `physics.scene.SHARES`; and whether the part
    seats on the jaw or the bed where that is uncertain.
    """
    rng = np.random.default_rng([seed, 2])
    drawn = {
        "taper_share": rng.uniform(0.0, 1.0, n),
        "squeeze_share": rng.uniform(0.2, 1.0, n),
        "squeeze_along": np.clip(rng.normal(*SHARES["squeeze_along"], n), 0.0, 1.0),
        "bow_along": np.clip(rng.normal(*SHARES["bow_along"], n), 0.0, 1.0),
        "slack_either_way": rng.normal(*SHARES["slack_either_way"], n),
    }
    if resolve(setup)["moving_jaw_contact"] in ("bar", "ball"):
        drawn["taper_share"] = np.zeros(n)  # the contact swivels, so that the blank's taper does not turn it
    drawn["seat_share"] = (rng.random(n) < seat_share(resolve(setup))[0]).astype(float)
    return drawn
