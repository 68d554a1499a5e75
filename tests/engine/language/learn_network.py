"""Learn the networks of `knowledge/lexicon` anew from the labelled sentences.

    pip install -e '.[learn]'
    python tests/engine/language/learn_network.py [FOLDER]

It takes some twenty minutes for each of them on two cores. The sets that measure how the reader does on sentences it
has not seen are left out. Run it after sentences, ids or phrases were added. A network is that of
`engine/language/learned/network.py`, which only reads it; here it is written once more for JAX, which gives the slope
of the loss. Half-way layers are dropped at random (Srivastava et al., Dropout, Journal of Machine Learning Research 15,
2014) and words left out, so that it does not learn sentences by heart.
"""

from __future__ import annotations

import random
import sys
import time
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

import jax
import jax.numpy as jnp
import numpy as np
import optax
from examples import Example, example, joined, sentences

from askew.engine.language.learned.committee import NAMES
from askew.engine.language.learned.inputs import MOST
from askew.engine.language.learned.network import FAR, shipped

OUT = Path(__file__).parents[3] / "knowledge" / "lexicon"

SEEDS = dict(zip(NAMES, (1, 2), strict=True))
"""What each network begins from: they learn the same, and err each in its own way."""

DEPTH, LAYERS = 160, 4
"""Numbers that a token has become, and layers of convolutions."""

ROUNDS, BATCH, RATE, DECAY = 16, 128, 2e-3, 1e-2
"""How often all sentences are gone through, how many at once, the largest step, and how weights decay."""

DROPPED, UNSAID = 0.3, 0.1
"""Shares of what is dropped half-way, and of words and of what is told of them that are left out."""

ENOUGH, TWICE = 8, 2
"""Of what fewer sentences speak of nothing is learned; a feature that fewer tokens have is not known."""

LENGTHS = (24, 48, 96)
"""Sentences are filled up to the next of these lengths, and cut at the last."""

NUMBERS, WAYS = 8, 4
"""So many numbers and readings of a sentence are learned from."""

Arrays = dict[str, Any]


@dataclass(frozen=True)
class Lists:
    """What the network knows by name, in the order of its weights."""

    features: list[str]
    meanings: list[str]
    answers: list[str]
    numbers: list[str]
    readings: list[str]
    ways: str = "+-?"


def lists_of(said: Sequence[Example]) -> Lists:
    """Return the names that are told of often enough."""

    def often(names: Iterable[str]) -> list[str]:
        return sorted(name for name, times in Counter(names).items() if times >= ENOUGH)

    known = Counter(name for one in said for token in one.features for name in token)
    asked = {f"?{one.asked}" for one in said if one.asked}
    return Lists(
        sorted({name for name, times in known.items() if times >= TWICE} | asked),
        often(name for one in said for name in one.meanings),
        often(name for one in said for name in one.answers),
        often(name for one in said for _, name in one.numbers),
        sorted({reading for one in said for _, reading, _ in one.ways}),
    )


def tables(said: Sequence[Example], lists: Lists) -> list[Arrays]:
    """Return the sentences as arrays, one table for each length that they are filled up to."""
    place = {name: i for i, name in enumerate(lists.features, 1)}
    meanings = {name: i for i, name in enumerate(lists.meanings)}
    answers = {name: i for i, name in enumerate(lists.answers, len(meanings))}
    numbers = {name: i for i, name in enumerate(lists.numbers)}
    readings = {name: i for i, name in enumerate(lists.readings)}
    found = []
    for shorter, length in zip((0, *LENGTHS), LENGTHS, strict=False):
        fits = [
            one
            for one in said
            if shorter < len(one.features) + 1 <= length or (length == LENGTHS[-1] < len(one.features) + 1)
        ]
        table = _blank(len(fits), length, len(meanings) + len(answers))
        for i, one in enumerate(fits):
            told = [[f"?{one.asked}"] if one.asked else [], *one.features][:length]
            for t, names in enumerate(told):
                table["ids"][i, t, : len(names)] = [place.get(name, 0) for name in names]
            right = [meanings[name] for name in one.meanings if name in meanings]
            right += [answers[name] for name in one.answers if name in answers]
            open_ = [where[name] for where in (meanings, answers) for name in one.open if name in where]
            table["counts"][i, open_] = 0.0
            table["said"][i, right] = table["counts"][i, right] = 1.0
            known = [(head + 1, numbers[name]) for head, name in one.numbers if name in numbers and head + 1 < length]
            for k, pair in enumerate(known[:NUMBERS]):
                table["number_at"][i, k], table["number"][i, k] = pair
            for k, (head, reading, way) in enumerate(one.ways[:WAYS]):
                at = 0 if head is None or head + 1 >= length else head + 1
                table["way_at"][i, k], table["reading"][i, k] = at, readings[reading]
                table["way"][i, k] = lists.ways.index(way)
        found.append(table)
    return found


def _blank(count: int, length: int, classes: int) -> Arrays:
    def unknown(width: int) -> Any:
        return np.full((count, width), -1, np.int32)

    def none(*shape: int) -> Any:
        return np.zeros((count, *shape), np.int32)

    return {
        **{"ids": none(length, MOST), "said": np.zeros((count, classes), np.float32)},
        **{"counts": np.ones((count, classes), np.float32), "number_at": none(NUMBERS), "number": unknown(NUMBERS)},
        **{"way_at": none(WAYS), "reading": none(WAYS), "way": unknown(WAYS)},
    }


def begin(lists: Lists, seed: int) -> Arrays:
    """Return the weights before anything was learned."""
    rng = np.random.default_rng(seed)
    d, h = DEPTH, 2 * DEPTH

    def drawn(*shape: int, size: float = 1.0) -> Any:
        spread = size / np.sqrt(np.prod(shape[:-1]))
        return (rng.standard_normal(shape) * spread).astype(np.float32)

    def flat(*shape: int) -> Any:
        return np.zeros(shape, np.float32)

    said, numbers = len(lists.meanings) + len(lists.answers), len(lists.numbers)
    rows, readings = len(lists.features) + 1, len(lists.readings)
    heads: Arrays = {}
    for name in ("number", "way"):
        heads |= {f"{name}_query": drawn(d, d), f"{name}_key": drawn(d, d), f"{name}_distance": flat(2 * FAR + 1)}
        heads |= {name: drawn(4 * d, h), f"{name}_bias": flat(h)}
    layers: Arrays = {}
    for i in range(LAYERS):
        layers |= {f"conv{i}": drawn(5 if i == 0 else 3, d, d), f"conv{i}_bias": flat(d)}
    return {
        "rows": (rng.standard_normal((rows, d)) * 0.3).astype(np.float32),
        **layers,
        **heads,
        **{"whole": drawn(2 * d, h), "whole_bias": flat(h), "said": drawn(h, said, size=0.3)},
        "said_bias": np.full(said, -4.0, np.float32),
        **{"is": drawn(h, numbers, size=0.3), "is_bias": flat(numbers)},
        **{"goes": drawn(h, len(lists.ways), size=0.3), "goes_bias": flat(len(lists.ways))},
        "reading": (rng.standard_normal((readings, h)) * 0.3).astype(np.float32),
        "reading_query": (rng.standard_normal((readings, d)) * 0.3).astype(np.float32),
    }


def scores(weights: Arrays, table: Arrays, key: Any) -> tuple[Any, Any, Any]:
    """Return the scores of what sentences say, of what their numbers are, and of which way their readings go."""
    keys = iter(jax.random.split(key, 6))

    def dropped(x: Any) -> Any:
        kept = jax.random.bernoulli(next(keys), 1.0 - DROPPED, x.shape)
        return jnp.where(kept, x / (1.0 - DROPPED), 0.0)

    ids = table["ids"]
    known = (ids > 0).any(-1)
    words = jax.random.bernoulli(next(keys), 1.0 - UNSAID, ids.shape[:2])
    told = jax.random.bernoulli(next(keys), 1.0 - UNSAID, ids.shape)
    x = jnp.asarray(weights["rows"]).at[0].set(0.0)[jnp.where(told & words[..., None], ids, 0)].sum(-2)
    for i in range(LAYERS):
        seen = x if i == 0 else x / jnp.sqrt((x * x).mean(-1, keepdims=True) + 1e-5)
        x = x + jax.nn.relu(_convolved(seen, weights[f"conv{i}"]) + weights[f"conv{i}_bias"])
        x = jnp.where(known[..., None], x, 0.0)
    most = jnp.where(known.any(1)[:, None], jnp.where(known[..., None], x, -jnp.inf).max(1), 0.0)
    whole = dropped(jnp.concatenate([most, x.sum(1) / jnp.sqrt(known.sum(1)[:, None] + 1.0)], -1))
    around = partial(_around, weights, x, known, whole)
    said = dropped(jax.nn.relu(whole @ weights["whole"] + weights["whole_bias"]))
    number = jax.nn.relu(around("number", table["number_at"], 0.0))
    asked_of = weights["reading_query"][table["reading"]]
    way = jax.nn.relu(around("way", table["way_at"], asked_of) + weights["reading"][table["reading"]])
    return (
        said @ weights["said"] + weights["said_bias"],
        dropped(number) @ weights["is"] + weights["is_bias"],
        dropped(way) @ weights["goes"] + weights["goes_bias"],
    )


def _convolved(x: Any, kernel: Any) -> Any:
    return jax.lax.conv_general_dilated(x, kernel, (1,), "SAME", dimension_numbers=("NTC", "TIO", "NTC"))


def _around(weights: Arrays, x: Any, known: Any, whole: Any, name: str, at: Any, asked_of: Any) -> Any:
    """Return what is made of tokens, of those they attend to, and of the whole sentence."""
    own = jnp.take_along_axis(x, at[..., None], 1)
    place = jnp.clip(jnp.arange(x.shape[1]) - at[..., None], -FAR, FAR) + FAR
    score = jnp.einsum("bnd,btd->bnt", own @ weights[f"{name}_query"] + asked_of, x @ weights[f"{name}_key"])
    score = score / np.sqrt(DEPTH) + weights[f"{name}_distance"][place]
    attended = jax.nn.softmax(jnp.where(known[:, None], score, -1e9), -1) @ x
    each = jnp.broadcast_to(whole[:, None], (*at.shape, whole.shape[-1]))
    return jnp.concatenate([own, attended, each], -1) @ weights[name] + weights[f"{name}_bias"]


def loss(weights: Arrays, table: Arrays, key: Any) -> Any:
    """Return the mean cross entropy of a sentence, all that is told of it together."""
    said, number, way = scores(weights, table, key)
    whole = (optax.sigmoid_binary_cross_entropy(said, table["said"]) * table["counts"]).sum(-1)
    return (whole + _missed(number, table["number"]) + _missed(way, table["way"])).mean()


def _missed(score: Any, right: Any) -> Any:
    entropy = optax.softmax_cross_entropy_with_integer_labels(score, jnp.maximum(right, 0))
    return jnp.where(right >= 0, entropy, 0.0).sum(-1)


def learn(said: Sequence[Example], lists: Lists, seed: int) -> Arrays:
    """Return the weights after all rounds."""
    found = tables(said, lists)
    rng, key = np.random.default_rng(seed), jax.random.PRNGKey(seed)
    weights = begin(lists, seed)
    steps = ROUNDS * sum(1 for _ in _batches(found, rng))
    optimizer = optax.adamw(optax.cosine_onecycle_schedule(steps, RATE, pct_start=0.1), weight_decay=DECAY)
    state = optimizer.init(weights)

    @jax.jit
    def step(weights: Arrays, state: Any, table: Arrays, key: Any) -> tuple[Arrays, Any, Any]:
        lost, slope = jax.value_and_grad(loss)(weights, table, key)
        change, state = optimizer.update(slope, state, weights)
        return optax.apply_updates(weights, change), state, lost

    began = time.monotonic()
    for turn in range(ROUNDS):
        lost = []
        for table in _batches(found, rng):
            key, own = jax.random.split(key)
            weights, state, one = step(weights, state, table, own)
            lost.append(one)
        print(f"round {turn + 1}: loss {np.mean(np.array(lost)):.3f}, {time.monotonic() - began:.0f} s", flush=True)
    return {name: np.asarray(array) for name, array in weights.items()}


def _batches(found: Sequence[Arrays], rng: np.random.Generator) -> Iterator[Arrays]:
    """Yield the sentences of all tables in random order, so many at once that are of one length."""
    places = [
        (table, order[at : at + BATCH])
        for table in found
        for order in [rng.permutation(len(table["ids"]))]
        for at in range(0, len(order) - BATCH + 1, BATCH)
    ]
    for i in rng.permutation(len(places)):
        table, at = places[i]
        yield {name: array[at] for name, array in table.items()}


def write(path: Path, lists: Lists, weights: Arrays) -> None:
    """Write a network as it is shipped."""
    rows = weights.pop("rows").copy()
    rows[0] = 0.0
    np.savez_compressed(path, **shipped(vars(lists), rows, weights))
    print(f"{path.name}: {len(lists.features)} features, {path.stat().st_size / 1e6:.1f} MB")


def main() -> None:
    """Learn from all sentences, and write the networks."""
    out = Path(sys.argv[1]) if len(sys.argv) > 1 else OUT
    alone = sentences()
    single = [example(one) for one in alone]
    lists = lists_of(single)
    print(f"{len(single)} sentences, {len(lists.meanings)} meanings, {len(lists.answers)} answers", flush=True)
    for name, seed in SEEDS.items():
        together = [example(one) for one in joined(alone, random.Random(seed))]
        write(out / f"{name}.npz", lists, learn([*single, *together], lists, seed))


if __name__ == "__main__":
    main()
