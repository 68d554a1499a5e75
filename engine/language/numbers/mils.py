"""What a mil is where the message shows it: a millimetre beside thous, microns or hundredths, else left open."""

from __future__ import annotations

from collections.abc import Sequence

from askew.engine.language.numbers.quantities import Quantity
from askew.engine.language.numbers.unit_words import words
from askew.engine.language.words.tokens import Token, text_at

_LEAST_LARGE = 5
"""What counts so many mils is the length or the size of a thing where something smaller is told beside it."""
_SMALL = {"thou", "tenth", "um", "hundredth", "tenth_mm"}
_PARTS = ("of", "o")


def settled_mils(tokens: Sequence[Token], found: Sequence[Quantity]) -> list[Quantity]:
    """Return the quantities, each mil that can only be a millimetre in mm.

    Args:
        tokens: The message.
        found: Its quantities in order.
    """
    if not any(quantity.unit == "mil" for quantity in found):
        return list(found)
    parts = any(
        text_at(tokens, at) in _PARTS
        and text_at(tokens, at + 1) == "a"
        and words().units.get(text_at(tokens, at + 2)) == "mil"
        and words().units.get(text_at(tokens, at - 1)) in ("tenth", "hundredth")
        for at in range(1, len(tokens))
    )  # nobody parts a thou in hundredths
    small = any(quantity.unit in _SMALL and not quantity.junk for quantity in found)
    return [
        quantity.in_unit("mm")
        if quantity.unit == "mil" and (parts or (small and quantity.value >= _LEAST_LARGE))
        else quantity
        for quantity in found
    ]
