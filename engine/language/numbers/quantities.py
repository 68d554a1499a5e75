"""A quantity as said in a message: its number, its unit and what was said of it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cached_property

from askew.engine.observations import Bound
from askew.engine.units import UNITS, Habit, to_mm


@dataclass(frozen=True)
class Quantity:
    """A quantity in a message.

    Attributes:
        value: In `unit`; the middle of a range.
        unit: A symbol of `units.UNITS`, "mil", or None for a bare number.
        start: Index of its first token, its bound words included.
        end: Index after its last token, its hedge included.
        low: Lower end of a range, in `unit`.
        high: Upper end of a range, in `unit`.
        bound: How sure, if said.
        signed: A sign was given in so many words.
        other: A second possible value (an ambiguous comma).
        decimals: Digits after the decimal point, as written.
        worded: Said in words only.
        head: Index of the first token of the number itself.
        span: It follows "over", "across", "in" or the like.
        named: It is told for the length of something gone over: "over its depth of 30", "on a face that is 40 tall".
        length: It can only be the length that something was taken over.
        plus_minus: It was given as "+-".
        per: The length in mm it was taken over when said as a slope.
        junk: It is a feed, a price, a count of something else.
        aside: It is only set aside for one attempt at its message, and counts as `junk` meanwhile.
        pronoun: It is the "one" of "the back one".
        size: It is one of two whole sizes that hardly differ, "40.02 at the top and 40 at the bottom".
        vague: "A couple", "a few", which a bound said beside it overrules.
        box: The sides when it is one of "2x4x3", in the order said, in `unit`.
    """

    value: Decimal
    unit: str | None
    start: int
    end: int
    low: Decimal | None = None
    high: Decimal | None = None
    bound: Bound | None = None
    signed: bool = False
    other: Decimal | None = None
    decimals: int = 0
    worded: bool = False
    head: int = 0
    span: bool = False
    named: bool = False
    length: bool = False
    plus_minus: bool = False
    per: Decimal | None = None
    junk: bool = False
    aside: bool = False
    size: bool = False
    box: tuple[Decimal, ...] = ()
    pronoun: bool = False
    vague: bool = False

    @property
    def habit(self) -> Habit | None:
        """The habit that its unit betrays."""
        return UNITS[self.unit].habit if self.unit in UNITS else None

    @cached_property
    def mm(self) -> Decimal | None:
        """The value in mm, None for bare numbers and angles."""
        if self.unit in UNITS and UNITS[self.unit].kind == "length":
            return to_mm(self.value, self.unit)
        return None

    def put_aside(self) -> Quantity:
        """Return the same number set aside for one attempt at its message."""
        return self if self.junk else replace(self, junk=True, aside=True)

    def in_unit(self, unit: str) -> Quantity:
        """Return the same number taken to be in `unit`."""
        return replace(self, unit=unit)
