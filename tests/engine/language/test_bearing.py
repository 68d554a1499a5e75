"""What messages may be about by counted words, against scikit-learn and by what strangers said."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest

from askew.engine.language import Context, read
from askew.engine.language.clauses.prepare import prepare
from askew.engine.language.together import bearing as words_bear
from askew.engine.language.together.bearing import bearing, chances, likely, meaning_of, unlikely, words_of
from askew.engine.observations import Action, Command, Reading, SetupFact
from askew.knowledge.load import load


@pytest.fixture(scope="module")
def learning(labelled: ModuleType) -> ModuleType:
    sys.modules.setdefault("labelled", labelled)
    path = Path(__file__).with_name("learn_bearing.py")
    spec = importlib.util.spec_from_file_location("learn_bearing", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_every_meaning_is_one_that_the_knowledge_has() -> None:
    known = load()
    named = {*known.readings, *known.signs, *(f"{key}:=" for key in known.setup)}
    named |= {f"!{name}" for name in known.actions} | {f"${name}" for name in known.commands}
    assert {name.removesuffix("0") for name in bearing().meanings} <= named
    assert len(bearing().meanings) > 120


def test_chances_are_those_of_the_library_that_learned_them(
    learning: ModuleType, labelled: ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Weights written and read again, beside scikit-learn's own logistic regression on its own counts."""
    said = labelled.load("blind_a") + labelled.load("blind_g")
    monkeypatch.setattr(learning, "LEAST_WEIGHT", 0.0)
    learning.write(tmp_path / "bearing.npz", said)
    vectorizer, names, weights, biases = learning.learn(said)
    monkeypatch.setattr(words_bear, "files", lambda _: _Folder(tmp_path))
    ours = bearing.__wrapped__()
    for one in said[:60]:
        counted = words_of(prepare(one.text), one.context.asked)
        score = (vectorizer.transform([counted]) @ weights + biases)[0]
        theirs = dict(zip(names, 1.0 / (1.0 + np.exp(-score)), strict=True))
        assert ours.chances(counted) == pytest.approx(theirs, abs=0.02)  # eight bits a weight


class _Folder:
    """A folder that has one file, wherever it is looked for."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def __truediv__(self, name: str) -> Path | _Folder:
        return self.path / name if name.endswith(".npz") else self


def test_what_the_words_do_not_speak_of_is_not_heard() -> None:
    message = prepare("the corner is open by 4 thou against the reference face")
    far, near = Reading("runout", 0.1, words="4 thou"), Reading("face_out_of_square", 0.1, words="4 thou")
    assert unlikely(message, [far, near], Context()) == [far]
    assert unlikely(message, [far], Context(asked="runout")) == []


def test_what_was_asked_for_makes_a_bare_answer_likely() -> None:
    message = prepare("yes behind the fixed jaw")
    assert chances(message, "chip_found")["chip_found"] > chances(message)["chip_found"]


def test_names_tell_the_kinds_apart() -> None:
    assert meaning_of(Action("recut")) == "!recut"
    assert meaning_of(Command("why")) == "$why"
    assert meaning_of(SetupFact("wall", 5.0)) == "wall:="
    assert meaning_of(SetupFact("wall", 0.0)) == "wall:=0"
    assert meaning_of(SetupFact("overrun", False)) == "overrun:="
    assert meaning_of(Reading("step", 0.1)) == "step"


def test_a_message_of_strange_words_is_likely_about_nothing() -> None:
    assert likely(prepare("zyxq blorf the qwert flumph"), Context()) == []


@pytest.mark.parametrize(
    "said",
    [
        "I have not slipped any shim in under the column",
        "tomorrow I will swap the old cutter for a new one",
        "should I clean it and grip it again?",
        "the parallel universe theory",
    ],
)
def test_counted_words_do_not_make_a_deed_of_what_was_not_done(said: str) -> None:
    assert not [fact for fact in read(said).facts if isinstance(fact, Action)]


@pytest.mark.parametrize(
    "said",
    [
        "I faced a solid 3 inch cube of mild steel and it is 15 thou out of square over 3 inches",
        "it is a solid block of brass, 60 mm tall",
        "solid right through",
    ],
)
def test_solid_work_is_heard_wherever_it_is_told(said: str) -> None:
    assert SetupFact("wall", 0.0) in [SetupFact(f.key, f.value) for f in read(said).facts if isinstance(f, SetupFact)]


def test_in_a_long_message_each_fact_is_held_to_the_words_around_it(
    labelled: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Four sentences told in one go: little of what they tell is refused for what the others speak of."""
    alone = [one for one in labelled.load("blind_h") if not one.context.asked and not one.context.last and one.facts]
    together = [
        labelled.Labelled(". ".join(one.text for one in four), Context(), sum((one.facts for one in four), ()), False)
        for four in zip(*[iter(alone)] * 4, strict=False)
    ]
    with_it = labelled.score(together)
    monkeypatch.setattr(words_bear, "HARDLY", 0.0)
    without = labelled.score(together)
    assert with_it.recall > without.recall - 0.03
    assert with_it.precision > without.precision
    assert with_it.invented < 0.7 * without.invented
