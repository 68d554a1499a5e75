"""What is only said after the numbers: "left 4, right 6, all in tenths", "0.02 goes in, 0.03 does not"."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from askew.engine.language.numbers.quantities import Quantity
from askew.engine.language.numbers.unit_words import parse_unit, words
from askew.engine.language.words.tokens import Token, text_at

_UNIT_ENDS = ("", ".", ",", "!", ";", "?", ")")
_MOST_BETWEEN = 5
"""Words that may stand between a number and what is told of its blade: "the 0.02 blade just about slides under"."""

_APART = 3
"""So many times as thick at most is the blade that does not go in."""


def with_last_unit(tokens: Sequence[Token], found: Sequence[Quantity]) -> list[Quantity]:
    """Return the quantities, the bare ones in the unit that is named once behind them all.

    Args:
        tokens: The message.
        found: Its quantities in order.
    """
    bare = [q for q in found if q.unit is None and not (q.junk or q.pronoun or q.box) and q.per is None]
    if not bare or any(q.unit is not None and not q.junk for q in found):
        return list(found)
    for at in range(bare[-1].end, len(tokens) - 1):
        unit = parse_unit(tokens, at + 1) if text_at(tokens, at) == "in" else None
        if unit is None or text_at(tokens, at + 1) in ("in", '"') or text_at(tokens, unit[2]) not in _UNIT_ENDS:
            continue
        if text_at(tokens, at - 1) in words().said_of_all:
            return [q.in_unit(unit[0]) if q in bare else q for q in found]
    return list(found)


def paired_blades(tokens: Sequence[Token], found: Sequence[Quantity]) -> list[Quantity]:
    """Return the quantities, two blades of which one goes in and the next does not made the gap between them.

    Args:
        tokens: The message.
        found: Its quantities in order.
    """
    made: list[Quantity] = []
    for quantity in found:
        gap = _gap(tokens, made[-1], quantity) if made else None
        if gap is None:
            made.append(quantity)
        else:
            made[-1] = gap
    return made


def _gap(tokens: Sequence[Token], one: Quantity, two: Quantity) -> Quantity | None:
    """Return the gap that two blades tell; None where they tell none."""
    one, two = _no_count(tokens, one), _no_count(tokens, two)
    if any(q.junk or q.pronoun or q.box or q.signed or q.bound == "between" or q.value <= 0 for q in (one, two)):
        return None
    unit = one.unit or two.unit
    if two.unit not in (None, unit) or not 1 < max(one.value, two.value) / min(one.value, two.value) <= _APART:
        return None
    first, second = _goes(tokens, one.end, two.start), _goes(tokens, two.end, len(tokens))
    if first is None or second is None or first[0] is second[0]:
        return None
    goes, stays = (one, two) if first[0] else (two, one)
    if goes.value > stays.value:
        return None
    return replace(
        one,
        unit=unit,
        value=(goes.value + stays.value) / 2,
        low=goes.value,
        high=stays.value,
        bound="between",
        end=second[1],
        decimals=max(one.decimals, two.decimals),
        span=False,
    )


def _no_count(tokens: Sequence[Token], quantity: Quantity) -> Quantity:
    """Return the thickness of "0.02 goes in", which was taken for so many goes."""
    counted = quantity.junk and quantity.unit is None and text_at(tokens, quantity.end - 1) == "goes"
    return replace(quantity, junk=False, end=quantity.end - 1) if counted else quantity


def _goes(tokens: Sequence[Token], start: int, stop: int) -> tuple[bool, int] | None:
    """Tell whether a blade is said to go in or not between two tokens, and where that ends; None where neither."""
    for at in range(start, min(stop, start + _MOST_BETWEEN)):
        text = text_at(tokens, at)
        if tokens[at].kind == "mark" and at > start:
            return None
        if text in words().stays_out or (text in ("does", "will", "did") and text_at(tokens, at + 1) == "not"):
            end = at + 1 + (text_at(tokens, at + 1) == "not")
            end += end < stop and text_at(tokens, end) in ("go", "fit", "slide", "slip", "pass")
            end += end < stop and text_at(tokens, end) in ("in", "under", "through")
            return False, end
        if text in words().goes_in:
            return (True, at + 1) if text_at(tokens, at + 1) not in words().goes_elsewhere else None
    return None
