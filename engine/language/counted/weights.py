"""Logistic regressions over counted features, one for each class, as they were learned and shipped.

Features are counted as usual for text (sublinear counts and inverse document frequency, cut to unit length: Manning,
Raghavan & Schuetze, Introduction to Information Retrieval, 2008, sections 6.2 to 6.4). The weights are data in
`knowledge/lexicon`, learned anew by `tests/engine/language/learn_counted.py`.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, slots=True)
class Weights:
    """Weights of features for classes.

    Attributes:
        place: Place of each feature among the rows.
        idf: Inverse document frequency of each, (f,).
        start: Where the weights of each begin among all, (f + 1,).
        column: The class of each weight, (w,).
        weight: The weights, (w,).
        bias: Log odds of each class where no feature is known, (c,).
        classes: The classes.
    """

    place: Mapping[str, int]
    idf: NDArray[np.float32]
    start: NDArray[np.int32]
    column: NDArray[np.uint8]
    weight: NDArray[np.float32]
    bias: NDArray[np.float32]
    classes: tuple[str, ...]

    def chances(self, features: Iterable[str]) -> NDArray[np.float64]:
        """Return the chance of each class by itself, (c,); a feature told twice counts for more."""
        counts = Counter(self.place[name] for name in features if name in self.place)
        score = self.bias.astype(np.float64)
        if counts:
            rows = np.fromiter(counts, dtype=np.intp)
            size = (1.0 + np.log(np.fromiter(counts.values(), dtype=np.float64))) * self.idf[rows]
            size /= np.linalg.norm(size)
            begins, lengths = self.start[rows], self.start[rows + 1] - self.start[rows]
            ends = np.cumsum(lengths)
            at = np.arange(ends[-1]) + np.repeat(begins - (ends - lengths), lengths)
            much = self.weight[at] * np.repeat(size, lengths)
            score += np.bincount(self.column[at], weights=much, minlength=len(score))
        chances: NDArray[np.float64] = 1.0 / (1.0 + np.exp(-score))
        return chances

    def named(self, features: Iterable[str]) -> dict[str, float]:
        """Return the chance of each class by its name."""
        return dict(zip(self.classes, self.chances(features).tolist(), strict=True))

    def likeliest(self, features: Iterable[str]) -> tuple[str, float]:
        """Return the likeliest of the classes where just one can be right, and its share of all their chances."""
        chances = self.chances(features)
        best = int(chances.argmax())
        return self.classes[best], float(chances[best] / chances.sum())


@cache
def weights(name: str) -> Weights:
    """Return the weights that ship as `knowledge/lexicon/{name}.npz`, read at the first call."""
    with (files("askew.knowledge") / "lexicon" / f"{name}.npz").open("rb") as file, np.load(file) as found:
        features = bytes(found["features"]).decode().split("\n")
        return Weights(
            {feature: i for i, feature in enumerate(features)},
            found["idf"].astype(np.float32),
            found["start"],
            found["column"],
            found["weight"] * found["scale"],
            found["bias"],
            tuple(bytes(found["classes"]).decode().split("\n")),
        )
