"""What was said wrong and put right in the same breath: "0.02, no, 0.03 mm", "leans forward, no, back".

What was wrong is left out before anything is read, and what was meant stands in its place.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache

from askew.engine.language.numbers.quantities import Quantity
from askew.engine.language.numbers.scanning import scan
from askew.engine.language.words.tokens import Token, text_at
from askew.engine.language.words.word_tables import items, table, word_list

_LONG = 200
"""A message of more words and marks is no single breath."""
_MOST = 4
"""So many times somebody puts something right in one message."""
_BETWEEN = 4
"""So many words may stand between what was wrong and the "no" after it: "2 thou at the top, no"."""
_STOPS = {",", ".", "-", "!", "?", ";", ":", "(", ")"}
_ENDING = {"", ",", ".", "!", "?", ";", ")", "-"}

Phrase = tuple[str, ...]
Phrases = Mapping[str, tuple[Phrase, ...]]
"""Phrases by their first word, the longest first."""


@dataclass(frozen=True, slots=True)
class _Slip:
    """What is taken back, from its first word to what stands for it.

    Attributes:
        start: The first token of what was wrong.
        end: The token after its last.
        gone: The first token that is left out behind it.
        meant: The tokens that stand for it.
        rest: The token that goes on after what was meant.
    """

    start: int
    end: int
    gone: int
    meant: tuple[Token, ...]
    rest: int


def restated(tokens: Sequence[Token]) -> list[Token]:
    """Return the tokens, what was taken back left out and what was meant in its place."""
    made = list(tokens)
    for _ in range(_MOST if len(made) <= _LONG else 0):
        slip = _first_slip(made) if any(token.text in _openings() for token in made) else None
        if slip is None:
            break
        first, last = made[slip.start], made[slip.end - 1]
        meant = list(slip.meant)
        if slip.end < slip.gone:  # words were said between: it takes the place of what was wrong
            meant = [replace(token, start=first.start, end=last.end) for token in meant]
        made = [*made[: slip.start], *meant, *made[slip.end : slip.gone], *made[slip.rest :]]
    return made


@cache
def _phrases(name: str) -> Phrases:
    """Return the phrases of a list."""
    return _by_first_word(table("clauses.toml")["restated"][name])


def _by_first_word(text: str) -> Phrases:
    found: dict[str, tuple[Phrase, ...]] = {}
    for phrase in sorted((tuple(item.split()) for item in items(text)), key=len, reverse=True):
        found[phrase[0]] = (*found.get(phrase[0], ()), phrase)
    return found


@cache
def _openings() -> frozenset[str]:
    return frozenset(word for name in ("sure", "loose", "behind") for word in _phrases(name))


@cache
def _sides() -> tuple[tuple[Phrases, Phrases], ...]:
    """Return the pairs of opposites, each side in all its words."""
    pairs = table("clauses.toml")["restated"]["opposites"]
    return tuple((_by_first_word(one), _by_first_word(two)) for one, two in pairs)


def _at(tokens: Sequence[Token], at: int, phrases: Phrases) -> Phrase | None:
    """Return the phrase that begins at a token."""
    for phrase in phrases.get(text_at(tokens, at), ()):
        if tuple(token.text for token in tokens[at : at + len(phrase)]) == phrase:
            return phrase
    return None


def _first_slip(tokens: Sequence[Token]) -> _Slip | None:
    """Return the first thing that was put right, None where nothing was."""
    numbers: Sequence[Quantity] | None = None
    at = 1
    while at < len(tokens):
        micron = tokens[at].text == "um" and tokens[at - 1].kind == "number"
        if micron or not any(_at(tokens, at, _phrases(name)) for name in ("sure", "loose")):
            at += 1
            continue
        numbers = scan(tokens) if numbers is None else numbers
        start, end, known = _edit(tokens, at)
        slip = _number_slip(tokens, numbers, start, end, known) or _side_slip(tokens, start, end, known)
        slip = slip or _said_behind(tokens, numbers, at)
        if slip is not None:
            return slip
        at = max(end, at + 1)
    return None


def _edit(tokens: Sequence[Token], at: int) -> tuple[int, int, bool]:
    """Return where the words that take something back begin and end, stops included, and whether they are sure."""
    start, end, known = at, at, False
    while start > 0 and tokens[start - 1].text in _STOPS:
        start -= 1
    while end < len(tokens):
        phrase = _at(tokens, end, _phrases("sure"))
        known = known or phrase is not None
        phrase = phrase or _at(tokens, end, _phrases("loose")) or _at(tokens, end, _phrases("excuse"))
        if phrase is not None:
            end += len(phrase)
        elif end > at and tokens[end].text in _STOPS and tokens[end].text != "-":
            end += 1
        else:
            break
    return start, end, known


def _lead(tokens: Sequence[Token], at: int) -> int:
    """Return the first token from `at` on that does not only lead on to what was meant."""
    small = word_list("clauses.toml", "restated", "leading")
    while at < len(tokens) and tokens[at].text in small:
        at += 1
    return at


def _goes_on(tokens: Sequence[Token], old_end: int, end: int) -> bool:
    """Tell whether what was meant ends as what was wrong did: with a stop, or on the same word."""
    after = text_at(tokens, end)
    return after in _ENDING or after == text_at(tokens, old_end) or after in word_list("clauses.toml", "restated", "on")


def _number_slip(
    tokens: Sequence[Token], numbers: Sequence[Quantity], start: int, end: int, known: bool
) -> _Slip | None:
    """Return the number before an edit that the one right behind it stands for."""
    old = next((one for one in reversed(numbers) if one.end <= start), None)
    begin = _lead(tokens, end)
    if old is not None and begin < len(tokens) and tokens[begin].text == text_at(tokens, old.start - 1):
        begin += 1  # "over 6 inches, no, over 5"
    new = next((one for one in numbers if one.head == begin or one.start == begin), None)
    if new is None or new.pronoun or new.box or (new.junk and text_at(tokens, new.start - 1) != "no"):
        return None
    if old is None or start - old.end > _BETWEEN or not _one_kind(old, new):
        return None
    if not known and (text_at(tokens, start) not in _STOPS or start == end):
        return None
    if not (known or _stopped(tokens, start, end) or _goes_on(tokens, old.end, new.end)):
        return None
    if any(tokens[at].text in word_list("clauses.toml", "restated", "apart") for at in range(old.end, start)):
        return None
    meant = [*tokens[new.start : new.end]]
    if new.unit is None and old.unit is not None:
        meant += _unit_of(tokens, old)
    return _Slip(old.start, old.end, start, tuple(meant), new.end)


def _unit_of(tokens: Sequence[Token], quantity: Quantity) -> list[Token]:
    """Return the tokens of a number that name its unit."""
    return [t for t in tokens[quantity.head + 1 : quantity.end] if t.kind == "word"][-1:]


def _one_kind(old: Quantity, new: Quantity) -> bool:
    """Tell whether one number may stand for another: both small, or both large."""
    if old.junk or old.pronoun or old.box or (old.value, old.unit) == (new.value, new.unit):
        return False
    if old.unit is None or new.unit is None or old.unit == new.unit:
        return True
    return old.unit in _SMALL and new.unit in _SMALL


_SMALL = {"thou", "tenth", "um", "hundredth", "mil"}


def _side_slip(tokens: Sequence[Token], start: int, end: int, known: bool) -> _Slip | None:
    """Return the side before an edit that the opposite one right behind it stands for."""
    begin = _lead(tokens, end)
    new = _side_at(tokens, begin)
    old = None if new is None or start == end else _side_before(tokens, start, new[1])
    if new is None or old is None or text_at(tokens, old[0] - 1) in ("no", "not", "said"):
        return None
    after = begin + len(new[0])
    if tuple(token.text for token in tokens[start:begin]) == (",", "no"):
        return None  # "it's closed, no open" is not open
    if not (known or _stopped(tokens, start, end) or _goes_on(tokens, old[1], after)):
        return None
    return _Slip(*old, start, tuple(tokens[begin:after]), after)


def _stopped(tokens: Sequence[Token], start: int, end: int) -> bool:
    """Tell whether a stop stands on either side of the words between two tokens: ", no,"."""
    return text_at(tokens, start) in _STOPS and text_at(tokens, end - 1) in _STOPS


def _side_at(tokens: Sequence[Token], at: int) -> tuple[Phrase, Phrases] | None:
    """Return the side that is named at a token, and what the opposite one is called."""
    for pair in _sides():
        for side, against in (pair, pair[::-1]):
            phrase = _at(tokens, at, side)
            if phrase is not None:
                return phrase, against
    return None


def _side_before(tokens: Sequence[Token], end: int, phrases: Phrases) -> tuple[int, int] | None:
    """Return where the last of some phrases before a token begins and ends."""
    for at in range(end - 1, max(-1, end - _BETWEEN - 3), -1):
        phrase = _at(tokens, at, phrases)
        if phrase is not None and at + len(phrase) <= end:
            return at, at + len(phrase)
    return None


def _said_behind(tokens: Sequence[Token], numbers: Sequence[Quantity], at: int) -> _Slip | None:
    """Return what was put right before the words that say so: "leans toward me 2 thou. away from me I mean"."""
    behind = _at(tokens, at, _phrases("behind"))
    if behind is None:
        return None
    begin = at
    while begin > 0 and tokens[begin - 1].text not in _STOPS:
        begin -= 1
    stop = begin
    while stop > 0 and tokens[stop - 1].text in _STOPS:
        stop -= 1
    if stop == 0 or stop == begin:
        return None
    rest = at + len(behind)
    number = next((one for one in numbers if one.head == _lead(tokens, begin) and one.end == at), None)
    old = next((one for one in reversed(numbers) if one.end <= stop), None)
    if number is not None and old is not None and _one_kind(old, number) and stop - old.end <= _BETWEEN:
        meant = [*tokens[number.start : number.end], *([] if number.unit else _unit_of(tokens, old))]
        return _Slip(old.start, old.end, stop, tuple(meant), rest)
    lead = _lead(tokens, begin)
    new = _side_at(tokens, lead)
    side = None if new is None or lead + len(new[0]) != at else _side_before(tokens, stop, new[1])
    return None if side is None else _Slip(*side, stop, tuple(tokens[lead:at]), rest)
