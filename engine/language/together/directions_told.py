"""Directions of readings that no phrase gave, by the words that gave them before."""

from __future__ import annotations

from collections.abc import Mapping

from askew.engine.language.clauses.message import Message
from askew.engine.language.learned import told as learned
from askew.engine.language.observed.directions import signed
from askew.engine.language.together.attempt import Trial
from askew.engine.language.together.direction_not_known import owned_open
from askew.engine.language.together.mirrored import MINUS, OPEN, PLUS, mirrored, pooled
from askew.engine.language.together.numbers_told import number_of
from askew.engine.language.words.lexicon import lexicon
from askew.engine.observations import Reading

SURE = 0.7
"""From this share of all chances on a direction is taken."""

_SWEEPS = {"sweep_x", "sweep_y"}
_HEIGHTS = ("high", "low", "up", "down")
_OF_WHAT = ("needle", "read", "table", "head", "cutter", "spindle", "more", "less", "lose", "nod", "lean")
"""What a sweep finds high or low: the table, or what the needle reads there, is high where the head is low."""



def direction_of(fact: Reading) -> str | None:
    """Return the class under which the direction of a reading is learned, None where it has none to give."""
    if not fact.value or lexicon().meanings[fact.id].size:
        return None
    return OPEN if not fact.sign_known else PLUS if fact.value > 0 else MINUS


def add_directions(trial: Trial, asked: str | None) -> None:
    """Give readings of unknown direction the one that their words likely tell; they change in place."""
    if trial.message.has("unsure", "dont_know") and _EITHER & {*_threes(trial.message)}:
        return  # "couldn't say left or right"
    owned = owned_open(trial.message, trial.facts)
    for place, fact in enumerate(trial.facts):
        if isinstance(fact, Reading) and direction_of(fact) == OPEN and place not in owned:
            trial.facts[place] = with_direction(trial.message, fact, asked)


_EITHER = {"left or right", "right or left", "front or back", "back or front", "up or down", "open or closed"}


def _threes(message: Message) -> list[str]:
    return [message.said(at, at + 3).lower() for at in range(len(message.tokens) - 2)]


def way_of(message: Message, fact: Reading, asked: str | None = None) -> Mapping[str, float]:
    """Return the share of each way that a reading can go by the words of its message, {} for one without any."""
    quantity = number_of(message, fact)
    return learned.direction(message, fact.id, None if quantity is None else quantity.head, asked)


def tried(
    shares: Mapping[str, float], message: Message, fact: Reading, asked: str | None = None
) -> Mapping[str, float]:
    """Return the shares of `way_of` as far as the mirror image of the message, where it has one, bears them out."""
    turned = mirrored(message) if shares else None
    return shares if turned is None else pooled(shares, way_of(turned, fact, asked))


def with_direction(message: Message, fact: Reading, asked: str | None = None) -> Reading:
    """Return a reading with the direction that its words likely tell, as it is where they tell none."""
    if fact.id in _SWEEPS and message.has(*_HEIGHTS) and not message.has(*_OF_WHAT):
        return fact  # "sweep 4 thou, left low": the table there, or the head?
    shares = way_of(message, fact, asked)
    name, share = learned.likeliest(shares) if shares else (OPEN, 1.0)
    if name == OPEN or share < SURE:
        return fact
    way, share = learned.likeliest(tried(shares, message, fact, asked))
    if way != name and (way == OPEN or share < SURE):
        return fact  # a "low" that went for a "high"
    return signed(fact, 1 if way == PLUS else -1)
