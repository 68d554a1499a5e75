"""What cooling changed, told by what was read warm and what was read cold: "6 thou out warm, now it's 2"."""

from __future__ import annotations

from askew.engine.language.clauses.groups import Group, has_value
from askew.engine.language.clauses.message import Message
from askew.engine.language.numbers.measured import is_value
from askew.engine.language.numbers.quantities import Quantity
from askew.engine.language.numbers.values import convert, small_unit
from askew.engine.language.together.attempt import Trial, add, asks
from askew.engine.observations import Reading

_COOLED = ("cool", "cool_it", "cold_part")
_NEAR = 4
"""So many words from a number the word may stand that says when it was read."""
_BEFORE = {"was", "were", "warm", "hot", "before", "from", "been", "used", "had", "straight"}
_AFTER = {"now", "cold", "cool", "cooled", "after", "to", "today", "later", "since", "afterwards", "is", "it's", "then"}
_LARGEST_BARE = 60
_CHANGED = {"less", "more", "drop", "shrink", "grows", "worse", "better", "lose", "change"}


def cooled_apart(trial: Trial) -> None:
    """Add the change that two numbers tell, one read before the part cooled and one after, and use them up.

    Args:
        trial: The attempt at the message; the two numbers are removed from its message.

    Raises:
        NeedsAskingError: if a number has more than one meaning that matters.
    """
    message = trial.message
    if not (message.has(*_COOLED) or (message.has("cold") and message.has("warm"))):
        return
    told = [quantity for quantity in message.quantities if _may_be_error(quantity)]
    if len(told) != 2 or not is_value(told[0]) or told[0].unit is None or told[1].unit not in (None, told[0].unit):
        return
    before, after = told
    if not (_stands_near(message, before, _BEFORE) and _stands_near(message, after, _AFTER)):
        return
    unit = small_unit(before, trial.habit, None)
    first, second = (convert(quantity, unit, None, None).mm for quantity in (before, after))
    words = message.said(before.head, after.end)
    message.take(before.head, after.end)
    message.drop(told)
    add(trial.facts, Reading("cooled_change", float(second - first), words=words, unit=unit))


def changed_since_cooling(message: Message, group: Group) -> bool:
    """Tell whether a group only says by how much something changed, and cooling was spoken of before it."""
    cooled = message.has(*_COOLED) and any(spot.end <= group.start for spot in message.spots if spot.name in _COOLED)
    return (
        cooled
        and has_value(message, group)
        and bool(message.names(group.start, group.end) & _CHANGED)
        and not asks(message, group.start, group.end)
    )


def _may_be_error(quantity: Quantity) -> bool:
    """Tell whether a number may be an error: with "to" before it, a bare one looks like a length."""
    return is_value(quantity) or (
        quantity.unit is None
        and 0 < quantity.value < _LARGEST_BARE
        and not (quantity.junk or quantity.box or quantity.plus_minus or quantity.pronoun or quantity.size)
    )


def _stands_near(message: Message, quantity: Quantity, said: set[str]) -> bool:
    """Tell whether a word that says when it was read stands before a number, or after it in the same clause."""
    clause = next((one for one in message.clauses if one.start <= quantity.head < one.end), None)
    if clause is None:
        return False
    around = range(max(clause.start, quantity.head - _NEAR), min(clause.end, quantity.end + _NEAR))
    return any(message.tokens[at].text in said for at in around)
