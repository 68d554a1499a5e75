"""What a correction means, without what it takes back: "I said open but I meant closed" means closed."""

from __future__ import annotations

from askew.engine.language.clauses.message import DIRECTIONS, Message
from askew.engine.language.corrections.correction_words import REFUSALS

_ARTICLES = {"the", "a", "an", "at", "on", "to", "over"}
_SAID = {"said", "say", "put", "typed", "wrote", "told"}
_ENDING = {"but", "and", ",", ":", ";", "."}
"""What ends that which was said before, where nothing says what was meant."""
_MEANT = {"meant", "mean", "should", "actually", "really"}
_BEING = {"is", "was", "were", "be"}


def as_meant(message: Message) -> Message:
    """Return the message without what it takes back: the "open" of "I said open but I meant closed"."""
    made = message.copy()
    texts = [token.text for token in message.tokens]
    said = next((at for at, text in enumerate(texts) if text in _SAID), None)
    if said is not None:
        meant = next((at for at in range(said + 1, len(texts)) if texts[at] in _MEANT or texts[at] == "?"), None)
        if meant is None and "meant" in message.all_names:  # "I said open before but I had it backwards, it's closed"
            meant = next((at for at in range(said + 1, len(texts)) if texts[at] in _ENDING), None)
        if meant is not None and not _said_not(message, said, meant):
            made.settle(said, meant)
    for at, text in enumerate(texts):
        if text == "right" and at > 1 and texts[at - 1] in _BEING and any(q.end == at - 1 for q in message.quantities):
            made.settle(at, at + 1)  # "4 thou is right but it drifts to the left"
        refusing = text in REFUSALS or (text == "of" and at > 0 and texts[at - 1] == "instead")
        if refusing or (text == "no" and at > 0 and _turns(made, 0, at)):
            _settle_next(made, at)
    return made


def _said_not(message: Message, said: int, end: int) -> bool:
    """Tell whether what was said is what is meant: the 8 of "I said 8 not 3"."""
    refused = next((at for at in range(said, end) if message.tokens[at].text in ("not", "rather")), None)
    return refused is not None and sum(said < q.head < end for q in message.quantities) == 2


def _turns(message: Message, start: int, end: int) -> bool:
    return bool(message.names(start, end) & DIRECTIONS)


def _settle_next(message: Message, at: int) -> None:
    """Let nothing be made of the direction or the number right after a refusal."""
    begin = at + 1
    while begin < len(message.tokens) and message.tokens[begin].text in _ARTICLES:
        begin += 1
    ends = [
        spot.end
        for spot in message.spots
        if (spot.start == begin and spot.name in DIRECTIONS)
        or (at < spot.start <= begin < spot.end and spot.name.startswith("to_"))
    ]
    ends += [quantity.end for quantity in message.quantities if quantity.head == begin]
    if ends:
        message.settle(at, max(ends))


def takes_back_a_direction(message: Message, meant: Message) -> bool:
    """Tell whether a direction was taken back and another one stays: "the left side, not the right"."""
    before = {spot.name for spot in message.spots} & DIRECTIONS
    after = {spot.name for spot in meant.spots} & DIRECTIONS
    return bool(after) and before > after
