"""What every source makes of one linear statement, under each set of troubled sources.

A source that is not in trouble still has its usual small size, and may be the most of a small complaint: what
the readings say of it counts as well.
"""

from __future__ import annotations

import numpy as np

from askew.engine.belief.assemble import Assembled
from askew.engine.belief.carrying import Block
from askew.engine.belief.gaussian import project
from askew.engine.belief.items import Term
from askew.engine.belief.problem import Array, Rows


def shares_of(assembled: Assembled, block: Block, term: Term) -> Array:
    """Return the expected part of a term that each column makes under each set of a block, mm, (h, columns).

    The term is the sum of the parts; in trouble or healthy, each is the mean of its row alone, given what was read.
    """
    rows = assembled.rows([term], assembled.choice_of(block.base.problem))
    plain = rows.jacobian[0]
    spread = rows.spread.reshape(-1, plain.size)
    columns = len(assembled.columns)
    found = np.zeros((block.weight.size, columns))
    felt = np.flatnonzero((plain != 0.0) | spread.any(axis=0))
    felt = felt[felt < columns]
    if not felt.size:
        return found
    one = np.arange(felt.size)
    alone, loose = np.zeros((felt.size, plain.size)), np.zeros((felt.size, *spread.shape))
    alone[one, felt] = plain[felt]
    loose[one, :, felt] = spread[:, felt].T
    projection = project(block.base, Rows(alone, loose.reshape(felt.size, spread.size)))
    found[:, felt] = projection.bias + np.einsum("mkh,hk->hm", projection.gain[:, block.lanes], block.mean)
    return found
