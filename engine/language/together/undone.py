"""Deeds that were not done after all: refused, only meant, or told of what would have been."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from itertools import pairwise

from askew.engine.language.clauses.message import Message
from askew.engine.language.words.tokens import SENTENCE_ENDS
from askew.engine.language.words.word_tables import table, word_list, word_lists
from askew.engine.observations import Action, Observation, Reading, SetupFact, Sign

_BEFORE = 3
"""So many words before those of a deed may say that it was not done."""
_HELPING = {"have", "has", "had", "do", "does", "did", "was", "were", "been", "i've", "we've"}
_SOON = {"gonna", "gunna", "finna"}
_MEANT = {"intend", "intends", "intended", "intending"}
_HEADED = {"plan", "plans", "hypothetical", "hypothetically", "planned", "todo"}
"""What a note begins with that tells of nothing done: "Plan: cool part, recut"."""


def drop_undone(message: Message, facts: list[Observation]) -> None:
    """Leave out the deeds whose own words take them back, for a phrase may hide the "not" of "have not changed it".

    Args:
        message: The message.
        facts: What was heard in it; changes in place.
    """
    if not any(isinstance(fact, Action) for fact in facts):
        return
    if message.text_at(0) in _HEADED and message.text_at(1) in (":", "for", "-"):
        facts[:] = [fact for fact in facts if not isinstance(fact, Action)]
    facts[:] = [fact for fact in facts if not (isinstance(fact, Action) and _taken_back(message, fact))]


def drop_what_is_gone(message: Message, facts: list[Observation]) -> None:
    """Leave out what was at the moving jaw where it is told to have been taken away: "ditched the rod at the jaw".

    Args:
        message: The message.
        facts: What was heard in it; changes in place.
    """
    taken = next((fact for fact in facts if isinstance(fact, Action) and fact.id == "bar_removed"), None)
    if taken is None:
        return
    end = message.tokens_of(taken.words).stop
    facts[:] = [fact for fact in facts if not was_at_the_jaw(message, fact, end)]


def was_at_the_jaw(message: Message, fact: Observation, end: int) -> bool:
    """Tell whether something was at the moving jaw by what was said before a token: before its removal."""
    held = isinstance(fact, SetupFact) and fact.key == "moving_jaw_contact" and fact.value != "plain"
    return held and message.tokens_of(fact.words).start < end


_FOUND = ("square", "truly_square", "flat", "parallel_word", "not_move")
"""Phrases that say that a reading is nothing, whatever is at the jaw."""
_BESIDE = 3
"""So many words may stand between a nothing and the plain jaw that it is said of."""


def drop_nothing_at_the_jaw(message: Message, facts: list[Observation]) -> None:
    """Leave out a reading of nothing that only says what is at the moving jaw: "nowt, just the plain jaw".

    Args:
        message: The message.
        facts: What was heard in it; changes in place.
    """
    jaw = next((fact for fact in facts if isinstance(fact, SetupFact) and fact.key == "moving_jaw_contact"), None)
    nothings = [spot for spot in message.prepared_spots if spot.name == "nothing"]
    if jaw is None or jaw.value != "plain" or message.quantities or len(nothings) != 1 or message.has(*_FOUND):
        return
    at, spot = message.tokens_of(jaw.words), nothings[0]
    between = range(min(spot.end, at.stop), max(spot.start, at.start))
    parted = len(between) > _BESIDE or any(message.text_at(place) in SENTENCE_ENDS for place in between)
    said = message.said(spot.start, spot.end).lower()
    if not parted and said in word_list("clauses.toml", "none", "at_the_jaw"):
        facts[:] = [fact for fact in facts if not (isinstance(fact, Reading) and fact.value == 0)]


_TRIED = {
    "follows_part": {"turned_part"},
    "stays_with_machine": {"turned_part"},
    "dent_found": {"turned_part"},
    "plate_loose": {"shimmed"},
}
"""What was done to find the answer to a sign that was asked for: turning the part shows if the error goes with it, a
leaf behind the plate that it is loose. Nothing was changed by that."""


def drop_tried(facts: list[Observation], asked: str | None) -> None:
    """Leave out the deeds that only tell how the answer was found.

    Args:
        facts: What was heard; changes in place.
        asked: The sign that was asked for, if any was.
    """
    tried = _TRIED.get(asked or "", set())
    facts[:] = [fact for fact in facts if not (isinstance(fact, Action) and fact.id in tried)]


_MEANWHILE = {"when", "while", "before", "throughout", "during", "whole", "along", "all"}


def settle_locks(message: Message, facts: list[Observation], asked: bool) -> None:
    """Keep one of the two that a lock told of tells: that it was on all the while, or that it was put on now.

    Args:
        message: The message.
        facts: What was heard in it; changes in place.
        asked: Whether it was asked if the locks were loose.
    """
    held = [fact for fact in facts if isinstance(fact, Sign) and fact.id == "locks_were_loose" and fact.answer == "no"]
    done = [fact for fact in facts if isinstance(fact, Action) and fact.id == "locked"]
    if not held or not done:
        return
    meanwhile = asked or bool(_MEANWHILE & {token.text for token in message.tokens})
    less = done if meanwhile else held
    facts[:] = [fact for fact in facts if not any(fact is one for one in less)]


@cache
def _advice() -> Mapping[str, frozenset[str]]:
    """Return the words that advice is told in, parted once."""
    return word_lists(table("clauses.toml")["advised"])


def advised(message: Message, fact: Observation) -> bool:
    """Tell whether somebody only said to do it: "my mate says put a shim behind it", without "so I did" after it.

    Args:
        message: The message.
        fact: What was heard in it.
    """
    if not isinstance(fact, Action):
        return False
    words = _advice()
    at = message.tokens_of(fact.words)
    texts = [token.text for token in message.tokens]
    own = next((i for i in at if texts[i] not in words["joins"]), at.stop)
    for said in range(min(at.stop, len(texts)) - 1):
        asked = texts[said] in words["asks"] and texts[said + 1] in words["whom"]
        if not asked and texts[said] not in words["says"]:
            continue
        verb = next((i for i in range(said + 1 + asked, at.stop) if texts[i] not in words["between"]), at.stop)
        if verb == at.stop or texts[verb] not in words["bidding"]:
            continue
        between = message.tokens[verb:own]
        in_one_breath = not any(token.kind == "mark" for token in between)
        goes_on = in_one_breath or (own < at.stop and texts[own] in words["bidding"])
        ended = any(token.text in SENTENCE_ENDS for token in between)
        return goes_on and not ended and not words["did"] & {*texts[verb:]}
    return False


def _taken_back(message: Message, fact: Action) -> bool:
    """Tell whether the words of a deed, or those just before them in their clause, say that it was not done."""
    at = message.tokens_of(fact.words)
    if len(at) == len(message.tokens) and len(message.clauses) > 1:
        return False  # a deed that the whole message speaks of has no words of its own
    begin = at.start
    while begin > max(at.start - _BEFORE, 0) and message.tokens[begin - 1].kind != "mark":
        begin -= 1
    words = [message.said(index, index + 1).lower() for index in range(begin, at.stop)]
    return any(
        (one in _HELPING and two == "not")
        or (one in _MEANT and two == "to")
        or (one.endswith("'d") and two == "have")
        or one in _SOON
        or (one == "being" and two.endswith("ed"))
        for one, two in pairwise(words)
    )
