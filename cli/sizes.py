"""Lengths on a command line, in the person's own units: "5.5thou", "1/2 in", "0.02 mm"."""

from __future__ import annotations

from collections.abc import Iterable

from askew.cli.exits import USAGE, Refusal
from askew.engine.units import Habit

_LONGEST = 60


class Sizes:
    """Reads lengths and remembers the unit that they betray.

    Attributes:
        habit: The unit to answer in: as set, else as the first length showed, else mm.
    """

    def __init__(self, habit: Habit | None) -> None:
        """Read bare numbers in `habit`; without one a bare number is refused."""
        self._set = habit
        self._seen: Habit | None = None

    @property
    def habit(self) -> Habit:
        """The unit to answer in."""
        return self._set or self._seen or "mm"

    def mm(self, text: str, name: str) -> float:
        """Return a length in mm.

        Args:
            text: As typed.
            name: What it is, for the refusal.

        Raises:
            Refusal: The text is no length, or a bare number without a unit set.
        """
        from askew.engine.language.numbers.scanning import scan  # the grammar is not needed for --help
        from askew.engine.language.words.tokens import tokenize

        tokens = tokenize(text[:_LONGEST])
        found = scan(tokens) if len(text) <= _LONGEST else []
        whole = len(found) == 1 and found[0].start == 0 and found[0].end == len(tokens)
        if (
            not whole
            or found[0].low is not None
            or found[0].junk
            or found[0].box
            or found[0].other is not None
        ):
            raise Refusal(
                f"{text[:_LONGEST]!r} is no length for the {name}; write 5.5thou, 0.02mm or 3in.", USAGE
            )
        quantity = found[0]
        if quantity.unit is None and self._set is not None:
            quantity = quantity.in_unit(self._set)
        if quantity.mm is None:
            raise Refusal(
                f"The {name} {text[:_LONGEST]!r} needs a unit of length: thou, tenths, in, mm or um; "
                "or set --unit.",
                USAGE,
            )
        self._seen = self._seen or quantity.habit
        return float(quantity.mm)

    def maybe(self, text: str | None, name: str) -> float | None:
        """Return a length in mm, or None where nothing was typed.

        Raises:
            Refusal: The text is no length.
        """
        return None if text is None else self.mm(text, name)

    def several(self, texts: Iterable[str], name: str) -> tuple[float, ...]:
        """Return lengths in mm.

        Raises:
            Refusal: One of the texts is no length.
        """
        return tuple(self.mm(text, name) for text in texts)
