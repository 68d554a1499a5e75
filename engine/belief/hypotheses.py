"""Which sets of columns may be in trouble: all sets up to three, and the batched algebra over them."""

from __future__ import annotations

from functools import lru_cache
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from askew.engine.belief.problem import Array

Index = NDArray[np.intp]


# A case asks for one size after another as it grows; keeping many of them is what would fill the memory.
@lru_cache(maxsize=4)
def all_sets(sources: int, wilds: int, most: int) -> Index:
    """Return every set of at most `most` columns with at most one wild among them.

    Columns 0..sources-1 are sources, the next `wilds` stand for readings taken wrongly.

    Returns:
        Column numbers, shape (most, h); sets with fewer members are padded with `sources + wilds`.
    """
    nothing = sources + wilds
    blocks: list[Index] = []
    for size in range(most + 1):
        plain = _combinations(sources, size)
        blocks.append(_padded(plain, most, nothing))
        if size >= 1 and wilds:
            smaller = _combinations(sources, size - 1)
            count = smaller.shape[1]
            wild = np.repeat(np.arange(sources, nothing), count)[None, :]
            blocks.append(_padded(np.vstack([np.tile(smaller, wilds), wild]), most, nothing))
    return np.concatenate(blocks, axis=1)


def _combinations(n: int, size: int) -> Index:
    if size == 0:
        return np.zeros((0, 1), dtype=np.intp)
    if size == 2:
        return np.array(np.triu_indices(n, 1), dtype=np.intp)
    return np.array(list(combinations(range(n), size)), dtype=np.intp).reshape(-1, size).T


def _padded(sets: Index, most: int, nothing: int) -> Index:
    pad = np.full((most - sets.shape[0], sets.shape[1]), nothing, dtype=np.intp)
    return np.vstack([sets, pad])


def extended(sets: Index, columns: int) -> Index:
    """Return each set with every further column added, without repeats; shape (most + 1, h).

    Args:
        sets: Sets without padding, shape (most, h).
        columns: Number of columns.
    """
    count = sets.shape[1]
    wide = np.repeat(sets, columns, axis=1)
    new = np.tile(np.arange(columns), count)[None, :]
    both = np.sort(np.vstack([wide, new]), axis=0)
    fresh = ~np.any(wide == new, axis=0)
    return distinct(both[:, fresh], int(both.max(initial=0)) + 1)  # what stands for a reading lies beyond


def distinct(sets: Index, columns: int) -> Index:
    """Return sets once each, in order; (k, h). Each is read as a number in base `columns`, k digits long."""
    number = np.zeros(sets.shape[1], dtype=np.int64)
    for row in sets:
        number = number * columns + row
    return sets[:, np.unique(number, return_index=True)[1]]


def log_prior(sets: Index, prior: Array) -> Array:
    """Return the log prior of each set: independent columns, (h,)."""
    odds = np.append(np.log(prior) - np.log1p(-prior), 0.0)
    total: Array = odds[sets].sum(axis=0) + np.log1p(-prior).sum()
    return total


def cholesky(matrix: list[list[Array]]) -> list[list[Array]]:
    """Return the Cholesky factors of many small matrices at once.

    Args:
        matrix: Lower triangle, matrix[i][j] with j <= i, each entry an array over the batch.
    """
    k = len(matrix)
    lower: list[list[Array]] = []
    for i in range(k):
        row: list[Array] = []
        for j in range(i + 1):
            total = matrix[i][j]
            for p in range(j):
                total = total - row[p] * (row[p] if i == j else lower[j][p])
            row.append(np.sqrt(total) if i == j else total / lower[j][j])
        lower.append(row)
    return lower


def whiten(lower: list[list[Array]], vector: list[Array]) -> list[Array]:
    """Return L^-1 v for many small systems at once."""
    solved: list[Array] = []
    for i, row in enumerate(lower):
        total = vector[i]
        for p in range(i):
            total = total - row[p] * solved[p]
        solved.append(total / row[i])
    return solved


def inverted(lower: list[list[Array]]) -> list[list[Array]]:
    """Return the lower triangles of the inverses (L L')^-1 of many small matrices at once.

    Args:
        lower: Their Cholesky factors, as `cholesky` returns them.
    """
    k = len(lower)
    inverse: list[list[Array]] = []
    for i in range(k):
        row = [-sum((lower[i][p] * inverse[p][j] for p in range(j, i)), np.zeros(1)) / lower[i][i] for j in range(i)]
        inverse.append([*row, 1.0 / lower[i][i]])
    return [
        [sum((inverse[p][i] * inverse[p][j] for p in range(i, k)), np.zeros(1)) for j in range(i + 1)]
        for i in range(k)
    ]
