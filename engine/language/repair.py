"""Corrections: "no, I meant closed, not open", "make that 12", "mm, not thou"."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from askew.engine.language.lexicon import lexicon
from askew.engine.language.message import Message, is_value
from askew.engine.language.model import Context
from askew.engine.language.quantities import Quantity
from askew.engine.language.readings import direction
from askew.engine.language.signs import place_of
from askew.engine.observations import Observation, Reading, SetupFact, Sign
from askew.engine.units import UNITS, from_mm, to_mm

_UNITS = (("in_thou", "thou"), ("in_mm", "mm"), ("in_tenth", "tenth"), ("in_um", "um"), ("in_inch", "in"))
_LONGEST = 14


def repaired(message: Message, context: Context) -> tuple[Observation, ...] | None:
    """Return the facts of the previous message as corrected, or None if this is no correction."""
    words = [token for token in message.tokens if token.kind != "mark"]
    if not context.last or not words or len(words) > _LONGEST:
        return None
    names = message.names(0, len(message.tokens))
    asking = (
        "meant" in names or (words[0].text in ("no", "nope", "nah") and len(words) > 1) or _refuses(message)
    )
    turning = "opposite" in names and len(words) <= 7
    asking = asking or (len(words) <= 4 and not message.quantities and _unit_named(message) is not None)
    if not asking and not turning:
        return None
    place = next(
        (
            index
            for index in range(len(context.last) - 1, -1, -1)
            if isinstance(context.last[index], Reading | SetupFact | Sign)
        ),
        None,
    )
    if place is None:
        return None
    fact = context.last[place]
    made: Observation | None = None
    if isinstance(fact, Reading):
        made = _reading(fact, message, names)
    elif isinstance(fact, SetupFact):
        made = _setup(fact, message)
    elif isinstance(fact, Sign):
        made = _sign(fact, message)
    if made is None:
        return None
    message.take(0, len(message.tokens))
    return (*context.last[:place], made, *context.last[place + 1 :])


def _refuses(message: Message) -> bool:
    """Tell whether it reads "12, not 15" or "closed not open"."""
    return (
        any(
            token.text == "not" and (index > 0 or len(message.quantities) == 2) and index < len(message.tokens) - 1
            for index, token in enumerate(message.tokens)
        )
        and len(message.tokens) <= 7
    )


def _number(message: Message) -> Quantity | None:
    """Return the number meant: the last one that is not refused by "not"."""
    meant = [
        quantity
        for quantity in message.quantities
        if not quantity.junk and not (quantity.start > 0 and message.tokens[quantity.start - 1].text == "not")
    ]
    return meant[0] if meant else None


def _unit_named(message: Message) -> str | None:
    for spot in message.spots:
        for name, unit in _UNITS:
            if (
                spot.name == name
                and not (spot.start > 0 and message.tokens[spot.start - 1].text == "not")
                and not any(quantity.start <= spot.start < quantity.end for quantity in message.quantities)
            ):
                return unit
    return None


def _reading(fact: Reading, message: Message, names: set[str]) -> Reading | None:
    lex = lexicon()
    meaning = lex.meanings.get(fact.id)
    quantity = _number(message)
    unit = _unit_named(message)
    words = message.text.strip()
    sign, known = (
        direction(replace(meaning, default=""), message.mask(0, len(message.tokens)))
        if meaning is not None and not meaning.size
        else (1, False)
    )
    old = fact.value
    if quantity is not None:
        if (
            old is not None
            and quantity.mm is not None
            and quantity.unit in ("in", "mm", "ft", "cm")
            and not is_value(quantity)
        ):
            return replace(fact, over=float(quantity.mm), words=words)
        symbol = quantity.unit or unit or fact.unit or "thou"
        if symbol not in UNITS or UNITS[symbol].kind != "length":
            return None
        mm = float(to_mm(abs(quantity.value), symbol))
        if quantity.signed:
            sign, known = (1 if quantity.value >= 0 else -1), True
        elif not known:
            sign, known = (-1 if (old or 0.0) < 0 else 1), fact.sign_known
        return replace(
            fact,
            value=sign * mm,
            low=None,
            high=None,
            bound=quantity.bound if quantity.bound == "about" else None,
            unit=symbol,
            sign_known=known,
            words=words,
        )
    if old is None:
        return None
    if (
        unit is not None
        and fact.unit in UNITS
        and UNITS[fact.unit].kind == "length"
        and unit != fact.unit
        and not known
    ):
        scale = float(to_mm(from_mm(Decimal(1), fact.unit), unit))
        return replace(
            fact,
            value=old * scale,
            low=_times(fact.low, scale),
            high=_times(fact.high, scale),
            unit=unit,
            words=words,
        )
    if known:
        flip = sign * old < 0
        return replace(
            fact,
            value=sign * abs(old),
            low=_flip(fact.low, fact.high, flip)[0],
            high=_flip(fact.low, fact.high, flip)[1],
            sign_known=True,
            words=words,
        )
    if "opposite" in names:
        low, high = _flip(fact.low, fact.high, True)
        return replace(fact, value=-old, low=low, high=high, words=words)
    return None


def _times(value: float | None, scale: float) -> float | None:
    return None if value is None else value * scale


def _flip(low: float | None, high: float | None, flip: bool) -> tuple[float | None, float | None]:
    if not flip or low is None or high is None:
        return low, high
    return -high, -low


def _setup(fact: SetupFact, message: Message) -> SetupFact | None:
    quantity = _number(message)
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
    symbol = quantity.unit or _unit_named(message) or fact.unit or "mm"
    if symbol not in UNITS or UNITS[symbol].kind != "length":
        return None
    return replace(fact, value=float(to_mm(quantity.value, symbol)), unit=symbol, words=words)


def _sign(fact: Sign, message: Message) -> Sign | None:
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
