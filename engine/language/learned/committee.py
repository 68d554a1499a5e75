"""Networks that learned the same from different beginnings, and what they tell together.

Each errs in its own way; the mean of their log odds errs less than any (a logarithmic opinion pool: Genest & Zidek,
Combining Probability Distributions, Statistical Science 1, 1986; for networks: Hansen & Salamon, Neural Network
Ensembles, IEEE Transactions on Pattern Analysis and Machine Intelligence 12, 1990).
"""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

import numpy as np

from askew.engine.language.learned.network import Encoded, Floats, Networks, read_networks, shares_of

NAMES = ("network_1", "network_2")
"""The files of the networks in `knowledge/lexicon`."""


@dataclass(frozen=True, slots=True)
class Committee:
    """Networks that are asked together.

    Attributes:
        members: The networks.
    """

    members: Networks

    def encode(self, features: Sequence[Sequence[str]], asked: str | None = None) -> Encoded:
        """Return a message as each of the networks sees it.

        Args:
            features: What is told of each token.
            asked: What was asked for.
        """
        return self.members.encode(features, asked)

    def of_whole(self, seen: Encoded) -> tuple[dict[str, float], dict[str, float]]:
        """Return the chance of each meaning, and of each answer, by its name."""
        score = _mean(self.members.of_whole(seen))
        chances = (0.5 + 0.5 * np.tanh(0.5 * score.astype(np.float64))).tolist()
        split = len(self.members.meanings)
        return (
            dict(zip(self.members.meanings, chances[:split], strict=True)),
            dict(zip(self.members.answers, chances[split:], strict=True)),
        )

    def bearing(self, seen: Encoded, name: str) -> list[float] | None:
        """Return what each token adds to the log odds of a meaning or an answer, None where it is not known."""
        names = (*self.members.meanings, *self.members.answers)
        if name not in names:
            return None
        borne: list[float] = _mean(self.members.bearing(seen, names.index(name)))[1:].tolist()
        return borne

    def of_numbers(self, seen: Encoded, heads: Sequence[int]) -> dict[int, dict[str, float]]:
        """Return by the token of each number the share of each thing that it can be."""
        if not heads:
            return {}
        shares = shares_of(_mean(self.members.of_numbers(seen, heads))).tolist()
        names = self.members.numbers
        return {head: dict(zip(names, its, strict=True)) for head, its in zip(heads, shares, strict=True)}

    def of_direction(self, seen: Encoded, reading: str, head: int | None) -> dict[str, float]:
        """Return the share of each way that a reading can go, {} for one without any.

        Args:
            seen: The message.
            reading: The id of the reading.
            head: The token of its number, None where it has none of its own.
        """
        if reading not in self.members.readings:
            return {}
        score = _mean(self.members.of_direction(seen, reading, head))
        return dict(zip(self.members.ways, shares_of(score).tolist(), strict=True))


def _mean(scores: Floats) -> Floats:
    """Return the mean over the networks."""
    mean: Floats = np.add.reduce(scores) / np.float32(len(scores))
    return mean


@cache
def committee() -> Committee:
    """Return the networks that ship in `knowledge/lexicon`, read at the first call."""
    folder = files("askew.knowledge") / "lexicon"
    with ExitStack() as opened:
        found = [opened.enter_context((folder / f"{name}.npz").open("rb")) for name in NAMES]
        return Committee(read_networks(found))
