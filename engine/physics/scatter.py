"""How far a reading scatters, from the instrument that took it and the way it is taken.

The parts add by squares (JCGM 100:2008, 5.1.2): each indication brings the instrument's repeatability and an
even spread over its resolution; the procedure brings dirt, burrs, stand and hand.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Collection, Mapping
from functools import cache, lru_cache
from importlib.resources import files

from pydantic import Field

from askew.engine.physics.limits import PhysicsError, between
from askew.engine.physics.measuring import resolution_scatter
from askew.engine.physics.uncertainty import Budget, Input, combine
from askew.knowledge.load import load
from askew.knowledge.schema import BasisKind, Table, Text


class Procedure(Table):
    """How a reading is taken; see `knowledge/scatter.toml`."""

    instruments: list[str] = Field(min_length=1)
    indications: int = Field(ge=1, le=8)
    procedure: float = Field(ge=0, le=1)
    per_length: float = Field(ge=0, le=1e-3)
    basis: BasisKind
    source: Text


@cache
def procedures() -> Mapping[str, Procedure]:
    """Return how every reading is taken, by reading id."""
    text = files("askew.knowledge").joinpath("scatter.toml").read_text(encoding="utf-8")
    return {id_: Procedure.model_validate(table) for id_, table in tomllib.loads(text).items()}


@lru_cache(maxsize=4096)
def scatter(reading_id: str, instrument: str | None = None, over: float | None = None) -> float:
    """Return one standard deviation of a careful reading, mm.

    Args:
        reading_id: A reading of the knowledge.
        instrument: What it was taken with; None, or one that cannot take it: the usual one.
        over: Length it was taken over, mm; None: what grows with the length is left out.

    Raises:
        PhysicsError: for a reading that nobody takes, an unknown instrument or a length of no sense.
    """
    how = _how(reading_id)
    resolution, repeat = _instrument(how, instrument)
    length = between("length the reading is taken over", over or 0.0, 0.0, 1e5)
    own = how.indications * (repeat**2 + resolution_scatter(resolution) ** 2)
    return math.sqrt(own + how.procedure**2 + (how.per_length * length) ** 2)


def scatter_budget(reading_id: str, instrument: str | None = None, over: float | None = None) -> Budget:
    """Return the same as a budget that can be shown: what each part adds. Value 0, unit mm."""
    how = _how(reading_id)
    resolution, repeat = _instrument(how, instrument)
    name = load().instruments[_chosen(how, instrument)].name
    times = math.sqrt(how.indications)
    parts = {
        f"repeatability of the {name}": Input(0.0, times * repeat, basis="instrument"),
        f"resolution of the {name}": Input(
            0.0, times * resolution_scatter(resolution), basis="JCGM 100, F.2.2.1"
        ),
        "procedure": Input(0.0, how.procedure, basis=how.source),
        "length": Input(0.0, how.per_length * (over or 0.0), basis=how.source),
    }
    return combine(lambda v: sum(v.values()), {k: p for k, p in parts.items() if p.uncertainty})


def best_instrument(reading_id: str, bench: Collection[str]) -> str | None:
    """Return the instrument of those on the bench that takes the reading with the least scatter, or None."""
    able = [name for name in _how(reading_id).instruments if name in bench]
    return min(able, key=lambda name: scatter(reading_id, name), default=None)


def _how(reading_id: str) -> Procedure:
    if reading_id not in procedures():
        raise PhysicsError(f"The reading must be one that can be taken, not {reading_id[:40]!r}.")
    return procedures()[reading_id]


def _chosen(how: Procedure, instrument: str | None) -> str:
    if instrument is not None and instrument not in load().instruments:
        raise PhysicsError(f"The instrument must be one of the known ones, not {instrument[:40]!r}.")
    return instrument if instrument in how.instruments and instrument is not None else how.instruments[0]


def _instrument(how: Procedure, instrument: str | None) -> tuple[float, float]:
    """Return resolution and repeatability, mm."""
    kind = load().instruments[_chosen(how, instrument)]
    return kind.resolution or 0.01, kind.repeat or 0.003
