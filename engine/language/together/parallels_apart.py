"""The heights of two parallels, told one after the other: "miked both parallels. Front's 30.06, back's 30.00"."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from itertools import pairwise

from askew.engine.language.clauses.message import Message
from askew.engine.language.numbers.quantities import Quantity
from askew.engine.language.together.attempt import Trial, add, asks
from askew.engine.language.words.word_tables import word_list
from askew.engine.observations import Reading
from askew.engine.units import UNITS, to_mm

_ALIKE = Decimal("0.05")
"""Two parallels of a pair differ by less than this share of their height."""
_FAR = 24
"""So many words and marks after the parallels their heights may follow."""
_INCH_DECIMALS = 3
_LEAST_MM = 6


def parallels_apart(trial: Trial) -> None:
    """Add the difference of two heights that are told of the parallels, and use them up.

    Args:
        trial: The attempt at the message; the two numbers are removed from its message.
    """
    message = trial.message
    named = _named(message)
    if named is None:
        return
    sizes = [one for one in message.quantities if named < one.head <= named + _FAR and _may_be_height(one)]
    for one, two in pairwise(sizes):
        unit = _unit(one, two)
        first, second = _place(message, one, two)
        if unit is None or {first, second} != {"front", "back"} or asks(message, one.head, two.end):
            continue
        if abs(one.value - two.value) > _ALIKE * one.value:
            continue
        made = to_mm(one.value - two.value, unit)
        words = message.said(one.head, two.end)
        message.take(named, two.end)
        message.drop([one, two])
        reading = Reading("parallels_height", float(made if first == "front" else -made), words=words, unit=unit)
        add(trial.facts, reading)
        trial.vouched.append(reading)
        return


def _named(message: Message) -> int | None:
    """Return the token at which the parallels are named, or both of what was measured with a micrometer."""
    names = {spot.name for spot in message.spots}
    at = [spot.start for spot in message.spots if spot.name == "parallel"]
    if not at and names >= {"both", "thickness"} and not names & {"part_noun", "face", "thick", "thin", "taper"}:
        at = [spot.start for spot in message.spots if spot.name == "thickness"]
    return at[0] if at else None


def _may_be_height(quantity: Quantity) -> bool:
    return not (quantity.junk or quantity.pronoun or quantity.box) and quantity.value > 0 and not quantity.worded


def _unit(one: Quantity, two: Quantity) -> str | None:
    """Return the unit of two heights; a micrometer in inches shows three places and more, one in mm shows two."""
    said = one.unit or two.unit
    if said is not None:
        return said if said in UNITS and UNITS[said].kind == "length" and said not in ("thou", "tenth", "um") else None
    if min(one.decimals, two.decimals) >= _INCH_DECIMALS:
        return "in" if one.value < _LEAST_MM else "mm"
    return "mm" if one.value >= _LEAST_MM and min(one.decimals, two.decimals) else None


def _place(message: Message, one: Quantity, two: Quantity) -> tuple[str, str]:
    """Return which parallel each height is of: the place named just before each, or else just after each."""
    front, back = (word_list("clauses.toml", "parallels", name) for name in ("front", "back"))
    texts = [token.text for token in message.tokens]

    def named(words: Sequence[str]) -> str:
        for word in words:
            bare = word.removesuffix("'s")
            if bare in front or bare in back:
                return "front" if bare in front else "back"
        return ""

    between = texts[one.end : two.head]
    before = named(texts[max(0, one.head - _NEAR) : one.head][::-1])
    if before:
        return before, named(between[::-1])
    return named(between), named(texts[two.end : two.end + _NEAR])


_NEAR = 5
"""So many words from a height its parallel is named."""
