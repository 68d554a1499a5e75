"""What lies ready at the bench, in a message: cutters to face with, and leaves to make up shims from."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from decimal import Decimal

from askew.engine.language.clauses.message import Message
from askew.engine.language.model import Context
from askew.engine.language.numbers.measured import is_value
from askew.engine.language.numbers.quantities import Quantity
from askew.engine.language.numbers.unit_words import parse_unit
from askew.engine.language.numbers.values import large_unit, small_unit
from askew.engine.language.words.phrase_forms import Spot
from askew.engine.language.words.tokens import SENTENCE_ENDS, Token
from askew.engine.language.words.word_tables import word_list
from askew.engine.observations import SetupFact
from askew.engine.on_hand import KINDS, LARGEST, MOST, SMALLEST, Cutter
from askew.engine.units import UNITS, Habit, to_mm

_KIND = "choice:cutter_kind="
_NEAR = 4
"""Tokens that may stand between a size and the cutter it belongs to."""
_THICKEST = Decimal(10)
_THINNEST = Decimal("0.005")


def on_hand(message: Message, context: Context, habit: Habit | None) -> list[SetupFact]:
    """Return the cutters and the leaves that a message says are on hand; what it says them with is used up.

    Raises:
        NeedsAskingError: if a size has more than one meaning that matters.
    """
    facts: list[SetupFact] = []
    for start, end in _sentences(message.tokens):
        for found in (_leaves(message, start, end, context, habit), _cutters(message, start, end, context, habit)):
            if found is not None and not any(fact.key == found.key for fact in facts):
                facts.append(found)
    return facts


def _list(name: str) -> frozenset[str]:
    return word_list("on_hand.toml", "words", name)


def _sentences(tokens: Sequence[Token]) -> Iterator[tuple[int, int]]:
    start = 0
    for index, token in enumerate(tokens):
        if token.kind == "mark" and token.text in SENTENCE_ENDS:
            yield start, index
            start = index + 1
    yield start, len(tokens)


def _said(message: Message, start: int, end: int) -> set[str]:
    return {token.text.removesuffix("'s").replace("'", "") for token in message.tokens[start:end]}


def _none(message: Message, start: int, end: int, key: str) -> SetupFact | None:
    """Read "none" as the answer to the question for `key`."""
    if not _said(message, start, end) & {word.replace("'", "") for word in _list("none")}:
        return None
    words = message.said(start, end)
    message.settle(start, end)
    return SetupFact(key, (), words=words)


# --- leaves ------------------------------------------------------------------------------------------------


def _leaves(message: Message, start: int, end: int, context: Context, habit: Habit | None) -> SetupFact | None:
    said, asked = _said(message, start, end), context.asked == "leaves"
    named = said & _list("leaves")
    if not (named or asked) or (said & _list("doing") and not asked):
        return None
    start, end = _apart_from_cutters(message, start, end, named)
    numbers = list(_numbers(message.tokens, start, end))
    if not numbers:
        return _none(message, start, end, "leaves") if asked else None
    if not asked and len(numbers) < 2 and not said & _list("have"):
        return None
    first, last = numbers[0][1], numbers[-1][2]
    if {"to", "-"} & {token.text for token in message.tokens[first:last]}:
        return None  # "from 1 to 10 thou" does not say which ones there are
    sizes = _in_mm(message, numbers, habit)
    if sizes is None or not all(_THINNEST <= size <= _THICKEST for size in sizes) or len(sizes) > MOST:
        return None
    nouns = [i for i in range(start, end) if message.tokens[i].text in named]
    have = [i for i in range(start, end) if message.tokens[i].text.replace("'", "") in _list("have")]
    begin, stop = min([first, *nouns, *have]), max([last, *(i + 1 for i in nouns)])
    words = message.said(begin, stop)
    message.settle(begin, stop)
    unit = next((unit for _, _, _, unit in numbers if unit), "thou" if habit == "in" else "mm")
    return SetupFact("leaves", tuple(sorted({float(size) for size in sizes})), unit, words)


def _apart_from_cutters(message: Message, start: int, end: int, named: set[str]) -> tuple[int, int]:
    """Return where the leaves of a sentence stand that tells of cutters as well."""
    noun = next((i for i in range(start, end) if message.tokens[i].text in named), None)
    cutters = [i for i in range(start, end) if message.tokens[i].text in _list("cutters")]
    cutters += [spot.start for spot in message.spots_in(start, end) if spot.name.startswith(_KIND)]
    if noun is None or not cutters:
        return start, end
    before = any(at < noun for at in cutters)
    return noun if before else start, min([at for at in cutters if at > noun], default=end)


_Number = tuple[Decimal, int, int, str | None]
"""A number, its tokens from and to (its unit among them), and its unit."""


def _numbers(tokens: Sequence[Token], start: int, end: int) -> Iterator[_Number]:
    for index in range(start, end):
        token = tokens[index]
        if token.kind == "number" and token.value is not None:
            unit = parse_unit(tokens, index + 1)
            if unit is None:
                yield token.value, index, index + 1, None
            else:
                yield token.value * unit[1], index, unit[2], unit[0]
        elif token.kind == "code" and all(part.isdigit() for part in token.text.split(",")):
            unit = parse_unit(tokens, index + 1)
            for part in token.text.split(","):  # "1,2,3,5" is a list where it counts leaves
                yield Decimal(part), index, index + 1 if unit is None else unit[2], unit and unit[0]


def _in_mm(message: Message, numbers: Sequence[_Number], habit: Habit | None) -> list[Decimal] | None:
    """Return the numbers in mm, one without a unit in that of the one after it; None where one is no length."""
    unit: str | None = None
    sizes = []
    for value, index, _, own in reversed(numbers):
        if own is None and unit is None:
            quantity = next((q for q in message.quantities if q.head == index), None)
            if quantity is None:
                return None
            unit = small_unit(quantity, habit, None)
        unit = own or unit
        if unit not in UNITS or UNITS[unit].kind != "length":
            return None
        sizes.append(to_mm(value, unit))
    return sizes


# --- cutters -----------------------------------------------------------------------------------------------


def _cutters(message: Message, start: int, end: int, context: Context, habit: Habit | None) -> SetupFact | None:
    said, asked = _said(message, start, end), context.asked == "cutters"
    spots = [
        spot for spot in message.spots_in(start, end) if spot.name.startswith(_KIND) and _kind(spot) in KINDS
    ]
    if not spots:
        return _none(message, start, end, "cutters") if asked else None
    listed = bool(said & _list("cutters")) or {"on", "hand"} <= said
    if not asked and (said & _list("doing") or not (listed or (said & _list("have") and len(spots) > 1))):
        return None
    sizes = [q for q in message.within(start, end) if not q.junk and not q.box and _is_size(q)]
    pairs = list(_paired(spots, sizes))
    used = {id(size) for _, size in pairs}
    measured = any(is_value(q) and id(q) not in used for q in message.within(start, end))
    if not pairs or (measured and not asked) or len(pairs) > MOST:
        return None
    kept = []
    for spot, size in pairs:
        near = next((q.unit for q in [*sizes[sizes.index(size) :], *sizes] if q.unit in UNITS), None)
        mm = float(to_mm(size.value, large_unit(size, habit, near)))
        if not SMALLEST <= mm <= LARGEST:
            return None
        kept.append(_cutter(message, spot, size, mm).kept())
    begin = min(spots[0].start, *(size.start for _, size in pairs))
    stop = max(spots[-1].end, *(size.end for _, size in pairs))
    headed = [i for i in range(start, begin) if message.tokens[i].text.replace("'", "") in _heading()]
    begin = min([begin, *headed])
    words = message.said(begin, stop)
    message.settle(begin, stop)
    return SetupFact("cutters", tuple(dict.fromkeys(kept)), "mm", words)


def _heading() -> frozenset[str]:
    return _list("have") | _list("cutters")


def _kind(spot: Spot) -> str:
    return spot.name.removeprefix(_KIND)


def _is_size(quantity: Quantity) -> bool:
    return quantity.value > 0 and (quantity.unit is None or quantity.mm is not None or quantity.unit == "mil")


def _paired(spots: Sequence[Spot], sizes: Sequence[Quantity]) -> Iterator[tuple[Spot, Quantity]]:
    """Yield each cutter with its sizes: those that stand before it, else those after it up to the next cutter."""
    free = list(sizes)
    for place, spot in enumerate(spots):
        since = spots[place - 1].end if place else 0
        own = [size for size in free if since <= size.head and size.end <= spot.start]
        if not own or spot.start - own[-1].end > _NEAR:
            until = spots[place + 1].start if place + 1 < len(spots) else spot.end + 40
            own = [size for size in free if spot.end <= size.head < until]
            own = own if own and own[0].head - spot.end <= _NEAR else []
        free = [size for size in free if size not in own]
        yield from ((spot, size) for size in own)


def _cutter(message: Message, spot: Spot, size: Quantity, mm: float) -> Cutter:
    """Return a cutter with what is said of it between its size and the next thing."""
    about = [token.text for token in message.tokens[min(size.end, spot.start) : max(spot.end, size.end) + 3]]
    cut = next((i for i, text in enumerate(about) if text in (",", "and", "&", "+") and i >= spot.end - size.end), None)
    about = about[:cut] if cut is not None else about
    teeth = next(
        (
            int(number)
            for number, noun in itertools.pairwise(about)
            if number.isdigit() and noun in ("flute", "flutes", "fl", "teeth", "tooth")
        ),
        None,
    )
    return Cutter(mm, _kind(spot), teeth if teeth is None or 1 <= teeth <= 60 else None, "carbide" in about)
