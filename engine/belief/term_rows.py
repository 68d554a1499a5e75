"""A term as rows over the sources, under the signs that it depends on; whatever the columns of a problem are."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from askew.engine.belief.items import Term
from askew.engine.belief.problem import Array
from askew.engine.belief.senses import SignKey, keys_of, seated, sign_key
from askew.engine.case import Situation
from askew.engine.physics.linear import linear, signs_of


@dataclass(frozen=True)
class TermRows:
    """A reading over the sources.

    Attributes:
        rows: One above the other: the row itself, its spreads, and the rows that its signs ask to be positive, (r,
            sources).
        unknowns: What each spread is over.
    """

    rows: Array
    unknowns: tuple[str, ...]


@lru_cache(maxsize=2048)
def rows_of(term: Term, senses: tuple[int | None, ...]) -> TermRows:
    """Return a term of a reading as rows over the sources; remembered, since little of a case changes in a turn.

    A sign that is left open keeps its size as spread.

    Args:
        term: The term.
        senses: The sign of each of its `keys_of`; None leaves it open.
    """
    assert term.reading is not None
    pairs = zip(keys_of(term), senses, strict=True)
    choice: dict[SignKey, int] = {key: sense for key, sense in pairs if sense is not None}
    setup = seated(term.situation.setup, choice)
    known = [(name, choice.get(sign_key(name, term.situation))) for name in signs_of(term.reading, setup)]
    up, down = (
        linear(term.reading, setup, term.over, tuple((n, way if s is None else s) for n, s in known))
        for way in (1, -1)
    )
    spread = {_named(key, term.situation): row for key, row in up.spread.items()}
    if all(sense is not None for _, sense in known):
        return _stacked(up.jacobian, spread, [row for rows in up.limits.values() for row in rows])
    spread["sign 0"] = (up.jacobian - down.jacobian) / 2.0
    return _stacked((up.jacobian + down.jacobian) / 2.0, spread, [])


def _stacked(plain: Array, spread: dict[str, Array], limits: Sequence[Array]) -> TermRows:
    rows = np.array([plain, *spread.values(), *limits])
    rows.flags.writeable = False
    return TermRows(rows, tuple(spread))


def _named(key: str, situation: Situation) -> str:
    """A share that is drawn afresh at each grip has a name for each grip."""
    return f"{key}#{situation.instance('chip_behind_jaw')}" if key == "taper_share" else key
