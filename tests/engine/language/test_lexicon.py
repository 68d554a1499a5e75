"""The lexicon agrees with the knowledge it speaks of, and with itself."""

from __future__ import annotations

import tomllib
from importlib import resources
from typing import Any

import pytest

from askew.engine.language.words.lexicon import lexicon
from askew.engine.language.words.spelling import respell
from askew.engine.language.words.stems import stem
from askew.engine.language.words.word_tables import table


def known(name: str) -> dict[str, Any]:
    text = resources.files("askew.knowledge").joinpath(f"{name}.toml").read_text(encoding="utf-8")
    return {key: row for key, row in tomllib.loads(text).items() if isinstance(row, dict)}


def test_every_reading_sign_and_action_can_be_said() -> None:
    meanings = lexicon().meanings.values()
    for kind, name in (("reading", "readings"), ("sign", "signs"), ("action", "actions")):
        ids = {meaning.id for meaning in meanings if meaning.kind == kind and not meaning.members}
        assert ids == set(known(name)), kind


def test_every_place_of_a_sign_can_be_said() -> None:
    for name, row in known("signs").items():
        said = {place for place, _ in lexicon().meanings[name].places} | {lexicon().meanings[name].none}
        assert set(row.get("places", ())) <= said, name


def test_setup_keys_and_choices_agree() -> None:
    rows, setup = table("setup.toml"), known("setup")
    helpers = {"cube", "square_section", "sweep_radius"}
    assert set(rows["lengths"]) - helpers == {key for key, row in setup.items() if row["kind"] == "length"}
    for key, choices in rows["choices"].items():
        if setup[key]["kind"] == "choice":
            assert set(choices) == set(setup[key]["choices"]), key
        else:
            assert set(choices) == {"true", "false"}, key
    said = set(rows["lengths"]) | set(rows["choices"]) | {"passes", "instruments", "cutters", "leaves"}
    assert set(setup) <= said


def test_instruments_and_commands_agree() -> None:
    assert set(table("setup.toml")["instruments"]) == set(known("instruments"))
    # The others take a sentence of their own and are heard by the consultation.
    assert {name for name, *_ in lexicon().commands} | {"cannot", "dont_know"} <= set(known("commands"))


def test_every_word_that_a_meaning_asks_for_is_defined() -> None:
    defined = {phrase.name for phrases in lexicon().phrases.values() for phrase in phrases} | {"qty", "sizes"}
    assert not set(lexicon().bits) - defined
    for name, implied in lexicon().implies.items():
        assert {name, *implied} <= defined


def test_members_of_families_exist() -> None:
    for meaning in lexicon().meanings.values():
        assert set(meaning.members) <= set(lexicon().meanings)


@pytest.mark.parametrize(
    "forms",
    [
        ("tighten", "tightened", "tightens", "tightening"),
        ("vise", "vice", "vises"),
        ("face", "faces", "faced"),
        ("don't", "dont"),
    ],
)
def test_forms_of_a_word_have_one_stem(forms: tuple[str, ...]) -> None:
    assert len({stem(form) for form in forms}) == 1


def test_words_that_must_stay_apart() -> None:
    assert stem("ends") != stem("end")
    assert stem("locked") != stem("lock")
    assert stem("quite") != stem("quit")


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("veritcal", "vertical"),
        ("indicater", "indicator"),
        ("tigthening", "tighten"),
    ],
)
def test_misspelt_words_are_recognised(typed: str, meant: str) -> None:
    assert stem(respell([stem(typed)])[0]) in (stem(meant), stem(typed))
    assert respell([stem(typed)])[0] in lexicon().vocabulary


@pytest.mark.parametrize("word", ["bread", "coffee", "tomorrow", "lathe", "please"])
def test_everyday_words_are_left_alone(word: str) -> None:
    assert respell([stem(word)]) == [stem(word)]
