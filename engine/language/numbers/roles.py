"""The role that each quantity plays in its message, by the words and the quantities around it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

from askew.engine.language.numbers.measured import is_value
from askew.engine.language.numbers.quantities import Quantity
from askew.engine.language.words.phrase_forms import Spot
from askew.engine.language.words.tokens import Token
from askew.engine.language.words.word_tables import word_list


def with_roles(
    scanned: Sequence[Quantity], around: Mapping[int, Sequence[Spot]], tokens: Sequence[Token]
) -> tuple[list[Quantity], list[Spot]]:
    """Tell counts, lengths that something was taken over and sizes from errors that were measured.

    Args:
        scanned: The quantities as they were found, in order.
        around: The phrases that each token belongs to.
        tokens: The tokens of the message.

    Returns:
        The quantities in order, marked for what they are, and the phrases that some of them stand for.
    """
    made: list[Quantity] = []
    extras: list[Spot] = []
    for place, found in enumerate(scanned):
        quantity, extra = _corner_angle(found, tokens)
        if quantity.junk and not found.junk and place and _length_behind(found, scanned[place - 1], tokens):
            quantity = replace(found, span=True, length=True)
        if place and _taken_over(quantity, scanned[place - 1], tokens):
            quantity = replace(quantity, span=True, length=True)
        if _in_a_name(quantity, around):
            quantity = replace(quantity, junk=True)
        made.append(quantity)
        if extra is not None:
            extras.append(extra)
    return _sizes_paired(made), extras


def _length_behind(quantity: Quantity, before: Quantity, tokens: Sequence[Token]) -> bool:
    """Tell whether a bare 90 is a length behind a bare error: "0.06 over 90"."""
    return (
        quantity.unit is None
        and quantity.start - before.end <= 1
        and tokens[quantity.head - 1].text in ("over", "in", "on", "across")
        and before.unit is None
        and before.decimals > 0
        and is_value(before)
    )


def _in_a_name(quantity: Quantity, around: Mapping[int, Sequence[Spot]]) -> bool:
    """Tell whether a quantity only belongs to the name of a thing: "a tenths clock" is no tenth."""
    if any(
        spot.name.startswith("tool:") and spot.end > quantity.end > spot.start
        for spot in around.get(quantity.end - 1, ())
    ):
        return True
    return quantity.unit is None and any(
        _names_a_thing(spot, quantity) for spot in around.get(quantity.start, ())
    )


_NAMING = {"block", "not_repeat", "every_time", "oclock"}


def _names_a_thing(spot: Spot, quantity: Quantity) -> bool:
    """Tell whether a number is part of a name, as in "one two three block", or of a phrase that counts nothing."""
    return (
        (spot.name in _NAMING or spot.name.startswith(("tool:", "choice:material")))
        and spot.start <= quantity.start
        and quantity.end <= spot.end
    )


def _corner_angle(quantity: Quantity, tokens: Sequence[Token]) -> tuple[Quantity, Spot | None]:
    """Turn a corner of "90.1 degrees" into a tenth of a degree open; a plain 90 is no measurement."""
    if quantity.unit not in ("deg", None) or not 80 < quantity.value < 100:
        return quantity, None
    off = quantity.value - 90
    if off == 0 and quantity.unit == "deg" and quantity.bound in ("at_least", "at_most"):
        side = "open" if quantity.bound == "at_least" else "closed"  # "> 90 deg"
        return replace(quantity, junk=True), Spot(side, quantity.start, quantity.end)
    if off == 0 or quantity.unit is None:
        before = tokens[quantity.start - 1].text if quantity.start else ""
        meant = off == 0 and (
            quantity.unit == "deg"
            or before in word_list("clauses.toml", "words", "before_ninety")
            or quantity.bound is not None
        )
        return (replace(quantity, junk=True) if meant else quantity), None
    name = "open" if off > 0 else "closed"
    return replace(quantity, value=abs(off), span=False), Spot(name, quantity.head, quantity.end)


def _taken_over(quantity: Quantity, before: Quantity, tokens: Sequence[Token]) -> bool:
    """Tell whether a bare number is the length that the one right before it was taken over: "2 thou in 3"."""
    return (
        quantity.unit is None
        and not quantity.junk
        and quantity.value > 0
        and quantity.start - before.end <= 1
        and is_value(before)
        and not quantity.signed
        and tokens[quantity.head - 1].text in ("in", "over", "per", "across", "on")
    )


def _sizes_paired(quantities: Sequence[Quantity]) -> list[Quantity]:
    """Mark two neighbouring sizes that differ by no more than a twentieth, of which one at least is no error."""
    made = list(quantities)
    plain = [at for at, q in enumerate(quantities) if not (q.junk or q.box or q.plus_minus or q.pronoun or q.length)]
    for one, two in pairwise(plain):
        first, second = quantities[one], quantities[two]
        if (
            first.value > 0
            and second.value > 0
            and (first.unit == second.unit or None in (first.unit, second.unit))
            and first.value != second.value
            and abs(first.value - second.value) * 20 <= max(first.value, second.value)
            and not (is_value(first) and is_value(second))
        ):
            unit = first.unit or second.unit  # "500 thou at the start and 503 at the end"
            made[one], made[two] = replace(first, size=True, unit=unit), replace(second, size=True, unit=unit)
    return made
