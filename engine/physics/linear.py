"""The forward model as rows over the sources: the Jacobian at a setup, with what is not known of the setup.

Every formula is linear once the sign of its absolute values is fixed, so that its Jacobian is its value on the
identity. For each number of the setup that the formula used and nobody told, the row also carries how the
Jacobian changes over one standard deviation of it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

import numpy as np

from askew.engine.physics.readings import default_over, evaluate
from askew.engine.physics.scene import Number, Scene, facts_of, parameters
from askew.engine.setup import Setup
from askew.knowledge.load import load

Senses = tuple[tuple[str, int], ...]
OPTIONS: Mapping[str, tuple[int, ...]] = {"step": (-1, 0, 1), "p_x": (-1, 1), "p_y": (-1, 1)}
"""Signs that each absolute value can have; 0 is inside the dead zone."""


@dataclass(frozen=True)
class LinearRow:
    """A reading as a row over the sources.

    Attributes:
        jacobian: (sources,), mm per mm or mm per rad.
        spread: By unknown number of the setup: change of the Jacobian over its standard deviation.
        limits: Rows that must be positive for the fixed signs to hold, by name.
        over: Length it is taken over, mm.
    """

    jacobian: Number
    spread: Mapping[str, Number]
    limits: Mapping[str, tuple[Number, ...]]
    over: float


@dataclass
class _Watched(dict[str, Any]):
    """Facts that remember which of them were looked at."""

    used: set[str] = field(default_factory=set)

    def __init__(self, facts: Mapping[str, Any]) -> None:
        super().__init__(facts)
        self.used = set()

    def __getitem__(self, key: str) -> Any:
        self.used.add(key)
        return super().__getitem__(key)


class _Asked(dict[str, int]):
    """Signs that remember which absolute values were asked for."""

    def get(self, name: str, default: Any = None) -> Any:  # noqa: ARG002  (the same call as a dict's)
        return self.setdefault(name, 1)


@lru_cache(maxsize=1)
def source_ids() -> tuple[str, ...]:
    """Return the ids of the sources in the order of the rows' entries."""
    return tuple(load().sources)


@lru_cache(maxsize=1)
def _identity() -> Mapping[str, Number]:
    ids = source_ids()
    return dict(zip(ids, np.eye(len(ids)), strict=True))


@lru_cache(maxsize=4096)
def signs_of(reading_id: str, setup: Setup) -> tuple[str, ...]:
    """Return the names of the absolute values that a reading depends on in this setup."""
    asked = _Asked()
    evaluate(reading_id, Scene(facts_of(setup), _identity(), asked))
    return tuple(sorted(asked))


@lru_cache(maxsize=8192)
def linear(reading_id: str, setup: Setup, over: float | None = None, senses: Senses = ()) -> LinearRow:
    """Return a reading as a row over the sources.

    Args:
        reading_id: A reading, or a derived quantity of the forward model.
        setup: The setup it speaks for.
        over: Length in mm; by default the one it is defined over.
        senses: The fixed sign of every name of `signs_of`.
    """
    plain = facts_of(setup)
    facts = _Watched(plain)
    scene = Scene(facts, _identity(), dict(senses))
    jacobian = np.asarray(evaluate(reading_id, scene, over), dtype=np.float64)
    limits = {name: tuple(rows) for name, rows in scene.limits.items()}
    length = over if over is not None else default_over(reading_id, facts)
    spread: dict[str, Number] = {}
    for unknown in parameters(setup):
        if unknown.key not in facts.used:
            continue
        low, high = (
            np.asarray(_changed(reading_id, plain, over, senses, unknown.key, unknown.mid + step))
            for step in (-_down(unknown.mid, unknown.spread), unknown.spread)
        )
        change = (high - low) / 2.0
        if np.abs(change).max() > 1e-12:
            spread[unknown.key] = change
    return LinearRow(jacobian, spread, limits, length)


def _down(mid: float, spread: float) -> float:
    """A length that is not known must stay positive when it is varied."""
    return min(spread, 0.6 * mid) if mid > 0.0 else spread


def _changed(
    reading_id: str, facts: Mapping[str, Any], over: float | None, senses: Senses, key: str, value: float
) -> Number:
    scene = Scene({**facts, key: value}, _identity(), dict(senses))
    return evaluate(reading_id, scene, over)


def felt_in(reading_id: str, setup: Setup, over: float | None = None) -> frozenset[str]:
    """Return the sources that a reading depends on in this setup, under any signs of its absolute values."""
    names, ids = signs_of(reading_id, setup), source_ids()
    rows = [linear(reading_id, setup, over, tuple((name, sense) for name in names)) for sense in (1, -1)]
    felt = np.abs([part for row in rows for part in (row.jacobian, *row.spread.values())]).sum(axis=0)
    return frozenset(ids[i] for i in np.flatnonzero(felt))
