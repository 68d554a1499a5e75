"""Numbers that measure nothing here: feeds, speeds, prices, dates, counts, and the "one" of "the back one"."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from askew.engine.language.numbers.quantities import Quantity
from askew.engine.language.numbers.ranges import box_follows
from askew.engine.language.numbers.unit_words import words
from askew.engine.language.numbers.whole_numbers import is_cardinal
from askew.engine.language.words.tokens import Token, text_at


def is_pronoun(tokens: Sequence[Token], quantity: Quantity) -> bool:
    """Tell the "one" of "the back one" or "one of them" from a number."""
    if quantity.unit is not None or quantity.bound is not None or quantity.decimals or quantity.signed:
        return False
    before, after = text_at(tokens, quantity.start - 1), text_at(tokens, quantity.end)
    if after == "of" and text_at(tokens, quantity.end + 1) in words().out_of_them:
        return True  # "need two of them", "three of us lifted it off"
    if quantity.value == 2 and before == "the" and text_at(tokens, quantity.start - 2) == "of":
        return True  # "the taller of the two by 0.02 mm"
    if before == "all" and quantity.worded:
        return True  # "all four the same"
    if not quantity.worded or quantity.value != 1:
        if quantity.value == 1 and before in words().one_after and text_at(tokens, quantity.start - 3) == "than":
            return True  # "a thou bigger than the back 1"
        if after in words().telling_apart:
            after = text_at(tokens, quantity.end + 1)
        if after in ("passes", "cuts", "strips") and before in ("between", "where"):
            return True  # "between two neighbouring passes" counts none
        plural = (
            len(after) > 4
            and after.endswith("s")
            and not after.endswith("ss")
            and after not in words().not_things
        )
        return plural and after not in words().units and not after.startswith("pass")
    if before in words().units and text_at(tokens, quantity.start - 3) in ("the", "that"):
        return True  # "take back the 8 thou one"
    if text_at(tokens, quantity.start - 2) in ("the", "that", "this", "my", "his") and before.isalpha():
        return before not in words().spans  # "on the long one"
    return before in words().one_after or after not in (
        "on",
        "at",
        "left",
        "right",
        "front",
        "back",
        "over",
        "",
        ",",
        ".",
        "and",
        "top",
        "bottom",
        "pass",
        "x",
        "by",
        "or",
        "to",
        "-",
    )


_GOES_OFF = ("goes", "off")
"""Of what follows a number of other things, what may follow an error as well: "0.01 goes up", "0.02 off"."""


def set_aside(tokens: Sequence[Token], quantity: Quantity) -> Quantity:
    """Return the quantity, marked as `junk` where the words beside it tell that it is no measurement."""
    following, before = text_at(tokens, quantity.end), text_at(tokens, quantity.start - 1)
    if quantity.unit is None and following == "-":
        following = text_at(tokens, quantity.end + 1)
    small = quantity.decimals > 1 and abs(quantity.value) < 1
    other = following in words().junk_after and not (small and following in _GOES_OFF)
    if quantity.unit is None and (other or (following == "x" and not box_follows(tokens, quantity.end))):
        return replace(quantity, junk=True, end=quantity.end + 1)
    if quantity.unit is None and following == "th" and before in ("the", "by", "on"):
        return replace(quantity, junk=True, end=quantity.end + 1)  # "by the 12th"
    if quantity.unit is not None and following in words().of_a_clock:
        return replace(quantity, junk=True)  # "at 1 µm resolution", a "0.01 mm graduation"
    mm = quantity.mm
    if mm is not None and mm >= _PARALLEL and following in ("parallel", "parallels"):
        return replace(quantity, junk=True)  # "gripped on 10 mm parallels" tells not how deep
    if before in ("$", "£", "€"):
        return replace(quantity, junk=True, start=quantity.start - 1)
    if (
        quantity.unit is None
        and before in words().junk_before
        and not (before in ("no", "step", "part") and quantity.decimals)
        and not (before == "step" and quantity.value == 0)  # there is no step 0
        and not (before in ("part", "job") and following in _SIZED)  # "part 3 across" is no part number
        and not _along_the_feed(tokens, quantity.start - 1)
    ):
        return replace(quantity, junk=True)
    if (
        quantity.unit == "thou"
        and text_at(tokens, quantity.end - 1) in ("thousand", "thousands")
        and following in words().junk_after
    ):
        return replace(quantity, junk=True, end=quantity.end + 1)
    if _is_year(tokens, quantity) or _numbers_a_pass(tokens, quantity):
        return replace(quantity, junk=True)
    if quantity.unit == "deg" and following in ("c", "f", "celsius", "fahrenheit", "outside", "in", "today"):
        return replace(quantity, junk=True)
    if quantity.unit in ("in", "ft", "m") and following in ("lb", "lbs", "pounds", "pound"):
        return replace(quantity, junk=True, end=quantity.end + 1)
    if before in ("past", "to") and text_at(tokens, quantity.start - 2) in ("half", "quarter"):
        return replace(quantity, junk=True)  # half past nine
    if before in ("feed", "feeding", "feedrate", "speed", "feeds") and not _along_the_feed(tokens, quantity.start - 1):
        return replace(quantity, junk=True)
    return quantity


def _is_year(tokens: Sequence[Token], quantity: Quantity) -> bool:
    """Tell whether a number is the year of "made them in 1989"."""
    year = quantity.unit is None and not quantity.decimals and _FIRST_YEAR <= quantity.value <= _LAST_YEAR
    return year and text_at(tokens, quantity.head - 1) in ("in", "since", "from", "before", "after", "circa", "a")


_SIZED = {"across", "wide", "long", "high", "tall", "deep", "thick", "along", "by", "x"}
_PARALLEL = 3
"""From so many mm on a number before "parallels" is their size, not an error of them."""

_FIRST_YEAR, _LAST_YEAR = 1900, 2050


def _numbers_a_pass(tokens: Sequence[Token], quantity: Quantity) -> bool:
    """Tell whether a number only says which pass: "the joint of pass one and two", "between passes 2 and 3"."""
    whole = quantity.value == quantity.value.to_integral_value()
    if quantity.unit is not None or not whole or quantity.decimals or not 0 < quantity.value < _MANY_PASSES:
        return False
    before = text_at(tokens, quantity.head - 1)
    if before in ("pass", "passes"):
        counted = (quantity.worded and before == "pass") or text_at(tokens, quantity.end) in ("and", "to")
        return counted and text_at(tokens, quantity.head - 2) not in _WHICH
    named = text_at(tokens, quantity.head - 3) in ("pass", "passes")
    other = text_at(tokens, quantity.head - 2)
    return before in ("and", "to") and named and (other.isdigit() or is_cardinal(other))


_MANY_PASSES = 10
_WHICH = {"first", "second", "third", "fourth", "last", "next", "each", "per"}
"""Words after which "pass" ends what a number is told of: "first pass two, second pass five"."""


def _along_the_feed(tokens: Sequence[Token], at: int) -> bool:
    """Tell whether a "feed" is only what something lies along or across: "across the feed 0.02"."""
    start = at - 1 - (text_at(tokens, at - 1) == "the")
    return text_at(tokens, at) == "feed" and text_at(tokens, start) in ("across", "along", "with", "to", "down")
