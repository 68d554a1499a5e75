"""What a person can tell the assistant, as immutable records.

This is the border between the language and the case: `engine.language` makes these from words, the
scriptable seam makes them from JSON, and `engine.case` keeps them. Lengths are in mm, slopes are mm with
the length they were taken over (`over`, mm), signs as in the definition of each reading.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

Bound = Literal["at_least", "at_most", "about", "between"]


@dataclass(frozen=True, slots=True)
class Reading:
    """A number somebody measured, or a complaint that still lacks its number.

    Attributes:
        id: A reading id of the knowledge base.
        value: In mm (plus as the reading's definition says); None for a complaint without a number.
        over: The length it was taken over in mm; None where the setup gives it or it has none.
        bound: None for a plain value. "at_least" and "at_most" bound the signed value where `sign_known`,
            else its size; "about" doubles the scatter; "between" carries `low` and `high`.
        low: Lower end of a range in mm, only with "between" (then `value` is the middle).
        high: Upper end of a range in mm, only with "between".
        sign_known: False where the words leave the direction open: the size counts, the sign does not.
        unit: The unit the person used ("thou", "tenth", "in", "mm", "um", "deg", "thou/ft", ...), for
            speaking back.
        words: The person's own words it was read from.
    """

    id: str
    value: float | None
    over: float | None = None
    bound: Bound | None = None
    low: float | None = None
    high: float | None = None
    sign_known: bool = True
    unit: str | None = None
    words: str = ""


@dataclass(frozen=True, slots=True)
class Sign:
    """Something seen or felt without a number.

    Attributes:
        id: A sign id of the knowledge base.
        answer: "yes", "no", "unknown", or one of the sign's places or senses (which implies yes).
        words: The person's own words.
    """

    id: str
    answer: str
    words: str = ""


@dataclass(frozen=True, slots=True)
class SetupFact:
    """A fact about the machine, the part, the cutter, the grip or the bench.

    Attributes:
        key: A key of `knowledge/setup.toml`.
        value: Number in mm (or count), choice, truth value, or a tuple: names for `instruments`, thicknesses in
            mm for `leaves`, texts of `engine.on_hand` for `cutters`.
        unit: The unit the person used, for speaking back.
        words: The person's own words.
    """

    key: str
    value: float | int | str | bool | tuple[str, ...] | tuple[float, ...] | None
    unit: str | None = None
    words: str = ""


@dataclass(frozen=True, slots=True)
class Action:
    """Something the person did, which changes the state of things from then on."""

    id: str
    words: str = ""


@dataclass(frozen=True, slots=True)
class Command:
    """Something the person wants the assistant to do.

    Attributes:
        id: why, undo, skip, cannot, dont_know, next, report, help, quit (see `knowledge/commands.toml`).
        argument: What it is about, as an id where one was recognised, else the words; None if nothing.
        words: The person's own words.
    """

    id: str
    argument: str | None = None
    words: str = ""


Observation = Reading | Sign | SetupFact | Action | Command


def name_of(fact: Observation) -> str:
    """Return the id of an observation, or the key of a fact about the setup."""
    return fact.key if isinstance(fact, SetupFact) else fact.id


def without_words(fact: Observation) -> Observation:
    """Return an observation without the words that it was read from, to tell whether two say the same."""
    return replace(fact, words="")
