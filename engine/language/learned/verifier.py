"""How likely it is that a fact was told of this job, by what stands around its words and by what the networks think.

A logistic regression. What the networks think are numbers among the others, so that it learns how far to trust them
(stacked generalization: Wolpert, Neural Networks 5, 1992); for that it is learned from sentences that they never saw.
"""

from __future__ import annotations

import math
import zlib
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import IO

import numpy as np
from numpy.typing import NDArray

from askew.engine.language.learned.committee import NAMES
from askew.engine.language.learned.network import Floats

MOST = 30.0
"""No log odds are larger than this, so that no exponential overflows."""

_IN = "\t"
"""Parts in a name the place from the words that stand there."""


@dataclass(frozen=True)
class Evidence:
    """What bears on whether a fact was told.

    Attributes:
        named: Numbers by their names, 1 for each thing that is so.
        words: Places around the fact, and the words and pairs of words that stand there.
        seen: What the networks make of its words and its clauses, (n,).
    """

    named: Mapping[str, float]
    words: Sequence[tuple[str, Sequence[str]]]
    seen: Floats

    def all_named(self) -> dict[str, float]:
        """Return all but what the networks make of it as numbers by their names, as it is learned from."""
        stand = {f"{place}{_IN}{text}": 1.0 for place, texts in self.words for text in texts}
        return {**self.named, **stand}


@dataclass(frozen=True)
class Verifier:
    """A logistic regression.

    Attributes:
        named: What each named number adds to the log odds; what has no name here adds nothing.
        words: The same of words and pairs of words by the place where they stand, once however often they do.
        seen: What each number of what the networks make of the words adds, (n,).
        bias: The log odds where nothing is known.
        networks: The checksum of the networks that it was learned beside.
    """

    named: Mapping[str, float]
    words: Mapping[str, Mapping[str, float]]
    seen: Floats
    bias: float
    networks: int = 0

    def chance(self, evidence: Evidence) -> float:
        """Return the chance that what the evidence is of was told."""
        parts = [self.named[name] * value for name, value in evidence.named.items() if name in self.named]
        for place, texts in evidence.words:
            weights = self.words.get(place, {})
            parts += [weights[text] for text in {*texts} if text in weights]
        odds = math.fsum(parts) + self.bias + float(evidence.seen @ self.seen)
        return 1.0 / (1.0 + math.exp(-max(-MOST, min(MOST, odds))))


def of_names(weights: Mapping[str, float], seen: Floats, bias: float, networks: int) -> Verifier:
    """Return a verifier whose weights go by the names of `Evidence.all_named`."""
    named, words = {}, defaultdict[str, dict[str, float]](dict)
    for name, weight in weights.items():
        place, parted, text = name.partition(_IN)
        if parted:
            words[place][text] = weight
        else:
            named[name] = weight
    return Verifier(named, dict(words), seen, bias, networks)


def shipped(one: Verifier) -> dict[str, NDArray[np.generic]]:
    """Return the arrays of a verifier's file: its names as one text, weights of sixteen bits."""
    stand = {f"{place}{_IN}{text}": weight for place, texts in one.words.items() for text, weight in texts.items()}
    weights = {**one.named, **stand}
    return {
        "names": np.frombuffer("\n".join(weights).encode(), dtype=np.uint8),
        "weights": np.array([*weights.values()], dtype=np.float16),
        "seen": one.seen.astype(np.float16),
        "bias": np.array([one.bias]),
        "networks": np.array([one.networks], dtype=np.uint32),
    }


def read_verifier(file: IO[bytes]) -> Verifier:
    """Return a verifier as `shipped` laid it out."""
    with np.load(file) as found:
        names, weights = found["names"].tobytes().decode().split("\n"), found["weights"].tolist()
        seen, bias, networks = found["seen"].astype(np.float32), float(found["bias"][0]), int(found["networks"][0])
    return of_names(dict(zip(names, weights, strict=True)), seen, bias, networks)


@cache
def verifier() -> Verifier:
    """Return the verifier that ships in `knowledge/lexicon`, read at the first call."""
    with (files("askew.knowledge") / "lexicon" / "verifier.npz").open("rb") as file:
        return read_verifier(file)


def checksum() -> int:
    """Return the checksum of the networks that ship, which a verifier must have been learned beside."""
    folder = files("askew.knowledge") / "lexicon"
    return zlib.crc32(b"".join((folder / f"{name}.npz").read_bytes() for name in NAMES))
