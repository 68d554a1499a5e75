"""Choices said by their words."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from askew.engine.language.lexicon import Spot, stem, table, word_list
from askew.engine.language.measured import is_value
from askew.engine.language.message import Message
from askew.engine.language.model import Context
from askew.engine.observations import SetupFact

_DENIED_WITHIN = 3
_NEVER_SURE = 99
_LONG = 4
_LAST_MADE = {"choice:hole_made_by=bored": 1, "choice:hole_made_by=drilled": 2}
"""A hole that was drilled and then reamed was reamed: what comes last counts."""
_PLAIN_WAYS = ("left to right", "side to side", "front to back")


@dataclass(frozen=True, slots=True)
class _Rule:
    """When a choice word is meant as a fact; the sections `accept` of setup.toml.

    Attributes:
        at_least: Words that a phrase must have.
        begins: Words that it must begin with, none for any.
        never_begins: Words that a phrase of one or two must not begin with.
        never: What must not be named in the message,
        sure_from: unless the phrase has so many words.
        needs: One of these must be named or be among the words, none for any.
        alone_never: Single words that are too short to go by.
        never_choices: Choices that are only heard when they were asked for.
        never_before: What must not follow, as beginnings of words.
    """

    at_least: int
    sure_from: int
    begins: frozenset[str]
    never_begins: frozenset[str]
    never: frozenset[str]
    needs: frozenset[str]
    alone_never: frozenset[str]
    never_choices: frozenset[str]
    never_before: frozenset[str]

    def fits(self, message: Message, spot: Spot, choice: str) -> bool:
        """Tell whether a phrase is meant as a fact, as far as single words can tell."""
        first, width = _text(message, spot.start), spot.end - spot.start
        named = message.all_names | message.word_set
        return (
            width >= self.at_least
            and (not self.begins or bool({first, message.words.get(spot.start, "")} & self.begins))
            and (width >= _LONG - 1 or first not in self.never_begins)
            and (width >= self.sure_from or not self.never & named)
            and (not self.needs or bool(self.needs & named))
            and not (width == 1 and first in self.alone_never)
            and choice not in self.never_choices
            and not any(_text(message, spot.end).startswith(word) for word in self.never_before)
        )


def _items_of(row: Mapping[str, Any], name: str) -> frozenset[str]:
    return frozenset(item.strip() for item in row.get(name, "").split(",") if item.strip())


@cache
def _rules() -> Mapping[str, _Rule]:
    return {
        key: _Rule(
            at_least=row.get("at_least", 1),
            sure_from=row.get("sure_from", _NEVER_SURE),
            begins=_items_of(row, "begins") | {stem(word) for word in _items_of(row, "begins")},
            **{
                name: _items_of(row, name)
                for name in ("never_begins", "never", "needs", "alone_never", "never_choices", "never_before")
            },
        )
        for key, row in table("setup.toml")["accept"].items()
    }


def _words(name: str) -> frozenset[str]:
    return word_list("setup.toml", "choosing", name)


def _text(message: Message, at: int) -> str:
    return message.tokens[at].text if 0 <= at < len(message.tokens) else ""


def choices(message: Message, context: Context) -> list[SetupFact]:
    """Return the choices that a message names as facts, in the order said."""
    facts: list[SetupFact] = []
    answered: set[int] = set()  # "copper sheet" for what is at the jaw tells nothing of the part's material
    spots = [spot for spot in message.spots if spot.name.startswith("choice:")]
    turn = (
        -1 if message.has("change_cutter") else 1
    )  # "swapped the face mill for a fly cutter": the last counts
    asked = f"choice:{context.asked}="
    for spot in sorted(
        spots,
        key=lambda item: (
            not item.name.startswith(asked),
            _LAST_MADE.get(item.name, 0),
            item.start - item.end,
            turn * item.start,
        ),
    ):
        key, choice = spot.name.removeprefix("choice:").split("=")
        if any(fact.key == key for fact in facts) or not _accepted(message, spot, key, choice, context):
            continue
        if spot.start in answered and key != context.asked:
            continue
        if key == context.asked:
            answered.update(range(spot.start, spot.end))
        value: str | bool = (
            {"true": True, "false": False}.get(choice, choice)
            if key in ("overrun", "leaned_on_purpose")
            else choice
        )
        if key == "leaned_on_purpose" and value is True and _refused_before(message, spot):
            value = False
        words = message.said(spot.start, spot.end)
        if key == "gripped_face" and choice == "fixed" and context.asked is None:
            message.settle(spot.start, spot.end)  # where it was measured from is no word of the jaw itself
        if key == "leaned_on_purpose":
            for other in [other for other in spots if other.name.startswith("choice:leaned_on_purpose")]:
                message.settle(other.start, other.end)  # "so the heel doesn't drag" tells no mark of a heel
        if key == "seat" and spot.end - spot.start >= _LONG and context.asked is None:
            message.settle(spot.start, spot.end)  # "lies free on the bed" tells no loose parallel
        message.take(spot.start, spot.end)
        facts.append(SetupFact(key, value, words=words))
    for key in ("machine", "milling_sense"):  # "two bed mills and a knee mill in the shop"
        if _kinds(key, message, spots, context) > 1:
            facts = [fact for fact in facts if fact.key != key]
    axes = [axis for axis in ("x", "y") if message.has(axis)]
    measured = any(is_value(quantity) for quantity in message.quantities)
    fed = message.word_set & _words("feeding") and not measured and not message.has(*_words("not_feed_axis"))
    if len(axes) == 1 and fed and not any(fact.key == "feed_axis" for fact in facts):
        facts.append(SetupFact("feed_axis", axes[0], words=message.text.strip()))
    if (
        message.has("measured_from")
        and not any(fact.key == "gripped_face" for fact in facts)
        and not any(is_value(q) for q in message.quantities)
    ):
        for face, name in (("fixed", "fixed_jaw"), ("moving", "moving_jaw")):
            if not message.word_set & {"jaw", "sid", "one", "fac"} or message.has("length:part_depth"):
                break
            named = {"fixed": ("fixed", "fix", "solid"), "moving": ("mov", "movabl", "sliding")}[face]
            if (
                message.has(name) or any(word in message.words.values() for word in named)
            ) and not message.has("square_in_vise", "up_jaw", "across_jaw", "back_of_jaw", "other_corner"):
                facts.append(SetupFact("gripped_face", face, words=message.text.strip()))
                break
    return sorted(facts, key=lambda fact: message.text.find(fact.words))


def _kinds(key: str, message: Message, spots: list[Spot], context: Context) -> int:
    """Return how many choices of one key are named and not denied."""
    return len(
        {
            spot.name
            for spot in spots
            if spot.name.startswith(f"choice:{key}=")
            and _accepted(message, spot, key, spot.name.rpartition("=")[2], context)
        }
    )


def _refused_before(message: Message, spot: Spot) -> bool:
    """Tell whether a "not" stands before the phrase in its clause: "I never set it over on purpose"."""
    clause = next(clause for clause in message.clauses if clause.start <= spot.start < clause.end)
    return any(name in ("not", "no") for name in message.names(clause.start, spot.start))


def _denied(message: Message, spot: Spot) -> bool:
    """Tell whether a choice is named only to be denied: "not steel", "wasn't a face mill", "no longer the quill"."""
    at, seen = spot.start - 1, 0
    while at >= 0 and seen < _DENIED_WITHIN and message.tokens[at].kind == "word":
        word = message.tokens[at].text
        if word in _words("denying"):
            return True
        if word not in _words("between"):
            return False
        at, seen = at - 1, seen + 1
    return False


def _accepted(message: Message, spot: Spot, key: str, choice: str, context: Context) -> bool:
    """Tell whether a choice word is meant as a fact, not as part of some other phrase."""
    inside = [
        other
        for other in message.spots_in(max(0, spot.start - 4), spot.end + 5)
        if other is not spot
        and other.start <= spot.start
        and other.end >= spot.end
        and other.end - other.start > spot.end - spot.start
    ]
    at_jaw = key == "moving_jaw_contact" and message.has("moving_jaw")  # the "bar" of "bright bar" is at the jaw
    hiding = ("choice:", "tool:") if not at_jaw else ("choice:moving_jaw_contact", "tool:")
    if any(other.name.startswith(hiding) for other in inside) and _not_only_material(message, key):
        return False
    if key != "leaned_on_purpose" and choice not in ("plain", "false") and _denied(message, spot):
        return False
    if key == context.asked:
        return True
    rule = _rules().get(key)
    if rule is not None and not rule.fits(message, spot, choice):
        return False
    check = _CHECKS.get(key)
    return check is None or check(message, spot, choice, context)


def _is_milling_sense(message: Message, spot: Spot, _choice: str, _context: Context) -> bool:
    """Tell whether a single word like "climb" stands away from what was measured."""
    return spot.end - spot.start > 1 or not any(
        is_value(q) for q in message.within(spot.start - 6, spot.end + 6)
    )


def _is_wall_side(message: Message, spot: Spot, _choice: str, _context: Context) -> bool:
    said, width = message.said(spot.start, spot.end).lower(), spot.end - spot.start
    return "wall" in said or (message.has("wall") and (width >= _LONG or said.endswith(" one")))


def _is_vertical_travel(message: Message, spot: Spot, choice: str, _context: Context) -> bool:
    """Tell whether a slide is named as the one that went up and down."""
    first, width = _text(message, spot.start), spot.end - spot.start
    if choice == "head" and _text(message, spot.end) == "a" and _text(message, spot.end + 1) in _words("slightly"):
        return False  # "moved the head a little"
    enough = 1 if message.has("square_on_table") else _LONG - 1
    if width > (enough if first == choice else _LONG):
        return True
    return width >= _LONG - 1 and not message.has("push_pull") and first in _words("travelling")


def _is_pass_order(message: Message, spot: Spot, _choice: str, _context: Context) -> bool:
    """Tell whether an order is that of the passes; "left to right" is only where the feed is in and out."""
    measured = any(is_value(quantity) and quantity.unit is not None for quantity in message.quantities)
    if measured and _text(message, spot.start) == "from":
        return False  # "a drop of half a thou from the back pass"
    clause = next((clause for clause in message.clauses if clause.start <= spot.start < clause.end), None)
    told = clause is not None and any(is_value(q) for q in message.within(clause.start, clause.end))
    if told and not message.has("pass", "joint"):
        return False  # "it's tapered a thou front to back"
    if message.said(spot.start, spot.end).lower().endswith(("left to right", "right to left")):
        return "order" in message.word_set or (message.has("pass") and message.has("choice:feed_axis=y"))
    return True


def _is_gripped_face(message: Message, spot: Spot, choice: str, _context: Context) -> bool:
    """Tell whether a face is named as the one that was measured from."""
    clear = spot.end - spot.start >= _LONG - 1 and _from(message, spot)
    if choice == "moving" and clear:  # "2 thou open from the moving jaw side" is the other corner
        face = {"side", "face", "one"} & {token.text for token in message.tokens[spot.start : spot.end]}
        clear = bool(face) and not any(is_value(quantity) for quantity in message.quantities)
    if clear and not message.has("square_in_vise", "still_clamped", "light", "up_jaw"):
        return True
    return message.has("measured_from") and not message.has("other_corner", "corner", "open", "closed")


def _is_feed_axis(message: Message, spot: Spot, _choice: str, _context: Context) -> bool:
    """Tell whether an axis is named as the one that was fed along."""
    first = message.words.get(spot.start)
    named = {message.words.get(at) for at in range(spot.start, spot.end)}
    if named & {"feed", "fed"} and not message.has("cut_again", "cut_cross"):
        clause = next(clause for clause in message.clauses if clause.start <= spot.start < clause.end)
        start = clause.start + (_text(message, clause.start) in ("we", "i"))
        measured = any(is_value(quantity) for quantity in message.quantities)
        if (start, clause.end) == (spot.start, spot.end) and (first in ("feed", "fed") or not measured):
            return True
    if first in ("along", "in") and _alone(message, spot):
        measured = any(is_value(quantity) for quantity in message.quantities)
        return not measured and not message.has("needle", "sweep")
    if message.said(spot.start, spot.end).lower() in _PLAIN_WAYS:
        return False
    return bool(message.word_set & _words("feeding")) and not message.has(*_words("not_fed_along"))


def _is_feed_sense(message: Message, spot: Spot, choice: str, context: Context) -> bool:
    """Tell whether a way is named as the one in which the cutter went over the work."""
    if context.asked == "heel_marks" or message.has("reversed", "reverse_feed"):
        return False
    width, of_cutter = spot.end - spot.start, "cutter" in message.said(spot.start, spot.end).lower()
    if choice in ("left", "right") and message.has("choice:feed_axis=y") and not of_cutter:
        return False  # it is the order of the passes then
    if width >= 3 and of_cutter:
        return not message.has("arcs", "hatch")
    moving = message.word_set & (_words("feeding") | {"cut", "cutter", "mov"})
    return width >= 2 and bool(moving) and not message.has(*_words("no_feed_sense"))


def _alone(message: Message, spot: Spot) -> bool:
    """Tell whether a phrase makes up its clause, beside others that tell of the cut."""
    clause = next(clause for clause in message.clauses if clause.start <= spot.start < clause.end)
    told = message.has("pass", "cutter") or any(
        name.startswith(("choice:milling_sense", "choice:cutter_kind", "zero:")) for name in message.all_names
    )
    return clause.start == spot.start and clause.end == spot.end and told


def _from(message: Message, spot: Spot) -> bool:
    """Tell whether a face is named as the one that was measured from."""
    return bool(
        {"from", "off", "measured", "reference", "datum"}
        & {_text(message, at) for at in range(spot.start - 2, spot.end) if at >= 0}
    )


def _not_only_material(message: Message, key: str) -> bool:
    """Tell whether a longer phrase hides this one, as "aluminium sheet" at a jaw hides the material."""
    return key != "material" or message.has("moving_jaw", "jaw", "vise")


def _is_material(message: Message, spot: Spot, _choice: str, _context: Context) -> bool:
    """Tell whether a material is that of the part, not of a hammer, a bar or what was there before."""
    before = [_text(message, at) for at in range(max(0, spot.start - 4), spot.start)]
    if "instead" in before or before[-3:-1] == ["place", "of"] or before[-2:] == ["place", "of"]:
        return False  # what was there before
    if before[-1:] and before[-1] in _words("numbering") and message.tokens[spot.start].text[0].isdigit():
        return False  # "job number 316"
    if before[-1:] == ["of"] and "chip" in message.names(max(0, spot.start - 3), spot.start):
        return False  # "a sliver of steel"
    if len(before) > 1 and before[-1] in ("is", "are", "was") and _is_tool(message, spot.start - 1):
        return False  # "my square is stainless"
    if message.has("moving_jaw") and _text(message, spot.end - 1) in _words("of_material"):
        return False  # "bright bar at the moving jaw"
    if spot.end - spot.start == 1 and _text(message, spot.start) in _words("no_material"):
        return False
    following = _text(message, spot.end)
    if following in _words("of_material"):
        return following == "bar" and not message.has("moving_jaw", "vise")
    return not (message.has("cool_it") and _text(message, spot.start) in _words("short_materials"))


def _is_tool(message: Message, end: int) -> bool:
    """Tell whether an instrument, a jaw or a vise stands right before a token."""
    return any(
        spot.end == end and (spot.name.startswith("tool:") or spot.name in ("jaw", "vise", "table", "fixed_jaw"))
        and spot.name != "tool:block"
        for spot in message.spots_in(max(0, end - 3), end)
    )


def _is_contact(message: Message, spot: Spot, choice: str, _context: Context) -> bool:
    """Tell whether a bar, a ball or a sheet is named as what is at the moving jaw."""
    if choice != "plain" and message.has("no_bar"):
        return False
    if message.has("bar_out"):
        bare = bool({"plain", "bare"} & set(message.said(spot.start, spot.end).lower().split()))
        return choice == "plain" and (message.has("moving_jaw") or (bare and spot.end - spot.start >= 2))
    words = message.word_set
    where = message.has("moving_jaw") or (
        bool(words & {"vis", "vice", "vic", "vise", "jaw"})
        and not message.has("fixed_jaw", "not", "slides_out", "slides")
    )
    of_work = message.has("release", "out_of_vise") and not message.has("moving_jaw", "tighten")
    if choice == "bar" and of_work and _text(message, spot.start - 1) in ("the", "my", "this", "of"):
        return False  # the middle of the bar springs up: the bar is the work
    if choice == "bar" and _text(message, spot.start - 1) in ("flat", "hex", "square", "black", "bright", "of"):
        return message.has("moving_jaw")  # bar stock, unless it is said to be at the jaw
    if choice == "plain":
        said = {token.text for token in message.tokens[spot.start : spot.end]}
        of_it = message.has("jaw", "bar", "vise") or bool(said & _words("of_the_jaw"))
        return message.has("moving_jaw") or (spot.end - spot.start > 1 and of_it)
    if choice == "paper" and (
        message.has("slides_out", "shim_it", "jaw_plate")
        or (message.has("paper_held") and not message.has("moving_jaw"))
    ):
        return False
    if choice == "soft" and spot.end - spot.start == 1:
        return message.has("moving_jaw")
    return where or (
        message.has("tighten") and choice in ("bar", "ball") and not message.has("without", "no_bar")
    )


def _is_cutter(message: Message, spot: Spot, choice: str, _context: Context) -> bool:
    """Tell whether a cutter is named, not what was done with one: "face milled again"."""
    return choice != "face_mill" or _text(message, spot.end - 1) not in _words("done_with")


_CHECKS: Mapping[str, Callable[[Message, Spot, str, Context], bool]] = {
    "cutter_kind": _is_cutter,
    "material": _is_material,
    "milling_sense": _is_milling_sense,
    "moving_jaw_contact": _is_contact,
    "wall_side": _is_wall_side,
    "vertical_travel": _is_vertical_travel,
    "pass_order": _is_pass_order,
    "feed_axis": _is_feed_axis,
    "feed_sense": _is_feed_sense,
    "gripped_face": _is_gripped_face,
}
"""What single words cannot tell of a choice, by its key."""
