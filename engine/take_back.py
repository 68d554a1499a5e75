"""What a person takes back: the last message, or one before it that they name."""

from __future__ import annotations

import re
from collections.abc import Sequence

from askew.engine.answers import name_of
from askew.engine.language.words.word_tables import word_list
from askew.engine.observations import Observation, Reading
from askew.engine.observations import name_of as id_of
from askew.engine.turn_out import said_back
from askew.engine.turn_record import KeptTurn
from askew.engine.units import Habit

_NAMED = re.compile(r"(?:^\W*\w+(?:\s+back)?\s+(?:the|my)\b|\babout\b|\bregarding\b|\bsaid of\b)([^,.;:!?]*)")
"""What is named stands after "about", or after the word of taking back: "what I said of the vise", "undo the sweep"."""


def named(text: str) -> frozenset[str]:
    """Return the words by which a wish to take something back names it: the "sweep" of "undo the sweep reading"."""
    said = {word for rest in _NAMED.findall(text.lower()) for word in re.findall(r"[^\W\d_]+", rest)}
    empty = word_list("clauses.toml", "words", "small") | word_list("clauses.toml", "take_back", "empty")
    return frozenset(word for word in said - empty if len(word) > 1)


def turns_back(
    words: frozenset[str], turns: Sequence[KeptTurn], unit: Habit
) -> tuple[int, Observation | None] | None:
    """Return how many messages back the last one is that tells of what is named, 1 for the last, and the fact of it.

    A reading is meant before anything else: "the face" is the corner that was out, not the face mill.

    Args:
        words: What is named, as `named` gives it.
        turns: The messages that stand, in order.
        unit: The person's unit.

    Returns:
        The number of messages and the fact; 1 and None where nothing is named, None where no message tells of it.
    """
    if not words:
        return 1, None
    named = [
        (back, fact)
        for back, turn in enumerate(reversed(turns), start=1)
        for fact in turn.facts
        if words & _words_of(fact, unit)
    ]
    return min(named, key=lambda one: (not isinstance(one[1], Reading), one[0]), default=None)


def told_by(turns: Sequence[KeptTurn], unit: Habit) -> list[str]:
    """Return in words what each message told."""
    return [said_back(turn.facts, unit) or f"the wish for {turn.unit}" for turn in turns]


def _words_of(fact: Observation, unit: Habit) -> set[str]:
    """Return the words that a fact is known by: its name, how it was told and how it was said back."""
    return {*re.findall(r"[^\W\d_]+", f"{name_of(id_of(fact))} {fact.words} {said_back([fact], unit)}".lower())}


def not_the_last(meant: tuple[int, Observation | None] | None, last: str, unit: Habit) -> tuple[str, str]:
    """Return the refusal to take back what the last message does not tell, and what can be said instead.

    Args:
        meant: How many messages back it was told, and the fact; None where none tells it.
        last: What the last message told, in words.
        unit: The person's unit.
    """
    back, fact = meant if meant is not None else (0, None)
    if fact is None:
        return "Nothing told so far is called that.", f"Say undo to take back the last message: {last}."
    return (
        f"That was told {back} messages back: {said_back([fact], unit)}.",
        f"Say undo {back} to take back that and everything since, or tell it again as it is.",
    )
