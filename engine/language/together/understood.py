"""Which words were understood where a fact was told by a message as a whole, so that only the others are shown back."""

from __future__ import annotations

from askew.engine.language.clauses.message import Clause, Message
from askew.engine.language.learned import told as learned
from askew.engine.language.together.answers_told import answer_of
from askew.engine.language.together.attempt import Trial
from askew.engine.language.together.bearing import meaning_of
from askew.engine.observations import Observation

SHARE = 0.2
"""From this share on of all that makes a fact likely a clause was understood."""


def take_understood(trial: Trial, asked: str | None) -> None:
    """Mark the clauses as understood that bear out what was heard in the message as a whole.

    Args:
        trial: The attempt at the message.
        asked: What was asked for.
    """
    message = trial.message
    for fact in trial.facts:
        if fact.words.strip() == message.text.strip():
            for clause in _bearing(message, fact, asked):
                message.take(clause.start, clause.end)


def _bearing(message: Message, fact: Observation, asked: str | None) -> list[Clause]:
    """Return the clauses that a fact rests on; none where the networks do not know it."""
    if len(message.clauses) < 2:
        return message.clauses
    borne = learned.bearing(message, answer_of(fact) or meaning_of(fact), asked)
    if borne is None:
        return []
    each = [max(0.0, sum(borne[clause.start : clause.end])) for clause in message.clauses]
    return [clause for clause, its in zip(message.clauses, each, strict=True) if its > SHARE * sum(each)]
