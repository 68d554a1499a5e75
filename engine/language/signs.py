"""A group of clauses read as a sign: yes, no, could not tell, or one of its places."""

from __future__ import annotations

from askew.engine.language.lexicon import Meaning, best, lexicon
from askew.engine.language.message import Message
from askew.engine.observations import Sign


def read_sign(message: Message, start: int, end: int, meaning: Meaning) -> Sign:
    """Return the sign that the tokens from `start` to `end` tell."""
    lex = lexicon()
    mask = message.mask(start, end)
    words = message.said(start, end)
    refused = bool(mask & (lex.bits["not"] | lex.bits["nothing"]))
    if mask & lex.bits["unsure"] or mask & lex.bits["dont_know"]:
        return Sign(meaning.id, "unknown", words)
    if meaning.yes and best(meaning.yes, mask):
        return Sign(meaning.id, "no" if _denied(message, start, end, meaning) else "yes", words)
    if meaning.no and best(meaning.no, mask):
        return Sign(meaning.id, "no", words)
    place = place_of(meaning, mask)
    if place is not None and _named_before_refusal(message, start, end, meaning, place):
        return Sign(meaning.id, place, words)
    if meaning.none and (refused or mask & lex.bits["nothing"]):
        return Sign(meaning.id, meaning.none, words)
    if refused:
        return Sign(meaning.id, "no", words)
    return Sign(meaning.id, place or "yes", words)


def _denied(message: Message, start: int, end: int, meaning: Meaning) -> bool:
    """Tell whether a "not" stands right before the words that would make the sign so."""
    topic = 0
    for way in meaning.yes:
        for term in way.must:
            topic |= term
    bits = lexicon().bits
    if topic & bits["not"]:
        return False
    inside = message.spots_in(start, end)
    return any(
        spot.name in ("not", "no") and other.end > spot.end and 0 <= other.start - spot.end <= 1
        for spot in inside
        for other in inside
        if bits.get(other.name, 0) & topic
    )


def _named_before_refusal(message: Message, start: int, end: int, meaning: Meaning, place: str) -> bool:
    """Tell whether a place is named before what is said not to be: "arcs going right, none going left"."""
    names = dict(meaning.places)[place]
    inside = message.spots_in(start, end)
    named = [spot.start for spot in inside if spot.name in names]
    refused = [spot.start for spot in inside if spot.name in ("not", "nothing")]
    return (
        bool(named and refused)
        and min(named) < min(refused)
        and any(message.tokens[at].text in (",", "but", "and") for at in range(min(named), min(refused)))
    )


def place_of(meaning: Meaning, mask: int) -> str | None:
    """Return the first place or sense of a sign that the words name."""
    bits = lexicon().bits
    if (
        meaning.id == "ink_print"
        and sum(bool(bits[name] & mask) for name in ("top", "bottom", "left", "right")) > 1
    ):
        return "all" if mask & bits["all_over"] else None
    for place, names in meaning.places:
        if any(bits.get(name, 0) & mask for name in names):
            return place
    return None
