"""Learn anew which facts are told of this job (`engine/language/together/of_this_job.py`).

    pip install -e '.[learn]'
    python tests/engine/language/learn_verifier.py [FOLDER]

It takes two minutes. Everything that is heard in the sentences of `labelled.JUDGED` is an example: right where it is
labelled, wrong where nothing of the kind is. Where it is only mistaken for another size of the same, it is none. The
networks never learn from these sentences, for what they think of them must be what they think of a stranger's. Some of
those that they did learn from are examples, too, so that more of how people talk is known. Learn it anew after the
networks, and after the rules changed much.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np
from examples import sentences
from labelled import JUDGED, Labelled, follows, load, matched, name_of
from scipy.sparse import csr_matrix, hstack
from sklearn.feature_extraction import DictVectorizer
from sklearn.linear_model import LogisticRegression

from askew.engine.language import read
from askew.engine.language.clauses.prepare import prepare
from askew.engine.language.learned.verifier import Evidence, Verifier, checksum, of_names, shipped
from askew.engine.language.together.of_this_job import evidence_of
from askew.engine.observations import Command

OUT = Path(__file__).parents[3] / "knowledge" / "lexicon"

EACH = 3
"""Of the sentences that the networks learned from every third is learned from."""

OFTEN = 3
"""What fewer examples have is not learned from."""

STRENGTH = 0.1
"""How little weights are held towards nothing (C of scikit-learn)."""

SEEN = 0.1
"""How large the numbers are that the networks make of words: the smaller, the less they count beside named ones."""

LEAST = 0.04
"""Smaller weights are left out: they change next to nothing."""


def examples(said: Sequence[Labelled]) -> Iterator[tuple[Evidence, bool]]:
    """Yield the evidence of each fact heard in sentences, and whether it was told."""
    for one in said:
        heard = read(one.text, one.context)
        message = prepare(one.text)
        names = {name_of(fact) for fact in one.facts}
        for fact, same in matched((*heard.facts, *heard.aside), one.facts):
            if same is None and (follows(fact, one.facts) or name_of(fact) in names):
                continue
            if not isinstance(fact, Command):
                yield evidence_of(message, fact, one.context.asked), same is not None


def learn(found: Sequence[tuple[Evidence, bool]]) -> Verifier:
    """Return the verifier that tells what was told from what was not."""
    times = Counter(name for evidence, _ in found for name in evidence.all_named())
    vectors = DictVectorizer(dtype=np.float32)
    named = vectors.fit_transform(
        {name: value for name, value in each.all_named().items() if times[name] >= OFTEN} for each, _ in found
    )
    seen = np.array([each.seen for each, _ in found])
    mean, scale = seen.mean(0), SEEN / (seen.std(0) + 1e-6)
    model = LogisticRegression(C=STRENGTH, max_iter=5000)
    model.fit(hstack([named, csr_matrix((seen - mean) * scale)]).tocsr(), [told for _, told in found])
    weights, looks = np.split(model.coef_[0], [len(vectors.feature_names_)])
    kept = {name: float(it) for name, it in zip(vectors.feature_names_, weights, strict=True) if abs(it) >= LEAST}
    looks = looks * scale
    return of_names(kept, looks.astype(np.float32), float(model.intercept_[0] - looks @ mean), checksum())


def main() -> None:
    """Learn from all that is heard in the sentences, and write the verifier."""
    if len(sys.argv) > 2:
        raise SystemExit(f"usage: {sys.argv[0]} [FOLDER]")
    out = Path(sys.argv[1]) if len(sys.argv) > 1 else OUT
    said = [one for name in JUDGED for one in load(name)]
    found = [*examples([*said, *sentences()[::EACH]])]
    print(f"{len(found)} facts heard, {sum(not told for _, told in found)} of them not told", flush=True)
    one, path = learn(found), out / "verifier.npz"
    np.savez_compressed(path, **shipped(one))
    weights = len(one.named) + sum(map(len, one.words.values()))
    print(f"{path.name}: {weights} weights, {path.stat().st_size / 1e3:.0f} kB")


if __name__ == "__main__":
    main()
