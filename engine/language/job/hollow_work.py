"""Hollow and solid work named in passing: "a hollow aluminium frame with 5 mm walls" is a part, and no hollow face."""

from __future__ import annotations

from collections.abc import Sequence

from askew.engine.language.clauses.message import Message
from askew.engine.language.words.word_tables import word_list
from askew.engine.observations import SetupFact

_BETWEEN = 3
"""Words that may stand between "hollow" and what is."""


def settle_hollow_work(message: Message, facts: Sequence[SetupFact]) -> None:
    """Let nothing be made of "hollow" and "wall" where they only say what kind of part it is.

    Args:
        message: What is said.
        facts: The setup facts read from it, for the wall that was told with its thickness.
    """
    nouns = word_list("on_hand.toml", "words", "hollow_work")
    tokens = message.tokens
    for start, token in enumerate(tokens):
        if token.text != "hollow":
            continue
        for at in range(start + 1, min(start + 2 + _BETWEEN, len(tokens))):
            if tokens[at].text == "of" and tokens[at - 1].text in ("bit", "piece", "length", "lump", "chunk"):
                continue
            if tokens[at].kind != "word" or tokens[at].text in (
                "by",
                "in",
                "is",
                "across",
                "along",
                "of",
                "the",
            ):
                break
            if tokens[at].text in nouns and not (at + 1 < len(tokens) and tokens[at + 1].text == "of"):
                message.settle(start, at + 1)
                break
    if any(fact.key == "wall" for fact in facts):
        for at, token in enumerate(tokens):
            if token.text in ("wall", "walls", "walled") and at in message.taken:
                message.settle(at, at + 1)
    for spot in message.spots:
        if spot.name == "hollow_section":
            message.take(spot.start, spot.end)


def solid_work(message: Message) -> SetupFact | None:
    """Return the fact that the part has no wall, where it is said to be solid: "a solid 3 inch cube"."""
    for spot in message.spots:
        if spot.name != "solid":
            continue
        whole = spot.end - spot.start > 1  # "not hollow"
        start, end = spot.start, spot.end
        if whole and not message.has("face", "straight_edge", "middle", "light"):
            return SetupFact("wall", 0.0, words=message.said(start, end))
        if not whole and (_solid_noun(message, end) or _said_to_be_solid(message, start, end)):
            message.take(start, end)
            return SetupFact("wall", 0.0, words=message.said(start, end))
    return None


def _solid_noun(message: Message, at: int) -> bool:
    """Tell whether a part or its material follows, with no more than its size between."""
    tokens = message.tokens
    nouns, between, other = (
        word_list("on_hand.toml", "words", name) for name in ("solid_work", "of_work", "no_work")
    )
    for place in range(at, min(at + 2 + _BETWEEN, len(tokens))):
        text, kind = tokens[place].text, tokens[place].kind
        if text in nouns:
            return not (place + 1 < len(tokens) and tokens[place + 1].text in other)
        sized = any(quantity.start <= place < quantity.end for quantity in message.prepared)
        if kind == "mark" or (kind == "word" and not sized and text not in between):
            return False
    return False


def _said_to_be_solid(message: Message, start: int, end: int) -> bool:
    """Tell whether "solid" is all that is said of the part: "it's solid through", "solid", "the part is solid"."""
    clause = message.clause_at(start)
    likened = message.text_at(end) == "as"  # "solid as a church"
    if clause is None or likened or message.has("jaw_plate", "parallel", "needle", "locked", "lock", "head"):
        return False
    allowed = word_list("on_hand.toml", "words", "about_solid")
    rest = [message.tokens[at] for at in (*range(clause.start, start), *range(end, clause.end))]
    return all(token.kind == "mark" or token.text in allowed for token in rest)
