"""Groups of clauses without a topic of their own, which lean on what was asked or on the topic before."""

from __future__ import annotations

from askew.engine.language.clauses.groups import Group, has_value
from askew.engine.language.clauses.message import Message
from askew.engine.language.model import Context
from askew.engine.language.numbers.measured import is_value
from askew.engine.language.observed.readings import read_group
from askew.engine.language.observed.signs import SIGN_NUMBERS
from askew.engine.language.together import answers
from askew.engine.language.together.afterthoughts import (
    denied,
    direction_added,
    place_added,
    put_in_doubt,
    span_added,
)
from askew.engine.language.together.attempt import Trial, last_reading, take_spots
from askew.engine.language.together.axes import member
from askew.engine.language.together.sibling_axis import axis_told, sibling
from askew.engine.language.together.topics import goes_on
from askew.engine.language.words.lexicon import lexicon
from askew.engine.language.words.meanings import Meaning
from askew.engine.observations import Observation


def says_nothing(message: Message, group: Group) -> bool:
    """Tell whether a group is neither about something nor the number of what was named before it."""
    return (
        group.meaning is None
        and "nothing" not in message.names(group.start, group.end)
        and not has_value(message, group)
    )


def lean(
    trial: Trial, group: Group, carried: Meaning | None, asked: tuple[Meaning, ...], context: Context
) -> Observation | None:
    """Read a group without a topic as the answer to what was asked, or as going on with the last topic.

    Args:
        trial: The attempt at the message; its last fact changes where the group only adds to it.
        group: The clauses to read.
        carried: The topic before, whose number may still come.
        asked: The readings and signs just asked for.
        context: What the words may lean on.

    Returns:
        The fact the group tells; None where it tells none, or only adds to one.
    """
    readings = [meaning for meaning in asked if meaning.kind == "reading"]
    if not readings and has_value(trial.message, group):
        readings = _numbers_for(asked)
    if len(readings) == 1:
        return _lean_on_question(trial, group, readings[0], asked, context)
    if (
        span_added(trial, group)
        or direction_added(trial, group)
        or place_added(trial, group)
        or put_in_doubt(trial, group)
        or denied(trial, group)
    ):
        take_spots(trial.message, group)
        return None
    other_axis = sibling(trial, group)
    if other_axis is not None:
        told = axis_told(trial, group, other_axis, context)
        if told.value == 0:
            trial.vouched.append(told)  # "sideways nowt worth the name" needs no more words of the shop
        return told
    values = [
        quantity
        for quantity in trial.message.within(group.start, group.end)
        if is_value(quantity) and (quantity.unit is not None or trial.habit is not None)
    ]
    if carried is not None and lacks_number(trial, carried) and not carried.members and len(values) == 1:
        return read_group(trial.message, group.start, group.end, carried, context, trial.habit)
    return None


def _lean_on_question(
    trial: Trial, group: Group, reading: Meaning, asked: tuple[Meaning, ...], context: Context
) -> Observation | None:
    """Read a group without a topic as the answer to the one reading that was asked for."""
    if last_reading(trial) is not None and (span_added(trial, group) or direction_added(trial, group)):
        take_spots(trial.message, group)
        return None
    wanted = member(trial, group, reading, asked)  # a check may bear the name of a whole family
    if wanted is None:
        return None
    fact = answers.reading_answer(trial.message, group, wanted, context, trial.habit)
    if fact is not None:
        return fact
    return answers.finish_direction(trial.message, group, wanted, context)


def lacks_number(trial: Trial, carried: Meaning | None) -> bool:
    """Tell whether the topic before still lacks its number, which may now follow.

    Args:
        trial: The attempt at the message.
        carried: The topic before, if any.
    """
    return carried is not None and (
        goes_on(trial, carried)
        or (carried.id in (*SIGN_NUMBERS.values(), "ridge") and last_reading(trial) is None)
    )


def number_of(message: Message, group: Group, sign: Meaning) -> Meaning | None:
    """Return the reading that a number right after a sign means: "a step you can feel, 4 tenths"."""
    name = SIGN_NUMBERS.get(sign.id)
    if name == "step" and "ridge" in message.names(group.start, group.end):
        name = "ridge"
    return lexicon().meanings[name] if name is not None else None


def _numbers_for(asked: tuple[Meaning, ...]) -> list[Meaning]:
    """Return the reading that a number means when a sign was asked for: "yes, 8 thou"."""
    meanings = lexicon().meanings
    return [
        meanings[SIGN_NUMBERS[meaning.id]]
        for meaning in asked
        if meaning.id in SIGN_NUMBERS and len(asked) == 1
    ]
