"""Readings of which only the size is known: "6 thou out, didn't note which side", "the sheet gives magnitude only"."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from askew.engine.language.clauses.message import Message
from askew.engine.language.observed.directions import signed
from askew.engine.language.together.attempt import Trial
from askew.engine.language.together.left_open import ways
from askew.engine.language.words.lexicon import lexicon
from askew.engine.language.words.tokens import SENTENCE_ENDS
from askew.engine.language.words.word_tables import usual_words
from askew.engine.observations import Observation, Reading

_NEAR = 8
"""So many tokens behind what tells a reading its direction may be owned not to be known."""


def open_directions(trial: Trial) -> None:
    """Leave the direction open of every reading whose own words own that it is not known; facts change in place.

    Args:
        trial: The attempt at the message.
    """
    for at in owned_open(trial.message, trial.facts):
        fact = trial.facts[at]
        if isinstance(fact, Reading) and fact.sign_known:
            trial.facts[at] = _without_sign(fact)


def owned_open(message: Message, facts: Sequence[Observation]) -> set[int]:
    """Return the places among the facts of the readings whose direction is owned not to be known.

    It is the last reading told before the doubt, and where none is, the first one after.
    """
    told = [(at, *_reach(message, fact)) for at, fact in enumerate(facts) if _directed(fact)]
    places: set[int] = set()
    for start, end in _doubts(message) if told else ():
        before = [(last, at) for at, first, last in told if first < start and start - last <= _NEAR]
        after = [(first, at) for at, first, last in told if first >= start and first - end <= _NEAR]
        if before or after:
            places.add(max(before)[1] if before else min(after)[1])
    return places


def _reach(message: Message, fact: Observation) -> tuple[int, int]:
    """Return the first and the last token of the words that tell a fact."""
    tokens = message.tokens_of(fact.words)
    return (min(tokens), max(tokens)) if tokens else (0, len(message.tokens))


def _directed(fact: Observation) -> bool:
    """Tell whether a fact is a reading with a size whose direction means something."""
    return isinstance(fact, Reading) and bool(fact.value) and not lexicon().meanings[fact.id].size


def _without_sign(fact: Reading) -> Reading:
    """Return a reading with its direction left open."""
    return replace(signed(fact, -1 if fact.value is not None and fact.value < 0 else 1), sign_known=False)


def _doubts(message: Message) -> Iterator[tuple[int, int]]:
    """Yield the first and the last token of what owns that a direction is not known."""
    kept, words = usual_words(message.tokens, SENTENCE_ENDS)
    for places in ways("direction").first_in(words):
        yield kept[places[0]], kept[places[-1]]
