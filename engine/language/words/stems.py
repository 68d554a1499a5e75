"""Stems: the same word in another form comes out the same."""

from __future__ import annotations

from functools import lru_cache

from askew.engine.language.words.word_tables import forms


@lru_cache(maxsize=20_000)
def stem(word: str) -> str:
    """Return the word without apostrophes and common endings.

    A light stemmer of a few suffixes: a full one costs ten times the time, and all that counts here is that
    the same word in another form comes out the same.
    """
    text = word.removesuffix("'s").replace("'", "")
    kept, spelt = forms()
    if text in kept:
        return text
    text = spelt.get(text, text)
    if text in kept:
        return text
    if len(text) > 5 and text.endswith("ing"):
        text = text[:-3]
    elif len(text) > 4 and text.endswith("ied"):
        text = text[:-3] + "y"
    elif len(text) > 4 and text.endswith("ed"):
        text = text[:-2]
    elif len(text) > 4 and text.endswith("ies"):
        text = text[:-3] + "y"
    elif len(text) > 3 and text.endswith("s") and not text.endswith("ss"):
        text = text[:-1]
    if len(text) > 3 and text.endswith("e"):
        text = text[:-1]
    if len(text) > 3 and text[-1] == text[-2] and text[-1] not in "eo":
        text = text[:-1]
    return text


def stems_of(phrase: str) -> tuple[str, ...]:
    """Return the stems of the words of a phrase, those joined by a hyphen one by one unless they begin with a digit."""
    words = (part for word in phrase.split() for part in ([word] if word[0].isdigit() else word.split("-")))
    return tuple(stem(word) for word in words if word)
