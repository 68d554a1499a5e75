"""Counted weights against the library that learned them, and what is counted of a message."""

from __future__ import annotations

from pathlib import Path
from types import ModuleType

import numpy as np
import pytest

from askew.engine.language.clauses.prepare import prepare
from askew.engine.language.counted import weights as counted_weights
from askew.engine.language.counted.features import direction_features, number_features, words_of
from askew.engine.language.counted.weights import weights
from askew.knowledge.load import load


@pytest.mark.parametrize("kind", ["meanings", "numbers", "answers", "directions"])
def test_chances_are_those_of_the_library_that_learned_them(
    kind: str, learning: ModuleType, labelled: ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Weights written and read again, beside scikit-learn's own logistic regression on its own counts."""
    said = [one for name in ("blind_a", "blind_g", "blind_h") for one in labelled.load(name)]
    examples = getattr(learning, kind)(said)
    monkeypatch.setattr(learning, "LEAST_WEIGHT", 0.0)
    learning.write(tmp_path / "some.npz", examples, 10.0)
    vectorizer, names, found, biases = learning.learn(examples, 10.0)
    monkeypatch.setattr(counted_weights, "files", lambda _: _Folder(tmp_path))
    ours = weights.__wrapped__("some")
    for features, _ in examples[:60]:
        score = (vectorizer.transform([features]) @ found + biases)[0]
        theirs = dict(zip(names, 1.0 / (1.0 + np.exp(-score)), strict=True))
        assert ours.named(features) == pytest.approx(theirs, abs=0.03)  # eight bits a weight
        name, share = ours.likeliest(features)
        assert share == pytest.approx(max(theirs.values()) / sum(theirs.values()), abs=0.05)
        assert theirs[name] == pytest.approx(max(theirs.values()), abs=0.03)


class _Folder:
    """A folder that has one file, wherever it is looked for."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def __truediv__(self, name: str) -> Path | _Folder:
        return self.path / name if name.endswith(".npz") else self


def test_every_class_is_one_that_the_knowledge_has() -> None:
    known = load()
    named = {*known.readings, *known.signs, *known.setup}
    assert {*weights("numbers").classes} <= named | {"over", "none"}
    assert {*weights("directions").classes} == {"+", "-", "?"}
    told = {name.lstrip("!$").partition(":")[0] for name in weights("answers").classes}
    assert told <= named | {*known.actions, *known.commands}
    for name in weights("answers").classes:
        sign, _, answer = name.partition(":")
        if sign in known.signs:
            assert answer in {*known.signs[sign].places, *known.signs[sign].evidence, "yes", "no", "unknown"}


def test_words_are_counted_alone_and_in_pairs_and_numbers_all_alike() -> None:
    assert words_of(prepare("open 4 thou")) == ["open", "#", "thou", "open #", "# thou"]
    assert words_of(prepare("open"), "step") == ["open", "?step"]


def test_what_stands_before_a_number_is_told_from_what_stands_after_it() -> None:
    message = prepare("jaw 4 thou bed. tall")
    features = number_features(message, message.prepared[0])
    assert {"b1:jaw", "b3:jaw", "b8:jaw", "a1:bed", "a3:bed", "u:thou"} <= {*features}
    assert "a8:tal" not in features  # another sentence
    assert {"w:tal", "nq:1", "iq:0"} <= {*features}


def test_a_direction_is_counted_with_the_reading_it_is_of() -> None:
    features = direction_features(prepare("it leans back"), "fixed_jaw_travel", "leans back")
    assert "fixed_jaw_travel&back" in features
    assert "back" in features


def test_a_message_without_a_known_word_has_the_chances_of_any() -> None:
    model = weights("bearing")
    assert model.chances(["zyxq"]) == pytest.approx(1.0 / (1.0 + np.exp(-model.bias)))
