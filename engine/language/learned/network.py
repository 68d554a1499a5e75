"""Small convolutional networks over the tokens of a message, as they were learned and shipped.

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
    """A message as m networks see it.

    Attributes:
        tokens: What each token has become in its place, (m, t + 1, d); the first stands for what was asked for.
        known: The places of which anything is known, (t + 1,).
        whole: The message as a whole, (m, 2 d).
    """

    tokens: Floats
    known: NDArray[np.bool_]
    whole: Floats


@dataclass(frozen=True, slots=True)
class Networks:
    """The weights of m networks of the same classes, and what each tells of a message.

    The first axis of every array is that of the networks, so that one call does the sums of all of them.

    Attributes:
        place: Row of each feature; row 0 is that of none.
        rows: What each feature adds to its token, (m, f + 1, d).
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
        """Return a message as the networks see it.

        Args:
            features: What is told of each token.
            asked: What was asked for.
        """
        told = [[f"?{asked}"] if asked is not None else [], *features]
        ids = np.zeros((len(told), max(1, *map(len, told))), dtype=np.intp)
        for i, names in enumerate(told):
            ids[i, : len(names)] = [self.place.get(name, 0) for name in names]
        known: NDArray[np.bool_] = np.asarray((ids > 0).any(1))
        x = self.rows[:, ids].sum(2)
        layer = 0
        while f"conv{layer}" in self.arrays:
            seen = x if layer == 0 else _to_unit(x)
            added = _relu(convolved(seen, self.arrays[f"conv{layer}"]) + self._bias(f"conv{layer}"))
            x = (x + added) * known[:, None]
            layer += 1
        most = x[:, known].max(1) if known.any() else np.zeros_like(x[:, 0])
        mean = x.sum(1) / math.sqrt(known.sum() + 1.0)
        return Encoded(x, known, np.concatenate([most, mean], axis=1).astype(np.float32))

    def of_whole(self, seen: Encoded) -> Floats:
        """Return the log odds of each meaning and then of each answer, (m, a)."""
        hidden = _relu(seen.whole[:, None] @ self.arrays["whole"] + self._bias("whole"))
        score: Floats = hidden @ self.arrays["said"] + self._bias("said")
        return score[:, 0]

    def bearing(self, seen: Encoded, kind: int) -> Floats:
        """Return what each token adds to the score of meaning or answer number `kind`, (m, t + 1).

        The score is linear in the message as a whole between the bends of its half-way layer, and that is the largest
        and the mean over the tokens: each part is credited to its token, the bias to none.
        """
        half = seen.whole[:, None] @ self.arrays["whole"] + self._bias("whole")
        slope = (half > 0) * self.arrays["said"][:, None, :, kind] @ self.arrays["whole"].swapaxes(1, 2)
        most, mean = np.split(slope, 2, axis=2)
        first = np.where(seen.known[:, None], seen.tokens, -np.inf).argmax(1)
        largest = np.arange(len(seen.known))[:, None] == first[:, None]
        scale = np.float32(math.sqrt(seen.known.sum() + 1.0))
        borne: Floats = (seen.tokens * (largest * most + mean / scale)).sum(2)
        return borne

    def of_numbers(self, seen: Encoded, heads: Sequence[int]) -> Floats:
        """Return the score of each thing that the numbers at tokens `heads` can be, (m, h, n).

        The softmax over the last axis is their shares.
        """
        at = np.asarray(heads, dtype=np.intp) + 1
        query = seen.tokens[:, at] @ self.arrays["number_query"]
        hidden = _relu(self._around(seen, at, query, "number") + self._bias("number"))
        score: Floats = hidden @ self.arrays["is"] + self._bias("is")
        return score

    def of_direction(self, seen: Encoded, reading: str, head: int | None) -> Floats:
        """Return the score of each way that a reading can go, (m, w); its softmax is their shares.

        Args:
            seen: The message.
            reading: The id of the reading.
            head: The token of its number, None where it has none of its own.

        Raises:
            KeyError: for a reading that has no ways.
        """
        row, at = self.readings[reading], np.asarray([0 if head is None else head + 1])
        query = seen.tokens[:, at] @ self.arrays["way_query"] + self.arrays["reading_query"][:, row : row + 1]
        bias = self._bias("way") + self.arrays["reading"][:, row : row + 1]
        hidden = _relu(self._around(seen, at, query, "way") + bias)
        score: Floats = hidden @ self.arrays["goes"] + self._bias("goes")
        return score[:, 0]

    def _bias(self, name: str) -> Floats:
        """Return what a layer adds in all places, (m, 1, e)."""
        return self.arrays[f"{name}_bias"][:, None]

    def _around(self, seen: Encoded, at: NDArray[np.intp], query: Floats, name: str) -> Floats:
        """Return what tokens, what each attends to, and the whole message make together, (m, h, e).

        Args:
            seen: The message.
            at: The places of the tokens, (h,).
            query: What each looks for, (m, h, d).
            name: Of the weights.
        """
        depth, weights = query.shape[2], self.arrays[name]
        place = np.minimum(np.maximum(np.arange(len(seen.known)) - at[:, None], -FAR), FAR) + FAR
        looked_for = query @ self.arrays[f"{name}_key"].swapaxes(1, 2) / np.float32(math.sqrt(depth))
        score = looked_for @ seen.tokens.swapaxes(1, 2) + self.arrays[f"{name}_distance"][:, place]
        score = np.where(seen.known, score, -np.inf) if seen.known.any() else np.zeros_like(score)
        attended = shares_of(score).astype(np.float32) @ seen.tokens
        near = np.concatenate([seen.tokens[:, at], attended], axis=2)
        made: Floats = near @ weights[:, : 2 * depth] + seen.whole[:, None] @ weights[:, 2 * depth :]
        return made


def convolved(x: Floats, kernel: Floats) -> Floats:
    """Return the sums over a window around each token, zeros beyond both ends.

    Args:
        x: The tokens, (m, t, d).
        kernel: The weights, (m, w, d, e), w odd.

    Returns:
        The sums, (m, t, e).
    """
    members, width, depth, out = kernel.shape
    side = np.zeros((members, width // 2, depth), np.float32)
    padded = np.concatenate([side, x, side], axis=1)
    windows = np.concatenate([padded[:, i : i + x.shape[1]] for i in range(width)], axis=2)
    summed: Floats = windows @ kernel.reshape(members, width * depth, out)
    return summed


def _to_unit(x: Floats) -> Floats:
    """Return each token at the same size (root mean square)."""
    square = np.einsum("mtd,mtd->mt", x, x)[..., None]
    scaled: Floats = x / np.sqrt(square / np.float32(x.shape[2]) + np.float32(1e-5))
    return scaled


def _relu(x: Floats) -> Floats:
    return np.maximum(x, np.float32(0.0))


def shares_of(score: Floats | NDArray[np.float64]) -> NDArray[np.float64]:
    """Return what each score has of all chances along the last axis (softmax)."""
    odds = np.exp(score.astype(np.float64) - score.max(-1, keepdims=True))
    shares: NDArray[np.float64] = odds / odds.sum(-1, keepdims=True)
    return shares


def read_networks(files: Iterable[IO[bytes]]) -> Networks:
    """Return networks as `shipped` laid them out, side by side.

    Raises:
        ValueError: if they do not know the same by name.
    """
    parts = [_arrays(file) for file in files]
    lists, *others = [{key: part.pop(key).tobytes() for key in [*part] if key.startswith("list_")} for part in parts]
    if any(theirs != lists for theirs in others):
        raise ValueError("These networks do not know the same features and classes: learn them together.")
    names = {key[5:]: tuple(text.decode().split("\n")) for key, text in lists.items()}
    arrays = {key: np.stack([part.pop(key) for part in parts]).astype(np.float32) for key in [*parts[0]]}
    rows = arrays.pop("rows")
    rows *= arrays.pop("rows_scale")[..., None]
    return Networks(
        {feature: i for i, feature in enumerate(names["features"], 1)},
        rows,
        arrays,
        names["meanings"],
        names["answers"],
        names["numbers"],
        {reading: i for i, reading in enumerate(names["readings"])},
        names["ways"],
    )


def _arrays(file: IO[bytes]) -> dict[str, NDArray[np.generic]]:
    with np.load(file) as found:
        return {key: found[key] for key in found.files}


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
