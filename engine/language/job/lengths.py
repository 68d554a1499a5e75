"""Lengths of the setup: sizes beside the nouns that name them, told from the lengths that readings were taken over."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from askew.engine.language.clauses.message import Message
from askew.engine.language.job.nouns import BARE, LEAST_SIZE, PART, length_nouns, noun_beside
from askew.engine.language.job.owners import Told, asked_owner, whose
from askew.engine.language.job.sizes_at_ends import size_at_an_end
from askew.engine.language.numbers.measured import is_value
from askew.engine.language.numbers.quantities import Quantity
from askew.engine.language.numbers.values import large_unit, settle_comma
from askew.engine.language.words.phrase_forms import Spot
from askew.engine.language.words.word_tables import setup_lengths, word_list
from askew.engine.observations import SetupFact
from askew.engine.units import Habit, to_mm

_MACHINE = {"travel", "run_x", "run_y", "block_travel", "bed_length", "square_blade"}
"""Lengths that a reading is taken over: beside a number they belong to the reading."""
_RUN = ("table_run", "saddle_run", "x_run", "ran_it", "square_on_table", "up_jaw", "across_jaw", "bed")
_DETERMINERS = {"a", "an", "the", "its", "my", "about", "full", "whole", "that", "this", "those", "these"}
_FACE_WORDS = {*_DETERMINERS, "of", "is", "was", "which", "face", "side", "wall", "height", "depth", "hole", "edge"}
_LEANED_OVER = {"part_height", "wall", "wall_height", "hole_depth"}
"""Sizes that an error right before them was taken over."""
_FAR, _FAR_SIDE = 6, 8
_RUNS = {"length:run_x", "length:run_y"}
_WITHIN, _LEAST_RUN, _LEAST_TOLD = 2, 4, Decimal(2)
_SURELY_MM, _LARGEST_PART = Decimal(60), Decimal(1500)
_TINY_OK = {"tolerance", "wall", "cutter_offset", "cutter_diameter"}
_TOLD_IN_THOU = {"wall", "cutter_offset"}
_MOST_INCHES = {
    "cutter_diameter": 12,
    "cutter_stickout": 9,
    "grip_height": 9,
    "jaw_height": 9,
    "wall_height": 11,
    "hole_depth": 14,
    "pass_spacing": 11,
    "parallel_spacing": 14,
    "small_cutter_diameter": 4,
}
"""Whole numbers above these are mm whatever the habit: no cutter stands 45 inches out of its holder."""


def lengths(message: Message, habit: Habit | None, asked: str | None = None) -> list[SetupFact]:
    """Return the lengths that are told beside their nouns.

    Args:
        message: The message; the quantities that are used are removed from it.
        habit: The units that the person thinks in, None while unknown.
        asked: The setup key that was asked for, whose owner the answer may go on to speak of.

    Returns:
        The facts, in the order of the quantities.

    Raises:
        NeedsAskingError: if a number has more than one meaning that matters.
    """
    facts: list[SetupFact] = []
    nouns = length_nouns(message, asked)
    measured = [q for q in message.quantities if is_value(q) and not _told_as_length(q, nouns)]
    if asked is not None and asked in setup_lengths():
        measured = [q for q in measured if q.mm is not None and q.mm < _LEAST_TOLD]  # an answer tells sizes
    told = asked_owner(asked)
    for quantity in list(message.quantities):
        found = noun_beside(nouns, message, quantity) if _may_be_length(quantity) else None
        if found is None and asked == "vertical_travel" and quantity.mm is not None and quantity.mm >= LEAST_SIZE:
            found = "travel", Spot("length:travel", quantity.start, quantity.end)  # "wound the knee, 3 inches"
        if found is not None and _left_over(message, found[1]):
            message.drop([quantity])  # "10 mm of hole left"
            continue
        if found is None or _counted_or_repeated(message, quantity, *found) or size_at_an_end(message, quantity):
            continue
        key, noun = found
        settle_comma(quantity)
        if not _plausible(key, quantity) or _of_a_reading(message, quantity, measured, key, noun):
            continue
        mm, unit = in_mm(message, quantity, key, habit)
        key = whose(key, message, quantity, noun, told)
        if not key:
            message.drop([quantity])  # the size of something that nobody asks about
            continue
        told = Told(key, max(quantity.end, noun.end))
        words = message.said(min(quantity.start, noun.start), told.end)
        if key == "cutter_offset" and _on_minus_side(message, quantity, noun):
            mm = -mm
        _use_up(message, quantity, key, noun)
        facts += _facts(key, mm, unit, words)
    return facts


def _on_minus_side(message: Message, quantity: Quantity, noun: Spot) -> bool:
    """Tell whether a cutter stood in front of the middle, or left of it: said beside the size, or of the middle."""
    after = range(quantity.end, max(quantity.end + _FAR_SIDE, noun.end))
    said = {message.text_at(at) for at in (*range(noun.start, noun.end), *after)}
    told = message.names(quantity.end, quantity.end + _FAR_SIDE) & {"front", "to_front"}
    minus = word_list("setup.toml", "owning", "minus_side")
    return bool(told) or bool(said & minus) or _turns_to(message, noun.end, minus)


def _turns_to(message: Message, start: int, sides: frozenset[str]) -> bool:
    """Tell whether the way is named soon after: "20 mm out of the middle of the part, to the front"."""
    at = start
    while message.text_at(at) in (",", "and", "but", "out") or message.text_at(at) in word_list(
        "setup.toml", "owning", "of_the_part"
    ):
        at += 1
    if message.text_at(at) not in ("to", "toward", "towards", "against"):
        return False  # "to the rear of the centre; feed along X, toward the left"
    return message.text_at(at + 1 + (message.text_at(at + 1) in ("the", "my"))) in sides


def _told_as_length(quantity: Quantity, nouns: Sequence[Spot]) -> bool:
    """Tell whether a small number is a run or a tolerance by the noun beside it, and no error: "120 in y"."""
    return any(
        (noun.name in _RUNS and noun.start == quantity.end and quantity.unit is None and quantity.value >= _LEAST_RUN)
        or (noun.name == "length:tolerance" and 0 <= quantity.start - noun.end <= _WITHIN)
        for noun in nouns
    )


def _may_be_length(quantity: Quantity) -> bool:
    """Tell whether a quantity can be a length at all."""
    return not (
        quantity.junk
        or quantity.box
        or quantity.plus_minus
        or quantity.per is not None
        or quantity.unit == "deg"
        or (quantity.worded and quantity.value == 1 and quantity.unit is None)
    )


def _left_over(message: Message, noun: Spot) -> bool:
    """Tell whether a size is only what is left of something."""
    last = noun.end + (message.text_at(noun.end) == "depth")
    return message.text_at(last) == "left" and (
        last + 1 == len(message.tokens) or message.tokens[last + 1].kind == "mark"
    )


def _counted_or_repeated(message: Message, quantity: Quantity, key: str, noun: Spot) -> bool:
    """Tell whether a number only counts things, "two parallels", or is one of two depths that are compared."""
    if key == "part_depth":
        return _one_of_two_depths(message, quantity)
    if key == "cutter_stickout" and message.has("now_it") and _like_another(message, quantity):
        return True  # what it was before and is now
    if key == "travel" and quantity.unit is None:
        return True  # "came up 3" is no travel
    if key == "cutter_stickout" and message.text_at(quantity.end) in ("more", "less", "further", "farther"):
        return True  # how far it crept, not how far it stands out
    return key == "parallel_spacing" and quantity.unit is None and quantity.end == noun.start


def _one_of_two_depths(message: Message, quantity: Quantity) -> bool:
    """Tell whether a depth is told beside a like one, at the start and at the end of a cut."""
    return {"start", "end"} <= message.all_names and _like_another(message, quantity)


def _like_another(message: Message, quantity: Quantity) -> bool:
    """Tell whether another number of a message hardly differs from a quantity."""
    return any(
        other is not quantity and abs(other.value - quantity.value) * 20 <= max(other.value, quantity.value)
        for other in message.quantities
        if not other.junk and not other.pronoun
    )


def _plausible(key: str, quantity: Quantity) -> bool:
    """Tell whether a length can be so large or so small."""
    if quantity.value <= 0 and key != "cutter_offset":
        return False
    if quantity.unit in ("thou", "tenth", "um", "hundredth", "tenth_mm"):
        return key == "tolerance" or (
            key in ("wall", "cutter_offset", "pass_spacing")
            and quantity.unit == "thou"
            and quantity.value >= 60
        )
    mm = quantity.mm
    if mm is not None:
        return mm >= (Decimal("0.3") if key in _TINY_OK else Decimal("1.5")) or key == "tolerance"
    return quantity.value >= (Decimal("0.1") if key == "wall" else Decimal("0.2"))


def _of_a_reading(
    message: Message, quantity: Quantity, measured: Sequence[Quantity], key: str, noun: Spot
) -> bool:
    """Tell whether a length belongs to what was measured, not to the setup."""
    if key in _LEANED_OVER and _on_a_face(message, quantity, measured):
        return True
    held = key == "grip_height" and 0 <= quantity.head - noun.end <= 1  # the "on" of "gripped on 12 mm"
    held = held or (key == "pass_spacing" and message.text_at(noun.end - 1) == "over" and noun.end == quantity.head)
    if (
        quantity.span
        and not held
        and (
            (quantity.named and _beside(quantity, measured))
            or _is_span_of_reading(message, quantity, measured, key)
            or (key in PART and message.text_at(quantity.head - 1) == "on" and _beside(quantity, measured))
            or (noun.end <= quantity.start and key != "cutter_diameter" and _beside(quantity, measured))
        )
    ):
        return True
    others = any(other is not quantity for other in measured)
    if key == "tolerance" or (key in ("sweep_diameter", "sweep_radius") and others):
        return True
    still = message.has("nothing", "not_move") and not message.has("not_yet")  # the needle stood still all along
    if not (others or still):
        return False
    # how far it was run: "moved the table lengthways 300 mm"
    return key in _MACHINE or (key in PART and message.has(*_RUN) and not message.has("part_noun"))


def _is_span_of_reading(message: Message, quantity: Quantity, measured: Sequence[Quantity], key: str) -> bool:
    """Tell "15 thou over a 3 inch tall face", a span, from "on a 3 inch facemill", a size."""
    if not any(other is not quantity for other in measured):
        return False
    at = quantity.start - 1
    while at >= 0 and message.text_at(at) in _DETERMINERS:
        at -= 1
    if any(other.end == at and _is_whole_size(other) for other in message.prepared):
        return False  # "2.25 across 4 long": the word belongs to the size before it
    return message.text_at(at) in ("over", "across", "in", "per", "/", "along", "up", "down") and key not in (
        "cutter_diameter",
        "pass_spacing",
    )


def _on_a_face(message: Message, quantity: Quantity, measured: Sequence[Quantity]) -> bool:
    """Tell whether an error stands right before the face that it was taken over: "2 thou on a face that is 3 tall"."""
    at, skipped = quantity.start - 1, 0
    while at >= 0 and skipped < _FAR and message.text_at(at) in _FACE_WORDS:
        at, skipped = at - 1, skipped + 1
    tells = [place for place in range(at, at - _TOLD_WAY, -1) if message.text_at(place) not in ("and", ",", ".", ";")]
    before = {place for place in tells if place >= at - 2 or len(tells) == _TOLD_WAY}
    return message.text_at(at) in ("over", "in", "on", "across") and any(
        other is not quantity and other.end in before for other in measured
    )


_TOLD_WAY = 5
"""So many words may tell which way an error was: "2 thou proud of the top on a 40 mm wall"."""


def _is_whole_size(quantity: Quantity) -> bool:
    """Tell whether a quantity is too large for an error: the size of a thing."""
    return not quantity.junk and (
        quantity.mm >= LEAST_SIZE if quantity.mm is not None else quantity.unit is None and quantity.value >= 1
    )


def _beside(quantity: Quantity, measured: Sequence[Quantity]) -> bool:
    """Tell whether a measured error stands before a length: "0.02 mm high on 120 mm"."""
    return any(other is not quantity and other.end <= quantity.start for other in measured)


def in_mm(message: Message, quantity: Quantity, key: str, habit: Habit | None) -> tuple[Decimal, str]:
    """Return a length in mm, and the unit that it was told in."""
    mm = quantity.mm if quantity.unit not in (None, "mil") else None
    if mm is not None:
        return mm, quantity.unit or "mm"
    most = _MOST_INCHES.get(key)
    if habit == "in" and quantity.unit is None and most is not None and quantity.value > most:
        return quantity.value, "mm"
    unit = large_unit(quantity, habit, _neighbour_unit(message, quantity), thin=key in _TOLD_IN_THOU)
    return to_mm(quantity.value, unit), unit


def _neighbour_unit(message: Message, quantity: Quantity) -> str | None:
    """Return the unit of another size in the message, for "60 wide 90 long 3 mm wall"."""
    others = [
        other
        for other in message.prepared
        if other is not quantity and not other.junk and (other.unit == "mil" or not is_value(other))
    ]
    for other in others:
        if other.unit in ("in", "mm", "cm"):
            return other.unit
        if other.unit == "mil" and other.value >= LEAST_SIZE:
            return "mm"
    others = [other for other in others if other.unit != "mil"]
    bare = [other for other in others if other.unit is None and other.value <= _LARGEST_PART]
    if quantity.value >= LEAST_SIZE and any(other.value > _SURELY_MM for other in bare):
        return "mm"  # "57 across, 100 long": what is said together is in one unit
    return None


def _use_up(message: Message, quantity: Quantity, key: str, noun: Spot) -> None:
    """Mark a length and its noun as understood, so that nothing else is made of them."""
    message.take(min(quantity.start, noun.start), max(quantity.end, noun.end))
    message.drop([quantity])
    kinds = any(name.startswith("choice:cutter_kind") for name in message.names(noun.start, noun.end))
    way = message.text_at(noun.end - 1) == "way"  # "140 the other way": no feed
    if (noun.end - noun.start > BARE or way) and not kinds and key != "hole_depth":
        message.settle(noun.start, noun.end)  # so long a noun says nothing else beside
    if key == "parallel_spacing":
        message.forget("tool:parallels")  # nobody lists what the part stands on


def _facts(key: str, mm: Decimal, unit: str, words: str) -> list[SetupFact]:
    """Return the facts that a length makes: two for a square section, three for a cube, none if out of reach."""
    if key == "square_section":
        return [SetupFact(side, float(mm), unit, words) for side in ("part_across", "part_height")]
    if key == "cube":
        return [SetupFact(side, float(mm), unit, words) for side in ("part_across", "part_along", "part_height")]
    if key == "sweep_radius":
        return [SetupFact("sweep_diameter", float(mm * 2), unit, words)]
    return [SetupFact(key, float(mm), unit, words)] if 0.01 <= abs(float(mm)) <= 20_000 else []
