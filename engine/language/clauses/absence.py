"""Groups that say, without a number, that there is none of it: "no runout", "it didn't move", "nothing"."""

from __future__ import annotations

from askew.engine.language.clauses.message import Message
from askew.engine.language.words.fitting import best
from askew.engine.language.words.lexicon import lexicon
from askew.engine.language.words.meanings import Meaning


def none_of_it(message: Message, start: int, end: int, meaning: Meaning) -> bool:
    """Tell whether the group says, without a number, that there is nothing of what it speaks of."""
    return (
        best(meaning.zero, message.mask(start, end)) > 0
        or (not meaning.complaint and "not_move" in message.names(start, end))
        or _denied(message, start, end, meaning)
        or "nothing" in message.names(start, end)
    )


def _denied(message: Message, start: int, end: int, meaning: Meaning) -> bool:
    """Tell whether the group says that there is none of it: "no runout", "isn't hollow"."""
    lex = lexicon()
    topic = 0
    for way in meaning.when:
        for term in way.must:
            topic |= term
    good = 0  # what is not plumb leans
    for way in meaning.zero:
        for term in way.must:
            good |= term
    nots = [spot for spot in message.spots_in(start, end) if spot.name in ("not", "no")]
    for spot in message.spots_in(start, end):
        if (
            spot.name in ("not", "square", "flat", "line_up", "joint", "tight")
            or lex.bits.get(spot.name, 0) & good
            or not lex.bits.get(spot.name, 0) & topic
        ):
            continue
        if any(0 <= spot.start - refusal.end <= 2 for refusal in nots):
            return not any(
                lex.bits["not"] & term
                for way in meaning.when
                for term in way.must
                if best((way,), message.mask(start, end)) > 0
            )
    return False
