"""What the words of a correction say: its number, its unit, its sign and its direction."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from askew.engine.language.clauses.message import Message
from askew.engine.language.numbers.measured import is_value
from askew.engine.language.numbers.quantities import Quantity
from askew.engine.language.observed.directions import direction, place_direction
from askew.engine.language.words.lexicon import lexicon
from askew.engine.observations import Reading
from askew.engine.units import UNITS, from_mm

UNIT_NAMES = (("in_thou", "thou"), ("in_mm", "mm"), ("in_tenth", "tenth"), ("in_um", "um"), ("in_inch", "in"))
"""Names of phrases that name a unit, and the unit."""
REFUSALS = {"not", "never", "isn't", "isnt", "wasn't", "wasnt", "ain't"}
_MINUS, _PLUS = {"minus", "negative"}, {"plus", "positive"}


def other_number(message: Message, fact: Reading) -> Quantity | None:
    """Return the number that is to stand for the one told before: the 7 of "change the 5 to a 7"."""
    plain = [
        q
        for q in message.quantities
        if not (_is_junk(message, q) or q.pronoun) and q.unit in (None, fact.unit) and (q.value or not q.worded)
    ]  # "it's 8, not 6, I forgot to zero it"
    if len(plain) != 2 or fact.value is None or fact.unit not in UNITS or UNITS[fact.unit].kind != "length":
        return None
    same = [_as_told(q, fact) for q in plain]
    return plain[1] if same == [True, False] else plain[0] if same == [False, True] else None


def _is_junk(message: Message, quantity: Quantity) -> bool:
    """Tell whether a number measures nothing; the 3 of "no 3, not 8" is no item number 3."""
    return quantity.junk and message.text_at(quantity.start - 1) not in ("no", "nope", "nah")


def old_refused(message: Message, fact: Reading) -> bool:
    """Tell whether the number told before is named only to be refused: "8 thou, not 6", "it's 4, forget the 5"."""
    new = other_number(message, fact)
    if new is None:
        return False
    old = next(
        q
        for q in message.quantities
        if q is not new and not (q.junk or q.pronoun) and q.unit in (None, fact.unit) and (q.value or not q.worded)
    )
    before = {message.text_at(old.start - 1), message.text_at(old.start - 2)}
    return message.tokens[old.start].text in ("not", "no") or bool(before & (REFUSALS | _FORGET))


_FORGET = {"forget", "ignore", "scrap", "disregard", "scratch", "strike", "of"}


def same_number(message: Message, fact: Reading) -> bool:
    """Tell whether the only number of a message is the one told before."""
    told = [q for q in message.quantities if not (q.junk or q.pronoun)]
    return len(told) == 1 and _as_told(told[0], fact)


def _as_told(quantity: Quantity, fact: Reading) -> bool:
    """Tell whether a number is the one told before, in its unit."""
    if fact.value is None or fact.unit not in UNITS or UNITS[fact.unit].kind != "length":
        return False
    old = from_mm(Decimal(repr(abs(fact.value))), fact.unit)
    return quantity.unit in (None, fact.unit) and abs(abs(quantity.value) - old) * 1000 <= old


def is_mixed_up(message: Message) -> bool:
    """Tell whether two places were taken for each other: "I got left and right mixed up"."""
    names = message.all_names
    return "mixed_up" in names and (bool(names & {"x", "y"}) or any({*pair} <= names for pair in OPPOSITES))


OPPOSITES = (("left", "right"), ("front", "back"), ("top", "bottom"), ("open", "closed"), ("high", "low"))


def sign_said(message: Message) -> int:
    """Return 1 or -1 where a bare "plus" or "negative" is said, else 0."""
    texts = [token.text for token in message.tokens]
    said = {text for before, text in zip(["", *texts], texts, strict=False) if before not in REFUSALS}
    return (1 if said & _PLUS else 0) - (1 if said & _MINUS else 0)


def direction_said(fact: Reading, message: Message) -> tuple[int, bool]:
    """Return the sign that the words of a correction give its reading, and whether they give one."""
    meaning = lexicon().meanings.get(fact.id)
    if meaning is None or meaning.size:
        return 1, False
    mask = message.mask(0, len(message.tokens))
    sign, known = direction(replace(meaning, default=""), mask)
    refused = {token.text for token in message.tokens} & REFUSALS
    if known or refused:
        return (sign, known) if known else place_direction(meaning, mask)
    told = {direction(replace(meaning, default=""), message.mask(each.start, each.end)) for each in message.clauses}
    signs = {sign for sign, known in told if known}  # "the left is the low one, the right end is high"
    return (signs.pop(), True) if len(signs) == 1 else place_direction(meaning, mask)


_NAMING = {"the", "that", "those", "this"}
_NAMED = {"was", "is", "were", "should", "ought", "oughta", "belongs", "goes", "has", "had", "wants"}


def is_named(message: Message, quantity: Quantity) -> bool:
    """Tell whether a number is only pointed at: the nine of "the nine was on the left", the 5 of "that 5 was in Y"."""
    before = message.tokens[quantity.start - 1].text if quantity.start else ""
    after = message.tokens[quantity.end].text if quantity.end < len(message.tokens) else ""
    return before in _NAMING and after in _NAMED


def told_anew(message: Message, fact: Reading) -> bool:
    """Tell whether a measured number is told that is not the one before: with its unit, or with decimals."""
    new = number_meant(message)
    if new is None or fact.value is None or not is_value(new) or _as_told(new, fact):
        return False
    return new.unit is not None or new.decimals > 0


def number_meant(message: Message) -> Quantity | None:
    """Return the number meant: the last one that is not refused by "not"."""
    meant = [
        quantity
        for quantity in message.quantities
        if not _is_junk(message, quantity)
        and not quantity.pronoun
        and not is_named(message, quantity)
        and message.tokens[quantity.head].text not in ("no", "not")
        and not (quantity.start > 0 and message.tokens[quantity.start - 1].text == "not")
        and not (quantity.worded and quantity.unit != "mm" and message.text_at(quantity.start - 1) == "of")
    ]
    told = [quantity for quantity in meant if quantity.value or not quantity.worded]  # "a zero too many"
    return next(iter(told or meant), None)


def unit_named(message: Message) -> str | None:
    """Return the unit that is named without a number and not refused: the "mm" of "mm, not thou"."""
    for spot in message.spots:
        if spot.start == 0 and message.tokens[0].text == "um":
            continue  # "um, same as before" hesitates
        for name, unit in UNIT_NAMES:
            if (
                spot.name == name
                and not (spot.start > 0 and message.tokens[spot.start - 1].text == "not")
                and not any(quantity.start <= spot.start < quantity.end for quantity in message.quantities)
            ):
                return unit
    return None
