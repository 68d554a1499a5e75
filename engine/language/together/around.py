"""What stands around a fact: how much of it speaks of the shop, how much is strange, and what is of elsewhere."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from dataclasses import dataclass
from functools import cache
from operator import attrgetter

from askew.engine.language.clauses.message import Message
from askew.engine.language.words.lexicon import lexicon
from askew.engine.language.words.phrase_forms import Spot
from askew.engine.language.words.tokens import SENTENCE_ENDS
from askew.engine.language.words.word_tables import word_list

_FILLING = {"idiom", "saying", "history", "hypothetical", "weather", "buy", "in_dir", "out_dir", "found", "have", "yes"}
_FEW = 2
_BY_THE_WAY = {"over_meal", "cuts_clean", "beer_can", "a_joke"}
"""Phrases whose words of other walks of life lead nowhere: "left it to cool over dinner", "cuts like butter"."""
AWAY = {"weather", "buy", "saying"}
_LIKE, _ANY_ONE, _SIMILE = {"like", "as"}, {"a", "an", "my", "me", "your", "our", "some", "any"}, 3
"""How a likeness begins, and how many words back it may: "flat as my kitchen table"."""


@dataclass(frozen=True, slots=True)
class Around:
    """The clauses that a fact was taken from, and what stands in them."""

    start: int
    end: int
    names: frozenset[str]
    known: int
    strange: int
    elsewhere: bool


def bare(word: str) -> str:
    """Return a word without its possessive ending."""
    return word.removesuffix("'s")


_begins, _head = attrgetter("start"), attrgetter("head")


def _likened(message: Message, index: int) -> bool:
    """Tell whether a word only paints: "squealing like a pig", "rocks like a garden chair"."""
    tokens = message.tokens
    for at in range(max(0, index - _SIMILE), index - 1):
        if tokens[at].text in _LIKE and tokens[at + 1].text in _ANY_ONE:
            return True
    return False


def around_words(message: Message, words: str) -> Around | None:
    """Return what stands in the clauses that hold these words; None where they are not found."""
    at = message.text.find(words) if words else -1
    if at < 0 or not message.clauses:
        return None
    first = bisect_right(message.clauses, at, key=lambda clause: message.tokens[clause.end - 1].end)
    last = bisect_left(message.clauses, at + len(words), key=lambda clause: message.tokens[clause.start].start)
    held = message.clauses[first:last]
    if not held:
        return None
    start, end = held[0].start, held[-1].end
    spots = message.prepared_spots
    spots = spots[bisect_left(spots, start, key=_begins) : bisect_left(spots, end, key=_begins)]
    led_in = {at for s in spots if s.name == "found" and s.end - s.start > 1 for at in range(s.start, s.end)}
    names = {
        spot.name
        for spot in spots
        if not (spot.name in AWAY and _likened(message, spot.start))
        and not (spot.name == "to_do" and led_in.issuperset(range(spot.start, spot.end)))  # "I should mention"
    }
    known, strange = counted(message, start, end)
    return Around(start, end, frozenset(names), known, strange, away(message, start, end))


def away(message: Message, start: int, end: int) -> bool:
    """Tell whether the words between two tokens speak of other walks of life."""
    elsewhere = word_list("clauses.toml", "evidence", "elsewhere")
    spots = message.prepared_spots
    spots = spots[bisect_left(spots, start, key=_begins) : bisect_left(spots, end, key=_begins)]
    aside = {
        i
        for spot in spots
        if spot.name in _BY_THE_WAY or (spot.name in lexicon().bits and spot.name not in _FILLING and _phrase(spot))
        for i in range(spot.start, spot.end)
    }
    return any(spot.name in AWAY and not _likened(message, spot.start) for spot in spots) or any(
        bare(message.tokens[i].text) in elsewhere for i in _words_in(message, start, end) if i not in aside
    )


def _phrase(spot: Spot) -> bool:
    """Tell whether a phrase is more than one word, so that none of them speaks of elsewhere: "a smooth little hill"."""
    return spot.end - spot.start > 1


def _words_in(message: Message, start: int, end: int) -> list[int]:
    """Return the words between two tokens, those that only paint left out."""
    return [
        i
        for i in range(start, end)
        if message.tokens[i].kind == "word" and len(message.tokens[i].text) > 1 and not _likened(message, i)
    ]


def counted(message: Message, start: int, end: int) -> tuple[int, int]:
    """Return how many words between two tokens speak of the shop, and how many nothing is known of."""
    covered: set[int] = set()
    sized: set[int] = set()  # what belongs to numbers speaks neither way
    spots = message.prepared_spots
    for spot in spots[bisect_left(spots, start, key=_begins) : bisect_left(spots, end, key=_begins)]:
        if spot.name not in _FILLING:
            covered.update(range(spot.start, spot.end))
        elif spot.name == "found" and spot.end - spot.start > _FEW:
            sized.update(range(spot.start, spot.end))  # "it turned out there was"
    heads = message.prepared
    for quantity in heads[bisect_left(heads, start, key=_head) : bisect_left(heads, end, key=_head)]:
        sized.update(range(max(quantity.start, start), min(quantity.end, end)))
    small = _small()
    words_there = _words_in(message, start, end)
    known = sum(1 for i in words_there if i in covered and message.tokens[i].text not in small)
    strange = sum(
        1
        for i in words_there
        if i not in covered
        and i not in sized
        and not {message.tokens[i].text, bare(message.tokens[i].text)} & small
        and not _is_name(message, i)
    )
    return known, strange


@cache
def _small() -> frozenset[str]:
    """Return the words that speak neither of the shop nor of anything strange."""
    evidence = word_list("clauses.toml", "evidence", "plain") | word_list("clauses.toml", "evidence", "workplaces")
    return word_list("clauses.toml", "words", "small") | evidence


_NOT_BEFORE_NAMES = {*SENTENCE_ENDS, ":", "-", "on", "in", "by", "until", "till", "since", "last", "next", "every"}
_TITLES = {"mr", "mrs", "ms", "dr", "old", "young", "uncle", "auntie"}


def _is_name(message: Message, index: int) -> bool:
    """Tell whether a word is somebody's name, which says nothing of the matter: "Dave reckons it's 3 thou open"."""
    token = message.tokens[index]
    written = message.text[token.start : token.end]
    if not written.istitle() or not written.isalpha() or message.text.istitle():
        return False
    before = next((one for one in reversed(message.tokens[:index]) if one.kind != "mark"), None)
    if before is not None and before.text in _TITLES:
        return True
    return index > 0 and message.tokens[index - 1].text not in _NOT_BEFORE_NAMES


def touches_elsewhere(message: Message) -> bool:
    """Tell whether any word of a message speaks of other walks of life."""
    elsewhere = word_list("clauses.toml", "evidence", "elsewhere")
    led = {spot.name for spot in message.prepared_spots if not _likened(message, spot.start)} & AWAY
    aside = {at for spot in message.prepared_spots if spot.name in _BY_THE_WAY for at in range(spot.start, spot.end)}
    return bool(led) or any(
        bare(token.text) in elsewhere and i not in aside and not _likened(message, i)
        for i, token in enumerate(message.tokens)
    )
