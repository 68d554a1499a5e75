"""Numbers that no phrase took, given to what the words around them speak of.

The network weighs what a number can be: a reading, the length that one was taken over, a size of the setup, or nothing
of the kind. It tells by the words around it, its unit and its size.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cache

from askew.engine.language.clauses.message import Message
from askew.engine.language.learned import told as learned
from askew.engine.language.model import Context
from askew.engine.language.numbers.measured import is_value
from askew.engine.language.numbers.quantities import Quantity
from askew.engine.language.numbers.values import NeedsAskingError
from askew.engine.language.observed.readings import read_group
from askew.engine.language.together.attempt import Trial, add
from askew.engine.language.together.evidence import supported
from askew.engine.language.words.lexicon import lexicon
from askew.engine.language.words.word_tables import knowledge_rows
from askew.engine.observations import Observation, Reading, SetupFact, name_of
from askew.engine.units import Habit

VERY_LONG = 300
"""In a message of more words and marks what phrases took is not weighed again, or it would take long."""

SURE, SURE_IN_A_STORY, SURE_ALONE = 0.6, 0.8, 0.95
"""From this share on a number is taken for what it likely is; beside words of other things, more; in a question or a
plan, and without any other word of the shop that bears it out, more still."""

LONG = 60
"""A message of more words and marks answers no question as a whole, and is not read once more."""

SURE_OF_AXIS = 0.8
"""Below this share a number stays on the axis that a phrase gave it, and is taken on none if no phrase did."""

SPOKEN_OF = 0.3
"""From this chance on a message as a whole speaks of a thing; a number stays what a phrase made of it where that is
spoken of, and what it likely is by itself is not."""

MISTAKEN, UNLIKELY = 0.6, 0.3
"""From this share on a number is taken for something else than what was made of it, if that has less than so much."""

_LEFT_OUT = (1.0, 0.0254, 25.4, 0.001, 0.01, 0.00254)
"""mm. Units that people leave out, and the number itself, for it may be a count."""

SURE_OF_THE_JOB = 0.9
"""From this share on nothing is asked about the unit of a number that is no error."""

LARGE = {"in": Decimal("25.4"), "mm": Decimal(1)}
"""mm. The unit that people of each habit leave out behind a size."""

OVER, NONE = "over", "none"

AXES = ("_x", "_y", "_z")
"""How the names of readings end that are taken along an axis."""

Reread = Callable[[Message, Context], Trial]
"""Reads a message once more, some of its numbers set aside, as the answer to what is asked for in the context."""


@dataclass(frozen=True, slots=True)
class _Numbers:
    """What is needed to make facts of the numbers of a message."""

    trial: Trial
    context: Context
    habit: Habit | None
    reread: Reread


def add_numbers(trial: Trial, context: Context, habit: Habit | None, least: float, reread: Reread) -> None:
    """Add the facts that numbers tell which no phrase took.

    Args:
        trial: The attempt at the message; its facts change in place.
        context: What was asked for.
        habit: The units that the person is known to use.
        least: The share of all chances that a number must have.
        reread: Reads the message once more.
    """
    told, sure = _told(trial, context, least)
    spans = told.pop(OVER, [])
    numbers = _Numbers(trial, context, habit, reread)
    for name, quantities in told.items():
        if any(name_of(fact) == name and not _bare(fact) for fact in trial.facts):
            continue
        if trial.question is not None and name in trial.nearest:
            continue  # it is asked along which axis that was
        fact = _fact_told(numbers, name, quantities, spans)
        if fact is None or not (name in sure or supported(trial.message, fact, context.asked is not None)):
            continue
        mistaken = [old for old in trial.facts if name_of(old) == name or made_of(old, quantities[0])]
        trial.facts[:] = [old for old in trial.facts if old not in mistaken]
        add(trial.facts, _with_length(fact, mistaken))
        for quantity in quantities:
            trial.message.take(quantity.start, quantity.end)
        trial.question = None  # what it would have been by a looser reading is not asked about
    _lay_over(trial, spans)


def _with_length(fact: Observation, mistaken: list[Observation]) -> Observation:
    """Return a reading with the length of the one that it was taken for."""
    lengths = [old.over for old in mistaken if isinstance(old, Reading) and old.over is not None]
    if isinstance(fact, Reading) and fact.over is None and fact.id in told_over() and lengths:
        return replace(fact, over=lengths[0])
    return fact


def _told(trial: Trial, context: Context, least: float) -> tuple[dict[str, list[Quantity]], set[str]]:
    """Return the numbers that nothing was made of, or something that they hardly are, by what each is; what is sure."""
    told: dict[str, list[Quantity]] = {}
    sure: set[str] = set()
    message = trial.message
    about = learned.meanings(message, context.asked)
    joint = [fact for fact in trial.facts if _of_two(message, fact)]
    long = len(message.tokens) > VERY_LONG
    for quantity in message.prepared:
        if quantity.junk or quantity.pronoun or quantity.box:
            continue
        used = _uses(trial, quantity, joint)
        if used is None or context.asked in used or (used and long):
            continue
        chances = learned.number(message, quantity, context.asked)
        if len(message.prepared) == 1:
            chances = _but_over(chances)
        name, chance = learned.likeliest(chances)
        meaning = lexicon().meanings.get(name)
        if chance < (MISTAKEN if used else _needed(name, least, context.asked)) or name in (NONE, *used):
            continue
        if chance < SURE_OF_AXIS and any(_other_axis(name, use) for use in used):
            continue  # a phrase told the axis, which many words beside it hide
        if used and (name == OVER or any(chances.get(use, 1.0) > UNLIKELY for use in used)):
            continue
        if used and name == context.asked and not context.last:
            continue  # a phrase told something else than what was asked for
        if about.get(name, 1.0) < SPOKEN_OF <= max((about.get(use, 0.0) for use in used), default=0.0):
            continue  # the whole message speaks of what the phrase made of it
        if used and _told_to_be_none(trial, name):
            continue  # "along it's crowned a thou, across it is flat"
        if meaning is None or is_value(quantity):
            told.setdefault(name, []).append(quantity)
            sure |= {name} if chance >= SURE_ALONE else set()
    return told, sure


def _needed(name: str, least: float, asked: str | None) -> float:
    """Return the share that a number must have which no phrase took: more on an axis, most for a setting on one."""
    if name[-2:] not in AXES or name == asked:
        return least
    return max(least, SURE_OF_AXIS if name in lexicon().meanings else SURE_ALONE)


def _other_axis(one: str, two: str) -> bool:
    """Tell whether two names are of the same reading on different axes."""
    return one[:-2] == two[:-2] and {one[-2:], two[-2:]} <= {*AXES}


def _told_to_be_none(trial: Trial, name: str) -> bool:
    return any(isinstance(fact, Reading) and fact.id == name and fact.value == 0 for fact in trial.facts)


def _but_over(chances: Mapping[str, float]) -> dict[str, float]:
    """Return what else a number can be than a length, where there is nothing that it was gone over for."""
    rest = sum(chance for name, chance in chances.items() if name != OVER)
    return {name: chance / rest for name, chance in chances.items() if name != OVER}


def _uses(trial: Trial, quantity: Quantity, joint: list[Observation]) -> list[str] | None:
    """Return the names of what was made of a number, "over" among them; None where it is part of something made of two.

    A reading may be the difference of two numbers; then it has the words of both, and the value of neither.
    """
    used = []
    for fact in trial.facts:
        if made_of(fact, quantity):
            used.append(name_of(fact))
        elif isinstance(fact, Reading) and fact.over is not None and is_so_long(quantity, fact.over):
            used.append(OVER)
    held = any(
        isinstance(fact, SetupFact) or quantity.head in trial.message.tokens_of(fact.words)
        for fact in joint
        if not made_of(fact, quantity)
    )
    return None if held else used


def _of_two(message: Message, fact: Observation) -> bool:
    """Tell whether a fact is made of several numbers: a list, or a reading whose value no number of the message is."""
    if isinstance(fact, Reading) and fact.value:
        return not any(is_so_long(quantity, fact.value) for quantity in message.prepared)
    return isinstance(fact, SetupFact) and isinstance(fact.value, tuple)


def made_of(fact: Observation, quantity: Quantity) -> bool:
    """Tell whether a fact has the value of a number."""
    value = fact.value if isinstance(fact, Reading | SetupFact) else None
    if isinstance(value, bool) or not isinstance(value, int | float) or not value:
        return False
    return is_so_long(quantity, value)


def number_of(message: Message, fact: Observation) -> Quantity | None:
    """Return the number of a message that a fact has the value of, the first of several."""
    return next((quantity for quantity in message.prepared if made_of(fact, quantity)), None)


def is_so_long(quantity: Quantity, mm: float) -> bool:
    """Tell whether a number is so many mm, in any unit that people leave out where its own was not said."""
    units = (1.0,) if quantity.mm is not None else _LEFT_OUT
    size = abs(float(quantity.value if quantity.mm is None else quantity.mm))
    return any(math.isclose(size * unit, abs(mm), rel_tol=0.001, abs_tol=1e-9) for unit in units)


def _bare(fact: Observation) -> bool:
    """Tell whether a fact has no number of its own: a complaint, or a nothing."""
    return not fact.value if isinstance(fact, Reading) else isinstance(fact, SetupFact) and fact.value == 0


def _fact_told(
    numbers: _Numbers, name: str, quantities: list[Quantity], spans: list[Quantity]
) -> Observation | None:
    """Return what some numbers tell of a thing, as if no other number had been said; None where it is not clear."""
    heads = {quantity.head for quantity in (*quantities, *spans)}
    message = numbers.trial.message.without(lambda quantity: quantity.head not in heads)
    meaning = lexicon().meanings.get(name)
    if meaning is not None:
        start, end = message.sentence(quantities[0].head, quantities[-1].head)
        try:
            made = read_group(message, start, end, meaning, numbers.context, numbers.habit)
        except NeedsAskingError:
            return None
        if made.value:
            return made
    first = quantities[0]
    words = message.said(first.start, first.end)
    if meaning is not None and not first.value:
        return Reading(name, 0.0, unit=first.unit, words=words)
    if meaning is None and first.unit is None and numbers.habit is not None and is_length(name):
        return SetupFact(name, float(first.value * LARGE[numbers.habit]), numbers.habit, words)
    if len(message.tokens) <= LONG:
        again = numbers.reread(message, replace(numbers.context, asked=name))
        found = [fact for fact in again.facts if name_of(fact) == name and not _bare(fact)]
        if found or again.question is not None:
            return found[0] if found else None
    if meaning is not None:
        return None
    return None if first.mm is None else SetupFact(name, float(first.mm), first.unit, words)


def _lay_over(trial: Trial, spans: list[Quantity]) -> None:
    """Give the one reading that lacks it the length that it was taken over."""
    left = [quantity for quantity in spans if quantity.head not in trial.message.taken and quantity.mm is not None]
    lacking = [
        place
        for place, fact in enumerate(trial.facts)
        if isinstance(fact, Reading) and fact.value is not None and not fact.over and fact.id in told_over()
    ]
    if len(left) != 1 or len(lacking) != 1:
        return
    reading = trial.facts[lacking[0]]
    assert isinstance(reading, Reading)
    assert left[0].mm is not None
    trial.facts[lacking[0]] = replace(reading, over=float(left[0].mm))
    trial.message.take(left[0].start, left[0].end)


def is_length(name: str) -> bool:
    """Tell whether a number of this name is a length of the job."""
    return knowledge_rows("setup.toml").get(name, {}).get("kind") == "length"


def of_the_job(message: Message, quantity: Quantity, asked: str | None, habit: Habit | None) -> bool:
    """Tell whether a number without a unit is surely a size of the job, or no measure at all; neither is an error.

    Which unit it is in need not be asked then where the person's own are known: nobody tells a jaw's width in thou.
    """
    if quantity.unit is not None or habit is None:
        return False
    name, share = learned.likeliest(learned.number(message, quantity, asked))
    return share >= SURE_OF_THE_JOB and (name in (NONE, "passes") or is_length(name))


@cache
def told_over() -> frozenset[str]:
    """Return the readings that are defined over a length."""
    return frozenset(name for name, row in knowledge_rows("readings.toml").items() if "over" in row)
