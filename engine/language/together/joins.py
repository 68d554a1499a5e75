"""Numbers and what they measure, told apart: the topic before or after its number, and its direction."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from askew.engine.language.clauses.groups import Group, has_value
from askew.engine.language.clauses.message import Message
from askew.engine.language.model import Context
from askew.engine.language.numbers.measured import is_value
from askew.engine.language.observed.directions import direction, signed
from askew.engine.language.observed.readings import read_group
from askew.engine.language.observed.signs import TELLING
from askew.engine.language.together.attempt import Trial, ask_which, last_reading
from askew.engine.language.together.axes import by_axis, by_direction
from askew.engine.language.together.special import special
from askew.engine.language.together.topics import stands_alone, told_for
from askew.engine.language.words.fitting import best
from askew.engine.language.words.lexicon import lexicon
from askew.engine.language.words.word_tables import word_list
from askew.engine.observations import Observation, Reading, Sign


def joined(
    trial: Trial, waiting: Group | None, group: Group, context: Context
) -> tuple[bool, Reading | None]:
    """Give the number of a group without a topic of its own to the topic that was named just before.

    Args:
        trial: The attempt at the message.
        waiting: The group of the topic; None where none waits for its number.
        group: The group that may hold it.
        context: What the words may lean on.

    Returns:
        Whether the group was taken up, and the reading it made, if any.

    Raises:
        NeedsAskingError: if a number has more than one meaning that matters.
    """
    message = trial.message
    if waiting is None or waiting.meaning is None:
        return False, None
    if group.meaning is not None and group.meaning.id not in (waiting.meaning.id, *told_for(waiting.meaning)):
        return False, None
    names = message.names(group.start, group.end)
    if group.meaning is not None and group.meaning.id != waiting.meaning.id and "tighten" in names:
        return False, None  # what rises while the vise is tightened is no slope of its bed
    if (
        not has_value(message, group)
        and "nothing" not in names
        and not ("not_move" in names and told_still(waiting))
        and not best(waiting.meaning.zero, message.mask(group.start, group.end))
    ):
        return False, None
    told = any(isinstance(fact, Reading) and fact.id in waiting.meaning.members for fact in trial.facts)
    other = by_axis(message, waiting.meaning, names) if told else None
    if other is not None:  # what was said of the first axis, "left to right", is not of this one
        return True, read_group(message, group.start, group.end, other, context, trial.habit)
    meaning = (
        (
            by_direction(message, waiting, group)
            or by_axis(message, waiting.meaning, message.names(group.start, group.end))
            or by_axis(message, waiting.meaning)
        )
        if waiting.meaning.members
        else special(message, group, waiting.meaning, ())
    )
    if meaning is None:
        ask_which(trial, waiting.start, group.end, waiting.meaning)
        return True, None
    return True, read_group(message, waiting.start, group.end, meaning, context, trial.habit)


def told_still(waiting: Group) -> bool:
    """Tell whether a needle that stays where it is tells the reading that waits for its number, and not a sign."""
    return waiting.meaning is not None and waiting.meaning.id not in TELLING


def told_after(
    trial: Trial, spoken: Group, group: Group, following: Group | None, context: Context
) -> bool:
    """Give a number the topic that is named only after it: "leans back 1 thou, indicator up the fixed jaw".

    Args:
        trial: The attempt at the message, whose last reading changes.
        spoken: The group of that reading's number.
        group: The group that may name its topic.
        following: The group after that, if any; a number there belongs to the topic instead.
        context: What the words may lean on.

    Returns:
        Whether the group named the topic.

    Raises:
        NeedsAskingError: if a number has more than one meaning that matters.
    """
    message, topic, last = trial.message, group.meaning, last_reading(trial)
    if topic is not None and topic.members:
        topic = by_direction(message, group, spoken)
    if topic is None or topic.kind != "reading" or last is None or last[1].id == topic.id:
        return False
    if last[1].id not in told_for(topic) or not _follows(message, spoken, group):
        return False
    inside = [*message.within(group.start, group.end)]
    if following is not None:
        inside += message.within(following.start, following.end)
    if stands_alone(topic) or any(is_value(quantity) for quantity in inside):
        return False
    told = read_group(message, spoken.start, group.end, special(message, group, topic, ()), context, trial.habit)
    if told.value is None or "nothing" in message.names(group.start, group.end):
        return False
    trial.facts[last[0]] = told
    return True


def _follows(message: Message, spoken: Group, group: Group) -> bool:
    """Tell whether no more than small words stand between two groups."""
    small = word_list("clauses.toml", "words", "small")
    between = message.tokens[spoken.end : group.start]
    return all(token.kind == "mark" or token.text in small for token in between)


@dataclass(slots=True)
class Hints:
    """Directions told before the number they belong to: "the corner is closed, it's 4 thou out"."""

    signs: dict[str, int] = field(default_factory=dict)
    loose: Group | None = None

    def note(self, message: Message, group: Group, fact: Observation | None) -> None:
        """Remember the direction of a group without a number."""
        self.loose = None
        if has_value(message, group):
            return
        if group.meaning is None:
            self.loose = group if fact is None else None
        elif group.meaning.kind == "reading" and not group.meaning.size:
            sign, known = direction(replace(group.meaning, default=""), message.mask(group.start, group.end))
            if known:
                self.signs[group.meaning.id] = sign

    def complete(self, message: Message, group: Group, fact: Reading) -> Reading:
        """Give a number of unknown direction the one that was told right before it."""
        meaning = lexicon().meanings[fact.id]
        if fact.value is None or fact.sign_known or meaning.size:
            return fact
        if fact.id in self.signs:
            return signed(fact, self.signs[fact.id])
        if self.loose is not None and group.start - self.loose.end <= 1:
            mask = message.mask(self.loose.start, self.loose.end)
            sign, known = direction(replace(meaning, default=""), mask)
            return signed(fact, sign) if known else fact
        return fact


_REFUSES = {"not", "no", "nothing", "cannot"}


def no_step_where_smooth(message: Message, facts: list[Observation]) -> None:
    """Take a joint that the nail only glides over for one without a step, though the nail was told of before that."""
    spots = message.spots
    caught = any(
        spot.name == "feel" and not any(other.name in _REFUSES and 0 <= spot.start - other.end <= 1 for other in spots)
        for spot in spots
    )
    if caught or not message.has("smooth") or message.has("unsure") or message.has("dont_know"):
        return
    for place, fact in enumerate(facts):
        if isinstance(fact, Sign) and fact.id == "step_felt":
            facts[place] = replace(fact, answer="no")


def ridge_where_smooth(message: Message, facts: list[Observation]) -> None:
    """Take a step without a direction for the ridge that it is where all is said to be smooth."""
    felt = any(isinstance(fact, Sign) and fact.id == "step_felt" and fact.answer != "no" for fact in facts)
    if felt or not message.has("smooth"):
        return
    for place, fact in enumerate(facts):
        if isinstance(fact, Reading) and fact.id == "step" and fact.value and not fact.sign_known:
            facts[place] = replace(fact, id="ridge", sign_known=True)


def step_from_nail(facts: list[Observation]) -> None:
    """Give a step of unknown direction the side that the nail found higher."""
    side = next((f.answer for f in facts if isinstance(f, Sign) and f.id == "step_felt"), "")
    if side not in ("back", "right", "front", "left"):
        return
    for place, fact in enumerate(facts):
        if isinstance(fact, Reading) and fact.id == "step" and fact.value and not fact.sign_known:
            facts[place] = signed(fact, 1 if side in ("back", "right") else -1)
