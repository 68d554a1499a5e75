"""What is taken back in the same breath: "3, no, hang on, 2 thou", "leans forward, no, back", "20 mm high, no, 22".

What was meant then stands where the slip stood, so that nothing else need know of it. What `restated` leaves: what was
meant far behind its slip, counts, and choices of the setup.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cache

from askew.engine.language.numbers.quantities import Quantity
from askew.engine.language.numbers.scanning import scan
from askew.engine.language.words.tokens import Token, text_at
from askew.engine.language.words.word_tables import items, table

_FARTHEST = 12
"""So many words and marks may stand between a slip and what was meant."""
_BEFORE = 5
"""So many of them may go on with what was said before it is taken back: "20 mm high, no, 22"."""
_MOST_QUANTITIES = 30
_TIMES = Decimal(10)
"""What is meant is no more than so many times as large or as small as the slip."""
_BEHIND = 6
_PARTING = {",", "-", ".", "!"}
_MARKS = {",", "-", ".", "!", ":", ";", "(", ")", "/"}


@dataclass(frozen=True, slots=True)
class _Words:
    """The words of taking back; section `taken_back` of clauses.toml."""

    back: frozenset[str]
    sorry: frozenset[str]
    filling: frozenset[str]
    opposite: Mapping[str, frozenset[str]]
    units: Mapping[str, str]


@cache
def _words() -> _Words:
    lists = table("clauses.toml")["taken_back"]
    opposite: dict[str, frozenset[str]] = {}
    for one, other in (items(text) for text in lists["opposites"]):
        opposite[one] = opposite.get(one, frozenset()) | {other}
        opposite[other] = opposite.get(other, frozenset()) | {one}
    return _Words(
        frozenset(items(lists["back"])),
        frozenset(items(lists["sorry"])),
        frozenset(items(lists["filling"])),
        opposite,
        dict(lists["units"]),
    )


def as_meant(tokens: Sequence[Token]) -> list[Token]:
    """Return the tokens of a message with what was meant in the place of what it takes back."""
    made = list(tokens)
    if not {token.text for token in made} & (_words().back | _words().sorry):
        return made
    for _ in range(3):  # "two, no three, no, four"
        again = _number_meant(made) or _way_meant(made)
        if again is None:
            break
        made = again
    return made


def _number_meant(tokens: Sequence[Token]) -> list[Token] | None:
    """Return the tokens with the number that was meant for the first one that is taken back; None if none is."""
    found = [q for q in scan(tokens, _MOST_QUANTITIES) if not (q.pronoun or q.box or q.plus_minus)]
    for place, slip in enumerate(found):
        for meant in found[place + 1 :]:
            begin = _taking_back(tokens, slip.end, meant.head)
            if begin is None or not _alike(slip, meant, text_at(tokens, meant.head - 1)):
                continue
            numbers = any(token.kind == "number" for token in tokens[slip.end : begin])
            if begin == slip.end or (_told_alone(tokens, slip, meant) and not numbers):
                return _exchanged(tokens, slip, meant, begin)
    return None


def _alike(slip: Quantity, meant: Quantity, before: str) -> bool:
    """Tell whether one number may be a slip for another: of the same kind, and not far from it."""
    if (meant.junk and before != "no") or slip.value <= 0 or meant.value <= 0 or (slip.junk and meant.unit is not None):
        return False
    if slip.unit is not None and meant.unit is not None and (slip.mm is None) is not (meant.mm is None):
        return False
    one, two = (slip.mm, meant.mm) if slip.mm and meant.mm else (slip.value, meant.value)
    return max(one, two) <= _TIMES * min(one, two)


def _told_alone(tokens: Sequence[Token], slip: Quantity, meant: Quantity) -> bool:
    """Tell whether what was meant stands by itself at the end of a statement, as it must far from its slip."""
    ends = meant.end == len(tokens) or tokens[meant.end].kind == "mark"
    return ends and meant.unit in (None, slip.unit)


def _taking_back(tokens: Sequence[Token], start: int, end: int) -> int | None:
    """Return where the words that take something back begin; None where nothing between two places does."""
    if not 0 < end - start <= _FARTHEST:
        return None
    words, at = _words(), end
    while at > start and _may_fill(tokens[at - 1]):
        at -= 1
    texts = [token.text for token in tokens[at:end]]
    back = next((i for i, text in enumerate(texts) if text in words.back | words.sorry), None)
    if back is None or at - start > _BEFORE:
        return None
    if at == start:
        return start
    return at + back if tokens[at + back - 1].kind == "mark" else None


def _may_fill(token: Token) -> bool:
    words = _words()
    return (token.kind == "mark" and token.text in _MARKS) or token.text in words.back | words.sorry | words.filling


def _exchanged(tokens: Sequence[Token], slip: Quantity, meant: Quantity, begin: int) -> list[Token] | None:
    """Return the tokens with the number that was meant in the place of the slip, its unit where it has none itself."""
    at = tokens[slip.head]
    put = [_placed(token, at) for token in tokens[meant.head : meant.end]]
    if meant.unit is None and slip.unit is not None:
        unit = _words().units.get(slip.unit)
        if unit is None:
            return None
        put.append(_placed(Token("word", unit, at.start, at.end), at))
    if meant.unit is None and slip.junk:  # "two passes, wait, three"
        put += [_placed(token, at) for token in tokens[slip.head + 1 : slip.end]]
    return [*tokens[: slip.head], *put, *tokens[slip.end : begin], *tokens[meant.end :]]


def _placed(token: Token, at: Token) -> Token:
    return replace(token, start=at.start, end=at.end, glued=False)


def _excused(tokens: Sequence[Token], meant: int) -> bool:
    """Tell whether a way stands by itself with an "I mean" or a "sorry" behind it: "2 thou. Away from me, I mean"."""
    at = meant + 1
    while at < min(len(tokens), meant + _BEHIND) and _may_fill(tokens[at]) and tokens[at].text not in _words().sorry:
        at += 1
    return tokens[meant - 1].text in _PARTING and text_at(tokens, at) in _words().sorry


def _only_denied(tokens: Sequence[Token], begin: int, meant: int) -> bool:
    """Tell whether nothing but a "no" right before it takes a way back."""
    texts = [token.text for token in tokens[begin:meant] if token.text not in ("the", "a")]
    return texts[-1:] == ["no"] and not _words().sorry & set(texts) and "wait" not in texts


def _way_meant(tokens: Sequence[Token]) -> list[Token] | None:
    """Return the tokens with the way that was meant for the first one that is taken back; None if none is."""
    words = _words()
    for at, token in enumerate(tokens):
        pair = words.opposite.get(token.text)
        if pair is None or text_at(tokens, at - 1) in ("not", "said"):
            continue  # "not left, I meant right" needs no more
        for meant in range(at + 2, min(len(tokens), at + 2 + _FARTHEST)):
            if tokens[meant].text not in pair:
                continue
            begin = _taking_back(tokens, at + 1, meant)
            if begin is None and _excused(tokens, meant):
                begin = meant
            if begin is None or not (_PARTING | words.sorry) & {tokens[begin].text, tokens[begin - 1].text}:
                break  # "left no, right yes" takes nothing back
            if _only_denied(tokens, begin, meant):
                break  # "it's closed, no open" is not open
            end = meant + 1 + (text_at(tokens, meant + 1) == "from")
            if tokens[meant].text == "away" and text_at(tokens, at + 1) in ("me", "us", "the") and end == meant + 1:
                break  # "toward me, no, away" would be "away me"
            put = [_placed(each, token) for each in tokens[meant:end]]
            return [*tokens[:at], *put, *tokens[at + 1 : begin], *tokens[end:]]
    return None
