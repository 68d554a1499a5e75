"""Commands by the words that matter in their order, with others between: "set this check aside for the moment"."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from askew.engine.language.clauses.message import Message
from askew.engine.language.commands.doubts import tells_a_number
from askew.engine.language.model import Context
from askew.engine.language.words.gapped import Row, Rows, found, row
from askew.engine.language.words.lexicon import lexicon
from askew.engine.language.words.word_tables import table, usual_words, word_lists

_LONGEST = 32
"""So many words a message may have to be no more than a wish."""
_AND = " & "
"""What stands between rows that must all be found, in whatever order: that nothing is mended, and how to cut."""
_MEASURED = {"live_with", "what_if"}
"""What may name a number."""
_STOPS = {".", "!", "?", ";", ":"}


@dataclass(frozen=True, slots=True)
class _Wish:
    """A row of words that asks for something.

    Attributes:
        number: Where it stands in the lexicon.
        name: The command.
        never: Words that must not stand in the message.
        ways: The row, and others that must be found too, in whatever order.
        measured: Whether the message may tell a number.
        answering: Whether it counts only where something was asked for, with "no sign" only where that is no sign.
    """

    number: int
    name: str
    never: frozenset[str]
    ways: tuple[Row, ...]
    measured: bool
    answering: str | None


@cache
def _rules() -> Rows[_Wish]:
    """Return the commands with each of their rows."""
    lists = table("bidden.toml")
    classes = word_lists(lists["classes"])
    refused = word_lists(lists["never"])
    wishes: list[_Wish] = []
    for number, (title, asked) in enumerate(lists["asked"].items()):
        name = title.partition(":")[0]  # what follows only keeps rows apart that count elsewhere
        never = frozenset[str]().union(*(refused[each] for each in asked.get("never", ())))
        for text in asked["ways"]:
            ways = tuple(row(part, classes) for part in text.split(_AND))
            measured = name in _MEASURED or bool(asked.get("measured"))
            wishes.append(_Wish(number, name, never, ways, measured, asked.get("answering")))
    return Rows((wish.ways[0], wish) for wish in wishes)


def asked_in_rows(message: Message, context: Context) -> str | None:
    """Return the command that a message asks for in a row of words; the first of the lexicon where several fit."""
    _, words = usual_words(message.tokens, _STOPS)
    if not words or len(words) > _LONGEST:
        return None
    said, measured = set(words), tells_a_number(message)
    fits = [
        (wish.number, wish.name)
        for wish, _ in _rules().found_in(words)
        if (wish.measured or not measured)
        and _answers(wish, context)
        and not wish.never & said
        and all(_anywhere(way, words) for way in wish.ways[1:])
    ]
    return min(fits)[1] if fits else None


def _answers(wish: _Wish, context: Context) -> bool:
    """Tell whether a wish that only answers what was asked has been asked for so."""
    if wish.answering is None:
        return True
    return context.asked is not None and (wish.answering != "no sign" or not asks_for_sign(context))


def asks_for_sign(context: Context) -> bool:
    """Tell whether a sign was asked for, of which "can't say" tells that it is unknown."""
    asked = lexicon().meanings.get(context.asked) if context.asked is not None else None
    return asked is not None and asked.kind == "sign"


def _anywhere(way: Row, words: Sequence[str]) -> bool:
    """Tell whether a row begins anywhere in a message."""
    return any(word and found(way, words, place) is not None for place, word in enumerate(words))
