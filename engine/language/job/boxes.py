"""The sizes of a part told in a row: "2x4x3", "60 by 40 by 3 wall"."""

from __future__ import annotations

from collections.abc import Mapping

from askew.engine.language.clauses.message import Message
from askew.engine.language.job.owners import owner_of_box
from askew.engine.language.numbers.quantities import Quantity
from askew.engine.language.numbers.values import large_unit
from askew.engine.observations import SetupFact
from askew.engine.units import Habit, to_mm

_NO_NOUN = {"", ",", ".", "and", "under", "on", "to", "it", "she", "moves", "for", "against"}
"""What may follow a "2x4" that says no more than that."""


def boxes(message: Message, habit: Habit | None) -> list[SetupFact]:
    """Return the sizes of the part that are told in a row.

    Args:
        message: The message; the quantities that are used are removed from it.
        habit: The units that the person thinks in, None while unknown.

    Returns:
        A fact for each side, and one for the wall of a hollow section.

    Raises:
        NeedsAskingError: if the unit was left out and could be more than one.
    """
    facts: list[SetupFact] = []
    for quantity in list(message.quantities):
        sides = quantity.box
        if quantity.junk or not sides or (message.has("table") and not message.has("part_noun", "part")):
            continue
        if _is_timber(message, quantity):
            message.drop([quantity])
            continue
        owner = owner_of_box(message, quantity.start)
        if owner is not None:
            facts += _of_another(message, quantity, owner, habit)
            continue
        hollow = message.has("hollow_section", "wall")
        unit = _box_unit(quantity, habit, hollow)
        words = message.said(quantity.start, quantity.end)
        mm = [float(to_mm(side, unit)) for side in sides]
        if hollow and len(mm) >= 2 and mm[-1] < 0.35 * mm[0]:
            facts.append(SetupFact("wall", mm[-1], unit, words))
            mm = mm[:-1] if len(mm) == 3 else [mm[0], mm[0]]
            keys: tuple[str, ...] = ("part_across", "part_height")
        elif message.has("hollow_section") and message.has("wall") and len(mm) == 2:
            keys = ("part_across", "part_height")  # a section, whose wall is told apart: "tube 80 x 40, 4 mm wall"
        else:
            keys = ("part_across", "part_along", "part_height")
        facts += [SetupFact(key, side, unit, words) for key, side in zip(keys, mm, strict=False)]
        message.take(quantity.start, quantity.end)
        message.drop([quantity])
    return facts


def _is_timber(message: Message, quantity: Quantity) -> bool:
    """Tell whether a "2x4" is the bit of timber that somebody pried with."""
    named = message.text_at(quantity.start - 1) in ("a", "the", "of") and message.text_at(quantity.end) in _NO_NOUN
    return named and quantity.unit is None and [*quantity.box] == [2, 4]


def _of_another(
    message: Message, quantity: Quantity, owner: Mapping[str, str], habit: Habit | None
) -> list[SetupFact]:
    """Return the sides that are told of something other than the part, if they are asked for: jaws of 160 by 45."""
    unit, words = _box_unit(quantity, habit, hollow=False), message.said(quantity.start, quantity.end)
    keys = [owner.get(side, "") for side in ("part_across", "part_height")]
    message.take(quantity.start, quantity.end)
    message.drop([quantity])
    if len(quantity.box) != len(keys):
        return []
    pairs = zip(keys, quantity.box, strict=True)
    return [SetupFact(key, float(to_mm(side, unit)), unit, words) for key, side in pairs if key]


def _box_unit(quantity: Quantity, habit: Habit | None, hollow: bool) -> str:
    """Settle the unit of "2x4x3": no block is 4 mm long, none is 50 inches wide."""
    if quantity.unit is None:
        sides = quantity.box[:-1] if hollow else quantity.box
        if max(quantity.box) >= 25:
            return "mm"
        if max(quantity.box) <= 8 or any(side != side.to_integral_value() for side in sides):
            return habit or "in"
    return large_unit(quantity, habit)
