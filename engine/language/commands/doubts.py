"""Messages that tell only that something is not known, and what else one may tell, so that it is no doubt."""

from __future__ import annotations

from askew.engine.language.clauses.groups import divide
from askew.engine.language.clauses.message import Message
from askew.engine.language.clauses.terms import FEW, LONGEST
from askew.engine.language.model import Context
from askew.engine.language.numbers.quantities import Quantity
from askew.engine.language.observed.signs import SIGN_NUMBERS
from askew.engine.language.words.lexicon import lexicon
from askew.engine.language.words.word_tables import word_list


def tells_not_known(message: Message, context: Context, words: list[str], names: set[str]) -> bool:
    """Tell whether a short message says "don't know" or "not checked" and nothing else.

    Args:
        message: The message.
        context: What was asked.
        words: The words of the message, without marks.
        names: The names of its phrases.

    Returns:
        Whether it does.
    """
    unchecked = "unchecked" in names and (context.asked is not None or len(words) <= FEW)
    return (
        ("dont_know" in names or unchecked)
        and len(words) <= LONGEST
        and ("yet" not in words or context.asked is not None)
        and not tells_a_number(message)
        and not _complains(message, context)
        and not tells_of_a_sign(message, context)
    )


def tells_a_number(message: Message) -> bool:
    """Tell whether the message holds a number that may be measured, and is not only named to be taken back."""
    return any(
        not (quantity.junk or quantity.pronoun or is_dropped(message, quantity)) for quantity in message.quantities
    )


def is_dropped(message: Message, quantity: Quantity) -> bool:
    """Tell whether a number stands right behind words that take it back: "forget the 8 thou reading"."""
    dropping = word_list("clauses.toml", "take_back", "dropping")
    return message.text_at(quantity.start - 1) in _THE and message.text_at(quantity.start - 2) in dropping


_THE = {"the", "that", "my"}


def is_unsure(message: Message, context: Context, polite: set[int]) -> bool:
    """Tell whether the message is nothing but doubt, and answers no question about a sign, which takes "unknown"."""
    asked = lexicon().meanings.get(context.asked) if context.asked is not None else None
    if asked is not None and asked.kind == "sign":
        return False
    doubt = [spot for spot in message.spots if spot.name == "unsure" and spot.end - spot.start >= 2]
    said = set(range(len(message.tokens))) - polite
    said -= {at for at in said if message.tokens[at].text in word_list("clauses.toml", "words", "small")}
    return bool(doubt) and said <= {at for spot in doubt for at in range(spot.start, spot.end)}


def _complains(message: Message, context: Context) -> bool:
    """Tell whether the message says what is wrong, though not by how much."""
    return context.asked is None and any(
        group.meaning is not None and group.meaning.complaint and group.score > 0.5
        for group in divide(message, ())
    )


def tells_of_a_sign(message: Message, context: Context) -> bool:
    """Tell whether the message names what it does not know or cannot do: "don't know if it slipped"."""
    return context.asked is None and any(
        group.meaning is not None
        and (group.meaning.kind == "sign" or group.meaning.id in SIGN_NUMBERS.values())
        and group.score >= 1
        for group in divide(message, ())
    )
