"""Signs that somebody owns not to know, in whatever words: "whether the ink printed I can't say, I smeared it"."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import pairwise

from askew.engine.language.clauses.message import Message
from askew.engine.language.model import Context
from askew.engine.language.together.attempt import Trial
from askew.engine.language.together.evidence import elsewhere_beside
from askew.engine.language.words.gapped import Row, Rows, found, row
from askew.engine.language.words.lexicon import lexicon
from askew.engine.language.words.word_tables import table, usual_words, word_list, word_lists
from askew.engine.observations import Command, Observation, Sign

_STOPS = {".", "!", ";"}
"""Where a sentence ends; a question is gone on with: "is he rubbing? I can't tell"."""
_ALONG = {"light_in_middle", "light_at_ends"}
_WHERE_REACH = 5
"""So many words after a doubt what is doubted may be which one it was, or where."""
_BEFORE_REACH = 7
"""So many words before a doubt that may be said: "where it had been I can't say"."""
_TOLD_BEFORE = 2
"""So few words before a doubt tell nothing: "couldn't say which side"."""
_TOPIC_REACH = 22
"""So many words before or after a doubt its matter may begin."""
_LONGEST = 60


@dataclass(frozen=True, slots=True)
class _Doubt:
    """Words that own that something is not known.

    Attributes:
        start: The first of them.
        end: The token after the last.
        first: The first token of the sentence.
        last: The token after its last.
        typed: The letter of the message that they begin at.
        told: Whether it is said before that something was there.
        place: Whether only which one or where is not known.
    """

    start: int
    end: int
    first: int
    last: int
    typed: int
    told: bool
    place: bool


def settle_left_open(trial: Trial, context: Context) -> None:
    """Give the signs that are owned not to be known the answer "unknown", or "yes" where only their place is not known.

    Args:
        trial: The attempt at the message; its facts change in place.
        context: What was asked for.
    """
    kept, words = usual_words(trial.message.tokens, _STOPS)
    later = context.asked is None and trial.message.has("planned", "intended", "some_day")
    if later or len(words) > _LONGEST or any(isinstance(fact, Command) for fact in trial.facts):
        return
    for doubt in _doubts(trial.message, kept, words):
        said = {*words[doubt.first : doubt.last]}
        at = next((spot for spot, token in enumerate(trial.message.tokens) if token.start >= doubt.typed), 0)
        if _only_later(words[doubt.first : doubt.last]):
            continue
        if context.asked is None and elsewhere_beside(trial.message, at):
            continue
        nearest = _named(words, doubt, "topics")
        if not nearest and context.asked is None:
            nearest = _named(words, doubt, "of_it")
        name = nearest[0] if nearest else None
        if context.asked in _topics("topics") or f"{context.asked}".removesuffix("_along") in _ALONG:
            heard = {fact.id for fact in trial.facts if isinstance(fact, Sign) and fact.answer != "unknown"}
            of_it = name in (None, context.asked, f"{context.asked}".removesuffix("_along"))
            denied = name is None and words[doubt.first] in _words("denying")
            told = not of_it and words[doubt.first] == "no"  # "no light, and couldn't tell which side of the joint"
            answered = denied or told or (name is None and bool(said & _words("telling")))
            if not answered and (of_it or context.asked not in heard):
                name = context.asked
        if name is not None:
            _leave_open(trial, name, doubt)
            trial.facts[:] = [fact for fact in trial.facts if not _unnamed(fact, {name, *nearest}, context)]


def _only_later(words: Sequence[str]) -> bool:
    """Tell whether what is owned not to be known is still to be seen to; a "will not" says why it is not known."""
    later = _words("unless")
    return any(one in later and two not in ("not", "never") for one, two in pairwise((*words, "")))


def _leave_open(trial: Trial, name: str, doubt: _Doubt) -> None:
    """Put the answer of a doubt in the place of what was heard of the sign, unless that is a place of its own."""
    placed = doubt.place and bool(lexicon().meanings[name].places) and (name != "ink_print" or doubt.told)
    if doubt.place and not lexicon().meanings[name].places:
        return  # which side of something else: "step, couldn't say which side, and the knee wasn't locked"
    left_open = Sign(name, "yes" if placed else "unknown", trial.message.text)
    for at, fact in enumerate(trial.facts):
        if isinstance(fact, Sign) and fact.id == name:
            if fact not in trial.vouched and fact.answer in ("yes", "no", "none", "unknown"):
                trial.facts[at] = left_open
            return
    trial.facts.append(left_open)


def _unnamed(fact: Observation, named: set[str], context: Context) -> bool:
    """Tell whether a sign was left open that the sentence does not name: "numb with cold, so I can't say"."""
    return isinstance(fact, Sign) and fact.answer == "unknown" and fact.id not in named and fact.id != context.asked


def _named(words: Sequence[str], doubt: _Doubt, rows_of: str) -> list[str]:
    """Return the signs that are named beside a doubt in its sentence, the nearest first."""
    nearest: list[tuple[int, str]] = []
    for name, rows in _topics(rows_of).items():
        for start in range(max(doubt.first, doubt.start - _TOPIC_REACH), min(doubt.last, doubt.end + _TOPIC_REACH)):
            for way in rows:
                places = found(way, words[: doubt.last], start)
                if places is not None:
                    nearest.append((start - doubt.end if start >= doubt.end else doubt.start - places[-1], name))
    said = {*words[doubt.first : doubt.last]}
    turned = bool(said & _words("along") and not said & _words("across"))
    return [f"{name}_along" if turned and name in _ALONG else name for _, name in sorted(nearest)]


def _doubts(message: Message, kept: Sequence[int], words: Sequence[str]) -> Iterator[_Doubt]:
    """Yield where it is owned that something is not known, one a sentence."""
    spans = [(places[0], places[-1] + 1) for places in ways("doubt").first_in(words)]
    for spot in message.spots:
        weak = message.said(spot.start, spot.end).lower() in _words("weak_doubts")
        if spot.name in ("unsure", "dont_know") and not weak:
            spans.append((sum(at < spot.start for at in kept), sum(at < spot.end for at in kept)))
    seen = -1
    for start, end in sorted(spans):
        last = next((at for at in range(end, len(words)) if not words[at]), len(words))
        if last == seen or _of_size(words[end : end + 2]):
            continue
        seen = last
        first = max((at + 1 for at in range(start) if not words[at]), default=0)
        behind = words[end - 1 : min(last, end + _WHERE_REACH)]
        before = words[max(first, start - _BEFORE_REACH) : start]
        either = len({*words[end - 1 : min(last, end + 2 * _WHERE_REACH)]} & _classes()["places"]) > 1
        place = either or {*behind} & _classes()["where"] or {*before} & _classes()["which"]
        told = bool({*words[first:start]} & _words("there"))
        typed = message.tokens[kept[start]].start
        yield _Doubt(start, end, first, last, typed, told, bool(place) and start - first >= _TOLD_BEFORE)


def _of_size(words: Sequence[str]) -> bool:
    """Tell whether what is not known is how much or why: "no idea how much", and not "what side"."""
    return bool({*words[:1]} & _classes()["of_size"]) and words[1:] not in (["side"], ["way"], ["face"])


@cache
def _classes() -> Mapping[str, frozenset[str]]:
    return word_lists(table("left_open.toml")["classes"])


@cache
def ways(name: str) -> Rows[None]:
    """Return the rows that own something not to be known, a sign or a "direction"."""
    return Rows((row(text, _classes()), None) for text in table("left_open.toml")["ways"][name])


@cache
def _topics(rows_of: str) -> Mapping[str, tuple[Row, ...]]:
    rows = table("left_open.toml")[rows_of]
    return {name: tuple(row(text, _classes()) for text in told) for name, told in rows.items()}


def _words(name: str) -> frozenset[str]:
    return word_list("left_open.toml", "words", name)
