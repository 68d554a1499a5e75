"""The place of a sign told in a few words with gaps: "the lower one you could pull", "chip under its base"."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache

from askew.engine.language.model import Context
from askew.engine.language.together.attempt import Trial, asks
from askew.engine.language.words.gapped import Row, found, row
from askew.engine.language.words.tokens import SENTENCE_ENDS
from askew.engine.language.words.word_tables import table, usual_words, word_lists
from askew.engine.observations import Command, Sign

_BEFORE = 3
"""So many words before a place a "not" takes it back: "nothing at the fixed jaw"."""
_TOLD = {"yes", "yeah", "yep", "yup", "aye", "sure", "kind", "sort", "found", "got"}
"""How an answer begins that goes on to say where."""
_LONGEST = 60


@dataclass(frozen=True, slots=True)
class _Placed:
    """A sign that says where.

    Attributes:
        id: Its name.
        mention: Words one of which names it where it was not asked for.
        between: Words that take a place back.
        places: Each place with its rows.
        sure: Whether its rows tell the sign itself, whatever was heard of it.
    """

    id: str
    mention: frozenset[str]
    between: frozenset[str]
    places: tuple[tuple[str, tuple[Row, ...]], ...]
    sure: bool


@cache
def _signs() -> tuple[_Placed, ...]:
    """Return the signs that the lexicon lists with their places."""
    lists = table("places.toml")
    classes = word_lists(lists["classes"])
    return tuple(
        _Placed(
            name,
            classes[told["mention"]],
            classes[told["between"]],
            tuple((place, tuple(row(text, classes) for text in ways)) for place, ways in told["places"]),
            bool(told.get("sure")),
        )
        for name, told in lists.items()
        if name != "classes"
    )


def settle_by_rows(trial: Trial, context: Context) -> None:
    """Give signs that were told without a place, or not heard though asked for, the place that rows of words tell.

    Args:
        trial: The attempt at the message; its facts change in place.
        context: What was asked for.
    """
    message = trial.message
    if len(message.tokens) > _LONGEST or any(isinstance(fact, Command) for fact in trial.facts):
        return
    if message.has("planned", "some_day", "unsure", "dont_know") or asks(message, 0, len(message.tokens)):
        return
    words = usual_words(message.tokens, SENTENCE_ENDS)[1]
    for sign in _signs():
        at = next((at for at, f in enumerate(trial.facts) if isinstance(f, Sign) and f.id == sign.id), None)
        heard = None if at is None else trial.facts[at]
        answer = heard.answer if isinstance(heard, Sign) else None
        sure = sign.sure and bool(sign.mention & {*words} or context.asked == sign.id or heard is not None)
        if not (sure or answer == "yes" or (context.asked == sign.id and (answer is None or _TOLD & {*words[:2]}))):
            continue
        place = _place(sign, words)
        if place is None:
            continue
        if at is not None and isinstance(heard, Sign):
            trial.facts[at] = replace(heard, answer=place)
        else:
            trial.facts.append(Sign(sign.id, place, message.text))


def _place(sign: _Placed, words: Sequence[str]) -> str | None:
    """Return the first place whose row stands in the words with nothing that takes it back."""
    for place, rows in sign.places:
        for start in range(len(words)):
            for way in rows:
                places = found(way, words, start)
                if places is None:
                    continue
                before = words[max(0, start - _BEFORE) : start]
                between = (words[at] for at in range(start, places[-1]) if at not in places)
                if sign.between.isdisjoint((*before, *between)):
                    return place
    return None
