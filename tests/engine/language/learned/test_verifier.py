"""The verifier against its formula and scikit-learn, and whether it was learned beside the networks that ship."""

from __future__ import annotations

import io
import math
import random
from types import ModuleType

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from askew.engine.language.learned.verifier import (
    MOST,
    Evidence,
    Verifier,
    checksum,
    read_verifier,
    shipped,
    verifier,
)

NOTHING = np.zeros(2, np.float32)
numbers = st.floats(-50.0, 50.0, width=16)
names = st.text(st.characters(exclude_characters="\n\t", codec="utf-8"), min_size=1)
named = st.dictionaries(names, numbers, min_size=1)


def test_the_chance_is_that_of_a_logistic_regression() -> None:
    one = Verifier({"his": -2.0, "mine": 1.5}, {"in": {"was": -0.5}}, np.array([0.5, -1.0], np.float32), 0.25)
    words = [("in", ["was", "open", "was"]), ("nowhere", ["was"])]  # a word counts once where it stands
    evidence = Evidence({"his": 1.0, "mine": 2.0, "of no name here": 9.0}, words, np.array([2.0, 1.0], np.float32))
    assert one.chance(evidence) == pytest.approx(1.0 / (1.0 + math.exp(-(0.25 - 2.0 + 3.0 - 0.5 + 1.0 - 1.0))))


@given(named, numbers)
def test_a_chance_is_a_chance_and_the_order_of_evidence_does_not_matter(weights: dict[str, float], bias: float) -> None:
    one = Verifier(weights, {"in": weights}, NOTHING, bias)
    told = list(dict.fromkeys(weights, 7.0).items())
    chance = one.chance(Evidence(dict(told), [("in", [*weights])], NOTHING))
    assert 1.0 / (1.0 + math.exp(MOST)) <= chance <= 1.0 / (1.0 + math.exp(-MOST))
    random.Random(1).shuffle(told)
    assert one.chance(Evidence(dict(told), [("in", [name for name, _ in told])], NOTHING)) == chance


@given(named, numbers)
def test_a_verifier_is_read_as_it_was_shipped(weights: dict[str, float], bias: float) -> None:
    file = io.BytesIO()
    one = Verifier(weights, {"near before": weights}, np.array([0.5, -2.0], np.float32), bias, 7)
    np.savez_compressed(file, **shipped(one))
    file.seek(0)
    again = read_verifier(file)
    assert (again.named, again.words, again.bias, again.networks) == (weights, {"near before": weights}, bias, 7)
    assert again.seen.tolist() == [0.5, -2.0]


def test_the_verifier_that_ships_was_learned_beside_the_networks_that_ship() -> None:
    assert verifier().networks == checksum(), "Learn the verifier anew: tests/engine/language/learn_verifier.py"


def test_what_is_learned_gives_the_chances_of_scikit_learn(verifying: ModuleType) -> None:
    linear = pytest.importorskip("sklearn.linear_model")
    draw = np.random.default_rng(3)
    found = []
    for _ in range(300):
        theirs, seen = bool(draw.random() < 0.5), draw.standard_normal(3).astype(np.float32)
        told = bool(draw.random() < 1 / (1 + math.exp(2.0 * theirs - seen[0])))
        found.append((Evidence({"his": float(theirs), "size": float(seen[2])}, [], seen), told))
    one = verifying.learn(found)
    seen = np.array([each.seen for each, _ in found])
    part = (seen - seen.mean(0)) / (seen.std(0) + 1e-6) * verifying.SEEN
    whole = np.hstack([[[each.named["his"], each.named["size"]] for each, _ in found], part])
    model = linear.LogisticRegression(C=verifying.STRENGTH, max_iter=5000).fit(whole, [told for _, told in found])
    expected = model.predict_proba(whole)[:, 1]
    assert [one.chance(each) for each, _ in found] == pytest.approx(expected, abs=0.02)
    theirs, mine = (one.chance(Evidence({"his": his}, [], seen.mean(0))) for his in (1.0, 0.0))
    assert theirs < 0.4 < mine
    assert one.networks == checksum()
