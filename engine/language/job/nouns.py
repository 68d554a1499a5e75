"""The noun that a size stands beside: the "wide" of "60 wide", the "face mill" of "face mill, four inch"."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from askew.engine.language.clauses.message import Message
from askew.engine.language.job.weak_nouns import too_little
from askew.engine.language.numbers.measured import is_value
from askew.engine.language.numbers.quantities import Quantity
from askew.engine.language.words.phrase_forms import Spot
from askew.engine.language.words.word_tables import word_list

PART = {"part_across", "part_along", "part_height", "part_depth"}
"""Sizes of the part; the words for them may be said of anything."""
BARE = 3
"""Words of a noun that may be anything's: "wide", "in length"."""
LEAST_SIZE = Decimal(5)
"""mm. What is larger is the size of a thing, no error."""

_NOUN = "length:"
_ROUND = ("sweep_diameter", "cutter_diameter", "sweep_radius")
_RUNS = ("run_x", "run_y")
_FAR = 14
"""Tokens between a size and a noun that has nothing to do with it any more."""
_NEAR = 4
"""Tokens that may stand between a size and its noun."""
_LEAST_WALL = 60
"""Thou. What is thinner is no wall but how far one moves."""
_TOLD_WITHIN = 11
"""Tokens that may tell of a noun before its "was"."""


def length_nouns(message: Message, asked: str | None = None) -> list[Spot]:
    """Return the phrases that name a length, without those that are only part of another phrase.

    Args:
        message: The message.
        asked: The setup key that was asked for, if any: a short answer names a run by no more than its axis.
    """
    return [spot for spot in message.spots if spot.name.startswith(_NOUN) and not _hidden(spot, message, asked)]


def noun_beside(nouns: Sequence[Spot], message: Message, quantity: Quantity) -> tuple[str, Spot] | None:
    """Return the noun that a quantity stands beside: after it at best, else before it.

    Args:
        nouns: The nouns of the message that name a length.
        message: The message.
        quantity: A quantity of it.

    Returns:
        The key of the length and the noun; None if no noun is near enough.
    """
    near = [spot for spot in nouns if -_FAR <= spot.start - quantity.start <= _FAR]
    after = _noun_after(near, message, quantity)
    if after is not None and _key(after) == "part_across" and after.end - after.start == 1:
        before = _noun_before(near, message, quantity)
        if before is not None and _key(before) in _ROUND:
            return _key(before), before  # "the circle is 250 mm across"
    if after is not None and _key(after) == "part_depth" and after.end - after.start <= BARE:
        before = _noun_before(near, message, quantity)
        if before is not None and _key(before) == "bed_length":
            return _key(before), before  # "bed of the vise 4 inches front to back"
    if after is not None and (
        message.text_at(after.end) not in ("is", "was", "=", "are") or after.start == quantity.end
    ):
        return _key(after), after
    found = _noun_before(near, message, quantity) or after
    return (_key(found), found) if found is not None else None


def _key(noun: Spot) -> str:
    return noun.name.removeprefix(_NOUN)


def _around(name: str) -> frozenset[str]:
    return word_list("setup.toml", "around", name)


def _noun_after(nouns: Sequence[Spot], message: Message, quantity: Quantity) -> Spot | None:
    """Return the closest noun after a size, the longest of equally close ones: "60 mm wide"."""
    ranked: list[tuple[int, Spot]] = []
    for spot in nouns:
        gap = spot.start - quantity.end
        alone = spot.end - spot.start == 1 and message.tokens[spot.start].text
        if (gap and _only_after(message, spot)) or alone in _around("only_before"):
            continue
        if 0 <= gap <= _NEAR and all(
            message.text_at(at) in _around("between")
            or _in_junk(message, at)
            or (_key(spot) == "grip_height" and message.text_at(at) in _around("of_it_gripped"))
            for at in range(quantity.end, spot.start)
        ):
            ranked.append((_rank(gap, spot), spot))
    return _first(ranked)


def _noun_before(nouns: Sequence[Spot], message: Message, quantity: Quantity) -> Spot | None:
    """Return the closest noun before a size, the longest of equally close ones: "width is 60"."""
    ranked: list[tuple[int, Spot]] = []
    for spot in nouns:
        gap = quantity.start - spot.end
        if _only_after(message, spot):
            continue
        if (
            0 <= gap <= _NEAR
            and all(message.text_at(at) in _around("leading") for at in range(spot.end, quantity.start))
        ) or _apposed(message, spot, quantity) or _told_of(message, spot, quantity):
            ranked.append((_rank(gap, spot), spot))
    return _first(ranked)


def _rank(gap: int, spot: Spot) -> int:
    return gap * 10 - (spot.end - spot.start)


def _first(ranked: Sequence[tuple[int, Spot]]) -> Spot | None:
    """Return the noun of the lowest rank, the first of equals."""
    return min(ranked, key=lambda item: item[0])[1] if ranked else None


def _only_after(message: Message, spot: Spot) -> bool:
    """Tell whether a noun says nothing of a size unless it stands right after it: a "6 inch vise"."""
    return spot.end - spot.start == 1 and message.text_at(spot.start) in _around("only_after")


def _apposed(message: Message, spot: Spot, quantity: Quantity) -> bool:
    """Tell whether a size stands alone between commas after its noun: "face mill, four inch"."""
    between = (message.text_at(at) for at in range(spot.end + 1, quantity.start))
    return (
        message.text_at(spot.end) == ","
        and 0 <= quantity.start - spot.end - 1 <= _NEAR
        and all(text == "," or text in _around("by_the_way") for text in between)  # "jaw height, well, 40 mm"
        and (
            (quantity.unit in ("in", "mm") and quantity.mm is not None and quantity.mm > LEAST_SIZE)
            or (_key(spot) == "wall" and quantity.unit == "thou" and quantity.value >= _LEAST_WALL)
        )
        and message.text_at(quantity.end) in ("", ",", ".")
    )


def _told_of(message: Message, spot: Spot, quantity: Quantity) -> bool:
    """Tell whether a noun is told of with a "was" before its size: "the small cutter I used for it was 12 mm"."""
    at = quantity.start - 1
    if message.text_at(at) not in ("is", "was", "=") or not 2 <= at - spot.end <= _TOLD_WITHIN:
        return False
    between = range(spot.end, at)
    return (
        spot.end - spot.start > 1
        and message.text_at(spot.end) in _around("telling_of")
        and all(message.tokens[place].kind == "word" for place in between)
        and not any(spot.end <= other.head < at for other in message.prepared)
    )


def _in_junk(message: Message, at: int) -> bool:
    """Tell whether a token belongs to a count of something else, like the "4 flute" or "45 degree" of a cutter."""
    return any(
        (quantity.junk or quantity.unit == "deg") and quantity.start <= at < quantity.end
        for quantity in message.quantities
    )


def _hidden(noun: Spot, message: Message, asked: str | None) -> bool:
    """Tell whether a noun is only part of another phrase, like the "deep" of "deep cut"."""
    if noun.name == "length:cutter_diameter" and noun.end - noun.start == 1:
        if message.tokens[noun.start].text in ("diameter", "dia") and not _of_a_cutter(message):
            return True
        if message.has("sweep") and not message.has("choice:cutter_kind=fly_cutter"):
            return "cutter" not in message.names(noun.start, noun.end)
    if too_little(message, noun, _key(noun), asked) and not (asked in _RUNS and _key(noun) in _RUNS):
        return True
    near = message.spots_in(max(0, noun.start - 3), noun.end + 3)
    return any(
        spot.name == "depth_of_cut" and spot.start <= noun.start and noun.end <= spot.end for spot in near
    )


def _of_a_cutter(message: Message) -> bool:
    """Tell whether a diameter may be that of a cutter: one is named, or nothing else is measured."""
    return message.has("cutter", "tool", "pass") or (
        any(name.startswith("choice:cutter_kind") for name in message.all_names)
        or not any(is_value(quantity) for quantity in message.quantities)
    )
