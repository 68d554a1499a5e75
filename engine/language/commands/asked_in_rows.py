"""Commands by the words that matter in their order, with others between: "set this check aside for the moment"."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from askew.engine.language.clauses.message import Message
from askew.engine.language.commands.doubts import tells_a_number
from askew.engine.language.words.gapped import Row, found, row
from askew.engine.language.words.word_tables import forms, items, table

_LONGEST = 32
"""So many words a message may have to be no more than a wish."""
_MEASURED = {"live_with", "what_if"}
"""What may name a number."""
_STOPS = {".", "!", "?", ";", ":"}


@cache
def _rules() -> Mapping[str, tuple[tuple[int, str, frozenset[str], Row], ...]]:
    """Return the commands with each of their rows, by every word that the row may begin with."""
    lists = table("bidden.toml")
    classes = {name: frozenset(items(text)) for name, text in lists["classes"].items()}
    refused = {name: frozenset(items(text)) for name, text in lists["never"].items()}
    begins: dict[str, list[tuple[int, str, frozenset[str], Row]]] = {}
    for number, (name, asked) in enumerate(lists["asked"].items()):
        never = frozenset[str]().union(*(refused[each] for each in asked.get("never", ())))
        for text in asked["ways"]:
            way = row(text, classes)
            for word in way.steps[0][0]:
                begins.setdefault(word, []).append((number, name, never, way))
    return {word: tuple(rows) for word, rows in begins.items()}


def asked_in_rows(message: Message) -> str | None:
    """Return the command that a message asks for in a row of words; the first of the lexicon where several fit."""
    usual = forms()[1]
    words = [
        usual.get(token.text, token.text) if token.kind != "mark" else ""
        for token in message.tokens
        if token.kind != "mark" or token.text in _STOPS
    ]
    if not words or len(words) > _LONGEST:
        return None
    said, measured = set(words), tells_a_number(message)
    rules = _rules()
    fits = [
        (number, name)
        for place, word in enumerate(words)
        for number, name, never, way in rules.get(word, ())
        if not (measured and name not in _MEASURED) and not never & said and found(way, words, place) is not None
    ]
    return min(fits)[1] if fits else None
