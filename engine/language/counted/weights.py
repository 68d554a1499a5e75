"""Logistic regressions over counted features, one for each class, as they were learned and shipped.

Features are counted as usual for text (sublinear counts, cut to unit length: Manning, Raghavan & Schuetze, Introduction
to Information Retrieval, 2008, sections 6.3 and 6.4), but rare words weigh no more than common ones: the regressions
learn by themselves what a word is worth. The weights are data in
`knowledge/lexicon`, learned anew by `tests/engine/language/learn_counted.py`.
"""

from __future__ import annotations

import math
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
        start: Where the weights of each begin among all, (f + 1,).
        column: The class of each weight, (w,).
        weight: The weights, (w,).
        bias: Log odds of each class where no feature is known, (c,).
        classes: The classes.
    """

    place: Mapping[str, int]
    start: NDArray[np.intp]
    column: NDArray[np.intp]
    weight: NDArray[np.float64]
    bias: NDArray[np.float32]
    classes: tuple[str, ...]

    def chances(self, features: Iterable[str]) -> NDArray[np.float64]:
        """Return the chance of each class by itself, (c,); a feature told twice counts for more."""
        place = self.place
        found = [place[name] for name in features if name in place]
        score = self.bias.astype(np.float64)
        if found:
            rows, counts = np.unique(np.array(found, dtype=np.intp), return_counts=True)
            size = 1.0 + np.log(counts)
            size /= math.sqrt(size @ size)
            begins = self.start[rows]
            lengths = self.start[rows + 1] - begins
            ends = lengths.cumsum()
            at = np.arange(ends[-1]) + (begins - ends + lengths).repeat(lengths)
            much = self.weight[at] * size.repeat(lengths)
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
            found["start"].astype(np.intp),
            found["column"].astype(np.intp),
            found["weight"] * np.float64(found["scale"]),
            found["bias"],
            tuple(bytes(found["classes"]).decode().split("\n")),
        )
