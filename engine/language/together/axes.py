"""Which axis a number belongs to."""

from __future__ import annotations

from collections.abc import Set
from dataclasses import replace

from askew.engine.language.clauses.groups import Group, has_value
from askew.engine.language.clauses.message import Message
from askew.engine.language.observed.directions import direction
from askew.engine.language.together.attempt import Trial, ask_which
from askew.engine.language.words.lexicon import lexicon
from askew.engine.language.words.meanings import Meaning
from askew.engine.observations import Reading

_ALONG_X = ("x_run", "table_ends", "push_table_end")

AXIS_WORDS = {
    "x": frozenset({"x", "left", "right", "l2r", "r2l", "to_left", "to_right", *_ALONG_X}),
    "y": frozenset({"y", "front", "back", "f2b", "b2f", "to_front", "to_back", "saddle_run", "push_saddle"}),
    "z": frozenset({"z", "quill", "knee", "push_head"}),
}


def by_axis(message: Message, family: Meaning, among: Set[str] | None = None) -> Meaning | None:
    """Return the member of a family whose axis is the only one that the message names, or these names do.

    Args:
        message: The message.
        family: The readings of one kind, one for each axis.
        among: The names to look at; None for all that the message holds.
    """
    among = message.all_names if among is None else among
    named = [axis for axis, names in AXIS_WORDS.items() if names & among]
    name = f"{family.id}_{named[0]}" if len(named) == 1 else ""
    return lexicon().meanings[name] if name in family.members else None


def by_direction(message: Message, waiting: Group, group: Group) -> Meaning | None:
    """Return the member of a family whose directions are named.

    Args:
        message: The message.
        waiting: The group that names the family.
        group: The group of the number, before or after it.
    """
    if waiting.meaning is None:
        return None
    mask = message.mask(min(waiting.start, group.start), max(waiting.end, group.end))
    meanings = lexicon().meanings
    fits = [
        name
        for name in waiting.meaning.members
        if direction(replace(meanings[name], default="", size=False), mask)[1]
    ]
    return meanings[fits[0]] if len(fits) == 1 else None


def member(trial: Trial, group: Group, meaning: Meaning, asked: tuple[Meaning, ...]) -> Meaning | None:
    """Settle which reading of a family is meant, by what was asked or what the message is about; else ask.

    Args:
        trial: The attempt at the message, which takes the question where one is needed.
        group: The clauses that name the reading.
        meaning: The reading, or the family of one for each axis.
        asked: The readings and signs just asked for.

    Returns:
        The reading meant; None where it must be asked about, or where no number needs it.
    """
    if not meaning.members:
        return meaning
    meanings = lexicon().meanings
    wanted = [other for other in asked if other.id in meaning.members]
    if len(wanted) == 1:
        return wanted[0]
    if "both_ways" in trial.message.names(group.start, group.end) and meaning.id in ("sweep", "vise_bed", "hole_lean"):
        return meanings[meaning.members[0]]  # the other one is added to it
    if not has_value(trial.message, group):
        return by_axis(trial.message, meaning, trial.message.names(group.start, group.end))
    said = [fact.id for fact in trial.facts if isinstance(fact, Reading) and fact.id in meaning.members]
    if len(set(said)) == 1:
        return meanings[said[0]]
    member = by_axis(trial.message, meaning)
    if member is not None:
        return member
    ask_which(trial, group.start, group.end, meaning)
    return None
