"""Everything the language knows, loaded once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from askew.engine.language.words.meanings import Meaning, Way, each_bit, foreign_words, weight_of
from askew.engine.language.words.phrase_book import PhraseBook, add_setup, read_meaning
from askew.engine.language.words.phrase_forms import CONCEPT, Phrase
from askew.engine.language.words.stems import stem
from askew.engine.language.words.word_tables import forms, items, table


@dataclass(frozen=True, slots=True)
class Lexicon:
    """Everything the language knows.

    Attributes:
        bits: Bit of each word-concept.
        weights: Weight of each bit's position.
        phrases: First stem to the phrases that may begin with it. Phrases hide shorter ones in the same room.
        meanings: Readings, signs and actions.
        starters: Bit of a word to the (meaning, way) pairs that need it first.
        vocabulary: All stems that are known, the everyday ones included.
        everyday: The stems that are known only as everyday words.
        shop: The stems that misspelt words may be taken for, by length.
        implies: Further words that a word stands for.
        commands: Command id, the word that asks for it, and whether only before a term of the trade; in order.
        alone: What asks for a command only where nothing else is said, and the command.
        loose: Command id and what must be named for it in any order, False for what must not.
        senses: What each single word stands for.
        foreign: For each reading, the words that name some other matter, so that no answer to it holds them.
    """

    bits: Mapping[str, int]
    weights: Mapping[int, float]
    phrases: Mapping[str, tuple[Phrase, ...]]
    meanings: Mapping[str, Meaning]
    starters: Mapping[int, tuple[tuple[Meaning, Way], ...]]
    vocabulary: frozenset[str]
    everyday: frozenset[str]
    shop: Mapping[int, tuple[str, ...]]
    implies: Mapping[str, tuple[str, ...]]
    commands: tuple[tuple[str, str, bool], ...]
    alone: Mapping[str, str]
    loose: tuple[tuple[str, tuple[tuple[frozenset[str], bool], ...]], ...]
    senses: Mapping[str, frozenset[str]]
    foreign: Mapping[str, int]


@cache
def lexicon() -> Lexicon:
    """Return the lexicon, loaded at the first call."""
    book = PhraseBook()
    words, asked = table("words.toml"), table("commands.toml")
    actions = dict(table("actions.toml"))
    action_words = actions.pop("words")
    _add_words(book, words, action_words)
    readings = table("readings.toml")
    rows = (("reading", readings), ("sign", table("signs.toml")), ("action", actions))
    meanings = {
        name: read_meaning(book, name, "ignore" if name.startswith("_") else kind, row)
        for kind, table_rows in rows
        for name, row in table_rows.items()
    }
    add_setup(book, table("setup.toml"))
    for name, text in asked["concepts"].items():
        book.add(f"{CONCEPT}{name}", f"{CONCEPT}{name}", items(text))
    everyday = {stem(word) for text in table("common.toml").values() for word in text.split()}
    usual = dict.fromkeys(action_words, 1.5)
    weights = {bit: float(words["weights"].get(name, usual.get(name, 1.0))) for name, bit in book.bits.items()}
    return Lexicon(
        bits=book.bits,
        weights=weights,
        phrases={first: tuple(found) for first, found in book.phrases.items()},
        meanings=meanings,
        starters=_starters(meanings, weights),
        vocabulary=frozenset(book.vocabulary | everyday),
        everyday=frozenset(everyday - book.vocabulary),
        shop=_by_length(book.vocabulary),
        implies={name: tuple(items(text)) for name, text in words["implies"].items()},
        commands=_commands(asked),
        alone={phrase: name for name in asked["order"] for phrase in items(asked[name].get("alone", ""))},
        loose=_loose_commands(asked),
        senses={
            word: frozenset(phrase.name for phrase in found if phrase.plain == (word,))
            for word, found in book.phrases.items()
        },
        foreign={
            name: foreign_words(meaning, book.bits, words["implies"], readings[name].get("foreign", ()))
            for name, meaning in meanings.items()
            if meaning.kind == "reading"
        },
    )


def _add_words(book: PhraseBook, words: Mapping[str, Any], action_words: Mapping[str, str]) -> None:
    """Add the words that meanings are told with, those that stand aside and those of what was done."""
    for name, text in words["words"].items():
        book.bit(name)
        book.add("words", name, items(text))
    for name, text in words["aside"].items():
        book.bit(name)
        book.add(f"aside:{name}", name, items(text))
    for name, text in action_words.items():
        book.bit(name)
        book.add("actions", name, items(text))


def _starters(
    meanings: Mapping[str, Meaning], weights: Mapping[int, float]
) -> dict[int, tuple[tuple[Meaning, Way], ...]]:
    """Return the meanings and ways by a bit that each way must have, the heaviest of the rarest."""
    starters: dict[int, list[tuple[Meaning, Way]]] = {}
    for meaning in meanings.values():
        for way in meaning.when:
            rarest = max(way.must, key=lambda mask: weight_of(mask, weights) / mask.bit_count())
            for bit in each_bit(rarest):
                starters.setdefault(bit, []).append((meaning, way))
    return {bit: tuple(ways) for bit, ways in starters.items()}


def _by_length(vocabulary: set[str]) -> dict[int, tuple[str, ...]]:
    """Return the stems, and other spellings of them, that misspelt words may be taken for, by length."""
    shop: dict[int, list[str]] = {}
    spellings = {other for other, usual in forms()[1].items() if stem(usual) in vocabulary}
    for known in sorted(vocabulary | spellings):
        if len(known) >= 4 and known.isalpha():
            shop.setdefault(len(known), []).append(known)
    return {size: tuple(found) for size, found in shop.items()}


def _commands(asked: Mapping[str, Any]) -> tuple[tuple[str, str, bool], ...]:
    """Return each command with the word that asks for it, and whether only before a term of the trade."""
    return tuple(
        (name, asked[name][kind], kind == "before_a_term")
        for name in asked["order"]
        for kind in ("words", "before_a_term")
        if kind in asked[name]
    )


def _loose_commands(
    asked: Mapping[str, Any],
) -> tuple[tuple[str, tuple[tuple[frozenset[str], bool], ...]], ...]:
    """Return each command with what must be named for it in any order, False for what must not."""
    return tuple(
        (name, tuple((frozenset(term.lstrip("!").split("|")), term[0] != "!") for term in way.split()))
        for name in asked["order"]
        for way in asked[name].get("loose", ())
    )
