"""What every source makes of one linear statement, under each set of troubled sources.

A source that is not in trouble still has its usual small size, and may be the most of a small complaint: what
the readings say of it counts as well.
"""

from __future__ import annotations

import numpy as np

from askew.engine.belief.assemble import Assembled, Term
from askew.engine.belief.gaussian import project
from askew.engine.belief.posterior import Block
from askew.engine.belief.problem import Array, Rows


def shares_of(assembled: Assembled, block: Block, term: Term) -> Array:
    """Return the expected part of a term that each column makes under each set of a block, mm, (h, columns).

    The term is the sum of the parts; in trouble or healthy, each is the mean of its row alone, given what was read.
    """
    rows = assembled.rows([term], assembled.choice_of(block.base.problem))
    plain, spread = rows.jacobian[0], rows.spread[0]
    columns = len(assembled.columns)
    found = np.zeros((block.weight.size, columns))
    felt = np.flatnonzero((plain[:columns] != 0.0) | (spread[:columns] != 0.0))
    if not felt.size:
        return found
    alone = np.zeros((2, felt.size, plain.size))
    alone[0, np.arange(felt.size), felt] = plain[felt]
    alone[1, np.arange(felt.size), felt] = spread[felt]
    projection = project(block.base, Rows(alone[0], alone[1]))
    found[:, felt] = projection.bias + np.einsum("mkh,hk->hm", projection.gain[:, block.lanes], block.mean)
    return found
