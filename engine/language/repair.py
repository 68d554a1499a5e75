"""Corrections: "no, I meant closed, not open", "make that 12", "mm, not thou"."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from askew.engine.language.directions import direction, place_direction
from askew.engine.language.groups import divide
from askew.engine.language.length_over import span_mm
from askew.engine.language.lexicon import lexicon, table, word_list
from askew.engine.language.measured import is_span, is_value
from askew.engine.language.message import DIRECTIONS, Message
from askew.engine.language.model import Context
from askew.engine.language.quantities import Quantity
from askew.engine.language.setups import setup_facts
from askew.engine.language.signs import place_of
from askew.engine.language.values import NeedsAskingError
from askew.engine.observations import Observation, Reading, SetupFact, Sign
from askew.engine.units import UNITS, from_mm, to_mm

_UNITS = (("in_thou", "thou"), ("in_mm", "mm"), ("in_tenth", "tenth"), ("in_um", "um"), ("in_inch", "in"))
_LONGEST = 14
_SHORT = 5
_REFUSALS = {"not", "never", "isn't", "isnt", "wasn't", "wasnt", "ain't"}
_ARTICLES = {"the", "a", "an", "at", "on", "to", "over"}
_SAID = {"said", "say", "put", "typed", "wrote", "told"}
_MEANT = {"meant", "mean", "should", "actually", "really"}
_MINUS, _PLUS = {"minus", "negative"}, {"plus", "positive"}
_SPANS = {"sweep_diameter", "travel", "run_x", "run_y", "hole_depth", "wall_height", "jaw_height", "bed_length"}
"""Setup keys of lengths that a reading is taken over: naming one corrects the reading."""


def repaired(message: Message, context: Context) -> tuple[Observation, ...] | None:
    """Return the facts of the previous message as corrected, or None if this is no correction."""
    words = [token for token in message.tokens if token.kind != "mark"]
    if not context.last or not words or len(words) > _LONGEST:
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
    if not _corrects(message, fact, context, len(words)) or _something_else(message, fact, context):
        return None
    meant = _as_meant(message)
    made: Observation | None = None
    if isinstance(fact, Reading):
        made = _reading(fact, meant)
    elif isinstance(fact, SetupFact):
        made = _setup(fact, message)
    elif isinstance(fact, Sign):
        made = _sign(fact, message)
    if made is None:
        return None
    message.take(0, len(message.tokens))
    return (*context.last[:place], made, *context.last[place + 1 :])


def _corrects(message: Message, fact: Observation, context: Context, count: int) -> bool:
    """Tell whether the message says by its form that it corrects or completes what was said before."""
    names = message.names(0, len(message.tokens))
    first = next(token.text for token in message.tokens if token.kind != "mark")
    kinds = {token.kind for token in message.tokens}
    if "number" not in kinds and any(token.text.startswith("hundredth") for token in message.tokens):
        return False  # of what, only the person knows
    if "meant" in names and not _meant_to_do(message):
        return True
    if (first in ("no", "nope", "nah", "naw") and count > 1) or _refuses(message):
        return True
    if isinstance(fact, Reading) and fact.value is not None and not fact.sign_known and count <= _SHORT:
        return not message.quantities and _direction(fact, message)[1]  # "it's open by the way"
    if "opposite" in names and (count <= 7 or (isinstance(fact, Reading) and _direction(fact, message)[1])):
        return True
    if isinstance(fact, Reading) and ((_mixed_up(message) and count <= 9) or (_sign_said(message) and count <= 2)):
        return True
    if not message.quantities and _unit_named(message) is not None:
        return count <= 4 or all(_plain(message, at) for at in range(len(message.tokens)))
    if isinstance(fact, Reading) and fact.value is not None and fact.over is None and count <= 6:
        return context.asked not in table("setup.toml")["lengths"] and _only_a_span(message)
    return isinstance(fact, Reading) and "swap_it" in names and _other_number(message, fact) is not None


def _meant_to_do(message: Message) -> bool:
    """Tell whether something was only meant to be done: "I meant to go to lunch"."""
    texts = [token.text for token in message.tokens]
    return any(
        one == "meant" and two == "to" and three not in ("say", "type", "put", "write", "be", "read", "tell")
        for one, two, three in zip(texts, texts[1:], texts[2:], strict=False)
    )


def _plain(message: Message, at: int) -> bool:
    """Tell whether a token says nothing by itself, or names a unit."""
    token = message.tokens[at]
    small = word_list("clauses.toml", "words", "small") | word_list("clauses.toml", "evidence", "plain")
    named = {"meant", "idiom", "polite", *(name for name, _ in _UNITS)}
    return (
        token.kind == "mark"
        or token.text in small
        or any(spot.name in named and spot.start <= at < spot.end for spot in message.spots)
    )


def _only_a_span(message: Message) -> bool:
    """Tell whether all that is said is the length that something was taken over: "over 3 inches that was"."""
    if len(message.quantities) != 1 or not message.quantities[0].span:
        return False
    only = message.quantities[0]
    return is_span(only) and all(
        only.start <= at < only.end
        or _plain(message, at)
        or message.tokens[at].text in ("measured", "taken", "across", "length", "travel")
        for at in range(len(message.tokens))
    )


def _other_number(message: Message, fact: Reading) -> Quantity | None:
    """Return the number that is to stand for the one told before: the 7 of "change the 5 to a 7"."""
    plain = [q for q in message.quantities if not q.junk and q.unit in (None, fact.unit)]
    if len(plain) != 2 or fact.value is None or fact.unit not in UNITS or UNITS[fact.unit].kind != "length":
        return None
    old = from_mm(Decimal(repr(abs(fact.value))), fact.unit)
    same = [abs(abs(q.value) - old) * 1000 <= old for q in plain]
    return plain[1] if same == [True, False] else plain[0] if same == [False, True] else None


def _mixed_up(message: Message) -> bool:
    """Tell whether two places were taken for each other: "I got left and right mixed up"."""
    names = message.all_names
    return "mixed_up" in names and (bool(names & {"x", "y"}) or any({*pair} <= names for pair in _OPPOSITES))


_OPPOSITES = (("left", "right"), ("front", "back"), ("top", "bottom"), ("open", "closed"), ("high", "low"))


def _sign_said(message: Message) -> int:
    """Return 1 or -1 where a bare "plus" or "negative" is said, else 0."""
    texts = [token.text for token in message.tokens]
    said = {text for before, text in zip(["", *texts], texts, strict=False) if before not in _REFUSALS}
    return (1 if said & _PLUS else 0) - (1 if said & _MINUS else 0)


def _something_else(message: Message, fact: Observation, context: Context) -> bool:
    """Tell whether the message names a matter of its own: "sorry, the step is 2 thou" after a hollow."""
    own = fact.key if isinstance(fact, SetupFact) else fact.id
    copy = message.copy()
    try:
        found = setup_facts(copy, context, context.unit)
    except NeedsAskingError:
        found = []
    spans = _SPANS if isinstance(fact, Reading) else set()
    if any(other.key not in {own, *spans} and other.value for other in found):
        return True
    if "other_end" in message.all_names:
        return False
    lex = lexicon()
    meaning = lex.meanings.get(own)
    mine = 0
    if meaning is not None:
        for way in (*meaning.when, *meaning.plus, *meaning.minus):
            for term in (*way.must, *way.may):
                mine |= term
    for group in divide(message, ()):
        if group.meaning is None or group.meaning.kind == "ignore" or group.meaning.id == own:
            continue
        topic = 0
        for way in group.meaning.when:
            for term in way.must:
                topic |= term
        for spot in message.spots_in(group.start, group.end):
            bit = lex.bits.get(spot.name, 0) & topic & ~mine
            if bit and lex.weights[bit] >= _TOPIC:
                return True
    return False


_TOPIC = 0.8
"""What a word must weigh to name a matter."""


def _as_meant(message: Message) -> Message:
    """Return the message without what it takes back: the "open" of "I said open but I meant closed"."""
    made = message.copy()
    texts = [token.text for token in message.tokens]
    said = next((at for at, text in enumerate(texts) if text in _SAID), None)
    if said is not None:
        meant = next((at for at in range(said + 1, len(texts)) if texts[at] in _MEANT or texts[at] == "?"), None)
        if meant is not None:
            made.settle(said, meant)
    for at, text in enumerate(texts):
        refusing = text in _REFUSALS or (text == "of" and at > 0 and texts[at - 1] == "instead")
        if refusing or (text == "no" and at > 0 and _turns(made, 0, at)):
            _settle_next(made, at)
    return made


def _turns(message: Message, start: int, end: int) -> bool:
    return bool(message.names(start, end) & DIRECTIONS)


def _settle_next(message: Message, at: int) -> None:
    """Let nothing be made of the direction or the number right after a refusal."""
    begin = at + 1
    while begin < len(message.tokens) and message.tokens[begin].text in _ARTICLES:
        begin += 1
    ends = [spot.end for spot in message.spots if spot.start == begin and spot.name in DIRECTIONS]
    ends += [quantity.end for quantity in message.quantities if quantity.head == begin]
    if ends:
        message.settle(at, max(ends))


def _direction(fact: Reading, message: Message) -> tuple[int, bool]:
    """Return the sign that the words of a correction give its reading, and whether they give one."""
    meaning = lexicon().meanings.get(fact.id)
    if meaning is None or meaning.size:
        return 1, False
    mask = message.mask(0, len(message.tokens))
    sign, known = direction(replace(meaning, default=""), mask)
    return (sign, known) if known else place_direction(meaning, mask)


def _refuses(message: Message) -> bool:
    """Tell whether it reads "12, not 15" or "closed not open"."""
    return (
        any(
            token.text == "not" and (index > 0 or len(message.quantities) == 2) and index < len(message.tokens) - 1
            for index, token in enumerate(message.tokens)
        )
        and len(message.tokens) <= 9
    )


def _number(message: Message) -> Quantity | None:
    """Return the number meant: the last one that is not refused by "not"."""
    meant = [
        quantity
        for quantity in message.quantities
        if not quantity.junk
        and not quantity.pronoun
        and not (quantity.start > 0 and message.tokens[quantity.start - 1].text == "not")
    ]
    told = [quantity for quantity in meant if quantity.value or not quantity.worded]  # "a zero too many"
    return next(iter(told or meant), None)


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


def _reading(fact: Reading, message: Message) -> Reading | None:
    names = message.names(0, len(message.tokens))
    quantity = _other_number(message, fact) or _number(message)
    unit = _unit_named(message)
    words = message.text.strip()
    sign, known = _direction(fact, message)
    if not known and _sign_said(message):
        sign, known = _sign_said(message), True
    old = fact.value
    if quantity is not None:
        spans = [other for other in message.quantities if other is not quantity and is_span(other)]
        if spans and is_value(quantity):
            habit = UNITS[fact.unit].habit if fact.unit in UNITS else None
            fact = replace(fact, over=span_mm(message, spans[0], habit))
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
    if known and "other_end" not in names:
        flip = sign * old < 0
        return replace(
            fact,
            value=sign * abs(old),
            low=_flip(fact.low, fact.high, flip)[0],
            high=_flip(fact.low, fact.high, flip)[1],
            sign_known=True,
            words=words,
        )
    if names & {"opposite", "other_end"} or _mixed_up(message):
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
