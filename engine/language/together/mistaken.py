"""What rules made of a number or a direction, and what the whole message hardly bears out.

A rule sees the words around it. It may take for the length of a reading what is told of the part or the cutter, take
a length for the reading itself, or read a direction off a word that another word turns over.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from askew.engine.language.clauses.message import Message
from askew.engine.language.learned import told as learned
from askew.engine.language.model import Context
from askew.engine.language.numbers.quantities import Quantity
from askew.engine.language.observed.directions import signed
from askew.engine.language.together.attempt import Trial
from askew.engine.language.together.directions_told import direction_of, tried, way_of
from askew.engine.language.together.mirrored import OPEN
from askew.engine.language.together.numbers_told import OVER, is_length, is_so_long, number_of
from askew.engine.observations import Reading, SetupFact, name_of

SURE, HARDLY = 0.9, 0.02
"""From the first share on a number is something else than what it was taken for, if that has less than the second."""

TURNED = 0.003
"""A direction that has less than this share is turned over."""


def drop_lengths_read(trial: Trial, context: Context) -> None:
    """Let go of readings whose number is surely the length that one was taken over: "up it 75 mm, leans back 0.04".

    Args:
        trial: The attempt at the message; its facts change in place.
        context: What was asked for.
    """
    if len(trial.message.prepared) < 2:
        return
    for fact in [fact for fact in trial.facts if isinstance(fact, Reading) and fact.value]:
        quantity = number_of(trial.message, fact)
        if quantity is not None and _is(trial.message, quantity, OVER, name_of(fact), context):
            trial.facts.remove(fact)


def part_lengths(trial: Trial, context: Context) -> None:
    """Take from readings the length that is surely one of the part or the tool, and tell it of that.

    Args:
        trial: The attempt at the message; its facts change in place.
        context: What was asked for.
    """
    for place, fact in enumerate(list(trial.facts)):
        if not isinstance(fact, Reading) or not fact.over or fact.value is None:
            continue
        lengths = [quantity for quantity in trial.message.prepared if is_so_long(quantity, fact.over)]
        if len(lengths) != 1:
            continue
        name, share = learned.likeliest(learned.number(trial.message, lengths[0], context.asked))
        if share < SURE or not _is(trial.message, lengths[0], name, OVER, context):
            continue
        trial.facts[place] = replace(fact, over=None)
        heard = {name_of(one) for one in trial.facts}
        if is_length(name) and name not in heard and lengths[0].mm is not None:
            words = trial.message.said(lengths[0].start, lengths[0].end)
            trial.facts.append(SetupFact(name, float(lengths[0].mm), lengths[0].unit, words))


def turn_directions(trial: Trial, context: Context) -> None:
    """Turn over directions that the whole message hardly gives.

    Args:
        trial: The attempt at the message; its facts change in place.
        context: What was asked for.
    """
    for place, fact in enumerate(trial.facts):
        way = direction_of(fact) if isinstance(fact, Reading) else None
        if not isinstance(fact, Reading) or way in (None, OPEN):
            continue
        shares = way_of(trial.message, fact, context.asked)
        if _hardly(shares, way) and _hardly(tried(shares, trial.message, fact, context.asked), way):
            trial.facts[place] = signed(fact, -1)


def _hardly(shares: Mapping[str, float], way: str | None) -> bool:
    """Tell whether a direction has hardly any share, nor has none at all."""
    return bool(shares) and shares[way or OPEN] < TURNED and shares[OPEN] < TURNED


def _is(message: Message, quantity: Quantity, name: str, not_: str, context: Context) -> bool:
    """Tell whether a number is surely one thing, and hardly another."""
    shares = learned.number(message, quantity, context.asked)
    return shares.get(name, 0.0) >= SURE and shares.get(not_, 1.0) < HARDLY


