"""Short names for the conditions that rules use most."""

from __future__ import annotations

from typing import Any

from askew.knowledge.experta_port import MATCH, one_of
from askew.knowledge.facts import Compared, Known, Measured, Seen

SPOKEN = {"value": MATCH.value, "over": MATCH.over}
"""Two readings of one rule must not both bind these: patterns that share a name match only if it agrees."""


def known(key: str, *values: str | bool | int) -> Known:
    """Match setup `key` being known to have one of `values`."""
    return Known(key=key, value=values[0] if len(values) == 1 else one_of(*values))


def told(sign: str, *answers: str) -> Seen:
    """Match a sign, answered in one of these ways."""
    return Seen(sign=sign, answer=answers[0] if len(answers) == 1 else one_of(*answers))


def yes(sign: str) -> Seen:
    """Match a sign, answered yes or with any place."""
    return Seen(sign=sign, yes="yes")


def no(sign: str) -> Seen:
    """Match a sign, answered no."""
    return Seen(sign=sign, yes="no")


def reads(reading: str, side: str, spoken: bool = True) -> Measured:
    """Match a reading beyond its scatter on that side; binds `value` and `over` where they are spoken of."""
    return Measured(reading=reading, side=side, **(SPOKEN if spoken else {}))


def moves(reading: str, spoken: bool = True) -> Measured:
    """Match a reading beyond its scatter either way; binds `value` and `over` where they are spoken of."""
    return Measured(reading=reading, size="seen", **(SPOKEN if spoken else {}))


def still(reading: str, spoken: bool = True) -> Measured:
    """Match a reading within its scatter; binds `value` and `over` where they are spoken of."""
    return Measured(reading=reading, size="nil", **(SPOKEN if spoken else {}))


def change(pair: str, *outcomes: str) -> Any:
    """Match what a change did to a reading; binds `before` and `after`."""
    outcome = outcomes[0] if len(outcomes) == 1 else one_of(*outcomes)
    return Compared(pair=pair, outcome=outcome, before=MATCH.before, after=MATCH.after)


FEED_X = known("feed_axis", "x")
FEED_Y = known("feed_axis", "y")
MANY_PASSES = Known(key="many_passes", value=True)
ONE_PASS = Known(key="many_passes", value=False)
