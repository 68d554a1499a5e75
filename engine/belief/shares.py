"""What every source makes of one linear statement, under each set of troubled sources.

A source that is not in trouble still has its usual small size, and may be the most of a small complaint: what
the readings say of it counts as well.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from askew.engine.belief.assemble import Assembled
from askew.engine.belief.carrying import Block, of_bases
from askew.engine.belief.gaussian import Base, Projection, project
from askew.engine.belief.hypotheses import Index
from askew.engine.belief.items import Term
from askew.engine.belief.problem import Array, Rows


@dataclass(frozen=True)
class _Parts:
    """A term parted by columns: those that make something of it, and the row of each alone."""

    felt: Index
    projection: Projection

    def of(self, block: Block, columns: int) -> Array:
        found = np.zeros((block.weight.size, columns))
        if self.felt.size:
            gain = self.projection.gain[:, block.lanes]
            found[:, self.felt] = self.projection.bias + np.einsum("mkh,hk->hm", gain, block.mean)
        return found


def shares_of(assembled: Assembled, blocks: Sequence[Block], term: Term) -> list[Array]:
    """Return the expected part of a term that each column makes under each set of each block, mm, (h, columns).

    The term is the sum of the parts; in trouble or healthy, each is the mean of its row alone, given what was read.
    """
    parts = of_bases(blocks, lambda base: _parted(assembled, base, term))
    return [part.of(block, len(assembled.columns)) for part, block in zip(parts, blocks, strict=True)]


def _parted(assembled: Assembled, base: Base, term: Term) -> _Parts:
    rows = assembled.rows([term], assembled.choice_of(base.problem))
    plain = rows.jacobian[0]
    spread = rows.spread.reshape(-1, plain.size)
    felt = np.flatnonzero((plain != 0.0) | spread.any(axis=0))
    felt = felt[felt < len(assembled.columns)]
    one = np.arange(felt.size)
    alone, loose = np.zeros((felt.size, plain.size)), np.zeros((felt.size, *spread.shape))
    alone[one, felt] = plain[felt]
    loose[one, :, felt] = spread[:, felt].T
    return _Parts(felt, project(base, Rows(alone, loose.reshape(felt.size, spread.size))))
