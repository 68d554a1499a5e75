"""A small convolutional network over the tokens of a message, as it was learned and shipped.

What is told of a token (`inputs.py`) is looked up and added up; layers of convolutions let each token see those near it
(Collobert et al., Natural Language Processing (Almost) from Scratch, Journal of Machine Learning Research 12, 2011).
From the largest and the mean over all tokens it is told what the whole message says. What one of its numbers is, and
which way a reading goes, is told from that number and from the tokens it attends to (scaled dot products, biased by
distance: Vaswani et al., Attention Is All You Need, 2017). The weights are data in `knowledge/lexicon`, learned
anew by `tests/engine/language/learn_network.py`.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import IO

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float32]

FAR = 64
"""Tokens farther from a number than so many are as far as that."""


@dataclass(frozen=True, slots=True)
class Encoded:
    """A message as the network sees it.

    Attributes:
        tokens: What each token has become in its place, (t + 1, d); the first stands for what was asked for.
        known: The places of which anything is known, (t + 1,).
        whole: The message as a whole, (2 d,).
        keys: What a number and a way look for in each token, by their name, (t + 1, d).
    """

    tokens: Floats
    known: NDArray[np.bool_]
    whole: Floats
    keys: Mapping[str, Floats]


@dataclass(frozen=True, slots=True)
class Network:
    """The weights, and what they tell of a message.

    Attributes:
        place: Row of each feature; row 0 is that of none.
        rows: What each feature adds to its token, (f + 1, d).
        arrays: The other weights by name.
        meanings: What a message may be about.
        answers: What may be seen, chosen, done or asked for in it.
        numbers: What one of its numbers may be.
        readings: Row of each reading whose direction can be told.
        ways: The directions.
    """

    place: Mapping[str, int]
    rows: Floats
    arrays: Mapping[str, Floats]
    meanings: tuple[str, ...]
    answers: tuple[str, ...]
    numbers: tuple[str, ...]
    readings: Mapping[str, int]
    ways: tuple[str, ...]

    def encode(self, features: Sequence[Sequence[str]], asked: str | None = None) -> Encoded:
        """Return a message as the network sees it.

        Args:
            features: What is told of each token.
            asked: What was asked for.
        """
        told = [[f"?{asked}"] if asked is not None else [], *features]
        ids = np.zeros((len(told), max(1, *map(len, told))), dtype=np.intp)
        for i, names in enumerate(told):
            ids[i, : len(names)] = [self.place.get(name, 0) for name in names]
        known: NDArray[np.bool_] = np.asarray((ids > 0).any(1))
        x = self.rows[ids].sum(1)
        layer = 0
        while f"conv{layer}" in self.arrays:
            seen = x if layer == 0 else _to_unit(x)
            x = x + _relu(convolved(seen, self.arrays[f"conv{layer}"]) + self.arrays[f"conv{layer}_bias"])
            x[~known] = 0.0
            layer += 1
        most = x[known].max(0) if known.any() else np.zeros(x.shape[1], np.float32)
        mean = x.sum(0) / math.sqrt(known.sum() + 1.0)
        keys = {name: x @ self.arrays[f"{name}_key"] for name in ("number", "way")}
        return Encoded(x, known, np.concatenate([most, mean]).astype(np.float32), keys)

    def of_whole(self, seen: Encoded) -> Floats:
        """Return the log odds of each meaning and then of each answer, (m + a,)."""
        hidden = _relu(seen.whole @ self.arrays["whole"] + self.arrays["whole_bias"])
        score: Floats = hidden @ self.arrays["said"] + self.arrays["said_bias"]
        return score

    def of_number(self, seen: Encoded, head: int) -> Floats:
        """Return the score of each thing that the number at token `head` can be, (n,); its softmax is their shares."""
        at = head + 1
        query = seen.tokens[at] @ self.arrays["number_query"]
        told = self._around(seen, at, query, "number")
        hidden = _relu(told @ self.arrays["number"] + self.arrays["number_bias"])
        score: Floats = hidden @ self.arrays["is"] + self.arrays["is_bias"]
        return score

    def of_direction(self, seen: Encoded, reading: str, head: int | None) -> Floats:
        """Return the score of each way that a reading can go, (w,); its softmax is their shares.

        Args:
            seen: The message.
            reading: The id of the reading.
            head: The token of its number, None where it has none of its own.

        Raises:
            KeyError: for a reading that has no ways.
        """
        row, at = self.readings[reading], 0 if head is None else head + 1
        query = seen.tokens[at] @ self.arrays["way_query"] + self.arrays["reading_query"][row]
        told = self._around(seen, at, query, "way")
        hidden = _relu(told @ self.arrays["way"] + self.arrays["way_bias"] + self.arrays["reading"][row])
        score: Floats = hidden @ self.arrays["goes"] + self.arrays["goes_bias"]
        return score

    def _around(self, seen: Encoded, at: int, query: Floats, name: str) -> Floats:
        """Return a token, the tokens that it attends to, and the whole message."""
        place = np.clip(np.arange(len(seen.tokens)) - at, -FAR, FAR) + FAR
        score = seen.keys[name] @ query / math.sqrt(len(query))
        score = np.where(seen.known, score + self.arrays[f"{name}_distance"][place], -np.inf)
        if not seen.known.any():
            score = np.zeros_like(score)
        attended = shares_of(score).astype(np.float32) @ seen.tokens
        return np.concatenate([seen.tokens[at], attended, seen.whole])


def convolved(x: Floats, kernel: Floats) -> Floats:
    """Return the sums over a window around each token, zeros beyond both ends.

    Args:
        x: The tokens, (t, d).
        kernel: The weights, (w, d, e), w odd.

    Returns:
        The sums, (t, e).
    """
    width, depth, out = kernel.shape
    side = np.zeros((width // 2, depth), np.float32)
    padded = np.concatenate([side, x, side])
    windows = np.concatenate([padded[i : i + len(x)] for i in range(width)], axis=1)
    summed: Floats = windows @ kernel.reshape(width * depth, out)
    return summed


def _to_unit(x: Floats) -> Floats:
    """Return each token at the same size (root mean square)."""
    scaled: Floats = x / np.sqrt((x * x).mean(-1, keepdims=True) + np.float32(1e-5))
    return scaled


def _relu(x: Floats) -> Floats:
    return np.maximum(x, np.float32(0.0))


def shares_of(score: Floats) -> NDArray[np.float64]:
    """Return what each score has of all chances (softmax)."""
    odds = np.exp(score.astype(np.float64) - score.max())
    shares: NDArray[np.float64] = odds / odds.sum()
    return shares


def read_network(file: IO[bytes]) -> Network:
    """Return a network as `shipped` laid it out."""
    with np.load(file) as found:
        arrays = {key: found[key] for key in found.files}
    lists = {key[5:]: _lines(arrays.pop(key)) for key in [key for key in arrays if key.startswith("list_")]}
    rows = arrays.pop("rows").astype(np.float32) * arrays.pop("rows_scale").astype(np.float32)[:, None]
    return Network(
        {feature: i for i, feature in enumerate(lists["features"], 1)},
        rows,
        {key: array.astype(np.float32) for key, array in arrays.items()},
        lists["meanings"],
        lists["answers"],
        lists["numbers"],
        {reading: i for i, reading in enumerate(lists["readings"])},
        lists["ways"],
    )


def _lines(array: NDArray[np.uint8]) -> tuple[str, ...]:
    return tuple(bytes(array).decode().split("\n"))


def shipped(
    lists: Mapping[str, Iterable[str]], rows: Floats, arrays: Mapping[str, Floats]
) -> dict[str, NDArray[np.generic]]:
    """Return the arrays of a network file: rows of eight bits with a scale each, the other weights of sixteen."""
    scale = np.maximum(np.abs(rows).max(1), 1e-6) / 127.0
    return {
        **{f"list_{key}": np.frombuffer("\n".join(names).encode(), dtype=np.uint8) for key, names in lists.items()},
        "rows": np.round(rows / scale[:, None]).astype(np.int8),
        "rows_scale": scale.astype(np.float32),
        **{key: array.astype(np.float16) for key, array in arrays.items()},
    }
