"""Networks that learned the same from different beginnings, and what they tell together.

Each errs in its own way; the mean of their log odds errs less than any (a logarithmic opinion pool: Genest & Zidek,
Combining Probability Distributions, Statistical Science 1, 1986; for networks: Hansen & Salamon, Neural Network
Ensembles, IEEE Transactions on Pattern Analysis and Machine Intelligence 12, 1990).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

import numpy as np

from askew.engine.language.learned.network import Encoded, Floats, Network, read_network, shares_of
from askew.engine.language.learned.one_core import on_one_core

NAMES = ("network_1", "network_2")
"""The files of the networks in `knowledge/lexicon`."""


@dataclass(frozen=True, slots=True)
class Committee:
    """Networks of the same classes.

    Attributes:
        members: The networks.
    """

    members: tuple[Network, ...]

    def encode(self, features: Sequence[Sequence[str]], asked: str | None = None) -> tuple[Encoded, ...]:
        """Return a message as each of the networks sees it.

        Args:
            features: What is told of each token.
            asked: What was asked for.
        """
        with on_one_core():
            return tuple(one.encode(features, asked) for one in self.members)

    def of_whole(self, seen: Sequence[Encoded]) -> tuple[dict[str, float], dict[str, float]]:
        """Return the chance of each meaning, and of each answer, by its name."""
        score = self._mean(seen, Network.of_whole)
        chances = (0.5 + 0.5 * np.tanh(0.5 * score.astype(np.float64))).tolist()
        first = self.members[0]
        split = len(first.meanings)
        return (
            dict(zip(first.meanings, chances[:split], strict=True)),
            dict(zip(first.answers, chances[split:], strict=True)),
        )

    def of_number(self, seen: Sequence[Encoded], head: int) -> dict[str, float]:
        """Return the share of each thing that the number at token `head` can be."""
        score = self._mean(seen, lambda one, its: one.of_number(its, head))
        return dict(zip(self.members[0].numbers, shares_of(score).tolist(), strict=True))

    def of_direction(self, seen: Sequence[Encoded], reading: str, head: int | None) -> dict[str, float]:
        """Return the share of each way that a reading can go, {} for one without any.

        Args:
            seen: The message.
            reading: The id of the reading.
            head: The token of its number, None where it has none of its own.
        """
        if reading not in self.members[0].readings:
            return {}
        score = self._mean(seen, lambda one, its: one.of_direction(its, reading, head))
        return dict(zip(self.members[0].ways, shares_of(score).tolist(), strict=True))

    def _mean(self, seen: Sequence[Encoded], score: Callable[[Network, Encoded], Floats]) -> Floats:
        """Return the mean of what the networks tell, each of the message as it sees it."""
        with on_one_core():
            scores = [score(one, its) for one, its in zip(self.members, seen, strict=True)]
        summed: Floats = sum(scores[1:], scores[0]) / np.float32(len(scores))
        return summed


@cache
def committee() -> Committee:
    """Return the networks that ship in `knowledge/lexicon`, read at the first call."""
    folder = files("askew.knowledge") / "lexicon"
    members = []
    for name in NAMES:
        with (folder / f"{name}.npz").open("rb") as file:
            members.append(read_network(file))
    return Committee(tuple(members))
