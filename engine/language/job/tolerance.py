"""How close the part must be: "within 2 thou", "+/- 0.02", but not the error that was found."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from askew.engine.language.clauses.message import Message
from askew.engine.language.numbers.measured import is_value
from askew.engine.language.numbers.quantities import Quantity
from askew.engine.language.numbers.unit_words import words
from askew.engine.language.numbers.values import small_unit
from askew.engine.language.words.phrase_forms import Spot
from askew.engine.observations import SetupFact
from askew.engine.units import UNITS, Habit, to_mm

_COMPLAINTS = ("out_of_square", "corner", "sweep", "tighten", "step", "needle")
_PLAIN_WORDS = {"toleranc", "tol", "limit", "spec", "allow", "requir", "need"}
"""Stems of words that tell a tolerance whatever else the message speaks of."""


def tolerance(message: Message, habit: Habit | None) -> list[SetupFact]:
    """Return the tolerance that a message tells.

    Args:
        message: The message; the quantity that is used is removed from it.
        habit: The units that the person thinks in, None while unknown.

    Returns:
        One fact, or none.

    Raises:
        NeedsAskingError: if the unit was left out and could be more than one.
    """
    asked = [spot for spot in message.spots if spot.name == "length:tolerance"]
    for quantity in list(message.quantities):
        if quantity.junk or quantity.box or not quantity.value:
            continue  # a nothing is what was found: no drawing asks for it
        summed = replace(quantity, end=quantity.end + _sum_words(message, quantity.end))
        near = [spot for spot in asked if _wished(message, spot, summed)]
        alone = quantity.plus_minus and not any(
            is_value(other) for other in message.quantities if other is not quantity
        )
        if not (near or alone) or not (quantity.plus_minus or is_value(quantity)):
            continue
        if near and not alone and not quantity.plus_minus and _complains(message, near):
            continue
        unit = small_unit(quantity, habit, None)
        if UNITS[unit].kind == "angle":
            continue
        value = to_mm(quantity.value * (2 if quantity.plus_minus or _each_way(message, quantity.end) else 1), unit)
        start = min([quantity.start, *(spot.start for spot in near)])
        message.take(start, quantity.end)
        message.drop([quantity])
        if message.text_at(quantity.end) == "out":
            message.settle(quantity.end, quantity.end + 3)  # "they reject it at two hundredths out of square"
        return [SetupFact("tolerance", float(value), unit, message.said(start, quantity.end))]
    return []


def _sum_words(message: Message, at: int) -> int:
    """Return how many words from a token on only say that a number is the whole of it: "half a thou all told"."""
    for width in (2, 1):
        if " ".join(message.text_at(place) for place in range(at, at + width)) in words().total:
            return width
    return 0


def _each_way(message: Message, at: int) -> bool:
    """Tell whether a tolerance is told to either side: "half a thou each way"."""
    return message.text_at(at) in ("each", "either", "both") and message.text_at(at + 1) in ("way", "ways", "side")


def _wished(message: Message, spot: Spot, quantity: Quantity) -> bool:
    """Tell whether words of a tolerance stand near enough to a number to speak of it."""
    return (
        -8 <= quantity.start - spot.end <= 5
        and (spot.end <= quantity.start or spot.start - quantity.end <= 3)
        and not _no_wish(message, spot, quantity)
    )


def _no_wish(message: Message, spot: Spot, quantity: Quantity) -> bool:
    """Tell whether words of a tolerance speak of no number: "2 thou, which is no good to me", "not happy with it"."""
    after = spot.start >= quantity.end
    between = {message.text_at(at) for at in range(spot.end, quantity.start)}
    if between & {"but", "and"} and between & {"i've", "ive", "i", "it's", "its", "mine", "got", "came", "comes"}:
        return True  # "he wants it square and I've got 3 thou under the blade"
    if message.text_at(spot.start - 1) == "you":
        return True  # "that corner you asked for is 2 thou open": it was asked for here, and by no drawing
    if between & {"turned", "wound", "cranked"}:
        return True  # "the knee has to be turned back 2 thou before the needle moves"
    return message.text_at(spot.start - 1) in ("no", "not") or (
        after and bool(_stems(message, spot) & {"want", "need", "hold"})
    )


def _complains(message: Message, near: Sequence[Spot]) -> bool:
    """Tell whether the number beside a single vague word is rather the error that the message complains of."""
    return (
        message.has(*_COMPLAINTS)
        and near[0].end - near[0].start < 2
        and not message.has("tol_word")
        and not _stems(message, near[0]) & _PLAIN_WORDS
    )


def _stems(message: Message, spot: Spot) -> set[str]:
    return {message.words.get(index, "") for index in range(spot.start, spot.end)}
