"""Misspelt words as the rows of words write them: "haed" is the "head" of a row, "folow" its "follow"."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache, lru_cache

from rapidfuzz.distance import OSA

from askew.engine.language.words.stems import stem
from askew.engine.language.words.word_tables import items, table

_FILES = (("deeds.toml", "deeds"), ("seen.toml", "seen"), ("set_up.toml", "set_up"), ("lengths_told.toml", "told"))
_FARTHEST = 2
"""So many letters may be wrong: a word that was only led back to the same stem is another."""


@lru_cache(maxsize=4096)
def as_in_rows(typed: str, meant: str) -> str:
    """Return a word as rows write it where it was respelled, else as it was typed.

    Args:
        typed: The word as typed.
        meant: The stem that it was taken for; that of the word itself where it is no slip.
    """
    if not meant or stem(typed) == meant:
        return typed
    known = _by_stem().get(meant, ())
    if typed in known or not known:
        return typed
    best = min(known, key=lambda word: (OSA.distance(typed, word), word))
    return best if OSA.distance(typed, best) <= _FARTHEST else typed


@cache
def _by_stem() -> Mapping[str, tuple[str, ...]]:
    """Return the words of all rows by their stems."""
    made: dict[str, set[str]] = {}
    for file, kind in _FILES:
        for word in _words(table(file), kind):
            made.setdefault(stem(word), set()).add(word)
    return {key: tuple(sorted(words)) for key, words in made.items()}


def _words(lists: Mapping[str, Mapping[str, object]], kind: str) -> Iterator[str]:
    """Yield the words of the classes and of the rows of one file."""
    classes = lists["classes"]
    for text in classes.values():
        yield from (word for word in items(str(text)) if word.isalpha())
    for told in lists[kind].values():
        ways = told["ways"] if isinstance(told, Mapping) else ()
        for way in ways:
            said = {word for part in way.split() for word in part.split("|")}
            yield from (word for word in said if word.isalpha() and word not in classes)
