"""What one group of clauses tells of its own topic: a reading, a sign or an action."""

from __future__ import annotations

from askew.engine.language.clauses.groups import Group, has_value
from askew.engine.language.clauses.message import Message
from askew.engine.language.model import Context
from askew.engine.language.observed.readings import read_group
from askew.engine.language.observed.signs import SIGN_NUMBERS, TELLING, read_sign
from askew.engine.language.together import answers
from askew.engine.language.together.attempt import (
    Trial,
    add,
    asks,
    is_question,
    last_reading,
    out_of_what,
    take_spots,
)
from askew.engine.language.together.axes import member
from askew.engine.language.together.deeds import action_told, only_planned
from askew.engine.language.together.special import special
from askew.engine.language.together.topics import only_out
from askew.engine.language.words.fitting import best
from askew.engine.language.words.lexicon import lexicon
from askew.engine.language.words.meanings import Meaning
from askew.engine.observations import Action, Observation, Reading, Sign


def fact_told(
    trial: Trial, group: Group, meaning: Meaning, asked: tuple[Meaning, ...], context: Context
) -> Observation | None:
    """Return the fact that a group tells of its topic.

    Args:
        trial: The attempt at the message.
        group: The clauses to read.
        meaning: What they are about.
        asked: The readings and signs just asked for.
        context: What the words may lean on.

    Returns:
        The fact; None where the group asks, plans or leaves open, and where it must be asked about first.

    Raises:
        NeedsAskingError: if a number has more than one meaning that matters.
    """
    message = trial.message
    if meaning.kind == "ignore":
        message.take(group.start, group.end)
        return None
    sign_asked = next((sign for sign in asked if SIGN_NUMBERS.get(sign.id) == meaning.id), None)
    if sign_asked is not None and not has_value(message, group):
        return read_sign(message, group.start, group.end, sign_asked)
    if meaning.kind == "reading":
        if not _doubted(message, group):
            return _reading_told(trial, group, meaning, asked, context)
        words = message.said(group.start, group.end)
        return Sign(TELLING[meaning.id], "unknown", words) if meaning.id in TELLING else None
    if is_question(message, group) or only_planned(message, group):
        return None
    if meaning.kind == "sign":
        return _sign_told(message, group, meaning, asked)
    return action_told(message, group, meaning)


def _reading_told(
    trial: Trial, group: Group, meaning: Meaning, asked: tuple[Meaning, ...], context: Context
) -> Observation | None:
    """Return the reading that a group tells, or the sign it comes to."""
    message = trial.message
    chosen = _reading_meant(trial, group, meaning, asked)
    if chosen is None:
        return None
    likened = answers.compared(message, group.start, group.end, chosen.id, context, trial.habit)
    if likened is None and chosen in asked and _changed(message, group, chosen):
        return None  # changed from what is not known
    made = likened or read_group(message, group.start, group.end, chosen, context, trial.habit)
    if made.value is None and made.sign_known and chosen in asked:
        finished = answers.finish_direction(message, group, chosen, context)
        if finished is not None:
            return finished
    bare_number = made.id == "face_out_of_square" and made.value is not None and made.over is None
    if bare_number and not asked and not trial.facts and out_of_what(trial, group):
        return None
    if made.id == "face_out_of_square" and not asked and only_out(message, group) and _of_another(trial):
        return None  # "runout 0.0004 at the nose, at 3 inches out 0.0015"
    if made.id == "turned_error" and made.value is None and message.has("same"):
        return Sign("stays_with_machine", "yes", message.said(group.start, group.end))
    return made


def _changed(message: Message, group: Group, chosen: Meaning) -> bool:
    """Tell whether only a change from an unknown value is told, of a reading that is none itself."""
    return chosen.id not in answers.CHANGES and answers.changed_by(message, group.start, group.end) is not None


_OF_THE_MACHINE = (
    *("runout", "spindle", "backlash", "push_pull", "lock_shift", "holder_mark", "parallels_height", "jaw_run"),
    *("sweep", "table_run", "vise_bed", "fixed_jaw", "square_travel", "axes_square"),
)


def _of_another(trial: Trial) -> bool:
    """Tell whether the last number heard was of the machine, so that a bare "out" goes on about no corner."""
    last = last_reading(trial)
    return last is not None and last[1].value is not None and last[1].id.startswith(_OF_THE_MACHINE)


def _reading_meant(
    trial: Trial, group: Group, meaning: Meaning, asked: tuple[Meaning, ...]
) -> Meaning | None:
    """Return the reading a group is about: the one of a family, the one after a change, the one asked for."""
    chosen = member(trial, group, meaning, asked)
    if chosen is None:
        return None
    chosen = special(trial.message, group, chosen, asked)
    if len(asked) == 1 and asked[0].id == "hollow_along" and chosen.id == "hollow_across":
        return asked[0] if "across" not in trial.message.names(group.start, group.end) else chosen
    return chosen


_NOTHING = {
    "springs_on_release": ("release_bow", "release_change"),
    "worse_when_warm": ("cooled_change",),
    "worse_when_cold": ("cooled_change",),
}
"""Readings that are nothing where a sign is denied while they are asked for: "stayed dead flat when I let go"."""


def _sign_told(message: Message, group: Group, meaning: Meaning, asked: tuple[Meaning, ...]) -> Sign | Reading:
    """Return the sign that a group tells, or the nothing that it comes to where its number was asked for."""
    sign = read_sign(message, group.start, group.end, meaning)
    none = len(asked) == 1 and (SIGN_NUMBERS.get(sign.id) == asked[0].id or asked[0].id in _NOTHING.get(sign.id, ()))
    if sign.answer == "no" and none:
        return Reading(asked[0].id, 0.0, words=message.said(group.start, group.end))
    return sign


def _doubted(message: Message, group: Group) -> bool:
    """Tell whether a group only says what its speaker cannot tell: "not sure if it comes up"."""
    doubt = message.names(group.start, group.end) & {"unsure", "dont_know"}
    return bool(doubt) and not has_value(message, group)


def complains(message: Message, group: Group) -> bool:
    """Tell whether a topic that got no number is one that something is wrong with; a corner is none by its name."""
    wrong = {"out", "out_of_square", "not", "open", "closed", "tight", "too_big", "too_small", "light"}
    named, meaning = message.names(group.start, group.end), group.meaning
    if meaning is not None and meaning.kind == "reading" and message.has("no_figure") and named & FAULTY:
        return True
    if meaning is not None and felt(message, meaning.id, group.start, group.end):
        return True
    return (
        meaning is not None and meaning.complaint and (meaning.id != "other_corner" or bool(named & wrong))
    )


FAULTY = {
    *("out_of_square", "skew", "out", "off", "out_of_parallel", "wall_bulge", "swells", "lean", "loose", "move"),
    *("rise", "vise_crooked"),
}
"""What makes a complaint of a check whose number is only said to be missing: "the bed is out, never got a figure"."""


def felt(message: Message, name: str, start: int, end: int) -> bool:
    """Tell whether it is said of a check, without a number, that something gives or leans there.

    Args:
        message: The message.
        name: The reading that the check yields.
        start: The first token that speaks of it.
        end: The token after the last.
    """
    named = message.names(start, end)
    faulty = name in _FELT and bool(named & (FAULTY | _GIVING)) and not named & _DENIED
    elsewhere = message.has("planned", "what_if", "history", "other_machine")
    return faulty and not elsewhere and not message.within(start, end) and not asks(message, start, end)


_FELT = {
    *("hole_lean_x", "hole_lean_y", "push_pull_x", "push_pull_y", "push_pull_z", "lock_shift"),
    *("vise_bed_x", "vise_bed_y", "table_run_x", "table_run_y", "sweep_shift_x", "sweep_shift_y", "axes_square"),
    *("fixed_jaw_travel", "square_travel_x", "square_travel_y"),
}
"""Checks whose outcome is told without a number too: "the hole leans sideways", "the saddle rocks by hand"."""
_GIVING = {"bend", "change", "not_same", "not_repeat", "not_level", "play", "drift"}
_DENIED = {
    *("not", "no", "nothing", "not_move", "same", "planned", "to_do", "hypothetical", "unsure", "dont_know"),
    *("every_time", "what_if", "some_day", "intended", "might_be", "cannot", "tighten", "release"),
}


def tell_sign(trial: Trial, waiting: Group | None) -> None:
    """Take what was to be measured, but got no number, for the sign it tells: "the needle creeps up as I tighten".

    Args:
        trial: The attempt at the message, which takes the sign, or the second cut that a spring pass was.
        waiting: The group of what was to be measured, if any.
    """
    if waiting is None or waiting.meaning is None or is_question(trial.message, waiting):
        return
    mask = trial.message.mask(waiting.start, waiting.end)
    if waiting.meaning.id == "spring_pass" and "cut_again" in trial.message.names(waiting.start, waiting.end):
        if not only_planned(trial.message, waiting):
            add(trial.facts, Action("recut", trial.message.said(waiting.start, waiting.end)))
        return
    sign = lexicon().meanings.get(TELLING.get(waiting.meaning.id, ""))
    if sign is not None and best(sign.when, mask) and not only_planned(trial.message, waiting):
        take_spots(trial.message, waiting)
        add(trial.facts, read_sign(trial.message, waiting.start, waiting.end, sign))
