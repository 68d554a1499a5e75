"""A number whose unit was asked about, and what settles it: the unit alone, or the unit in which the person goes on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from askew.engine.language import Ambiguity
from askew.engine.language.numbers.unit_words import parse_unit
from askew.engine.language.words.tokens import Token, tokenize
from askew.engine.observations import Observation, name_of, without_words
from askew.engine.units import UNITS, Habit

SHORT = 5
"""Words and marks that a bare unit may come with: "it's in mm"."""


@dataclass(frozen=True)
class UnitAsked:
    """A question about a unit that is still open.

    Attributes:
        question: The question, with the whole message as it would be with each answer.
        taken: What was taken from that message meanwhile.
    """

    question: Ambiguity
    taken: tuple[Observation, ...] = ()

    def answered(self, text: str) -> str | None:
        """Return the message as it was meant, where a text is no more than one of the units; else None."""
        tokens = tokenize(text)
        numbers = {token.value for token in tokens if token.kind == "number"}
        asked = {token.value for option in self.question.options for token in tokenize(option) if token.value}
        if len(tokens) > SHORT or not numbers <= asked:
            return None
        return self._with(_units(tokens))

    def shown(self, habit: Habit | None) -> str | None:
        """Return the message as it was meant by somebody of this habit, where one answer only is of it."""
        return self._with({unit for unit in UNITS if habit is not None and UNITS[unit].habit == habit})

    def _with(self, units: set[str]) -> str | None:
        fits = [
            whole
            for option, whole in zip(self.question.options, self.question.restated, strict=True)
            if _units(tokenize(option)) & units
        ]
        return fits[0] if len(fits) == 1 else None

    def new(self, facts: Sequence[Observation], said: Sequence[Observation] = ()) -> tuple[Observation, ...]:
        """Return what a message told that was not taken of it yet, and that was not said otherwise since.

        Args:
            facts: What the message tells, its unit settled.
            said: What was said since.
        """
        before = {*map(without_words, self.taken)}
        since = {name_of(fact) for fact in said}
        return tuple(f for f in facts if without_words(f) not in before and name_of(f) not in since)


def _units(tokens: Sequence[Token]) -> set[str]:
    """Return the units named in some tokens; the "in" of "in mm" is none."""
    found: set[str] = set()
    at = 0
    while at < len(tokens):
        leads_on = tokens[at].text == "in" and parse_unit(tokens, at + 1) is not None
        unit = None if leads_on else parse_unit(tokens, at)
        found |= {unit[0]} if unit is not None else set()
        at = unit[2] if unit is not None else at + 1
    return found
