"""Hollow work named in passing: "a hollow aluminium frame with 5 mm walls" is a part, and no hollow face."""

from __future__ import annotations

from collections.abc import Sequence

from askew.engine.language.lexicon import word_list
from askew.engine.language.message import Message
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
            if tokens[at].kind != "word" or tokens[at].text in ("by", "in", "is", "across", "along", "of", "the"):
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
