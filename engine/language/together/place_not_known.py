"""Answers that tell what was asked and leave open only which or where: "yes there's one, didn't note which side"."""

from __future__ import annotations

from functools import cache
from itertools import pairwise

from askew.engine.language.clauses.message import Message
from askew.engine.language.model import Context
from askew.engine.language.words.gapped import Row, found, row
from askew.engine.language.words.lexicon import lexicon
from askew.engine.language.words.word_tables import table, word_list, word_lists

_LAST_WORDS = 9
"""So many words at most say that the place is not known."""


@cache
def _ways() -> tuple[Row, ...]:
    rows = table("clauses.toml")["place_not_known"]
    classes = word_lists(rows["classes"])
    return tuple(row(text, classes) for text in rows["rows"]["ways"])


def before_the_doubt(message: Message, context: Context) -> str | None:
    """Return what an answer affirms before it owns that the place is not known, None where it says nothing of the kind.

    Args:
        message: The message.
        context: What was asked for: only a sign that may have a place can be left open in this way.
    """
    asked = lexicon().meanings.get(context.asked) if context.asked is not None else None
    if asked is None or asked.kind != "sign" or not asked.places:
        return None
    at = doubted_from(message)
    if at is None:
        return None
    words = [token.text for token in message.tokens[:at]]
    told = {word for before, word in pairwise(("", *words)) if (before, word) != ("all", "right")}
    affirms = told & word_list("clauses.toml", "told_of_it", "affirming")
    denies = told & word_list("clauses.toml", "told_of_it", "denying")
    denies |= told & word_list("clauses.toml", "told_of_it", "placed")
    return message.said(0, at).rstrip(" ,.;-") if affirms and not denies else None


def doubted_from(message: Message) -> int | None:
    """Return where the last words of a message begin that own that a place is not known, None where none do."""
    words = [token.text if token.kind != "mark" else "" for token in message.tokens]
    for at in range(max(2, len(words) - _LAST_WORDS - 3), len(words)):
        if words[at] and any(found(way, words, at) is not None for way in _ways()):
            return at
    return None


def name_asked(context: Context) -> str:
    """Return what was asked for, by its name."""
    return context.asked or ""
