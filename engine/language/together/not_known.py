"""Answers that tell only that the matter asked about is not known: nobody looked, nobody could see, it is gone."""

from __future__ import annotations

from askew.engine.language.clauses.message import Message
from askew.engine.language.clauses.terms import polite_tokens
from askew.engine.language.model import Context
from askew.engine.language.words.lexicon import lexicon
from askew.engine.language.words.word_tables import word_list

_LACKING_WORDS = ("idea", "clue", "notion", "time", "chance", "memory")
_BARE = ("dont_know", "unchecked")
_REACH = 4
"""So many words after a refusal what it refuses may stand."""
_LONGEST_EXCUSE = 4


def tells_nothing_of_it(message: Message) -> bool:
    """Tell whether an answer says no more than that its matter is not known: "didn't look, it's in the bin".

    Args:
        message: The answer to a question about a sign.

    Returns:
        Whether it does. A yes or no beside it is an answer after all.
    """
    texts = [token.text for token in message.tokens]
    if set(texts) & _words("answering") or (
        texts and texts[0] == "no" and len(texts) > 1 and (_stops(message, 1) or texts[1] == "not")
    ):
        return False
    refusals = [at for at, text in enumerate(texts) if text in _words("refusing")]
    if _excused(texts) or any(_not_known_from(message, at) for at in refusals):
        return True
    doubt = next((spot for spot in message.spots if spot.name == "dont_know"), None)
    return doubt is not None and any(at < doubt.start for at in refusals)  # "can't make out the line so I don't know"


def leaves_sign_open(message: Message, context: Context) -> bool:
    """Tell whether a message answers the sign that was asked for by saying why it is not known.

    A bare "no idea" is none: it is the command to leave the question open. Nor is what lacks an instrument.
    """
    asked = lexicon().meanings.get(context.asked) if context.asked is not None else None
    if asked is None or asked.kind != "sign" or _lacks(message) or not tells_nothing_of_it(message):
        return False
    said = set(range(len(message.tokens))) - polite_tokens(message)
    said -= {at for at in said if message.tokens[at].text in word_list("clauses.toml", "words", "small")}
    said -= {at for spot in message.spots if spot.name in _BARE for at in range(spot.start, spot.end)}
    return bool(said)


def _lacks(message: Message) -> bool:
    """Tell whether a thing is lacking that it takes to look, no mere idea or time: "haven't got a square"."""
    return any(
        spot.name == "lacks"
        and not any(token.text in _LACKING_WORDS for token in message.tokens[spot.start : spot.end + 1])
        for spot in message.spots
    )


def _words(name: str) -> frozenset[str]:
    return word_list("clauses.toml", "not_known", name)


def _excused(texts: list[str]) -> bool:
    """Tell whether a way to be excused from the answer is said."""
    excuses = _words("excuses")
    return any(
        " ".join(texts[at : at + length]) in excuses
        for at in range(len(texts))
        for length in range(2, _LONGEST_EXCUSE + 1)
    )


def _not_known_from(message: Message, refusal: int) -> bool:
    """Tell whether what a refusal refuses is to know or to look; "not that I saw" is as good as a no."""
    if message.said(refusal + 1, refusal + 2).lower() == "that":
        return False
    for at in range(refusal + 1, min(refusal + 1 + _REACH, len(message.tokens))):
        if message.tokens[at].kind == "mark":
            return False
        text = message.tokens[at].text
        if text in _words("knowing"):
            return True
        if text in _words("seeing"):
            return _leads_away(message, at + 1)
    return False


def _leads_away(message: Message, at: int) -> bool:
    """Tell whether nothing follows that was looked at, so that no "can't see any" is taken for doubt."""
    if at < len(message.tokens) and message.tokens[at].text in ("it", "out", "too", "very", "them", "this"):
        at += 1
        if at >= len(message.tokens) or message.tokens[at].kind == "mark":
            return message.tokens[at - 1].text != "it"
    return _stops(message, at) or message.tokens[at].text in _words("away")


def _stops(message: Message, at: int) -> bool:
    return at >= len(message.tokens) or message.tokens[at].kind == "mark"
