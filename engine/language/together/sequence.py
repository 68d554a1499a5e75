"""One group of clauses after the other: each joins what was said before it, or becomes a fact of its own."""

from __future__ import annotations

from dataclasses import dataclass, field

from askew.engine.language.clauses.groups import Group, divide, has_value
from askew.engine.language.model import Context
from askew.engine.language.observed.readings import read_group
from askew.engine.language.observed.signs import read_sign
from askew.engine.language.together.afterthoughts import direction_added, span_added
from askew.engine.language.together.attempt import Trial, add, take_spots
from askew.engine.language.together.cooling import changed_since_cooling
from askew.engine.language.together.deeds import also_done
from askew.engine.language.together.evidence import supported
from askew.engine.language.together.joins import Hints, joined, told_after, told_still
from askew.engine.language.together.leaning import lacks_number, lean, number_of, says_nothing
from askew.engine.language.together.sibling_axis import (
    add_other_axis,
    axis_told,
    each_axis,
    only_the_axis,
    told_before,
    with_their_axis,
)
from askew.engine.language.together.telling import complains, fact_told, tell_sign
from askew.engine.language.together.topics import GENERIC, beside, continued, goes_with, is_topic, same_topic
from askew.engine.language.words.lexicon import lexicon
from askew.engine.language.words.meanings import Meaning
from askew.engine.observations import Observation, Reading, Sign


@dataclass(slots=True)
class _Course:
    """How far the groups of a message have been read.

    Attributes:
        trial: The attempt at the message, which the facts go to.
        context: What the words may lean on.
        asked: The readings and signs just asked for.
        hints: Directions told before their number.
        waiting: A topic whose number has not come yet.
        spoken: The group of the last number, whose topic may still be named.
        carried: The topic that a number without one would go on with.
        unowned: Groups with a number and an axis whose topic has not been named yet.
    """

    trial: Trial
    context: Context
    asked: tuple[Meaning, ...]
    hints: Hints = field(default_factory=Hints)
    waiting: Group | None = None
    spoken: Group | None = None
    carried: Meaning | None = None
    unowned: list[Group] = field(default_factory=list)


def read_groups(trial: Trial, asked: tuple[Meaning, ...], context: Context) -> None:
    """Add to an attempt what the groups of its message tell, in the order in which they were said.

    Args:
        trial: The attempt at the message.
        asked: The readings and signs just asked for.
        context: What the words may lean on.

    Raises:
        NeedsAskingError: if a number has more than one meaning that matters.
    """
    course = _Course(trial, context, asked)
    groups = with_their_axis(trial.message, divide(trial.message, asked))
    for place, group in enumerate(groups):
        following = groups[place + 1] if place + 1 < len(groups) else None
        if _joins_waiting(course, group) or _joins_before(course, group, following):
            continue
        _tell(course, group)
    _stop_waiting(course)


def _joins_waiting(course: _Course, group: Group) -> bool:
    """Give a group to the topic that waits for its number, and tell whether it took it or still waits."""
    trial, waiting = course.trial, course.waiting
    if waiting is None:
        return False
    still = "not_move" in trial.message.names(group.start, group.end) and told_still(waiting)
    if (says_nothing(trial.message, group) and not still) or _by_the_way(trial, group):
        lean(trial, group, course.carried, course.asked, course.context)  # a length or a direction by the way
        return True
    if _turns_the_square(trial, waiting, group):
        return True
    taken_up, reading = joined(trial, waiting, group, course.context)
    if not taken_up:
        _stop_waiting(course)
        return False
    family = waiting.meaning is not None and bool(waiting.meaning.members)
    course.waiting = waiting if family else None  # the other axis may follow
    take_spots(trial.message, group)
    if reading is not None:
        add(trial.facts, reading)
    return True


def _turns_the_square(trial: Trial, waiting: Group, group: Group) -> bool:
    """Tell whether what is turned while a square waits for its number is that square: "turned it round"."""
    if waiting.meaning is None or waiting.meaning.id != "square_flip" or group.meaning is None:
        return False
    if group.meaning.id != "turned_part":
        return False
    take_spots(trial.message, group)
    return True


def _by_the_way(trial: Trial, group: Group) -> bool:
    """Tell whether a sign is only seen in a remark that does not bear it out: "with all the junk on the table"."""
    message, meaning = trial.message, group.meaning
    if meaning is None or meaning.kind != "sign" or has_value(message, group):
        return False
    return not supported(message, read_sign(message, group.start, group.end, meaning), answering=False)


def _stop_waiting(course: _Course) -> None:
    """Take a topic that got no number for the complaint or the sign that it tells without one."""
    trial, waiting = course.trial, course.waiting
    if waiting is None or waiting.meaning is None or waiting.meaning.members:
        pass  # a family without its axis tells nothing
    elif complains(trial.message, waiting):
        told = read_group(
            trial.message, waiting.start, waiting.end, waiting.meaning, course.context, trial.habit
        )
        add(trial.facts, told)
    tell_sign(trial, waiting)
    course.waiting = None


def _joins_before(course: _Course, group: Group, following: Group | None) -> bool:
    """Give a group to the reading before it, or let it wait for its number, and tell whether either was so."""
    trial = course.trial
    if course.spoken is not None and told_after(trial, course.spoken, group, following, course.context):
        take_spots(trial.message, group)
        also_done(trial, group)
        return True
    if beside(trial, group) and span_added(trial, group):
        direction_added(trial, group)
        take_spots(trial.message, group)
        return True
    if same_topic(trial, group) and direction_added(trial, group):
        take_spots(trial.message, group)
        return True
    if is_topic(trial.message, group, course.asked) or continued(trial.message, group, following):
        course.waiting = group
        also_done(trial, group)
        return True
    if group.meaning is not None and group.meaning.id in GENERIC and direction_added(trial, group):
        take_spots(trial.message, group)
        return True
    return False


def _tell(course: _Course, group: Group) -> None:
    """Add the fact that a group tells by itself."""
    trial = course.trial
    told = each_axis(trial, group, course.context)
    if told:
        take_spots(trial.message, group)
        for one in told:
            add(trial.facts, one)
        course.carried, course.spoken = group.meaning, group
        return
    fact = _fact(course, group)
    if isinstance(fact, Reading):
        fact = course.hints.complete(trial.message, group, fact)
    course.hints.note(trial.message, group, fact)
    if fact is None:
        if group.meaning is None and has_value(trial.message, group):
            course.unowned.append(group)
        return
    take_spots(trial.message, group)
    if isinstance(fact, Reading) and _of_before(trial, group, fact):
        return
    if isinstance(fact, Reading):
        for earlier in told_before(trial, course.unowned, fact, course.context):
            add(trial.facts, earlier)
    course.unowned.clear()
    add(trial.facts, fact)
    if isinstance(fact, Reading):
        add_other_axis(trial, group, fact)
        course.spoken = group if fact.value is not None else course.spoken


_FORMERLY = {"before", "previously", "earlier", "formerly", "beforehand"}


def _of_before(trial: Trial, group: Group, fact: Reading) -> bool:
    """Tell whether a number is only what was read before the one just told: "2 open, before it was 2 closed"."""
    told = any(isinstance(other, Reading) and other.id == fact.id and other.value for other in trial.facts)
    return told and trial.message.tokens[group.start].text in _FORMERLY


def _fact(course: _Course, group: Group) -> Observation | None:
    """Return the fact that a group tells: of the topic before it, of what was asked, or of its own topic."""
    trial, carried, meaning = course.trial, course.carried, group.meaning
    if carried is not None and goes_with(trial.message, carried, group) and lacks_number(trial, carried):
        return read_group(trial.message, group.start, group.end, carried, course.context, trial.habit)
    if meaning is None and changed_since_cooling(trial.message, group):
        cooled = lexicon().meanings["cooled_change"]
        return read_group(trial.message, group.start, group.end, cooled, course.context, trial.habit)
    if meaning is None:
        return lean(trial, group, carried, course.asked, course.context)
    other = only_the_axis(trial, group)
    if other is not None:
        return axis_told(trial, group, other, course.context)
    fact = fact_told(trial, group, meaning, course.asked, course.context)
    if meaning.kind == "reading":
        course.carried = meaning
    elif meaning.kind == "sign" and isinstance(fact, Sign) and fact.answer not in ("no", "unknown"):
        course.carried = number_of(trial.message, group, meaning)
    elif meaning.id == "step_felt" and isinstance(fact, Sign) and trial.message.has("joint"):
        course.carried = lexicon().meanings["ridge"]  # "nail slides over the joint. 8 micron on the clock"
    if meaning.kind in ("reading", "sign", "action"):
        also_done(trial, group)
    return fact
