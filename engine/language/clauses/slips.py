"""Slips of the finger and of the ear in the small words that numbers lean on: "5 thuo ovver", "ate thou", "hi side"."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cache, lru_cache

from rapidfuzz.distance import OSA

from askew.engine.language.numbers.unit_words import words
from askew.engine.language.numbers.whole_numbers import is_cardinal, number_words
from askew.engine.language.words.lexicon import lexicon
from askew.engine.language.words.spelling import swapped
from askew.engine.language.words.stems import stem
from askew.engine.language.words.tokens import Token
from askew.engine.language.words.word_tables import table, word_list

_SHORTEST = 4
"""Longer words may lack the g of their ending."""
_DOUBLED = re.compile(r"([a-z])\1")


def mended(tokens: Iterable[Token]) -> Iterable[Token]:
    """Yield the tokens, slips in small words set right: "5 thuo ovver thre inches"."""
    after = False
    for token in _heard(list(tokens)):
        made = token
        if token.kind == "word" and not _known(token.text):
            made = replace(token, text=_meant(token.text, after) or swapped(token.text) or token.text)
        yield made
        after = made.kind == "number" or made.text in ("half", "a", "couple", "few") or is_cardinal(made.text)


@dataclass(frozen=True, slots=True)
class _Sound:
    """A word written down by its sound: what was meant, and which words must stand or must not stand around it."""

    meant: str
    earlier: frozenset[str]
    prior: frozenset[str]
    following: frozenset[str]
    beyond: frozenset[str]
    never: frozenset[str]

    def fits(self, two_before: str, before: str, following: str, beyond: str) -> bool:
        """Tell whether the two words before it and the two after it call for what was meant."""
        wanted = (
            (self.earlier, two_before),
            (self.prior, before),
            (self.following, following),
            (self.beyond, beyond),
        )
        return before not in self.never and all(not words or word in words for words, word in wanted)


@cache
def _sounds() -> dict[str, tuple[_Sound, ...]]:
    """Return the ways in which each word may stand for another that sounds like it."""
    lists = table("clauses.toml")["dictated"]
    named: dict[str, frozenset[str]] = {
        name: frozenset(part.strip() for part in text.split(",")) for name, text in lists["words"].items()
    }

    def joined(names: str) -> frozenset[str]:
        return frozenset[str]().union(*(named.get(name, frozenset((name,))) for name in names.split()))

    return {
        typed: tuple(
            _Sound(
                str(row["meant"]),
                *(
                    joined(row.get(place, ""))
                    for place in ("earlier", "prior", "following", "beyond", "never")
                ),
            )
            for row in rows
        )
        for typed, rows in lists["sounds"].items()
    }


def _heard(tokens: Sequence[Token]) -> list[Token]:
    """Return the tokens, words that only sound like the one meant set right: "for thou", "the parallel is lose"."""
    made = list(tokens)
    for at, token in enumerate(tokens):
        if token.text not in _sounds() or token.kind != "word":
            continue
        around = [
            made[i].text if 0 <= i < len(made) else "^$"[i > at] for i in (at - 2, at - 1, at + 1, at + 2)
        ]
        meant: str | None = next((way.meant for way in _sounds()[token.text] if way.fits(*around)), None)
        if meant is not None:
            made[at] = replace(token, text=meant)
    return made


@lru_cache(maxsize=8192)
def _known(word: str) -> bool:
    return word in words().units or word in _closed() or stem(word) in lexicon().vocabulary


@lru_cache(maxsize=1)
def _closed() -> frozenset[str]:
    return number_words() | word_list("clauses.toml", "words", "closed")


@lru_cache(maxsize=8192)
def _meant(word: str, after_number: bool) -> str | None:
    """Return the word that was meant, None where that is not clear."""
    if len(word) > _SHORTEST and word.endswith("in") and _known(word + "g"):
        return word + "g"  # "sittin", "leanin"
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
