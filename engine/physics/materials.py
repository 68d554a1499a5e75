"""What parts are made of, read once from `knowledge/materials.toml`."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files

from pydantic import Field

from askew.engine.physics.limits import PhysicsError
from askew.knowledge.schema import BasisKind, Positive, Table, Text


class Material(Table):
    """A material, one grade for its family.

    Units: `modulus` N/mm^2, `expansion` 1/K, `density` kg/m^3, `heat_capacity` J/(kg K), `conductivity`
    W/(m K), `kc` N/mm^2 at a chip 1 mm thick and wide (kc1.1), `mc` the exponent it falls with.
    """

    name: Text
    grade: Text
    modulus: Positive
    poisson: float = Field(gt=0, lt=0.5)
    expansion: Positive
    density: Positive
    heat_capacity: Positive
    conductivity: Positive
    kc: Positive
    mc: float = Field(ge=0, lt=1)
    basis: BasisKind
    source: Text


@cache
def materials() -> Mapping[str, Material]:
    """Return every material by id."""
    text = files("askew.knowledge").joinpath("materials.toml").read_text(encoding="utf-8")
    return {id_: Material.model_validate(table) for id_, table in tomllib.loads(text).items()}


def material(id_: str) -> Material:
    """Return a material.

    Raises:
        PhysicsError: if there is none of that id.
    """
    known = materials()
    if id_ not in known:
        raise PhysicsError(f"The material must be one of {', '.join(known)}, not {id_[:40]!r}.")
    return known[id_]
