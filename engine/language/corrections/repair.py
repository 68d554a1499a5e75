"""Corrections: "no, I meant closed, not open", "make that 12", "mm, not thou"."""

from __future__ import annotations

from askew.engine.language.clauses.message import Message
from askew.engine.language.corrections.as_meant import as_meant
from askew.engine.language.corrections.corrected import (
    corrected_axis,
    corrected_reading,
    corrected_setup,
    corrected_sign,
)
from askew.engine.language.corrections.correcting import is_correction, names_something_else
from askew.engine.language.corrections.correction_words import other_number
from askew.engine.language.model import Context
from askew.engine.observations import Observation, Reading, SetupFact, Sign

_LONGEST, _LONGEST_SURE = 18, 26
"""So many words a correction may have, and one that says in so many words that it corrects."""


def repaired(message: Message, context: Context) -> tuple[Observation, ...] | None:
    """Return the facts of the previous message as corrected, or None if this is no correction.

    Args:
        message: The message; taken as a whole if it is a correction.
        context: The facts of the previous message, and what was asked.

    Returns:
        All facts of the previous message, the last reading, fact of the setup or sign among them corrected.
    """
    words = [token for token in message.tokens if token.kind != "mark"]
    if not context.last or not words or len(words) > _LONGEST_SURE:
        return None
    place = next(
        (
            index
            for index in range(len(context.last) - 1, -1, -1)
            if isinstance(context.last[index], Reading | SetupFact | Sign)
        ),
        None,
    )
    if place is None:
        return None
    fact = context.last[place]
    if isinstance(fact, Reading) and context.asked in (None, fact.id) and _as_before(message, len(words)):
        message.take(0, len(message.tokens))
        return context.last
    anew = isinstance(fact, Reading) and other_number(message, fact) is not None
    if len(words) > (_LONGEST_SURE if anew else _longest(message)):
        return None
    if not is_correction(message, fact, context, len(words)) or names_something_else(message, fact, context):
        return None
    meant = as_meant(message)
    made: Observation | None = None
    if isinstance(fact, Reading):
        made = corrected_axis(fact, meant) or corrected_reading(fact, meant)
    elif isinstance(fact, SetupFact):
        made = corrected_setup(fact, message)
    elif isinstance(fact, Sign):
        made = corrected_sign(fact, message)
    if made is None:
        return None
    message.take(0, len(message.tokens))
    return (*context.last[:place], made, *context.last[place + 1 :])


_FEW = 7
_BEFORE = {"before", "previously", "earlier", "last"}


def _as_before(message: Message, count: int) -> bool:
    """Tell whether a short message says no more than that a reading came out as it did: "same as before"."""
    if count > _FEW or message.quantities or "?" in message.text:
        return False
    said = {token.text for token in message.tokens}
    unlike = message.has("not", "hypothetical", "opposite", "worse", "better")
    return message.has("same", "not_move") and bool(said & _BEFORE) and not unlike


def _longest(message: Message) -> int:
    """Return how many words a correction may have: more where it says "I misread that"."""
    sure = any(spot.name == "meant" and spot.end - spot.start >= 2 for spot in message.spots)
    return _LONGEST_SURE if sure else _LONGEST
