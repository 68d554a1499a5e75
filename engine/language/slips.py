"""Slips of the finger in the small words that numbers lean on: units, numbers in words, "over", "about"."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from functools import lru_cache

from rapidfuzz.distance import OSA

from askew.engine.language.lexicon import lexicon
from askew.engine.language.stems import stem
from askew.engine.language.tokens import Token
from askew.engine.language.unit_words import words
from askew.engine.language.whole_numbers import is_cardinal, number_words
from askew.engine.language.word_tables import word_list

_DOUBLED = re.compile(r"([a-z])\1")


def mended(tokens: Iterable[Token]) -> Iterable[Token]:
    """Yield the tokens, slips in small words set right: "5 thuo ovver thre inches"."""
    after = False
    for token in tokens:
        made = token
        if token.kind == "word" and not _known(token.text):
            made = replace(token, text=_meant(token.text, after) or token.text)
        yield made
        after = made.kind == "number" or made.text in ("half", "a", "couple", "few") or is_cardinal(made.text)


@lru_cache(maxsize=8192)
def _known(word: str) -> bool:
    return word in words().units or word in _closed() or stem(word) in lexicon().vocabulary


@lru_cache(maxsize=1)
def _closed() -> frozenset[str]:
    return number_words() | word_list("clauses.toml", "words", "closed")


@lru_cache(maxsize=8192)
def _meant(word: str, after_number: bool) -> str | None:
    """Return the word that was meant, None where that is not clear."""
    for at in (found.start() for found in _DOUBLED.finditer(word)):
        single = word[:at] + word[at + 1 :]
        if _known(single):
            return single
    if after_number and len(word) >= 3:
        units = words().units
        near = [unit for unit in units if len(unit) >= 4 and OSA.distance(word, unit) == 1]
        if near and len({units[unit] for unit in near}) == 1:
            return near[0]
    if len(word) < 3 or not word.isalpha():
        return None
    near = [small for small in _closed() if len(small) >= 4 and _slipped(word, small)]
    return near[0] if len(near) == 1 else None


def _slipped(typed: str, meant: str) -> bool:
    """Tell whether two letters were swapped or one was left out, the first one being right."""
    if typed[0] != meant[0] or OSA.distance(typed, meant) != 1:
        return False
    return len(typed) == len(meant) - 1 or sorted(typed) == sorted(meant)
