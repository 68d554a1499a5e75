"""Setup facts in a message: sizes beside their nouns, choices by their words, instruments on hand."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal
from functools import cache

from askew.engine.language.choices import choices
from askew.engine.language.hollow_work import settle_hollow_work, solid_work
from askew.engine.language.instruments import instruments
from askew.engine.language.lexicon import Spot, stem, table, word_list
from askew.engine.language.measured import is_value
from askew.engine.language.message import Message
from askew.engine.language.model import Context
from askew.engine.language.on_hand import on_hand
from askew.engine.language.quantities import Quantity
from askew.engine.language.values import large_unit, settle_comma, small_unit
from askew.engine.observations import SetupFact
from askew.engine.units import UNITS, Habit, to_mm

_NO_GAP = {"part_across", "part_along", "part_height", "part_depth", "wall_height", "hole_depth", "wall"}
# Lengths that a reading is taken over: beside a number they belong to the reading.
_MACHINE = {"travel", "run_x", "run_y", "block_travel", "bed_length", "square_blade"}
_PART = {"part_across", "part_along", "part_height", "part_depth"}
_RUN = ("table_run", "saddle_run", "x_run", "ran_it", "square_on_table", "up_jaw", "across_jaw")
_OWNER_WITHIN = 13
"""Tokens before a size in which the thing that it belongs to is looked for."""
_MOST_PASSES = 500
_BARE = 3
"""Words of a noun that may be anything's: "wide", "in length"."""
_LEAST_SIZE = Decimal(5)
_SURELY_MM, _LARGEST_PART = Decimal(60), Decimal(1500)
_TINY_OK = {"tolerance", "wall", "cutter_offset", "cutter_diameter"}


def setup_facts(message: Message, context: Context, habit: Habit | None) -> list[SetupFact]:
    """Return the setup facts of a message; quantities used for them are removed from it.

    Raises:
        NeedsAskingError: if a number has more than one meaning that matters.
    """
    facts = [
        *on_hand(message, context, habit),
        *_passes(message),
        *_boxes(message, habit),
        *_lengths(message, habit),
        *_tolerance(message, habit),
    ]
    facts += [
        SetupFact(spot.name.removeprefix("zero:"), 0.0, words=message.said(spot.start, spot.end))
        for spot in message.spots
        if spot.name.startswith("zero:")
    ]
    facts += choices(message, context)
    solid = solid_work(message)
    if solid is not None and not any(fact.key == "wall" for fact in facts):
        facts.append(solid)
    settle_hollow_work(message, facts)
    facts += instruments(message, context.asked == "instruments")
    seen: dict[str, SetupFact] = {}
    for fact in facts:
        seen.setdefault(fact.key, fact)
    return list(seen.values())


def _text(message: Message, at: int) -> str:
    return message.tokens[at].text if 0 <= at < len(message.tokens) else ""


_NOT_COUNTED = {"per", "last", "every", "from", "after", "each", "another", "good", "bad", "fine", "square", "off"}
"""Words before a number that make it no count of passes: "good one cut and bad the next"."""
_PASS_SIZES = {"little", "small", "tiny", "light", "narrow", "fine", "skinny", "shallow", "overlapping"}
"""Words between a count and its passes: "a hundred little passes"."""


def _passes(message: Message) -> list[SetupFact]:
    for quantity in message.quantities:
        end = quantity.end + (_text(message, quantity.end) in _PASS_SIZES)
        word = message.words.get(end, "")
        if (
            quantity.junk
            and _text(message, quantity.end - 1) in ("cuts", "goes")
            and _side_by_side(message, quantity)
        ):
            message.take(quantity.start, quantity.end)
            words = message.said(quantity.start, quantity.end)
            return [SetupFact("passes", int(quantity.value), words=words)]
        if (
            quantity.unit is None
            and not quantity.box
            and (
                word == "pas"
                or (word == "strip" and not message.has("paper"))
                or (word == "cut" and _text(message, end) in ("cut", "cuts"))
            )
            and not (word == "cut" and _text(message, end + 1) in ("it", "the", "this", "my"))
            and quantity.value == quantity.value.to_integral_value()
        ):
            following = _text(message, end + 1)
            if (
                not 1 <= quantity.value <= _MOST_PASSES
                or _text(message, quantity.start - 1) in _NOT_COUNTED
            ):
                continue
            going = word_list("setup.toml", "around", "after_one_pass") if quantity.value == 1 else frozenset()
            if following in ("later", "ago") or following in going - {"and"}:
                continue
            message.take(quantity.start, end + 1)
            message.drop([quantity])
            words = message.said(quantity.start, end + 1)
            return [SetupFact("passes", int(quantity.value), words=words), *_spaced(message, end + 1)]
    counted = _counted(message)
    if counted is not None:
        return [counted]
    stems = [message.words.get(index, "") for index in range(len(message.tokens))]
    for index, word in enumerate(stems[:-1]):
        pair = (word, stems[index + 1])
        if (
            (
                pair in (("singl", "pas"), ("one", "pas"))
                and _text(message, index + 2) not in word_list("setup.toml", "around", "after_one_pass")
                and "joint" not in message.names(index, index + 6)
            )
            or (pair == ("one", "go") and index and stems[index - 1] == "in")
            or (
                pair in (("one", "cut"), ("singl", "cut"))
                and _text(message, index + 2) in ("only", "", ",", ".")
            )
            or pair in (("one", "hit"), ("one", "shot"), ("one", "swipe"))
        ):
            message.take(index, index + 2)
            return [SetupFact("passes", 1, words=message.said(index, index + 2))]
    return []


def _counted(message: Message) -> SetupFact | None:
    """Return the number of passes where it stands after them: "number of passes = 3", "passes: 3"."""
    for quantity in message.quantities:
        at = quantity.start - 1
        while at > 0 and _text(message, at) in ("=", ":", "is", "was", "were", "-"):
            at -= 1
        whole = quantity.unit is None and not quantity.box and quantity.value == quantity.value.to_integral_value()
        named = message.words.get(at) == "pas" and (
            at < quantity.start - 1 or {"number", "no"} & {_text(message, i) for i in range(max(0, at - 3), at)}
        )
        if named and whole and 1 <= quantity.value <= _MOST_PASSES and _text(message, quantity.end) in ("", ",", "."):
            message.take(at, quantity.end)
            message.drop([quantity])
            return SetupFact("passes", int(quantity.value), words=message.said(at, quantity.end))
    return None


def _side_by_side(message: Message, quantity: Quantity) -> bool:
    """Tell whether "2 cuts" means passes beside each other, not one cut after another."""
    return 1 <= quantity.value <= 20 and (
        message.has("length:pass_spacing", "choice:pass_order=front_to_back", "choice:pass_order=back_to_front")
        or _text(message, quantity.start - 1) == "in"
        or _text(message, quantity.end) in ("side", "across", "wide")
    )


def _spaced(message: Message, at: int) -> list[SetupFact]:
    """Return the distance between passes that stands right after them: "2 passes @ 2 inch"."""
    if _text(message, at) not in ("@", "at", "of", "every"):
        return []
    for quantity in message.within(at + 1, at + 2):
        mm = quantity.mm
        if mm is None or mm < 3 or quantity.junk or _text(message, quantity.end) in ("deep", "depth", "doc"):
            return []
        message.take(at, quantity.end)
        message.drop([quantity])
        words = message.said(at, quantity.end)
        return [SetupFact("pass_spacing", float(mm), quantity.unit or "mm", words)]
    return []


def _boxes(message: Message, habit: Habit | None) -> list[SetupFact]:
    facts: list[SetupFact] = []
    for quantity in list(message.quantities):
        sides = quantity.box
        if quantity.junk or not sides or (message.has("table") and not message.has("part_noun", "part")):
            continue
        hollow = message.has("hollow_section", "wall")
        unit = _box_unit(quantity, habit, hollow)
        words = message.said(quantity.start, quantity.end)
        mm = [float(to_mm(side, unit)) for side in sides]
        if hollow and len(mm) >= 2 and mm[-1] < 0.35 * mm[0]:
            facts.append(SetupFact("wall", mm[-1], unit, words))
            mm = mm[:-1] if len(mm) == 3 else [mm[0], mm[0]]
            keys: tuple[str, ...] = ("part_across", "part_height")
        else:
            keys = ("part_across", "part_along", "part_height")
        facts += [SetupFact(key, side, unit, words) for key, side in zip(keys, mm, strict=False)]
        message.take(quantity.start, quantity.end)
        message.drop([quantity])
    return facts


def _box_unit(quantity: Quantity, habit: Habit | None, hollow: bool) -> str:
    """Settle the unit of "2x4x3": no block is 4 mm long, none is 50 inches wide."""
    if quantity.unit is None:
        sides = quantity.box[:-1] if hollow else quantity.box
        if max(quantity.box) >= 25:
            return "mm"
        if max(quantity.box) <= 8 or any(side != side.to_integral_value() for side in sides):
            return habit or "in"
    return large_unit(quantity, habit)


def _length_key(nouns: list[Spot], message: Message, quantity: Quantity) -> tuple[str, Spot] | None:
    """Return the noun that a quantity stands beside: after it at best, else before it."""
    nouns = [spot for spot in nouns if -8 <= spot.start - quantity.start <= 8]
    after: tuple[int, str, Spot] | None = None
    for spot in nouns:
        gap = spot.start - quantity.end
        key = spot.name.removeprefix("length:")
        alone = spot.end - spot.start == 1 and message.tokens[spot.start].text
        if (gap and _only_after(message, spot)) or alone in word_list("setup.toml", "around", "only_before"):
            continue
        if 0 <= gap <= 4 and all(
            _text(message, at) in word_list("setup.toml", "around", "between")
            or _in_junk(message, at)
            or (key == "grip_height" and _text(message, at) in ("is", "it", "gripped"))
            for at in range(quantity.end, spot.start)
        ):
            rank = gap * 10 - (spot.end - spot.start)
            if after is None or rank < after[0]:
                after = (rank, key, spot)
    if after is not None and (
        _text(message, after[2].end) not in ("is", "was", "=", "are") or after[2].start == quantity.end
    ):
        return after[1], after[2]
    before: tuple[int, str, Spot] | None = None
    for spot in nouns:
        gap = quantity.start - spot.end
        key = spot.name.removeprefix("length:")
        if _only_after(message, spot):
            continue
        if (
            0 <= gap <= 4
            and all(
                _text(message, at) in word_list("setup.toml", "around", "leading")
                for at in range(spot.end, quantity.start)
            )
        ) or _apposed(message, spot, quantity):
            rank = gap * 10 - (spot.end - spot.start)
            if before is None or rank < before[0]:
                before = (rank, key, spot)
    found = before or after
    return (found[1], found[2]) if found is not None else None


def _only_after(message: Message, spot: Spot) -> bool:
    """Tell whether a noun says nothing of a size unless it stands right after it: a "6 inch vise"."""
    return spot.end - spot.start == 1 and _text(message, spot.start) in word_list("setup.toml", "around", "only_after")


def _apposed(message: Message, spot: Spot, quantity: Quantity) -> bool:
    """Tell whether a size stands alone between commas after its noun: "face mill, four inch"."""
    return (
        _text(message, spot.end) == ","
        and quantity.start == spot.end + 1
        and quantity.unit in ("in", "mm")
        and quantity.mm is not None
        and quantity.mm > _LEAST_SIZE
        and _text(message, quantity.end) in ("", ",", ".")
    )


def _in_junk(message: Message, at: int) -> bool:
    """Tell whether a token belongs to a count of something else, like the "4 flute" or "45 degree" of a cutter."""
    return any(
        (quantity.junk or quantity.unit == "deg") and quantity.start <= at < quantity.end
        for quantity in message.quantities
    )


def _of_a_cutter(message: Message) -> bool:
    """Tell whether a diameter may be that of a cutter: one is named, or nothing else is measured."""
    return message.has("cutter", "tool", "pass") or (
        any(name.startswith("choice:cutter_kind") for name in message.all_names)
        or not any(is_value(quantity) for quantity in message.quantities)
    )


def _hidden(noun: Spot, message: Message) -> bool:
    """Tell whether a noun is only part of another phrase, like the "deep" of "deep cut"."""
    bare = noun.name == "length:cutter_diameter" and message.tokens[noun.start].text in ("diameter", "dia")
    if bare and noun.end - noun.start == 1 and not _of_a_cutter(message):
        return True
    if noun.name == "length:cutter_diameter" and noun.end - noun.start == 1 and message.has("sweep"):
        return "cutter" not in message.names(noun.start, noun.end)
    near = message.spots_in(max(0, noun.start - 3), noun.end + 3)
    return any(
        spot.name == "depth_of_cut" and spot.start <= noun.start and noun.end <= spot.end for spot in near
    )


def _lengths(message: Message, habit: Habit | None) -> list[SetupFact]:
    facts: list[SetupFact] = []
    measured = [quantity for quantity in message.quantities if is_value(quantity)]
    nouns = [spot for spot in message.spots if spot.name.startswith("length:") and not _hidden(spot, message)]
    for quantity in list(message.quantities):
        if (
            quantity.junk
            or quantity.box
            or quantity.plus_minus
            or quantity.per is not None
            or quantity.unit == "deg"
            or (quantity.worded and quantity.value == 1 and quantity.unit is None)
        ):
            continue
        found = _length_key(nouns, message, quantity)
        if found is None:
            continue
        key, spot = found
        if key == "part_depth" and _one_of_two_depths(message, quantity):
            continue
        if key == "parallel_spacing" and quantity.unit is None and quantity.end == spot.start:
            continue  # "two parallels"
        settle_comma(quantity)
        held = key == "grip_height" and 0 <= quantity.head - spot.end <= 1  # the "on" of "gripped on 12 mm"
        if not _plausible(key, quantity) or (
            quantity.span
            and not held
            and (
                _is_span_of_reading(message, quantity, measured, key)
                or (key in _PART and _text(message, quantity.head - 1) == "on" and _beside(quantity, measured))
                or (spot.end <= quantity.start and key != "cutter_diameter" and _beside(quantity, measured))
            )
        ):
            continue
        if key in ("sweep_diameter", "sweep_radius") and any(other is not quantity for other in measured):
            continue
        told = any(other is not quantity for other in measured) or message.has("nothing", "not_move")
        if key == "tolerance" or (key in _MACHINE and told):
            continue
        if key in _PART and told and message.has(*_RUN) and not message.has("part_noun"):
            continue  # how far it was run: "moved the table lengthways 300 mm"
        value = quantity.mm if quantity.unit not in (None, "mil") else None
        if value is None:
            unit = large_unit(quantity, habit, _neighbour_unit(message, quantity))
            value = to_mm(quantity.value, unit)
        else:
            unit = quantity.unit or "mm"
        start, end = min(quantity.start, spot.start), max(quantity.end, spot.end)
        words = message.said(start, end)
        key = _refined(key, message, quantity, spot)
        if not key:
            message.drop([quantity])  # the size of something that nobody asks about
            continue
        message.take(start, end)
        message.drop([quantity])
        kinds = any(name.startswith("choice:cutter_kind") for name in message.names(spot.start, spot.end))
        if spot.end - spot.start > _BARE and not kinds:
            message.settle(spot.start, spot.end)  # so long a noun says nothing else beside
        if key == "parallel_spacing":
            message.forget("tool:parallels")  # nobody lists what the part stands on
        if key == "square_section":
            facts += [SetupFact(side, float(value), unit, words) for side in ("part_across", "part_height")]
        elif key == "cube":
            facts += [
                SetupFact(side, float(value), unit, words)
                for side in ("part_across", "part_along", "part_height")
            ]
        elif key == "sweep_radius":
            facts.append(SetupFact("sweep_diameter", float(value * 2), unit, words))
        else:
            if key == "cutter_offset" and "front" in message.names(quantity.end, quantity.end + 8):
                value = -value  # plus is towards the back
            facts.append(SetupFact(key, float(value), unit, words))
            if not 0.01 <= abs(float(value)) <= 20_000:
                facts.pop()
    return facts


def _one_of_two_depths(message: Message, quantity: Quantity) -> bool:
    """Tell whether a depth is told beside a like one, at the start and at the end of a cut."""
    return {"start", "end"} <= message.all_names and any(
        other is not quantity and abs(other.value - quantity.value) * 20 <= max(other.value, quantity.value)
        for other in message.quantities
        if not other.junk and not other.pronoun
    )


def _words(name: str) -> frozenset[str]:
    return word_list("setup.toml", "owning", name)


@cache
def _owners() -> tuple[tuple[str, frozenset[str], Mapping[str, str]], ...]:
    """Return the things that have sizes of their own: a name, their stems, what each size of the part is on them."""
    return tuple(
        (name, frozenset(stem(word.strip()) for word in row["words"].split(",")), row)
        for name, row in table("setup.toml")["owners"].items()
    )


def _owner(message: Message, start: int, end: int) -> Mapping[str, str] | None:
    """Return the thing other than the part that a size between two tokens is said to belong to.

    It stands right after the size ("a 36 inch long table"), or before it with a verb or only other sizes between
    ("the table is 36 inches long", "parallels 1/8 thick and 1 inch high") and no part named since.
    """
    stems = message.words
    at = end
    while _text(message, at) in _words("adjectives"):
        at += 1
    if at - end <= 1:
        for _, words, row in _owners():
            if stems.get(at) in words:
                return row
    parts = {stem(word) for word in _words("parts")}
    joined, sized = False, True
    for at in range(start - 1, max(-1, start - _OWNER_WITHIN), -1):
        text = message.tokens[at].text
        if text in (".", ";", "?", "!") or stems.get(at) in parts:
            return None
        joined = joined or text in _words("verbs") or text.endswith("'s")
        # "3 inches square", "the part I milled is 60 wide"
        done = len(text) > len("shed") and text.endswith(("ed", "ing"))
        shape = done or any(q.start < at == q.end for q in message.prepared)
        owning = [(name, row) for name, words, row in _owners() if stems.get(at) in words and not shape]
        if not owning:
            sized = sized and (text in _words("sizes") or any(q.start <= at < q.end for q in message.prepared))
            continue
        name, row = owning[0]
        place = at - 1
        while _text(message, place) in _words("adjectives"):
            place -= 1
        if (joined or (sized and name not in ("other", "wall"))) and _text(message, place) not in _words("places"):
            return row
    return None


def _refined(key: str, message: Message, quantity: Quantity, spot: Spot) -> str:
    """Return whose length it is: a wall's, a hole's, a jaw's or the part's own; "" where nobody asks for it."""
    names = message.all_names
    before = message.names(max(0, quantity.start - 4), quantity.start)
    bare = spot.end - spot.start <= _BARE
    if bare and (key in _PART or key in ("pass_spacing", "travel")):
        owner = _owner(message, min(quantity.start, spot.start), max(quantity.end, spot.end))
        if owner is not None and key in owner:
            return owner[key]
    if key == "part_depth" and "hole" in names:
        return "hole_depth"
    if key == "part_depth" and names & {"block"} and "part_height" not in names:
        return "block_depth"
    if key == "cutter_diameter" and ("length:small_cutter_diameter" in before or "fine_cut" in names):
        return "small_cutter_diameter"
    sunk = message.word_set & _words("sunk") and "gripped" in message.names(quantity.end, quantity.end + 5)
    if key == "part_depth" and sunk:
        return "grip_height"
    if key in ("part_height", "part_depth") and bare and before & {"gripped", "length:grip_height"}:
        return "grip_height"
    if key in ("part_height", "part_depth") and bare and "jaw" in before and "part_noun" not in names:
        return "jaw_height"
    if key == "part_across" and bare and names & {"jaw", "vise"} and "part_noun" not in names:
        return "jaw_width"
    if key == "travel" and "block" in names:
        return "block_travel"
    fine = "small_cutter" in names or (message.word_set & {"fin", "many", "lot"} and "pass" in names)
    if key == "cutter_diameter" and fine and _text(message, quantity.start - 1) in ("small", "little", "tiny"):
        return "small_cutter_diameter"
    if key == "pass_spacing" and "parallel" in message.word_set:
        return "parallel_spacing"
    if key == "cutter_diameter" and "length:cutter_offset" in names:
        return "cutter_offset"
    if key == "sweep_diameter" and "choice:cutter_kind=fly_cutter" in names:
        return "cutter_diameter"
    near = message.names(max(0, quantity.start - 3), quantity.end + 4)
    if key == "part_height" and "part" not in names and "wall" in near:
        return "wall_height"
    return key


def _neighbour_unit(message: Message, quantity: Quantity) -> str | None:
    """Return the unit of another size in the message, for "60 wide 90 long 3 mm wall"."""
    others = [
        other for other in message.prepared if other is not quantity and not other.junk and not is_value(other)
    ]
    for other in others:
        if other.unit in ("in", "mm", "cm"):
            return other.unit
    bare = [other for other in others if other.unit is None and other.value <= _LARGEST_PART]
    if quantity.value >= _LEAST_SIZE and any(other.value > _SURELY_MM for other in bare):
        return "mm"  # "57 across, 100 long": what is said together is in one unit
    return None


def _plausible(key: str, quantity: Quantity) -> bool:
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


def _is_span_of_reading(message: Message, quantity: Quantity, measured: list[Quantity], key: str) -> bool:
    """Tell "15 thou over a 3 inch tall face", a span, from "on a 3 inch facemill", a size."""
    if not any(other is not quantity for other in measured):
        return False
    at = quantity.start - 1
    while at >= 0 and _text(message, at) in ("a", "an", "the", "its", "my", "about", "full", "whole"):
        at -= 1
    if any(other.end == at and _is_whole_size(other) for other in message.prepared):
        return False  # "2.25 across 4 long": the word belongs to the size before it
    return _text(message, at) in ("over", "across", "in", "per", "/", "along", "up", "down") and key not in (
        "cutter_diameter",
        "pass_spacing",
    )


def _is_whole_size(quantity: Quantity) -> bool:
    """Tell whether a quantity is too large for an error: the size of a thing."""
    return not quantity.junk and (
        quantity.mm >= _LEAST_SIZE if quantity.mm is not None else quantity.unit is None and quantity.value >= 1
    )


def _beside(quantity: Quantity, measured: list[Quantity]) -> bool:
    """Tell whether a measured error stands before a length: "0.02 mm high on 120 mm"."""
    return any(other is not quantity and other.end <= quantity.start for other in measured)


def _tolerance(message: Message, habit: Habit | None) -> list[SetupFact]:
    asked = [spot for spot in message.spots if spot.name == "length:tolerance"]
    for quantity in list(message.quantities):
        if quantity.junk or quantity.box:
            continue
        near = [
            spot
            for spot in asked
            if -8 <= quantity.start - spot.end <= 5
            and (spot.end <= quantity.start or spot.start - quantity.end <= 3)
            and not _no_wish(message, spot, quantity)
        ]
        alone = quantity.plus_minus and not any(
            is_value(other) for other in message.quantities if other is not quantity
        )
        if not (near or alone) or not (quantity.plus_minus or is_value(quantity)):
            continue
        if (
            near
            and not alone
            and message.has("out_of_square", "corner", "sweep", "tighten", "step", "needle")
            and not quantity.plus_minus
            and near[0].end - near[0].start < 2
            and not message.has("tol_word")
        ):
            words = {message.words.get(index, "") for index in range(near[0].start, near[0].end)}
            if not words & {"toleranc", "tol", "limit", "spec", "allow", "requir", "need"}:
                continue
        unit = small_unit(quantity, habit, None)
        if UNITS[unit].kind == "angle":
            continue
        value = to_mm(quantity.value * (2 if quantity.plus_minus else 1), unit)
        start = min([quantity.start, *(spot.start for spot in near)])
        message.take(start, quantity.end)
        message.drop([quantity])
        return [SetupFact("tolerance", float(value), unit, message.said(start, quantity.end))]
    return []


def _no_wish(message: Message, spot: Spot, quantity: Quantity) -> bool:
    """Tell whether words of a tolerance speak of no number: "2 thou, which is no good to me"."""
    stems = {message.words.get(index, "") for index in range(spot.start, spot.end)}
    after = spot.start >= quantity.end
    between = {_text(message, at) for at in range(spot.end, quantity.start)}
    if between & {"but", "and"} and between & {"i've", "ive", "i", "it's", "its", "mine", "got", "came", "comes"}:
        return True  # "he wants it square and I've got 3 thou under the blade"
    return _text(message, spot.start - 1) == "no" or (after and bool(stems & {"want", "need", "hold"}))


def answer_length(message: Message, key: str, habit: Habit | None) -> SetupFact | None:
    """Return the length that answers the question for `key`, if the message holds just one."""
    usable = [quantity for quantity in message.quantities if not quantity.junk and not quantity.box]
    if len(usable) != 1:
        return None
    quantity = usable[0]
    if key == "tolerance":
        unit = small_unit(quantity, habit, None)
        factor = 2 if quantity.plus_minus or message.has("both_ways") else 1
    else:
        if quantity.value < 0 and key != "cutter_offset":
            return None
        unit = large_unit(quantity, habit)
        factor = 2 if key == "sweep_diameter" and message.has("length:sweep_radius") else 1
    if UNITS[unit].kind == "angle":
        return None
    message.take(quantity.start, quantity.end)
    message.drop([quantity])
    value = to_mm(replace(quantity, value=quantity.value * factor).value, unit)
    return SetupFact(key, float(value), unit, message.said(quantity.start, quantity.end))
