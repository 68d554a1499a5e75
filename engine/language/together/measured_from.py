"""Nothings that only tell the end from which the other was measured: "ends 0, 3 thou low in the middle"."""

from __future__ import annotations

from askew.engine.language.clauses.message import Message
from askew.engine.language.words.lexicon import lexicon
from askew.engine.observations import Observation, Reading


def drop_measured_from(message: Message, facts: list[Observation]) -> None:
    """Leave out a reading of nothing at one of its ends where the same message tells it of the other end.

    Args:
        message: The message the facts were read from.
        facts: The facts, changed in place.
    """
    readings = [fact for fact in facts if isinstance(fact, Reading) and fact.value is not None]
    if len(readings) > 1 and not all(fact.value for fact in readings):
        facts[:] = [fact for fact in facts if not _is_measured_from(message, fact, readings)]


def _is_measured_from(message: Message, fact: Observation, readings: list[Reading]) -> bool:
    if not isinstance(fact, Reading) or fact.value != 0:
        return False
    own = _ends_named(message, fact)
    others = [_ends_named(message, one) for one in readings if one.id == fact.id and one.value]
    return bool(own) and any(other and other.isdisjoint(own) for other in others)


def _ends_named(message: Message, fact: Reading) -> set[str]:
    """Return the ends of a reading that its words name."""
    meaning = lexicon().meanings.get(fact.id)
    ends = set(meaning.ends) if meaning is not None else set()
    own = message.tokens_of(fact.words)
    return {spot.name for spot in message.prepared_spots if spot.start in own} & ends
