"""Learn the networks of `knowledge/lexicon` anew from the labelled sentences.

    pip install -e '.[learn]'
    python tests/engine/language/teach_network.py OPINIONS.npz
    python tests/engine/language/learn_network.py OPINIONS.npz [FOLDER]

It takes some forty minutes for each of them on two cores, after the hour of their teacher. The sets that measure how
the reader does on sentences it has not seen are left out. Run it after sentences, ids or phrases were added. A network
is that of `engine/language/learned/network.py`, which only reads it; here it is written once more for JAX, which gives
the slope of the loss. It learns from the labels, and from what a larger network that was taught them thinks
(`teach_network.py`). Half-way layers are dropped at random (Srivastava et al., Dropout, Journal of Machine Learning
Research 15, 2014) and words left out, so that it does not learn sentences by heart.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator, Sequence
from functools import partial
from pathlib import Path
from typing import Any

import jax
import jax.numpy as jnp
import numpy as np
import optax
from examples import Example, material
from tables import Arrays, Lists, arrays_of, lists_of

from askew.engine.language.learned.committee import NAMES
from askew.engine.language.learned.network import FAR, shipped

OUT = Path(__file__).parents[3] / "knowledge" / "lexicon"

SEEDS = dict(zip(NAMES, (1, 2), strict=True))
"""What each network begins from: they learn the same, and err each in its own way."""

DEPTH, LAYERS = 160, 4
"""Numbers that a token has become, and layers of convolutions."""

ROUNDS, BATCH, RATE, DECAY = 10, 128, 2e-3, 1e-2
"""How often all sentences are gone through, how many at once, the largest step, and how weights decay."""

DROPPED, UNSAID = 0.3, 0.1
"""Shares of what is dropped half-way, and of words and of what is told of them that are left out."""

LABELLED = 0.5
"""Weight of the label of a sentence; the rest is what the teacher thinks of it."""

LENGTHS = (24, 48, 96)
"""Sentences are filled up to the next of these lengths, and cut at the last."""


def tables(
    said: Sequence[Example], lists: Lists, opinions: Arrays, labelled: float = LABELLED
) -> list[Arrays]:
    """Return the sentences as arrays, one table for each length that they are filled up to.

    Args:
        said: The sentences.
        lists: What the network knows by name.
        opinions: What the teacher thinks of each of them (`teach_network.opinions`).
        labelled: Weight of the labels.
    """
    longest = [min(len(one.features) + 1, LENGTHS[-1]) for one in said]
    found = []
    for shorter, length in zip((0, *LENGTHS), LENGTHS, strict=False):
        fits = [i for i, its in enumerate(longest) if shorter < its <= length]
        made = arrays_of([said[i] for i in fits], lists, length)
        found.append(_weighed(made, {name: array[fits] for name, array in opinions.items()}, labelled))
    return found


def _weighed(made: Arrays, thought: Arrays, labelled: float) -> Arrays:
    """Return a table with what is right as shares: of the labels and of what the teacher thinks."""
    made["said"] = _blend(made["said"], thought["said"], labelled * (made.pop("counts") > 0))
    for name in ("number", "way"):
        right = np.eye(thought[name].shape[-1], dtype=np.float32)[made[name]]
        blend = _blend(right, thought[name], labelled * (made[name] >= 0)[..., None])
        there = made["number_at"] > 0 if name == "number" else made["way"] >= 0
        made[name] = blend * there[..., None]
    return made


def _blend(right: Any, thought: Any, weight: Any) -> Any:
    return (weight * right + (1.0 - weight) * thought).astype(np.float16)


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
    """Return the sums over windows as one large product, which on a processor is quicker than a convolution."""
    width = kernel.shape[0]
    padded = jnp.pad(x, ((0, 0), (width // 2, width // 2), (0, 0)))
    windows = jnp.concatenate([padded[:, i : i + x.shape[1]] for i in range(width)], -1)
    return windows @ kernel.reshape(-1, kernel.shape[-1])


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
    whole = optax.sigmoid_binary_cross_entropy(said, table["said"].astype(jnp.float32)).sum(-1)
    return (whole + _missed(number, table["number"]) + _missed(way, table["way"])).mean()


def _missed(score: Any, shares: Any) -> Any:
    return -(jax.nn.log_softmax(score) * shares.astype(jnp.float32)).sum((-1, -2))


def learn(found: Sequence[Arrays], weights: Arrays, seed: int, rounds: int, rate: Callable[[int], Any]) -> Arrays:
    """Return the weights after all rounds.

    Args:
        found: The sentences, see `tables`.
        weights: What they are at the beginning.
        seed: Of what is drawn on the way.
        rounds: How often all sentences are gone through.
        rate: Returns how large the steps are one after another, given how many there are.
    """
    rng, key = np.random.default_rng(seed), jax.random.PRNGKey(seed)
    optimizer = optax.adamw(rate(rounds * sum(1 for _ in _batches(found, rng))), weight_decay=DECAY)
    state = optimizer.init(weights)

    @jax.jit
    def step(weights: Arrays, state: Any, table: Arrays, key: Any) -> tuple[Arrays, Any, Any]:
        lost, slope = jax.value_and_grad(loss)(weights, table, key)
        change, state = optimizer.update(slope, state, weights)
        return optax.apply_updates(weights, change), state, lost

    began = time.monotonic()
    for turn in range(rounds):
        lost = []
        for some in _batches(found, rng):
            key, own = jax.random.split(key)
            weights, state, one = step(weights, state, some, own)
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


def _rising_and_falling(steps: int) -> Any:
    return optax.cosine_onecycle_schedule(steps, RATE, pct_start=0.1)


def main() -> None:
    """Learn from all sentences, and write the networks."""
    if len(sys.argv) not in (2, 3):
        raise SystemExit(f"usage: {sys.argv[0]} OPINIONS.npz [FOLDER]")
    out = Path(sys.argv[2]) if len(sys.argv) > 2 else OUT
    labelled, made = material()
    lists = lists_of(labelled)
    print(f"{len(labelled)} sentences, {len(lists.meanings)} meanings, {len(lists.answers)} answers", flush=True)
    with np.load(sys.argv[1]) as file:
        found = tables([*labelled, *made], lists, {name: file[name] for name in file.files})
    for name, seed in SEEDS.items():
        write(out / f"{name}.npz", lists, learn(found, begin(lists, seed), seed, ROUNDS, _rising_and_falling))


if __name__ == "__main__":
    main()
