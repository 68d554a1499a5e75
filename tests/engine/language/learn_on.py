"""Let the networks of `knowledge/lexicon` go on learning after sentences were added.

    pip install -e '.[learn]'
    python tests/engine/language/learn_on.py [FOLDER]

It takes some ten minutes for each of them on two cores, no teacher is needed. They begin as they are, and what they
think together of a sentence counts beside its label, so that they do not forget what they knew (Li & Hoiem, Learning
without Forgetting, IEEE Transactions on Pattern Analysis and Machine Intelligence 40, 2018). After many words, phrases
or ids were added, learn anew with `teach_network.py` and `learn_network.py`.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
import optax
from examples import Example, material
from learn_network import LENGTHS, OUT, SEEDS, begin, learn, tables, write
from tables import NUMBERS, WAYS, Arrays, Lists, lists_of, numbers_at, ways_at

from askew.engine.language.learned.committee import Committee, committee
from askew.engine.language.learned.network import Networks

ROUNDS, RATE, LABELLED = 5, 6e-4, 0.7
"""How often all sentences are gone through, the first step, which shrinks to none, and the weight of the labels."""

AXES = {
    **{"said": (1, "said"), "said_bias": (0, "said"), "is": (1, "numbers"), "is_bias": (0, "numbers")},
    **{"reading": (0, "readings"), "reading_query": (0, "readings"), "rows": (0, "rows")},
}
"""Which axis of which weights goes by names; those of other weights stand for nothing by themselves."""


def carried(nets: Networks, member: int, lists: Lists, seed: int) -> Arrays:
    """Return the weights of a network for other lists of names: what has a name it knew is as it was.

    Args:
        nets: The networks.
        member: Which of them.
        lists: What it shall know by name.
        seed: Of the weights of what is new.
    """
    old = {
        "rows": ["", *nets.place],
        "said": [*nets.meanings, *(f"={name}" for name in nets.answers)],
        "numbers": [*nets.numbers],
        "readings": [*nets.readings],
    }
    new = {
        "rows": ["", *lists.features],
        "said": [*lists.meanings, *(f"={name}" for name in lists.answers)],
        "numbers": lists.numbers,
        "readings": lists.readings,
    }
    weights = begin(lists, seed)
    for name in weights:
        was = nets.rows[member] if name == "rows" else nets.arrays[name][member]
        if name not in AXES:
            weights[name] = was.copy()
            continue
        axis, kind = AXES[name]
        known = {one: i for i, one in enumerate(old[kind])}
        both = [(i, known[one]) for i, one in enumerate(new[kind]) if one in known]
        to, of = ([pair[side] for pair in both] for side in (0, 1))
        np.moveaxis(weights[name], axis, 0)[to] = np.moveaxis(was, axis, 0)[of]
    return weights


def opinions(networks: Committee, said: Sequence[Example], lists: Lists) -> Arrays:
    """Return what the networks think together of sentences, as `teach_network.opinions` does for the teacher.

    Of what has a name that they do not know they think as the label does, or nothing where there is none.
    """
    found = {
        "said": np.zeros((len(said), len(lists.meanings) + len(lists.answers)), np.float16),
        "number": np.zeros((len(said), NUMBERS, len(lists.numbers)), np.float16),
        "way": np.zeros((len(said), WAYS, len(lists.ways)), np.float16),
    }
    for i, one in enumerate(said):
        length = next((some for some in LENGTHS if len(one.features) < some), LENGTHS[-1])
        seen = networks.encode(one.features[: length - 1], one.asked)
        meanings, answers = networks.of_whole(seen)
        for names, chances, right, first in (
            (lists.meanings, meanings, one.meanings, 0),
            (lists.answers, answers, one.answers, len(lists.meanings)),
        ):
            found["said"][i, first : first + len(names)] = [
                chances.get(name, float(one.labelled and name in right)) for name in names
            ]
        heads = [head - 1 for head, _ in numbers_at(one, lists, length)]
        shares_of = networks.of_numbers(seen, [*dict.fromkeys(heads)])
        for k, head in enumerate(heads):
            found["number"][i, k] = [shares_of[head].get(name, 0.0) for name in lists.numbers]
        for k, (at, reading, _) in enumerate(ways_at(one, lists, length)):
            shares = networks.of_direction(seen, reading, None if at == 0 else at - 1)
            found["way"][i, k] = [shares.get(way, 1.0 / len(lists.ways)) for way in lists.ways]
    return found


def _falling(steps: int) -> Any:
    return optax.linear_schedule(RATE, 0.0, steps)


def main() -> None:
    """Go on learning from all sentences, and write the networks."""
    if len(sys.argv) > 2:
        raise SystemExit(f"usage: {sys.argv[0]} [FOLDER]")
    out = Path(sys.argv[1]) if len(sys.argv) > 1 else OUT
    labelled, made = material()
    lists, said = lists_of(labelled), [*labelled, *made]
    print(f"{len(labelled)} sentences, {len(made)} made of them", flush=True)
    found = tables(said, lists, opinions(committee(), said, lists), LABELLED)
    nets = committee().members
    for member, (name, seed) in enumerate(SEEDS.items()):
        weights = carried(nets, member, lists, seed)
        write(out / f"{name}.npz", lists, learn(found, weights, seed, ROUNDS, _falling))


if __name__ == "__main__":
    main()
