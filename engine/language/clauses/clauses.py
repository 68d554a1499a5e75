"""Where the clauses of a message begin, and what it costs to read one together with the one before."""

from __future__ import annotations

from collections.abc import Sequence, Set
from dataclasses import replace

from askew.engine.language.clauses.message import CORNERS, PLACES, Clause, Message
from askew.engine.language.words.tokens import Token
from askew.engine.language.words.word_tables import joining, word_list

_TURNING = {"but", "so", "and", "because", "cos", "though", "although", "then", "whereas"}
_RELATIVE = {"that", "which", "where", "whether", "how", "why", "what"}
_REFUSING = {"none", "nothing", "not", "no"}

_HARD = {".": 0.7, ";": 0.7, "!": 0.7, "?": 0.7}
_SOFT = {",": 0.25, ":": 0.1, "(": 0.2, ")": 0.2}

_TOPIC_AND_NUMBER = 3
"""So many words tell a check and its number at least."""
_NEXT_NUMBER = 7
"""So near the number of the next check stands."""

_DOUBT = {"unsure", "dont_know"}
_DOUBTED = -0.4


def clauses(message: Message) -> list[Clause]:
    """Return the clauses of a message.

    Args:
        message: The message with its phrases and quantities; nothing begins within one of these.

    Returns:
        The clauses in order. Stops and commas stand between them.
    """
    tokens = message.tokens
    busy = _busy(message)
    after = {quantity.end for quantity in message.quantities}
    signs = {quantity.head for quantity in message.quantities if quantity.signed}  # the "plus" of "plus three"
    heads = {quantity.head for quantity in message.quantities}
    found: list[Clause] = []
    start, cost, pending = 0, 0.0, 0.0
    for index, token in enumerate(tokens):
        if index in busy:
            continue
        if token.kind == "mark" and (token.text in _HARD or token.text in _SOFT):
            if index > start:
                found.append(Clause(start, index, cost))
                pending = 0.0
            pending = max(pending, _HARD.get(token.text, _SOFT.get(token.text, 0.0)))
            if token.text == "," and index + 1 < len(tokens) and tokens[index + 1].text in ("none", "nothing"):
                pending = max(pending, 0.6)
            start, cost = index + 1, pending
        elif index in signs:
            continue
        elif index > start and (token.text in joining() or _opens(tokens, start, index, index in after, heads)):
            found.append(Clause(start, index, cost))
            start, cost, pending = index, joining().get(token.text, 0.0), 0.0
            if token.text == "but" and index + 1 < len(tokens) and tokens[index + 1].text in _REFUSING:
                cost = 1.0  # "in the middle, but none along it"
        elif index == start and token.text in joining():
            cost = max(cost, joining()[token.text])
    if start < len(tokens):
        found.append(Clause(start, len(tokens), cost))
    return _doubt_joined(message, found)


def _busy(message: Message) -> set[int]:
    """Return the tokens that no clause begins at: those within a phrase or a quantity, and "and"s between places."""
    busy = _paired(message)
    for quantity in message.quantities:
        busy.update(range(quantity.start + 1, quantity.end))
    for spot in message.spots:
        busy.update(range(spot.start + 1, spot.end))
    return busy


def _doubt_joined(message: Message, parted: list[Clause]) -> list[Clause]:
    """Read what is doubted together with the doubt: "can't tell | if the needle moves | when I tighten"."""
    doubts = [spot.end for spot in message.spots if spot.name in _DOUBT]
    made: list[Clause] = []
    within = False
    for clause in parted:
        if made and (clause.start > made[-1].end or message.tokens[clause.start].text in _TURNING):
            within = False  # a stop, a comma, a "but"
        made.append(replace(clause, cost=_DOUBTED) if within else clause)
        within = within or any(clause.start < end <= clause.end for end in doubts)
    return made


def _paired(message: Message) -> set[int]:
    """Return the "and"s between two places, as in "front right and back left"."""
    ends = {spot.end for spot in message.spots if spot.name in PLACES or spot.name in CORNERS}
    starts = {spot.start for spot in message.spots if spot.name in PLACES or spot.name in CORNERS}
    return {
        index
        for index, token in enumerate(message.tokens)
        if token.text in ("and", "&", "or") and index in ends and index + 1 in starts
    }


def _opens(tokens: Sequence[Token], start: int, index: int, after_number: bool, heads: Set[int]) -> bool:
    """Tell whether a new statement may begin at a word like "the" or "it's", in talk without stops."""
    word = tokens[index].text
    numbered = any(tokens[at].kind == "number" or at in heads for at in range(index + 1, min(index + 3, len(tokens))))
    if word in ("x", "y", "z") and after_number and numbered:
        return True  # "backlash x 12 thou y 8 thou", "x backlash 12 y backlash 8"
    checked = word in word_list("clauses.toml", "words", "next_checked")
    if checked and after_number and index - start >= _TOPIC_AND_NUMBER:
        number_follows = any(at in heads for at in range(index + 2, index + _NEXT_NUMBER))
        if number_follows and (word != "other" or tokens[index + 1].text == "corner"):
            return True  # "saddle push is 2 thou table push is 1"
    if index - start < 3 or word not in word_list("clauses.toml", "words", "opening"):
        return False
    if tokens[index - 1].text in _RELATIVE:
        return False  # "no step that I can feel"
    return after_number or (
        word not in word_list("clauses.toml", "words", "weak_opening")
        and tokens[index - 1].text not in word_list("clauses.toml", "words", "leading_on")
    )
