"""The lists of words that tell one choice from another."""

from __future__ import annotations

from askew.engine.language.words.word_tables import word_list

LONG = 4
"""So many words in a phrase are seldom chance."""


def choosing_words(name: str) -> frozenset[str]:
    """Return a list of words of setup.toml's section `choosing`."""
    return word_list("setup.toml", "choosing", name)
