"""Learn from the labelled sentences which words bear on which meaning, and write `knowledge/lexicon/bearing.npz`.

`python tests/engine/language/learn_bearing.py` takes a minute or two. The sets that measure how the reader does on
sentences it has not seen are left out. Run it after sentences or ids were added.
"""

from __future__ import annotations

import warnings
from collections import Counter
from pathlib import Path

import numpy as np
from labelled import DATA, Labelled, load
from numpy.typing import NDArray
from scipy.sparse import csr_matrix
from sklearn.feature_extraction.text import TfidfVectorizer
from sklearn.linear_model import LogisticRegression

from askew.engine.language.clauses.prepare import prepare
from askew.engine.language.together.bearing import meaning_of, words_of

UNSEEN = ("final", "blind_i", "blind_k")
"""Sets that nothing may be learned from."""

INVERSE_PENALTY = 30.0
LEAST_WEIGHT = 0.3
"""Weights below this are left out: nine in ten, and what they tell together is little."""

ENOUGH = 10
"""Of a meaning that fewer sentences speak of nothing is learned, and it is not doubted."""

OUT = Path(__file__).parents[3] / "knowledge" / "lexicon" / "bearing.npz"


def sentences() -> list[Labelled]:
    """Return the labelled sentences that may be learned from."""
    names = (path.stem.removeprefix("utterances_") for path in sorted(DATA.glob("utterances_*.txt")))
    return [one for name in names if name not in (*UNSEEN, "chatter") for one in load(name)]


def truths(said: list[Labelled]) -> tuple[list[str], NDArray[np.bool_]]:
    """Return the meanings, and which of them each sentence speaks of, (sentences, meanings)."""
    meant = [{meaning_of(fact) for fact in one.facts} for one in said]
    often = Counter(name for there in meant for name in there)
    names = sorted(name for name, times in often.items() if times >= ENOUGH)
    return names, np.array([[name in there for name in names] for there in meant])


def learn(said: list[Labelled]) -> tuple[TfidfVectorizer, list[str], NDArray[np.float64], NDArray[np.float64]]:
    """Return the counter of words, the meanings, their weights (words, meanings) and their biases."""
    vectorizer = TfidfVectorizer(analyzer=lambda words: words, sublinear_tf=True, min_df=2)
    counted: csr_matrix = vectorizer.fit_transform(
        [words_of(prepare(one.text), one.context.asked) for one in said]
    )
    names, truth = truths(said)
    weights, biases = np.zeros((counted.shape[1], len(names))), np.zeros(len(names))
    for i in range(len(names)):
        model = LogisticRegression(C=INVERSE_PENALTY, solver="liblinear", max_iter=300).fit(counted, truth[:, i])
        weights[:, i], biases[i] = model.coef_[0], model.intercept_[0]
    return vectorizer, names, weights, biases


def write(path: Path, said: list[Labelled]) -> None:
    """Learn from sentences and write the weights."""
    vectorizer, names, weights, biases = learn(said)
    words = vectorizer.get_feature_names_out()
    weights[np.abs(weights) < LEAST_WEIGHT] = 0.0
    scale = np.abs(weights).max() / 127.0
    kept = csr_matrix(np.round(weights / scale))
    np.savez_compressed(
        path,
        words=np.frombuffer("\n".join(words).encode(), dtype=np.uint8),
        idf=vectorizer.idf_.astype(np.float16),
        start=kept.indptr.astype(np.int32),
        column=kept.indices.astype(np.uint8),
        weight=kept.data.astype(np.int8),
        scale=np.float32(scale),
        bias=biases.astype(np.float32),
        meanings=np.frombuffer("\n".join(names).encode(), dtype=np.uint8),
    )
    print(f"{len(said)} sentences, {len(names)} meanings, {len(words)} words, {kept.nnz} weights: {path.name}")


if __name__ == "__main__":
    warnings.filterwarnings("ignore", category=FutureWarning)
    write(OUT, sentences())
