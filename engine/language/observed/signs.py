"""A group of clauses read as a sign: yes, no, could not tell, or one of its places."""

from __future__ import annotations

from askew.engine.language.clauses.message import Message
from askew.engine.language.words.fitting import best
from askew.engine.language.words.lexicon import lexicon
from askew.engine.language.words.meanings import Meaning
from askew.engine.observations import Sign

SIGN_NUMBERS = {
    "needle_moves_on_tightening": "clamp_rise",
    "step_felt": "step",
    "light_in_middle": "hollow_across",
    "light_in_middle_along": "hollow_along",
    "light_at_ends": "hollow_across",
    "light_at_ends_along": "hollow_along",
    "springs_on_release": "release_change",
    "witness_mark_moved": "holder_mark",
    "grows_along_cut": "depth_drift",
}
"""The reading that a number beside a sign stands for: "it moves when I tighten, 4 thou"."""


TELLING = {**{number: sign for sign, number in SIGN_NUMBERS.items()}, "release_bow": "springs_on_release"}
"""The sign that a reading without its number tells."""


def read_sign(message: Message, start: int, end: int, meaning: Meaning) -> Sign:
    """Return the sign that the tokens from `start` to `end` tell."""
    lex = lexicon()
    mask = message.mask(start, end)
    words = message.said(start, end)
    only = _only_place(message, start, end, meaning)
    if only is not None:
        return Sign(meaning.id, only, words)
    kept = _without_refused(message, start, end, meaning, mask)
    if kept != mask and place_of(meaning, kept) is not None:
        return Sign(meaning.id, place_of(meaning, kept) or "yes", words)
    refused = bool(mask & (lex.bits["not"] | lex.bits["nothing"])) and not _only_a_reason(message, start, end)
    if mask & lex.bits["unsure"] or mask & lex.bits["dont_know"]:
        return Sign(meaning.id, _told_before_doubt(message, start, end, meaning) or "unknown", words)
    if meaning.yes and best(meaning.yes, mask):
        told = place_of(meaning, mask) or "yes"
        return Sign(meaning.id, "no" if _denied(message, start, end, meaning) else told, words)
    if meaning.no and best(meaning.no, mask):
        return Sign(meaning.id, "no", words)
    place = _place_told(message, start, end, meaning) or place_of(meaning, mask)
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
    told = [
        clause
        for clause in message.clauses
        if start <= clause.start and clause.end <= end and best(meaning.yes, message.mask(clause.start, clause.end))
    ]
    if told:  # what other clauses say of other things denies nothing: "one insert cuts, the others show no mark"
        start, end = told[0].start, told[0].end
    inside = message.spots_in(start, end)
    return any(
        spot.name in ("not", "no")
        and other.end > spot.end
        and 0 <= other.start - spot.end <= 1
        and all(token.kind != "mark" for token in message.tokens[spot.end : other.start])
        for spot in inside
        for other in inside
        if bits.get(other.name, 0) & topic
    )


_DOUBTS = ("unsure", "dont_know")
_WHERE = ("which", "where", "wich", "whereabouts")


def _told_before_doubt(message: Message, start: int, end: int, meaning: Meaning) -> str | None:
    """Return "yes" where all that is doubted is which one or where: "it catches, don't know which side is up"."""
    first = min((spot for spot in message.spots_in(start, end) if spot.name in _DOUBTS), key=lambda spot: spot.start)
    here = [message.tokens[at].text for at in range(max(start, first.end - 1), min(end, first.end + 1))]
    mask = message.mask(start, first.start)
    told = any(text in _WHERE for text in here) and best(meaning.when, mask | meaning.about)
    return "yes" if told and not mask & (lexicon().bits["not"] | lexicon().bits["nothing"]) else None


_ONLY = ("only", "just")
_NEAR = 3


def _only_place(message: Message, start: int, end: int, meaning: Meaning) -> str | None:
    """Return the place that is told for the only one: "no print at the top, only at the bottom"."""
    inside = message.spots_in(start, end)
    refused = [spot.start for spot in inside if spot.name in ("not", "nothing")]
    for index in range(start, end):
        if message.tokens[index].text in _ONLY and any(at < index for at in refused):
            mask = message.mask(index + 1, min(index + 2 + _NEAR, end))
            return place_of(meaning, mask)
    return None


_REASONS = {"so", "because", "cos", "since"}


def _only_a_reason(message: Message, start: int, end: int) -> bool:
    """Tell whether what is refused is only what came of it: "a burr at the back, so it didn't sit down"."""
    clauses = [clause for clause in message.clauses if start <= clause.start and clause.end <= end]
    told = [
        message.tokens[clause.start].text not in _REASONS
        for clause in clauses
        if message.names(clause.start, clause.end) & {"not", "nothing"}
    ]
    return len(clauses) > 1 and bool(told) and not any(told)


def _without_refused(message: Message, start: int, end: int, meaning: Meaning, mask: int) -> int:
    """Return the words but for the places that a "not" or "nothing" right before them takes away: "left, not right"."""
    inside = message.spots_in(start, end)
    places = {name for _, names in meaning.places for name in names}
    first = min((spot.start for spot in inside if spot.name in places), default=end)
    refusals = [spot.end for spot in inside if spot.name in ("not", "nothing") and first < spot.start]
    gone = {
        spot
        for spot in inside
        if spot.name in places and any(0 <= spot.start - refusal <= 2 for refusal in refusals)
    }
    left = {spot.name for spot in inside if spot not in gone}
    implies = lexicon().implies
    left |= {name for known in left for name in implies.get(known, ())}
    for name in {name for spot in gone for name in (spot.name, *implies.get(spot.name, ()))} - left:
        mask &= ~lexicon().bits[name]
    return mask


def _place_told(message: Message, start: int, end: int, meaning: Meaning) -> str | None:
    """Return the place of the clause that tells the sign, where others tell what is not so.

    "Back one slides, front one's trapped"; "the top paper comes out, the bottom one is held".
    """
    clauses = [clause for clause in message.clauses if start <= clause.start and clause.end <= end]
    if len(clauses) < 2 or not meaning.places:
        return None
    for clause in clauses:
        mask = message.mask(clause.start, clause.end)
        place = place_of(meaning, mask)
        if place is None or mask & lexicon().bits["not"]:
            continue
        if best(meaning.when, mask | meaning.about) and not best(meaning.no, mask | meaning.about):
            return place
    return None


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
