"""What was turned: a "turned it" is of the part only where nothing else that turns was named just before.

A handle, a lock, a spindle and a square are turned too, and then neither the part was, nor is what follows an
error after turning it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from askew.engine.language.words.phrase_forms import Spot
from askew.engine.language.words.tokens import Token
from askew.engine.language.words.word_tables import word_list

_TURNED = {"turn_part", "turned"}
_OF_THE_PART = {"quarter_turn", "cut_again", "follows_part", "stays_with_machine"}
"""What is said of a part that was turned, and of nothing else."""


def turned_apart(spots: Sequence[Spot], tokens: Sequence[Token]) -> list[Spot]:
    """Return the phrases, those of a turn left out where it was of something else, of a square made its own.

    Args:
        spots: The phrases that are meant.
        tokens: The tokens of the message.
    """
    names = {spot.name for spot in spots}
    if not names & _TURNED or names & _OF_THE_PART:
        return list(spots)
    made: list[Spot] = []
    for spot in spots:
        thing = _thing_turned(spot, tokens) if spot.name in _TURNED else "part"
        if thing == "part":
            made.append(spot)
        elif thing == "square" and spot.name == "turned":
            made.append(replace(spot, name="flip"))
    return made


def _thing_turned(spot: Spot, tokens: Sequence[Token]) -> str:
    """Return "part", "square" or "other": what is named with the turn, else what was named last before it."""
    told = [token.text for token in tokens[spot.start : spot.end + _AFTER] if token.kind == "word"]
    for at, word in enumerate(told):
        if at and word in _STOP:
            break
        kind = _kind(word)
        if kind is not None:
            return kind
    for token in reversed(tokens[: spot.start]):
        kind = _kind(token.text)
        if kind is not None:
            return kind
    return "part"


_AFTER = 4
_STOP = {"and", "then", "with", "while", "until", "till", "so", "but", "as", "in"}


def _kind(word: str) -> str | None:
    for kind in ("part", "square", "other"):
        if word in word_list("clauses.toml", "turned", kind):
            return kind
    return None
