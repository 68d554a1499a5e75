"""The files of the lexicon as they stand: tables, lists of words, other spellings."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence, Set
from functools import cache
from importlib import resources
from typing import Any

from askew.engine.language.words.tokens import Token


@cache
def table(name: str) -> Mapping[str, Any]:
    """Return one file of the lexicon as it stands; it is parsed once and shared, so nobody may change it."""
    return _parsed("lexicon", name)


def _parsed(*path: str) -> dict[str, Any]:
    return tomllib.loads(resources.files("askew.knowledge").joinpath(*path).read_text(encoding="utf-8"))


@cache
def knowledge_rows(file: str) -> Mapping[str, Mapping[str, Any]]:
    """Return the tables of a file of the knowledge by their ids: what readings are told over, what checks give."""
    return {name: row for name, row in _parsed(file).items() if isinstance(row, dict)}


@cache
def forms() -> tuple[frozenset[str], Mapping[str, str]]:
    """Return the forms that are kept as they are, and other spellings of the same word."""
    rows = table("words.toml")
    return frozenset(items(rows["stems"]["kept"])), rows["spelt"]


def usual_words(tokens: Sequence[Token], stops: Set[str]) -> tuple[list[int], list[str]]:
    """Return the words of a message in their usual forms, as rows of words are matched, and where each stands.

    Args:
        tokens: The tokens of the message.
        stops: Marks that end what a row may span, each of them ""; other marks are left out.
    """
    usual = forms()[1]
    at = [index for index, token in enumerate(tokens) if token.kind != "mark" or token.text in stops]
    return at, ["" if tokens[i].kind == "mark" else usual.get(tokens[i].text, tokens[i].text) for i in at]


def items(text: str) -> list[str]:
    """Return the items of a list that is written with commas between, white space folded."""
    return [" ".join(item.split()) for item in text.split(",") if item.strip()]


def word_lists(texts: Mapping[str, str]) -> dict[str, frozenset[str]]:
    """Return lists of words that are written with commas between, by their names."""
    return {name: frozenset(items(text)) for name, text in texts.items()}


@cache
def dialect() -> Mapping[str, str]:
    """Return words written as they are spoken in some places, and the usual words for them."""
    return dict(table("words.toml")["dialect"])


@cache
def word_list(file: str, section: str, name: str) -> frozenset[str]:
    """Return a plain list of words of the lexicon."""
    return frozenset(items(table(file)[section][name]))


@cache
def short_answers() -> Mapping[str, Mapping[str, frozenset[str]]]:
    """Return, for each setup key, the words that pick each of its choices when it was asked for."""
    return {
        key: word_lists(choices)
        for key, choices in table("setup.toml")["answers"].items()
    }


@cache
def setup_lengths() -> frozenset[str]:
    """Return what the lengths of the setup are called."""
    return frozenset(table("setup.toml")["lengths"])


@cache
def joining() -> Mapping[str, float]:
    """Return the words that join clauses, and what it costs to read across them."""
    return {word: float(cost) for word, cost in table("clauses.toml")["joining"].items()}
