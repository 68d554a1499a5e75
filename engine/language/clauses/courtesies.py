"""What people say around a message and mean nothing by: "hi all," before it, "any ideas? thanks mate" behind it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

from askew.engine.language.words.word_tables import items, table

_MARKS = " \t\r\n,.;:!?-"
_WORD = re.compile(r"[^\s,.;:!?\-]+")
_BETWEEN = re.compile(r"(?:[\s,;:!?]|[.\-](?!\d))*")
_MOST = 4
"""So many of them in a row are looked for, before a message and behind it."""
_REACH = 160
"""In so many characters the first and the last of them are looked for."""
_LONGEST = 9
"""No more words make one."""
_FEW, _MANY = 4, 7
"""No more words say before a number, and behind it, that it was measured."""
_LEAST = 3
"""So many words, or a number, must be left; "thanks" alone stays what it is."""


@dataclass(frozen=True, slots=True)
class _Said:
    """Words of courtesy, in small letters and without apostrophes."""

    greetings: frozenset[str]
    thanks: frozenset[str]
    appeals: frozenset[str]
    going_on: frozenset[str]
    assent: frozenset[str]
    answered_first: frozenset[str]
    answered_last: frozenset[str]
    measured_first: frozenset[str]
    measured_last: frozenset[str]
    names: frozenset[str]


def answer_alone(text: str, reading: bool) -> str:
    """Return what was answered without what only says that it is the answer.

    Args:
        text: The message.
        reading: Whether a reading was asked for: then how it was measured goes, too: "dial says 3", "3 on the clock".
    """
    said = _said()
    before = said.answered_first | (said.measured_first if reading else frozenset())
    behind = said.answered_last | (said.measured_last if reading else frozenset())
    words = [(found.start(), found.end(), _plain(found.group())) for found in _WORD.finditer(text)]
    first = next((n for n in range(_FEW, 0, -1) if " ".join(word for *_, word in words[:n]) in before), 0)
    kept = words[first:]
    last = next((n for n in range(_MANY, 0, -1) if " ".join(word for *_, word in kept[-n:]) in behind), 0)
    kept = kept[: len(kept) - last]
    if not kept or len(kept) == len(words):
        return text
    told = text[: kept[-1][1]] if last else text
    return _from(told, words[first - 1][1]) if first else told


def without_courtesies(text: str) -> str:
    """Return a message without greetings before it, and thanks and appeals for ideas behind it.

    What is left is a part of the text as it was typed; the whole text where hardly anything would be left.
    """
    rest = text
    for _ in range(_MOST):
        less = _without_the_first(_without_the_last(rest))
        if less == rest:
            break
        rest = less
    told = len(rest.split()) >= _LEAST or any(char.isdigit() for char in rest)
    return rest if told else text


def _without_the_last(text: str) -> str:
    said = _said()
    begin = max(0, len(text) - _REACH)
    words = [(begin + found.start(), _plain(found.group())) for found in _WORD.finditer(text[begin:])]
    if len(words) < 2:
        return text
    if text.rstrip().endswith("?") and words[-1][1] in said.assent and _marked(text[: words[-1][0]]):
        return text[: words[-1][0]].rstrip(_MARKS)  # "that's a lot, right?"
    stops = [len(words), *([len(words) - 1] if words[-1][1] in said.names else [])]
    for start in range(max(0, len(words) - _LONGEST), len(words)):
        if any(_phrase(words, start, stop) in said.thanks | said.appeals for stop in stops):
            return text[: words[start][0]].rstrip(_MARKS)
    return _without_an_appeal(text, words)


def _without_an_appeal(text: str, words: list[tuple[int, str]]) -> str:
    """Return a message without an appeal that goes on to its end: "any idea what could cause that"."""
    said = _said()
    for at in range(1, len(words)):
        if words[at][1] not in said.going_on:
            continue
        for start in range(max(0, at - _LONGEST), at):
            on = text[words[start][0] :].rstrip(_MARKS)
            if _phrase(words, start, at) in said.appeals and not any(one.isdigit() or one in ",.;:!?" for one in on):
                return text[: words[start][0]].rstrip(_MARKS)
    return text


def _without_the_first(text: str) -> str:
    said = _said()
    words = [(found.end(), _plain(found.group())) for found in _WORD.finditer(text[:_REACH])]
    for stop in range(min(len(words), _LONGEST), 0, -1):
        whole = _phrase(words, 0, stop) in said.greetings
        named = stop > 1 and words[stop - 1][1] in said.names and _phrase(words, 0, stop - 1) in said.greetings
        rest = text[words[stop - 1][0] :]
        # A short greeting needs its comma: "hi in the middle" is high there.
        marked = rest.lstrip()[:1] in {*",.;:!-"}
        if (whole and (stop > 1 or marked)) or (named and (stop > 2 or marked)):
            return _from(rest, 0) or text
    return text


def _from(text: str, at: int) -> str:
    """Return a text from a place on, marks there left out but for the point or the sign of a number: ".0012"."""
    found = _BETWEEN.match(text, at)
    return text[found.end() if found else at :]


def _phrase(words: list[tuple[int, str]], start: int, stop: int) -> str:
    return " ".join(word for _, word in words[start:stop])


def _marked(text: str) -> bool:
    return text.rstrip().endswith(",")


def _plain(word: str) -> str:
    return word.lower().replace("\u2019", "").replace("'", "")


@cache
def _said() -> _Said:
    rows = table("clauses.toml")["courtesies"]
    return _Said(**{name: frozenset(_plain(one) for one in items(rows[name])) for name in rows})
