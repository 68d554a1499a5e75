"""What is not known of the setup, gathered into a few directions in which it spreads each source's part.

A share that nobody knows (of a squeeze that stays as hollow, of a taper that turns the part) multiplies the size of a
source. Where several readings depend on several such shares, the two directions along which most of the spread lies
are kept for each source.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from askew.engine.belief.problem import Array

WAYS = 2
"""Directions in which what is not known of the setup spreads a column's part in the readings."""
Mixture = Mapping[int, tuple[Mapping[str, float], ...]]
"""For each column, the directions over the unknowns along which its spread lies, the main one first."""
SECOND = 0.05
"""A second direction counts from this share of the spread of the first, variance for variance."""


def mixture_of(spreads: Sequence[dict[str, Array]]) -> Mixture:
    """Return for each column the directions, over the unknowns, along which most of its spread lies."""
    by_column: dict[int, list[dict[str, float]]] = {}
    for spread in spreads:
        for c in {int(c) for row in spread.values() for c in np.flatnonzero(row)}:
            by_column.setdefault(c, []).append(
                {k: float(row[c]) for k, row in spread.items() if row[c] != 0.0}
            )
    return {c: _directions(entries) for c, entries in by_column.items()}


def _directions(entries: Sequence[dict[str, float]]) -> tuple[dict[str, float], ...]:
    keys = sorted({key for entry in entries for key in entry})
    if len(keys) == 1:
        return ({keys[0]: 1.0},)
    matrix = np.array([[entry.get(key, 0.0) for key in keys] for entry in entries])
    values, vectors = np.linalg.eigh(matrix.T @ matrix)
    found = []
    for i in (-1, -2):
        if values[i] > SECOND * values[-1] or i == -1:
            way = vectors[:, i]
            way = way if way[np.argmax(np.abs(way))] > 0 else -way
            found.append(dict(zip(keys, map(float, way), strict=True)))
    return tuple(found)


def along(entries: Mapping[str, float], directions: Sequence[Mapping[str, float]]) -> tuple[float, float]:
    """Return a spread along its column's directions; the last of them takes what the others leave of its size."""
    size = float(np.sqrt(sum(v * v for v in entries.values())))
    parts = [sum(v * way.get(key, 0.0) for key, v in entries.items()) for way in directions]
    if len(parts) < WAYS:
        return (size if not parts or parts[0] >= 0.0 else -size), 0.0
    left = float(np.sqrt(max(size * size - parts[0] ** 2, 0.0)))
    return parts[0], left if parts[1] >= 0.0 else -left
