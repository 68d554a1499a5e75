"""A reading, a fact of the setup or a sign as a correction makes it."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from askew.engine.language.clauses.message import Message
from askew.engine.language.corrections.correction_words import (
    direction_said,
    is_mixed_up,
    is_named,
    number_meant,
    other_number,
    same_number,
    sign_said,
    unit_named,
)
from askew.engine.language.numbers.measured import is_span, is_value
from askew.engine.language.numbers.quantities import Quantity
from askew.engine.language.observed.length_over import span_mm
from askew.engine.language.observed.signs import place_of
from askew.engine.language.words.lexicon import lexicon
from askew.engine.observations import Reading, SetupFact, Sign
from askew.engine.units import UNITS, from_mm, to_mm


def corrected_reading(fact: Reading, message: Message) -> Reading | None:
    """Return a reading with the number, the unit or the direction that a correction gives it.

    Args:
        fact: The reading as it was understood before.
        message: The correction, without what it takes back.

    Returns:
        The reading as meant; None where the message gives it nothing new.
    """
    sign, known = direction_said(fact, message)
    if not known and sign_said(message):
        sign, known = sign_said(message), True
    quantity = other_number(message, fact) or number_meant(message)
    if quantity is not None and known and message.text_at(quantity.start - 1) == "the" and quantity.unit is None:
        quantity = None  # "the nine was on the left" only says where it was
    if quantity is not None and not known and "opposite" in message.all_names and same_number(message, fact):
        return _turned(fact, message, None)  # "it is the opposite, 0.015"
    if quantity is not None:
        return _with_number(fact, message, quantity, sign if known else None)
    if fact.value is None:
        return None
    spans = [other for other in message.quantities if is_span(other)]
    if len(spans) == 1 and not known and any(is_named(message, other) for other in message.quantities):
        habit = UNITS[fact.unit].habit if fact.unit in UNITS else None  # "that 2 thou was in 15 inches"
        return replace(fact, over=span_mm(message, spans[0], habit), words=message.text.strip())
    unit = unit_named(message)
    if unit is not None and _is_length(fact.unit) and unit != fact.unit and not (known and sign * fact.value < 0):
        return _in_unit(fact, message, unit)
    if "nothing" in message.all_names and not message.quantities and not known:
        return replace(fact, value=0.0, low=None, high=None, bound=None, words=message.text.strip())
    return _turned(fact, message, sign if known else None)


def corrected_axis(fact: Reading, message: Message) -> Reading | None:
    """Return a reading of one axis as that of another one which a correction names: "that 5 was the Y, not the X".

    Args:
        fact: The reading as it was understood before.
        message: The correction, without what it takes back.

    Returns:
        The reading of the other axis, its number as it was unless the message tells another; None if it names none.
    """
    family, _, axis = fact.id.rpartition("_")
    if axis not in ("x", "y", "z") or fact.value is None:
        return None
    meant = {
        spot.name
        for spot in message.spots
        if spot.name in ("x", "y", "z") and message.tokens[spot.start - 1].text not in ("not", "no")
        and message.said(spot.start - 2, spot.start).lower() != "not the"
    }
    others = [f"{family}_{other}" for other in meant - {axis} if f"{family}_{other}" in lexicon().meanings]
    if len(others) != 1:
        return None
    moved = replace(fact, id=others[0], words=message.text.strip())
    quantity = number_meant(message)
    if quantity is None or quantity.unit is None:
        return moved
    return _with_number(moved, message, quantity, None)


def _is_length(unit: str | None) -> bool:
    return unit in UNITS and UNITS[unit].kind == "length"


def _with_number(fact: Reading, message: Message, quantity: Quantity, sign: int | None) -> Reading | None:
    """Return the reading with another value, or with another length that it was taken over."""
    words, old = message.text.strip(), fact.value
    spans = [other for other in message.quantities if other is not quantity and is_span(other)]
    if spans and is_value(quantity):
        habit = UNITS[fact.unit].habit if fact.unit in UNITS else None
        fact = replace(fact, over=span_mm(message, spans[0], habit))
    long = quantity.unit in ("in", "mm", "ft", "cm") and not is_value(quantity)
    if old is not None and quantity.mm is not None and long:
        return replace(fact, over=float(quantity.mm), words=words)
    beside = (other.unit for other in message.prepared if other.head != quantity.head and not is_span(other))
    refused = next((unit for unit in beside if _is_length(unit)), None)  # "not six hundredths, eight"
    symbol = quantity.unit or unit_named(message) or refused or fact.unit or "thou"
    if not _is_length(symbol):
        return None
    known = quantity.signed or sign is not None or fact.sign_known
    if quantity.signed:
        sign = 1 if quantity.value >= 0 else -1
    elif sign is None:
        sign = -1 if (old or 0.0) < 0 else 1
    return replace(
        fact,
        value=sign * float(to_mm(abs(quantity.value), symbol)),
        low=None,
        high=None,
        bound=quantity.bound if quantity.bound in ("about", "at_most", "at_least") else None,
        unit=symbol,
        sign_known=known,
        words=words,
    )


def _in_unit(fact: Reading, message: Message, unit: str) -> Reading:
    """Return the reading with the same number in another unit."""
    assert fact.value is not None and fact.unit is not None
    scale = float(to_mm(from_mm(Decimal(1), fact.unit), unit))
    low, high = _times(fact.low, scale), _times(fact.high, scale)
    return replace(fact, value=fact.value * scale, low=low, high=high, unit=unit, words=message.text.strip())


def _turned(fact: Reading, message: Message, sign: int | None) -> Reading | None:
    """Return the reading in the direction that is said, or in the opposite one."""
    assert fact.value is not None
    names, words = message.names(0, len(message.tokens)), message.text.strip()
    if sign is not None and "other_end" not in names:
        low, high = _flip(fact.low, fact.high, sign * fact.value < 0)
        return replace(fact, value=sign * abs(fact.value), low=low, high=high, sign_known=True, words=words)
    if names & {"opposite", "other_end"} or is_mixed_up(message):
        low, high = _flip(fact.low, fact.high, True)
        return replace(fact, value=-fact.value, low=low, high=high, words=words)
    return None


def _times(value: float | None, scale: float) -> float | None:
    return None if value is None else value * scale


def _flip(low: float | None, high: float | None, flip: bool) -> tuple[float | None, float | None]:
    if not flip or low is None or high is None:
        return low, high
    return -high, -low


def corrected_setup(fact: SetupFact, message: Message) -> SetupFact | None:
    """Return a fact of the setup with the choice or the number that a correction gives it; None if it gives none."""
    quantity = number_meant(message)
    words = message.text.strip()
    for spot in message.spots:
        if spot.name.startswith(f"choice:{fact.key}=") and not (
            spot.start > 0 and message.tokens[spot.start - 1].text in ("not", "no")
        ):
            choice = spot.name.split("=")[1]
            return replace(fact, value={"true": True, "false": False}.get(choice, choice), words=words)
    if quantity is None or isinstance(fact.value, str | bool | tuple):
        return None
    if fact.key == "passes":
        return (
            replace(fact, value=int(quantity.value), words=words)
            if quantity.value == quantity.value.to_integral_value()
            else None
        )
    symbol = quantity.unit or unit_named(message) or fact.unit or "mm"
    if not _is_length(symbol):
        return None
    return replace(fact, value=float(to_mm(quantity.value, symbol)), unit=symbol, words=words)


def corrected_sign(fact: Sign, message: Message) -> Sign | None:
    """Return a sign with the place or the yes or no that a correction gives it; None if it gives none."""
    meaning = lexicon().meanings.get(fact.id)
    if meaning is None:
        return None
    words = message.text.strip()
    place = place_of(meaning, message.mask(0, len(message.tokens)))
    if place is not None and place != fact.answer:
        return replace(fact, answer=place, words=words)
    names = message.names(0, len(message.tokens))
    if "opposite" in names and fact.answer in ("yes", "no"):
        return replace(fact, answer="no" if fact.answer == "yes" else "yes", words=words)
    if "yes" in names and fact.answer == "no":
        return replace(fact, answer="yes", words=words)
    if (
        names & {"no", "not"}
        and fact.answer != "no"
        and any(name in names for name in ("nothing", "not_move", "not"))
    ):
        return replace(fact, answer="no", words=words)
    return None
