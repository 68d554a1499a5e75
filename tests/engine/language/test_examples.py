"""What the networks learn from: examples of labelled sentences, what is made of them, and both as arrays."""

from __future__ import annotations

import random
from types import ModuleType

import numpy as np

from askew.engine.language import Context
from askew.engine.language.learned.inputs import MOST
from askew.engine.observations import Reading, Sign


def _said(examples: ModuleType, text: str, *facts: object, **context: str) -> object:
    return examples.Labelled(text, Context(**context), facts, False)


def test_a_number_is_what_its_fact_is_and_a_length_is_what_it_was_taken_over(examples: ModuleType) -> None:
    fact = Reading("step", 0.0508, over=101.6, unit="thou", words="")
    one = examples.example(_said(examples, "the right side is 2 thou high over 4 in", fact))
    assert [name for _, name in one.numbers] == ["step", "over"]
    assert one.tokens[one.numbers[0][0]] == "2"
    assert one.ways == ((one.numbers[0][0], "step", "+"),)
    assert one.meanings == {"step"}
    assert one.heads == tuple(head for head, _ in one.numbers)


def test_spliced_sentences_begin_as_one_and_end_as_another(examples: ModuleType) -> None:
    said = [
        _said(examples, f"{one} stands on the bench here, and {two} went home long ago")
        for one, two in (("fred", "anna"), ("otto", "mary"), ("carl", "ruth"))
    ]
    told = examples.spliced(said * 5, random.Random(1))
    assert told
    for one in told:
        assert one.text.count("went home long ago") == 1
        assert one.text.split()[0] in ("fred", "otto", "carl")
        assert not one.facts
    assert any(one.text not in {its.text for its in said} for one in told)


def test_what_was_asked_else_is_something_that_was_asked_somewhere(examples: ModuleType) -> None:
    said = [
        _said(examples, "yes", Sign("rubbing", "yes"), asked="rubbing"),
        *(_said(examples, "the nail catches on the line between", Sign("step_felt", "yes")) for _ in range(9)),
    ]
    told = examples.asked_else(said, random.Random(1))
    assert len(told) == round(len(said) * examples.ASKED_ELSE)
    assert {one.context.asked for one in told} == {"rubbing"}
    assert {one.facts for one in told} == {(Sign("step_felt", "yes"),)}


def _example(examples: ModuleType, **change: object) -> object:
    told = {
        **{"tokens": ["step", "4"], "features": [["step"], ["#", "u:thou"]], "asked": "rubbing", "labelled": True},
        **{"heads": (1,), "meanings": frozenset({"step"}), "answers": frozenset({"step:yes"})},
        **{"open": frozenset({"!recut"}), "numbers": ((1, "step"),), "ways": ((1, "step", "-"),)},
    }
    return examples.Example(**{**told, **change})


def test_examples_as_arrays(examples: ModuleType, tables: ModuleType) -> None:
    lists = tables.Lists(
        **{"features": ["#", "?rubbing", "step", "u:thou"], "meanings": ["!recut", "step"], "answers": ["step:yes"]},
        **{"numbers": ["over", "step"], "readings": ["step"]},
    )
    unlabelled = _example(examples, labelled=False)
    made = tables.arrays_of([_example(examples), unlabelled], lists, 4)
    assert made["ids"].shape == (2, 4, MOST)
    assert made["ids"][0, :3, :2].tolist() == [[2, 0], [3, 0], [1, 4]]
    assert made["said"].tolist() == [[0.0, 1.0, 1.0], [0.0, 0.0, 0.0]]
    assert made["counts"].tolist() == [[0.0, 1.0, 1.0], [0.0, 0.0, 0.0]]
    assert made["number_at"][:, 0].tolist() == [2, 2]
    assert made["number"][:, :2].tolist() == [[1, -1], [-1, -1]]
    assert (made["way_at"][0, 0], made["reading"][0, 0], made["way"][0, 0]) == (2, 0, 1)
    assert np.all(made["way"][:, 1:] == -1)


def test_only_what_is_told_of_often_enough_is_learned(examples: ModuleType, tables: ModuleType) -> None:
    often = [_example(examples)] * tables.ENOUGH
    seldom = [_example(examples, meanings=frozenset({"twist"}), features=[["rare"]])] * (tables.TWICE - 1)
    lists = tables.lists_of([*often, *seldom])
    assert lists.meanings == ["step"]
    assert lists.features == ["#", "?rubbing", "step", "u:thou"]
