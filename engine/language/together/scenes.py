"""What was tried in one sentence and read in the next: "heaved the saddle to and fro. The needle went five thou".

A row of words says what was tried, as for deeds. The first number after it, or a nothing, was read there, unless words
of its own say that it belongs to another matter.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from askew.engine.language.clauses.groups import Group, divide
from askew.engine.language.clauses.message import Message
from askew.engine.language.model import Context
from askew.engine.language.numbers.measured import is_span, is_value
from askew.engine.language.numbers.quantities import Quantity
from askew.engine.language.numbers.values import NeedsAskingError
from askew.engine.language.observed.length_over import nothing_over
from askew.engine.language.observed.readings import read_group
from askew.engine.language.together.attempt import Trial, add, asks
from askew.engine.language.together.numbers_told import made_of
from askew.engine.language.together.scene_rows import Scene, Tried, tried, words_of
from askew.engine.language.together.sibling_axis import axis_named
from askew.engine.language.words.lexicon import lexicon
from askew.engine.language.words.tokens import SENTENCE_ENDS
from askew.engine.language.words.word_tables import word_list
from askew.engine.observations import Observation, Reading, SetupFact, Sign

_FAR = 2
"""So many sentences after what was tried its number may stand."""
_NONE = ("nothing", "not_move")


@dataclass(frozen=True, slots=True)
class _Number:
    """A number or a nothing: where it stands, and the number, None of a nothing."""

    start: int
    end: int
    quantity: Quantity | None


_LONGEST = 160
"""So many words and marks a story may have; nobody tells one longer, and what is longer must not take long."""


def add_scenes(trial: Trial, context: Context) -> None:
    """Give numbers to what was tried before them, and vouch for what comes of it.

    Args:
        trial: The attempt at the message; its facts change in place.
        context: What the words may lean on; where something was asked for, numbers answer that.
    """
    message = trial.message
    if context.asked is not None or len(message.tokens) > _LONGEST or message.has("planned", "some_day"):
        return
    scenes = tried(message, trial.facts)
    if not scenes:
        return
    groups = divide(message, ())
    numbers, used = _numbers(message), list[Tried]()
    told: list[tuple[Scene, _Number, Reading]] = []
    for number in numbers:
        around = _around(message, number, numbers)
        for one in _tried_for(message, scenes, number, numbers):
            held = _told_already(trial, one.scene, number)
            fits = one not in used and _fits(message, one, number, around)
            if held:
                used.append(one)
                trial.vouched += [fact for fact in held if fits and fact.id == one.scene.id]
                break
            made = None
            if fits and _free(trial, one.scene, number, groups):
                made = _made(trial, one.scene, number, numbers, around, context)
            if made is not None:
                used.append(one)
                told.append((one.scene, number, made))
                break
    _take(trial, told)


def _told_already(trial: Trial, scene: Scene, number: _Number) -> list[Reading]:
    """Return what a phrase took a number for, where that is what was tried or another axis of it."""
    return [
        fact
        for fact in trial.facts
        if isinstance(fact, Reading)
        and fact.id in (scene.family | {scene.id}) - scene.instead
        and _is_of(trial.message, fact, number)
    ]


def _take(trial: Trial, told: Sequence[tuple[Scene, _Number, Reading]]) -> None:
    """Put readings in the place of what their numbers were mistaken for."""
    for scene, number, made in told:
        own = [fact for fact in trial.facts if isinstance(fact, Reading) and _is_of(trial.message, fact, number)]
        trial.facts[:] = [fact for fact in trial.facts if fact not in own or fact.id not in scene.instead]
        trial.facts[:] = [fact for fact in trial.facts if not _lacks(fact, made.id)]
    for _, number, made in told:
        if any(isinstance(fact, Reading) and fact.id == made.id for fact in trial.facts):
            continue
        add(trial.facts, made)
        trial.vouched.append(made)
        trial.message.take(number.start, number.end)
        trial.question = None


def _lacks(fact: Observation, name: str) -> bool:
    return isinstance(fact, Reading) and fact.id == name and fact.value is None


def _is_of(message: Message, fact: Reading, number: _Number) -> bool:
    """Tell whether a reading was made of a number or a nothing."""
    if number.quantity is not None and number.quantity.value:
        own = message.tokens_of(fact.words)
        return made_of(fact, number.quantity) and (not len(own) or number.start in own)
    return fact.value == 0 and number.start in message.tokens_of(fact.words)


def _numbers(message: Message) -> list[_Number]:
    """Return the numbers that may be errors, and the nothings, in the order of the message."""
    made = [
        _Number(quantity.head, quantity.end, quantity)
        for quantity in message.prepared
        if not (quantity.junk or quantity.pronoun or quantity.box or quantity.length or quantity.size)
        and (is_value(quantity) or not is_span(quantity))
    ]
    held = {at for number in made for at in range(number.start, number.end)}
    not_nothing = word_list("clauses.toml", "after_deed", "not_nothing")
    for spot in message.prepared_spots:
        idle = message.text_at(spot.start) == "zeroed" or message.text_at(spot.end) in not_nothing
        if spot.name in _NONE and not idle and not held & {*range(spot.start, spot.end)}:
            made.append(_Number(spot.start, spot.end, None))
            held |= {*range(spot.start, spot.end)}
    return sorted(made, key=lambda number: number.start)


def _tried_for(
    message: Message, scenes: Sequence[Tried], number: _Number, numbers: Sequence[_Number]
) -> list[Tried]:
    """Return what was tried last before a number, or next in its sentence; a deed may be tried for several readings."""
    start, end = message.sentence(number.start, number.start)
    before = [one for one in scenes if one.start < number.start and _near(message, one.start, start)]
    if before and (before[-1].start >= start or not any(start <= one.start < end for one in scenes)):
        return [one for one in before if one.start == before[-1].start]
    after = [one for one in scenes if number.end <= one.start < end]
    if not after or any(number.end <= other.start < end for other in numbers):
        return []  # what was tried later has a number nearer to it
    return after[:1]


def _near(message: Message, begin: int, start: int) -> bool:
    return sum(token.text in SENTENCE_ENDS for token in message.tokens[begin:start]) <= _FAR


def _fits(message: Message, one: Tried, number: _Number, around: tuple[int, int]) -> bool:
    """Tell whether the words beside a number, and beside what was tried, are such as belong to that."""
    texts, scene = words_of(message), one.scene
    start, end = message.sentence(number.start, number.start)
    first, last = message.sentence(one.start, one.start)
    if scene.never & {*texts[start:end], *texts[first:last]}:
        return False
    if scene.told and not scene.told & {*texts[start:end]}:
        return False
    axis = axis_named(message, *around, scene.id[:-2]) if scene.family else None
    if asks(message, start, end) or axis not in (None, scene.id[-1]):
        return False
    if number.quantity is None or not number.quantity.value:
        return scene.nothing
    return True


def _free(trial: Trial, scene: Scene, number: _Number, groups: Sequence[Group]) -> bool:
    """Tell whether nothing else was made of a number, and the words around it tell of nothing else."""
    may_be = scene.instead | scene.family | {scene.id}
    for fact in trial.facts:
        if isinstance(fact, Reading) and _is_of(trial.message, fact, number) and fact.id not in may_be:
            return False
        if isinstance(fact, SetupFact) and number.quantity is not None and made_of(fact, number.quantity):
            return False
        silent = number.quantity is None and isinstance(fact, Sign | SetupFact)
        if silent and number.start in trial.message.tokens_of(fact.words):
            return False
    group = next((group for group in groups if group.start <= number.start < group.end), None)
    meaning = None if group is None else group.meaning
    return meaning is None or meaning.kind == "action" or bool({meaning.id, *meaning.members} & may_be)


def _made(
    trial: Trial,
    scene: Scene,
    number: _Number,
    numbers: Sequence[_Number],
    around: tuple[int, int],
    context: Context,
) -> Reading | None:
    """Return what a number tells of what was tried; None where it is not clear."""
    message, meaning = trial.message, lexicon().meanings[scene.id]
    start, end = around
    quantity = number.quantity
    if quantity is None or not quantity.value:
        return Reading(scene.id, 0.0, nothing_over(message, start, end, trial.habit), words=message.said(start, end))
    said = [one.quantity.unit for one in numbers if one.quantity is not None and one.start <= number.start]
    unit = next((unit for unit in reversed(said) if unit is not None), None)
    if unit is None:
        return None
    measured = replace(quantity, unit=unit, span=False)
    if not is_value(measured):
        return None
    alone = message.without(lambda one: one.head != quantity.head and (is_value(one) or not _gone_over(one)))
    alone.quantities = [measured if one.head == quantity.head else one for one in alone.quantities]
    try:
        made = read_group(alone, start, end, meaning, context, trial.habit)
    except NeedsAskingError:
        return None
    return made if made.value else None


def _gone_over(quantity: Quantity) -> bool:
    """Tell whether a number is told for a length gone over: not a "half inch" of a cutter, nor a turn "through 90"."""
    turned = quantity.unit is None and quantity.value == _QUARTER
    return (quantity.span or quantity.named or quantity.length) and not turned


_QUARTER = 90


def _around(message: Message, number: _Number, numbers: Sequence[_Number]) -> tuple[int, int]:
    """Return the clauses of a sentence that stand nearer to a number than to any other."""
    start, end = message.sentence(number.start, number.start)
    earlier = max((one.end for one in numbers if start <= one.start < number.start), default=start)
    later = min((one.start for one in numbers if number.start < one.start < end), default=end)
    begins = [clause.start for clause in message.clauses if earlier <= clause.start <= number.start]
    ends = [clause.end for clause in message.clauses if number.end <= clause.end <= later]
    return (min(begins) if begins else earlier), (max(ends) if ends else later)
