"""What of a machine keeps from one case to the next, and what is usually allowed of it."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from pydantic import ValidationError

from askew.knowledge.load import KnowledgeError
from askew.knowledge.schema import BasisKind, Positive, Table, Text


class Keeping(Table):
    """How a source changes while nobody looks.

    `life` in years: mean time until something moves it unrecorded. `wander` (per square root of a year) and
    `drift` (per year): one standard deviation, in multiples of the source's healthy size.
    """

    life: Positive
    wander: Positive
    drift: Positive
    basis: BasisKind
    source: Text


class Limit(Table):
    """The size of a reading that is usually allowed, mm over `over` mm (None: not over a length)."""

    limit: Positive
    over: Positive | None = None
    basis: BasisKind
    source: Text


class _File(Table):
    keeps: dict[str, Keeping]
    limits: dict[str, Limit]


# In a group that keeps, yet drawn afresh with every grip, raising of the head, or warming up.
NOT_KEPT = frozenset({"jaw_rack", "column_swing", "spindle_growth"})


@dataclass(frozen=True)
class Upkeep:
    """The tables of `upkeep.toml`, by group or source id, and by reading id."""

    keeps: Mapping[str, Keeping]
    limits: Mapping[str, Limit]

    def keeping(self, source: str, group: str) -> Keeping | None:
        """Return how a source keeps, by its own table or its group's; None where it is not carried over."""
        if source in NOT_KEPT:
            return None
        return self.keeps.get(source) or self.keeps.get(group)


@cache
def load_upkeep() -> Upkeep:
    """Return the tables that ship with askew.

    Raises:
        KnowledgeError: The file is wrong; says table and key.
    """
    return read_upkeep((files("askew.knowledge") / "upkeep.toml").read_text(encoding="utf-8"))


def read_upkeep(text: str) -> Upkeep:
    """Validate the tables of a text. Raises KnowledgeError with table and key."""
    try:
        found = _File.model_validate(tomllib.loads(text))
    except tomllib.TOMLDecodeError as error:
        raise KnowledgeError(f"upkeep.toml: {error}") from None
    except ValidationError as error:
        first = error.errors()[0]
        raise KnowledgeError(f"upkeep.toml: {'.'.join(map(str, first['loc']))}: {first['msg']}") from None
    return Upkeep(found.keeps, found.limits)
