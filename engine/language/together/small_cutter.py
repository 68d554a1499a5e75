"""The cutter told along with many small passes: it is the small one, not the cutter that made the complaint."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cache

from askew.engine.language.clauses.message import Message
from askew.engine.language.model import Context
from askew.engine.language.together.attempt import Trial
from askew.engine.language.words.gapped import Row, found, row
from askew.engine.language.words.word_tables import forms, table, word_lists
from askew.engine.observations import Action, Observation, Reading, SetupFact

_FINE = {"fine_cut", "fine_cutter_error"}
_SMALL, _ANY, _KIND = "small_cutter_diameter", "cutter_diameter", "cutter_kind"
_LARGEST = 26.0
"""A cutter above an inch, in mm, is nobody's small one; the complaint may be told in the same breath."""


@cache
def _rows() -> tuple[Row, ...]:
    told = table("set_up.toml")["small_passes"]
    classes: Mapping[str, frozenset[str]] = word_lists(told["classes"])
    return tuple(row(text, classes) for text in told["ways"])


def settle_small_cutter(trial: Trial, context: Context) -> None:
    """Take the diameter told along with many small passes for that of the small cutter, and its kind for nobody's.

    Args:
        trial: The attempt at the message, its facts all made.
        context: What was asked for.
    """
    facts = trial.facts
    sized = [fact for fact in facts if isinstance(fact, SetupFact) and fact.key in (_SMALL, _ANY)]
    fine = context.asked == _SMALL or any(_fine(fact) for fact in facts)
    if not fine and not (sized and _in_small_passes(trial.message)):
        return
    if any(fact.key == _ANY and not _is_small(fact) for fact in sized):
        return  # the cutter of the complaint is told too, and its kind may be meant
    facts[:] = [fact for fact in facts if not (isinstance(fact, SetupFact) and fact.key == _KIND)]
    if any(fact.key == _SMALL for fact in sized):
        return
    for place, fact in enumerate(facts):
        if isinstance(fact, SetupFact) and fact.key == _ANY:
            facts[place] = replace(fact, key=_SMALL)


def _fine(fact: Observation) -> bool:
    """Tell whether a fact says that the face was cut with a small cutter in many passes."""
    if isinstance(fact, SetupFact):
        return fact.key == _SMALL
    return isinstance(fact, Action | Reading) and fact.id in _FINE


def _is_small(fact: SetupFact) -> bool:
    return isinstance(fact.value, int | float) and fact.value <= _LARGEST


def _in_small_passes(message: Message) -> bool:
    """Tell whether many small passes are named: "all those narrow passes", "for the fine passes"."""
    usual = forms()[1]
    words = [usual.get(token.text, token.text) if token.kind != "mark" else "" for token in message.tokens]
    return any(found(way, words, place) for place in range(len(words)) for way in _rows())
