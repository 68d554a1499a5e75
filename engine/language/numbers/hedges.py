"""The words around a quantity that say how sure it is, and whether it is a length gone over."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from askew.engine.language.numbers.numbers import parse_number
from askew.engine.language.numbers.quantities import Quantity
from askew.engine.language.numbers.slopes import sloped
from askew.engine.language.numbers.unit_words import parse_unit, words
from askew.engine.language.words.tokens import Token, text_at
from askew.engine.language.words.word_tables import word_list
from askew.engine.observations import Bound

_MOST_FILLERS = 3
_SMALL_UNITS = {"thou", "tenth", "um", "hundredth"}
"""Units that no length gone over is told in."""


def _denied_one(tokens: Sequence[Token], quantity: Quantity) -> bool:
    """Tell whether the smallest step is named only to say that there is none: "not a tenth", "didn't move a tenth"."""
    if quantity.value != 1 or quantity.unit not in _SMALL_UNITS or not quantity.worded:
        return False
    at = quantity.head - 1
    at -= text_at(tokens, at) in words().stirring
    return text_at(tokens, at) == "not" or (at < quantity.head - 1 and text_at(tokens, at) in words().denying)


_NO_MORE = {("no", "more"), ("not", "more"), ("at", "most"), ("no", "higher"), ("no", "worse")}
"""What follows a comma and says that a number is the most: "two tenths, no more"."""


_BETTER = ("better", "than")
"""More of what moved, "goes back better than 2 thou", and less of an error: "square to better than 2 thou"."""


def hedged(tokens: Sequence[Token], quantity: Quantity, floor: int) -> Quantity:
    """Take in the words before and after that say how sure it is, and whether it is a span.

    Args:
        tokens: The message.
        quantity: One of its quantities, as far as its number and unit go.
        floor: Index after the quantity before it, whose words are not looked at.

    Returns:
        The quantity with its bound, its slope and whether it is a span, wide enough to cover those words.
    """
    if _denied_one(tokens, quantity):
        return replace(quantity, value=Decimal(0))
    start, bound = _hedge_before(tokens, quantity, floor)
    end, bound = _hedge_after(tokens, quantity.end, bound)
    if bound is not None and quantity.unit is None and end != quantity.end:
        unit = parse_unit(tokens, end)
        if unit is not None:
            quantity = replace(quantity, unit=unit[0], value=quantity.value * unit[1])
            end = unit[2]
    quantity = replace(quantity, end=end)
    if quantity.per is None and not quantity.junk:
        quantity = sloped(tokens, quantity)
    good_to = text_at(tokens, start - 1) == "to" and text_at(tokens, start - 2) in words().good_to
    if bound is None and quantity.value and good_to:  # less than nothing is no reading: "it repeats to zero"
        bound, start = "at_most", start - 1
    return _spanned(tokens, replace(quantity, start=start, bound=bound), floor)


def _hedge_before(tokens: Sequence[Token], quantity: Quantity, floor: int) -> tuple[int, Bound | None]:
    """Return where the bound words before a quantity begin, and what they say."""
    start, bound = quantity.start, quantity.bound
    if (
        bound is None
        and text_at(tokens, start - 1) in ("it's", "its", "is")
        and text_at(tokens, start - 2) in ("reckon", "guess", "think", "say", "probably", "maybe")
    ):
        bound = "about"
    for width in (4, 3, 2, 1):
        phrase = tuple(text_at(tokens, at) for at in range(start - width, start))
        if start - width >= floor and phrase == _BETTER and _moved_before(tokens, start - width):
            return start - width, "at_least"
        if phrase == ("say",) and text_at(tokens, start - 2) in words().tellers:
            break  # "the feelers say 3 thou" hedges nothing
        if start - width >= floor and phrase in words().before:
            bound = words().before[phrase] if bound is None or quantity.vague else bound
            return start - width, bound
    return start, bound


def _moved_before(tokens: Sequence[Token], at: int) -> bool:
    """Tell whether what moved is told right before token `at`: "goes back", "kicks the needle"."""
    for before in range(at - 1, max(-1, at - 2 - _MOVED_WITHIN), -1):
        if text_at(tokens, before) in words().moved_by:
            return True
        if tokens[before].kind == "mark":
            return False
    return False


_MOVED_WITHIN = 2
"""Most words between what moved and how far: "kicks [the needle] better than a thou"."""


def _hedge_after(tokens: Sequence[Token], end: int, bound: Bound | None) -> tuple[int, Bound | None]:
    """Return where the bound words from token `end` on stop, and the bound with what they say."""
    if text_at(tokens, end) == "," and (text_at(tokens, end + 1), text_at(tokens, end + 2)) in _NO_MORE:
        bound, end = "at_most", end + 3
    apart = text_at(tokens, end) == ","  # "three thou, give or take"
    end += apart and any(
        tuple(text_at(tokens, at) for at in range(end + 1, end + 1 + width)) in words().after for width in (3, 2)
    )
    if bound is None and _loose_at_the_end(tokens, end):
        return end, "about"
    for width in (3, 2, 1):
        phrase = tuple(text_at(tokens, at) for at in range(end, end + width))
        if phrase in words().after and not (
            (
                (phrase in words().before or phrase[0] in ("max", "maybe", "probably"))
                and parse_number(tokens, end + width) is not None  # "2 thou, call it 3"
            )
            or (phrase in (("if", "that"), ("call", "it")) and end + 2 < len(tokens) and tokens[end + 2].kind != "mark")
        ):
            return end + width, bound if bound not in (None, "about") else words().after[phrase]
    return end, bound


def _loose_at_the_end(tokens: Sequence[Token], end: int) -> bool:
    """Tell whether an "or so" closes the words after a number: "3 thou in the middle or so", "0.2 mm about."."""
    if text_at(tokens, end) in words().loose and text_at(tokens, end + 1) in _STOPS:
        return True
    for at in range(end, min(len(tokens), end + _LOOSE_WITHIN + 1)):
        if tuple(text_at(tokens, at + step) for step in range(2)) in _OR_SO:
            return at > end and (text_at(tokens, at + 1) != "or" or text_at(tokens, at + 2) in ("take", "less"))
        if tokens[at].kind != "word" or parse_number(tokens, at) is not None or text_at(tokens, at) in _ELSE:
            return False
    return False


_OR_SO = {("or", "so"), ("or", "thereabouts"), ("or", "thereabout"), ("give", "or"), ("more", "or")}
_ELSE = {"and", "but", "then", "so", "or", "than"}
_STOPS = {"", ".", ",", ";", "!", "?", ")"}
_LOOSE_WITHIN = 5
"""Most words between a number and the "or so" that is said of it."""


def _spanned(tokens: Sequence[Token], quantity: Quantity, floor: int) -> Quantity:
    """Tell whether a quantity is a span by the word before it, in `span`; "over" a thou is at least a thou."""
    at, skipped = _past_fillers(tokens, quantity.start - 1, floor)
    named = _past_name(tokens, at) if at > floor and text_at(tokens, at) not in words().spans else at
    if named < at:
        at, skipped = _past_fillers(tokens, named, floor)
        if at >= floor and text_at(tokens, at) in words().over:
            return replace(quantity, span=not quantity.plus_minus, named=True)
    word = text_at(tokens, at) if at >= floor else ""
    if (
        word == "over"
        and text_at(tokens, at - 1) not in words().over_goes
        and not skipped
        and quantity.bound is None
        and quantity.unit in _SMALL_UNITS
    ):
        return replace(quantity, start=at, bound="at_least", span=False)
    if word == "at" and quantity.unit in (None, *_SMALL_UNITS):
        found = word_list("clauses.toml", "words", "found_at")
        return replace(quantity, span=text_at(tokens, at - 1) not in found and not quantity.plus_minus)
    risen = word in ("up", "down") and quantity.unit is None and not skipped  # "came up 3", and "up 4" as an answer
    if risen and (at == 0 or text_at(tokens, at - 1) in words().over_goes | words().raised):
        return replace(quantity, span=False)
    return replace(quantity, span=word in words().spans and not quantity.plus_minus)


def _past_fillers(tokens: Sequence[Token], at: int, floor: int) -> tuple[int, int]:
    """Return where the words from token `at` backwards are no fillers any more, and how many were passed."""
    skipped = 0
    while at >= floor and text_at(tokens, at) in words().fillers and skipped < _MOST_FILLERS:
        at, skipped = at - 1, skipped + 1
    return at, skipped


def _past_name(tokens: Sequence[Token], at: int) -> int:
    """Return the token before what names a length: "over [its depth of] 30", "on [a face that is] 40 mm tall"."""
    if text_at(tokens, at) in words().extents and text_at(tokens, at + 1) == "of":
        return at - 1
    at -= text_at(tokens, at) in ("is", "was", "that's")
    at -= text_at(tokens, at) in ("that", "which")
    return at - 1 if text_at(tokens, at) in words().faces else at
