"""Thickness told left and right, or front and back, as across or along the feed where that ran along Y."""

from __future__ import annotations

from collections.abc import Set
from dataclasses import replace

from askew.engine.language.clauses.message import Message
from askew.engine.language.model import Context
from askew.engine.observations import Observation, Reading, SetupFact

_TURNED = {
    "face_out_of_parallel_across": "face_out_of_parallel_along",
    "face_out_of_parallel_along": "face_out_of_parallel_across",
}
"""Fed along Y, right and left lie across the feed and back and front along it; the signs stay."""


def turn_with_feed(message: Message, facts: list[Observation], context: Context) -> None:
    """Name a taper of the thickness by the feed that was told, here or before.

    Args:
        message: The message the facts were read from.
        facts: The facts, changed in place.
        context: What is known and was asked before.
    """
    told = next((fact.value for fact in facts if isinstance(fact, SetupFact) and fact.key == "feed_axis"), None)
    if (told or context.setup.get("feed_axis")) != "y":
        return
    for place, fact in enumerate(facts):
        if not (isinstance(fact, Reading) and fact.id in _TURNED) or fact.id == context.asked:
            continue
        if not _names_feed(message, fact, told is not None):
            facts[place] = replace(fact, id=_TURNED[fact.id])


def _names_feed(message: Message, fact: Reading, told: bool) -> bool:
    """Tell whether the words of a taper say themselves that it is across or along the feed."""
    at = message.text.find(fact.words) if fact.words else -1
    if at < 0:
        return True
    end = at + len(fact.words)
    named: Set[str] = {
        spot.name
        for spot in message.prepared_spots
        if at <= message.tokens[spot.start].start < end
        and not (spot.name == "along" and told and message.text_at(spot.end) in ("x", "y", "the"))
    }
    return bool(named & {"along", "across"})
