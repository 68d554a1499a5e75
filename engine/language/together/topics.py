"""What a group of clauses is about, and whether its number may follow in the next one."""

from __future__ import annotations

from collections.abc import Set

from askew.engine.language.clauses.groups import Group, has_value
from askew.engine.language.clauses.message import Message
from askew.engine.language.numbers.measured import is_value
from askew.engine.language.together.attempt import Trial, last_reading
from askew.engine.language.together.axes import by_axis
from askew.engine.language.words.fitting import best
from askew.engine.language.words.meanings import Meaning
from askew.engine.observations import Reading

GENERIC = ("face_out_of_square", "face_out_of_square_clamped")
"""What a number is taken for where only "out" is said of it."""

_LIKE = {
    "fixed_jaw_square": ("fixed_jaw_travel",),
    "block_out_of_square": ("fixed_jaw_travel",),
    "sweep": ("table_run_x", "table_run_y"),
    "sweep_x": ("table_run_x",),
    "sweep_y": ("table_run_y",),
    "square_travel": ("sweep_x", "sweep_y"),
    "wall_taper": ("blank_thickness",),
    "vise_bed": (
        *("face_out_of_parallel_along", "face_out_of_parallel_across", "table_run_x", "table_run_y", "clamp_rise"),
    ),
    "table_run": ("face_out_of_parallel_along", "face_out_of_parallel_across"),
    "table_run_x": ("face_out_of_parallel_along",),
    "table_run_y": ("face_out_of_parallel_across",),
    "vise_bed_x": ("face_out_of_parallel_along", "table_run_x"),
    "vise_bed_y": ("face_out_of_parallel_across", "table_run_y", "clamp_rise"),
    "jaw_run": ("face_out_of_parallel_along",),
    "axes_square": ("table_run_x", "table_run_y", "square_travel_x", "jaw_run"),
    "twist": ("face_out_of_square",),
    "hollow_along": ("hollow_across",),
    "ridge": ("step",),
    "parallels_height": ("face_out_of_parallel_across", "sweep_y", "table_run_y"),
    "spindle_push_pull": ("push_pull", "push_pull_x", "push_pull_y", "push_pull_z"),
    "spring_pass": ("_cut_depth",),
    "square_flip": ("turned_error",),
    "step": ("clamp_rise", "face_out_of_parallel_across", "face_out_of_parallel_along"),
}
"""What the number of a topic may sound like when it is told in a clause of its own."""

_SETTINGS = ("other_corner", "turned_error", "fine_cutter_error", "end_out_of_square_plan")
"""Complaints whose name only says where or how something was measured."""

_OUT = {
    "out",
    "lean",
    "out_of_square",
    "not",
    "out_of_parallel",
    "play",
    "square",
    "nothing",
    "skew",
    "whisker",
    "opposite",
    "same",
    "half_of",
    "double_of",
    "loose",
    "not_move",
}
"""What tells how much without a number, so that none need follow."""


def told_for(topic: Meaning) -> tuple[str, ...]:
    """Return the readings that the number of a topic may be taken for when it is told apart from it."""
    return (*GENERIC, *_LIKE.get(topic.id, ()))


def stands_alone(meaning: Meaning) -> bool:
    """Tell whether a reading tells that something is wrong even without its number."""
    return meaning.complaint and meaning.id not in _SETTINGS


def is_topic(message: Message, group: Group, asked: tuple[Meaning, ...]) -> bool:
    """Tell whether a group only says what was measured, so that the number may follow.

    Args:
        message: The message.
        group: The clauses to judge.
        asked: The readings and signs just asked for; a number needs no topic where they are meant.
    """
    meaning = group.meaning
    if meaning is None or meaning.kind != "reading" or meaning in asked:
        return False
    if stands_alone(meaning) and not _of_no_axis(message, group):
        return False
    if any(is_value(quantity) or quantity.size for quantity in message.within(group.start, group.end)):
        return False
    names = message.names(group.start, group.end)
    if best(meaning.zero, message.mask(group.start, group.end)):
        return False
    return (
        not names & (_OUT | {"open", "closed"})
        or (meaning.id in ("end_out_of_square_plan", "square_flip") and not names & {"nothing", "same"})
        or bool(meaning.members and meaning.id != "backlash_check" and not _none_of_it(message, meaning, names))
    )


def _of_no_axis(message: Message, group: Group) -> bool:
    """Tell whether a family is named without an axis, which tells nothing yet: "lost motion: x 0.1, y 0.2"."""
    meaning = group.meaning
    return (
        meaning is not None
        and bool(meaning.members)
        and by_axis(message, meaning, message.names(group.start, group.end)) is None
    )


def _none_of_it(message: Message, family: Meaning, names: Set[str]) -> bool:
    """Tell whether a family is named with its axis only to say that there is none: "no drift side to side"."""
    both = "both_ways" in names and "nothing" in names  # "dead square both ways"
    return both or (bool(names & {"nothing", "not_move", "not"}) and by_axis(message, family, names) is not None)


def continued(message: Message, group: Group, following: Group | None) -> bool:
    """Tell whether what a group speaks of gets its number in the next one: "the bed is out, right end high a thou".

    Args:
        message: The message.
        group: The clauses to judge.
        following: The group after it, if any.
    """
    meaning = group.meaning
    if meaning is None or meaning.kind != "reading" or following is None:
        return False
    like = following.meaning is not None and following.meaning.id in _LIKE.get(meaning.id, ())
    if meaning.complaint and not (like or only_out(message, following)):
        return False
    if like and (
        _across_and_along(message, group, following) or "step" in message.names(following.start, following.end)
    ):
        return False
    if has_value(message, group):
        return False
    told = following.meaning is None or following.meaning.id in told_for(meaning)
    return told and has_value(message, following)


def _across_and_along(message: Message, one: Group, two: Group) -> bool:
    """Tell whether two groups speak of different directions: "along it's flat, across it's hollow"."""
    first, second = message.names(one.start, one.end), message.names(two.start, two.end)
    return ("along" in first and "across" in second) or ("across" in first and "along" in second)


def only_out(message: Message, group: Group) -> bool:
    """Tell whether a group is told for a face out of square only because something is "out five thou"."""
    if group.meaning is None or group.meaning.id != "face_out_of_square":
        return False
    names = message.names(group.start, group.end)
    return "out" in names and not names & {"out_of_square", "square", "corner", "open", "closed", "square_tool"}


def goes_with(message: Message, carried: Meaning | None, group: Group) -> bool:
    """Tell whether what seems another matter goes with the topic before: "nail catches, the front's a thou up".

    Args:
        message: The message.
        carried: The topic before, if any.
        group: The clauses to judge.
    """
    return (
        carried is not None
        and group.meaning is not None
        and group.meaning.id in _LIKE.get(carried.id, ())
        and not message.names(group.start, group.end) & {"tighten", "needle", "vise", "thickness", "out_of_parallel"}
    )


def same_topic(trial: Trial, group: Group) -> bool:
    """Tell whether a group is about the last reading heard."""
    last = last_reading(trial)
    return last is not None and group.meaning is not None and last[1].id == group.meaning.id


def beside(trial: Trial, group: Group) -> bool:
    """Tell whether a group is about the last reading, its whole family, or nothing more than a face."""
    last, meaning = last_reading(trial), group.meaning
    return (
        last is not None
        and meaning is not None
        and (meaning.id in (*GENERIC, last[1].id) or last[1].id in meaning.members)
    )


def goes_on(trial: Trial, carried: Meaning) -> bool:
    """Tell whether a complaint still lacks the number that may now follow.

    Args:
        trial: The attempt at the message.
        carried: The topic before.
    """
    return any(
        isinstance(fact, Reading) and fact.id == carried.id and fact.value is None for fact in trial.facts
    )
