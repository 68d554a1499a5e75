"""Learn from the labelled sentences what words tell by themselves, and write the weights of `knowledge/lexicon`.

`python tests/engine/language/learn_counted.py` takes minutes. It writes `bearing.npz` (what a message may be about),
`numbers.npz` (what a number in it is) and `answers.npz` (what was seen, chosen, done and asked for). The sets that
measure how the reader does on sentences it has not seen are left out. Run it after sentences or ids were added.
"""

from __future__ import annotations

import math
import os
import warnings
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import combinations
from pathlib import Path

import numpy as np
from labelled import DATA, UNSEEN, Labelled, chatter, load
from numpy.typing import NDArray
from scipy.sparse import csr_matrix
from sklearn.feature_extraction.text import TfidfVectorizer
from sklearn.linear_model import LogisticRegression

from askew.engine.language import Context
from askew.engine.language.clauses.prepare import prepare
from askew.engine.language.counted.features import (
    answer_features,
    direction_features,
    number_features,
    words_of,
)
from askew.engine.language.numbers.quantities import Quantity
from askew.engine.language.together.answers_told import answer_of
from askew.engine.language.together.bearing import meaning_of
from askew.engine.language.together.directions_told import direction_of
from askew.engine.observations import Observation, Reading, SetupFact, name_of

LEFT_OUT = (*UNSEEN, *os.environ.get("ASKEW_UNSEEN", "").split())
"""Sets that nothing is learned from."""

LEAST_WEIGHT = 0.3
"""Weights below this are left out: nine in ten, and what they tell together is little."""

ENOUGH = 8
"""Of a class that fewer sentences speak of nothing is learned."""

OUT = Path(__file__).parents[3] / "knowledge" / "lexicon"

_BARE = (0.0254, 0.00254, 25.4, 1.0, 0.001, 0.01)
"""mm. What a number without a unit may have been counted in."""

Example = tuple[list[str], frozenset[str]]
"""The features of one example, and the classes that are right for it."""


def sentences() -> list[Labelled]:
    """Return the labelled sentences that may be learned from, and every other line of the idle talk."""
    idle = [Labelled(line, Context(), (), False) for line in chatter()[::2]]
    names = (path.stem.removeprefix("utterances_") for path in sorted(DATA.glob("utterances_*.txt")))
    return [*idle, *(one for name in names if name not in (*LEFT_OUT, "chatter") for one in load(name))]


def meanings(said: Sequence[Labelled]) -> list[Example]:
    """Return the words of each sentence, and what it speaks of."""
    return [
        (words_of(prepare(one.text), one.context.asked), frozenset(meaning_of(fact) for fact in one.facts))
        for one in said
    ]


def answers(said: Sequence[Labelled]) -> list[Example]:
    """Return the words of each sentence, and what was seen, chosen, done and asked for in it."""
    return [
        (answer_features(prepare(one.text), one.context.asked), frozenset(filter(None, map(answer_of, one.facts))))
        for one in said
    ]


def numbers(said: Sequence[Labelled]) -> list[Example]:
    """Return what stands around each number of each sentence, and what the number is."""
    return [example for one in said for example in _numbers_in(one)]


def _numbers_in(one: Labelled) -> Iterator[Example]:
    message = prepare(one.text)
    left = [quantity for quantity in message.prepared if not quantity.box and not quantity.pronoun]
    told = {quantity.head: _uses(quantity, one.facts) for quantity in left}
    for pair in combinations([quantity for quantity in left if not told[quantity.head]], 2):
        for name in _between(*pair, one.facts):
            told.update({quantity.head: {name} for quantity in pair})
    for quantity in left:
        uses = told[quantity.head]
        strange = quantity.unit is not None and quantity.mm is None
        if len(uses) == 1 or (not uses and not strange):
            yield number_features(message, quantity, one.context.asked), frozenset(uses or {"none"})


def _uses(quantity: Quantity, facts: Sequence[Observation]) -> set[str]:
    """Return the names of the facts that a number is the value of, "over" where it is what one was taken over."""
    uses: set[str] = set()
    for fact in facts:
        if isinstance(fact, Reading):
            uses |= {fact.id} if fact.value is not None and _is(quantity, fact.value) else set()
            uses |= {"over"} if fact.over is not None and _is(quantity, fact.over) else set()
        elif isinstance(fact, SetupFact) and isinstance(fact.value, float):
            uses |= {fact.key} if _is(quantity, fact.value) else set()
        elif isinstance(fact, SetupFact) and fact.key == "passes":
            uses |= {fact.key} if quantity.unit is None and float(quantity.value) == fact.value else set()
    return uses


def _is(quantity: Quantity, mm: float) -> bool:
    if quantity.mm is not None:
        return math.isclose(abs(quantity.mm), abs(mm), rel_tol=0.02, abs_tol=1e-9)
    if quantity.unit is not None:
        return False
    size = abs(float(quantity.value))
    return any(math.isclose(size * unit, abs(mm), rel_tol=0.02, abs_tol=1e-9) for unit in _BARE)


def _between(one: Quantity, two: Quantity, facts: Sequence[Observation]) -> list[str]:
    """Return the readings that are the difference of two numbers: "4 at the left, 9 at the right"."""
    if one.unit is not None and two.unit is not None and one.unit != two.unit:
        return []
    unit = next((quantity for quantity in (one, two) if quantity.unit is not None), one)
    difference = replace(unit, value=abs(one.value - two.value))
    return [
        name_of(fact) for fact in facts if isinstance(fact, Reading) and fact.value and _is(difference, fact.value)
    ]


def directions(said: Sequence[Labelled]) -> list[Example]:
    """Return the words around each reading that has a number, and which way it goes."""
    return [example for one in said for example in _directions_in(one)]


def _directions_in(one: Labelled) -> Iterator[Example]:
    message = prepare(one.text)
    for fact in one.facts:
        way = direction_of(fact) if isinstance(fact, Reading) and fact.value is not None else None
        if way is None or not isinstance(fact, Reading) or fact.value is None:
            continue
        told = [quantity for quantity in message.prepared if _is(quantity, fact.value)]
        words = message.said(told[0].start, told[0].end) if told else ""
        yield direction_features(message, fact.id, words), frozenset({way})


def learn(
    examples: Sequence[Example], inverse_penalty: float
) -> tuple[TfidfVectorizer, list[str], NDArray[np.float64], NDArray[np.float64]]:
    """Return the counter of features, the classes, their weights (features, classes) and their biases."""
    vectorizer = TfidfVectorizer(analyzer=lambda features: features, sublinear_tf=True, min_df=2, use_idf=False)
    counted: csr_matrix = vectorizer.fit_transform([features for features, _ in examples])
    often = Counter(name for _, right in examples for name in right)
    classes = sorted(name for name, times in often.items() if times >= ENOUGH)
    found, biases = np.zeros((counted.shape[1], len(classes))), np.zeros(len(classes))
    for i, name in enumerate(classes):
        model = LogisticRegression(C=inverse_penalty, solver="liblinear", max_iter=300)
        model.fit(counted, [name in right for _, right in examples])
        found[:, i], biases[i] = model.coef_[0], model.intercept_[0]
    return vectorizer, classes, found, biases


def write(path: Path, examples: Sequence[Example], inverse_penalty: float) -> None:
    """Learn from examples and write the weights."""
    vectorizer, classes, found, biases = learn(examples, inverse_penalty)
    features = vectorizer.get_feature_names_out()
    found[np.abs(found) < LEAST_WEIGHT] = 0.0
    scale = np.abs(found).max() / 127.0
    kept = csr_matrix(np.round(found / scale))
    np.savez_compressed(
        path,
        features=np.frombuffer("\n".join(features).encode(), dtype=np.uint8),
        start=kept.indptr.astype(np.int32),
        column=kept.indices.astype(np.uint8),
        weight=kept.data.astype(np.int8),
        scale=np.float32(scale),
        bias=biases.astype(np.float32),
        classes=np.frombuffer("\n".join(classes).encode(), dtype=np.uint8),
    )
    sizes = f"{len(classes)} classes, {len(features)} features, {kept.nnz} weights"
    print(f"{path.name}: {len(examples)} examples, {sizes}")


def learn_all(said: Sequence[Labelled], out: Path = OUT) -> None:
    """Learn all there is to learn from sentences, and write it."""
    write(out / "bearing.npz", meanings(said), 1000.0)
    write(out / "numbers.npz", numbers(said), 100.0)
    write(out / "answers.npz", answers(said), 1000.0)
    write(out / "directions.npz", directions(said), 100.0)


if __name__ == "__main__":
    warnings.filterwarnings("ignore", category=FutureWarning)
    learn_all(sentences())
