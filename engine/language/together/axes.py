"""Which axis a number belongs to, and the other axis told along with it."""

from __future__ import annotations

from collections.abc import Set
from dataclasses import replace

from askew.engine.language.clauses.groups import Group, has_value
from askew.engine.language.clauses.message import Message
from askew.engine.language.numbers.measured import is_value
from askew.engine.language.observed.directions import direction
from askew.engine.language.observed.two_ends import pair_of
from askew.engine.language.together.attempt import Trial, add, ask_which, last_reading
from askew.engine.language.words.lexicon import lexicon
from askew.engine.language.words.meanings import Meaning
from askew.engine.observations import Reading

_ALONG_X = ("x_run", "table_ends", "push_table_end")

_AXIS_WORDS = {
    "x": frozenset({"x", "left", "right", "l2r", "r2l", "to_left", "to_right", *_ALONG_X}),
    "y": frozenset({"y", "front", "back", "f2b", "b2f", "to_front", "to_back", "saddle_run", "push_saddle"}),
    "z": frozenset({"z", "quill", "knee", "push_head"}),
}

_BOTH_WAYS = ("sweep_x", "sweep_y", "vise_bed", "hole_lean")
"""What is told for both axes at once: "level both ways"."""

_HOLLOWS = ("hollow_across", "hollow_along")


def by_axis(message: Message, family: Meaning, among: Set[str] | None = None) -> Meaning | None:
    """Return the member of a family whose axis is the only one that the message names, or these names do.

    Args:
        message: The message.
        family: The readings of one kind, one for each axis.
        among: The names to look at; None for all that the message holds.
    """
    among = message.all_names if among is None else among
    named = [axis for axis, names in _AXIS_WORDS.items() if names & among]
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


def sibling(trial: Trial, group: Group) -> Meaning | None:
    """Return the reading of another axis that goes on from the last one: "lost motion x 8 thou, y 5 thou".

    Args:
        trial: The attempt at the message.
        group: The clauses with the next number.
    """
    last = last_reading(trial)
    if (
        last is None
        or (last[1].id[-2:] not in ("_x", "_y", "_z") and last[1].id not in _HOLLOWS)
        or not has_value(trial.message, group)
    ):
        return None
    names = trial.message.names(group.start, group.end)
    if last[1].id in _HOLLOWS and names & {"along", "across"}:
        return lexicon().meanings["hollow_along" if "along" in names else "hollow_across"]
    axis = next(
        (
            axis
            for axis in "xyz"
            if axis in names
            or (axis == "x" and names >= {"left", "right"})
            or (axis == "y" and names >= {"front", "back"})
            or (last[1].id.startswith(("hole_lean", "sweep_x", "sweep_y")) and names & _AXIS_WORDS[axis])
        ),
        None,
    )
    return None if axis is None else lexicon().meanings.get(f"{last[1].id[:-1]}{axis}")


def add_other_axis(trial: Trial, group: Group, fact: Reading) -> None:
    """Add the second pair of "left 0 right 5, front 2 back 2", and the second of "both ways".

    Args:
        trial: The attempt at the message, which takes the second reading.
        group: The clauses that both were told in.
        fact: The reading of the first axis.
    """
    named = trial.message.names(group.start, group.end)
    twin = lexicon().meanings.get(fact.id[:-1] + ("y" if fact.id.endswith("x") else "x"))
    both = ("both_ways" in named and fact.id.startswith(_BOTH_WAYS)) or (fact.value == 0 and {"x", "y"} <= named)
    if both and fact.value is not None and fact.id[-2:] in ("_x", "_y") and twin is not None:
        add(trial.facts, replace(fact, id=twin.id))
        return
    if (
        fact.id[-2:] not in ("_x", "_y")
        or sum(is_value(q) for q in trial.message.within(group.start, group.end)) < 4
    ):
        return
    if twin is not None and twin.ends:
        second = pair_of(trial.message, group.start, group.end, twin, trial.habit)
        if second is not None:
            add(trial.facts, replace(second, over=fact.over))
