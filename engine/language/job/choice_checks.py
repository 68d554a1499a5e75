"""What single words cannot tell of a choice: whether a phrase names the feed, the jaw, the material or another."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence, Set
from decimal import Decimal

from askew.engine.language.clauses.message import Message
from askew.engine.language.job.choosing import LONG, choosing_words
from askew.engine.language.job.slide_moved import is_vertical_travel
from askew.engine.language.model import Context
from askew.engine.language.numbers.measured import is_value
from askew.engine.language.words.phrase_forms import Spot
from askew.engine.language.words.tokens import text_at

_THIN = Decimal("0.6")
"""mm. Metal thinner than this is shim stock."""
_TO_THE_JAW = 5
"""So many words may stand between a material and the moving jaw that it is laid at."""
_METAL = {"steel", "metal", "iron"}
_SO_FAR = 8
"""Words before a machine that may tell whose it is."""
_PLAIN_WAYS = ("left to right", "side to side", "front to back")


def _is_milling_sense(message: Message, spot: Spot, choice: str, _context: Context) -> bool:
    """Tell whether a single word like "climb" stands away from what was measured, which may have climbed."""
    if text_at(message.tokens, spot.end - 1) == "climbs":
        return False  # what a needle or a spindle does
    if choice == "conventional" or spot.end - spot.start > 1:
        return True
    climbed = choosing_words("climbing") & (message.all_names | message.word_set)
    return not climbed and not any(is_value(q) for q in message.within(spot.start - 6, spot.end + 6))


def _is_wall_side(message: Message, spot: Spot, _choice: str, _context: Context) -> bool:
    said, width = message.said(spot.start, spot.end).lower(), spot.end - spot.start
    if said.endswith(" side") and message.text_at(spot.start - 1) in (",", "-", "("):
        return "wall" in message.names(max(0, spot.start - 3), spot.start)  # "milled wall, left hand side"
    return "wall" in said or (message.has("wall") and (width >= LONG or said.endswith(" one")))


def _is_pass_order(message: Message, spot: Spot, _choice: str, _context: Context) -> bool:
    """Tell whether an order is that of the passes; "left to right" is only where the feed is in and out."""
    measured = any(is_value(quantity) and quantity.unit is not None for quantity in message.quantities)
    if measured and text_at(message.tokens, spot.start) == "from":
        return False  # "a drop of half a thou from the back pass"
    if text_at(message.tokens, spot.start - 1) in choosing_words("lying") and message.has("joint", "step", "ridge"):
        return False  # "the joint goes front to back" says how it lies
    clause = message.clause_at(spot.start)
    told = clause is not None and any(is_value(q) for q in message.within(clause.start, clause.end))
    if told and not message.has("pass", "joint"):
        return False  # "it's tapered a thou front to back"
    if message.said(spot.start, spot.end).lower().endswith(("left to right", "right to left")):
        return "order" in message.word_set or (message.has("pass") and message.has("choice:feed_axis=y"))
    return True


def _is_gripped_face(message: Message, spot: Spot, choice: str, _context: Context) -> bool:
    """Tell whether a face is named as the one that was measured from."""
    if message.text_at(spot.start - 1) in ("away", "furthest", "farthest", "far"):
        return False
    clear = spot.end - spot.start >= LONG - 1 and _from(message, spot)
    if text_at(message.tokens, spot.end) == "to":
        return False  # "30 mm from the fixed jaw to the moving jaw"
    if choice == "moving" and clear:  # "2 thou open from the moving jaw side" is the other corner
        face = {"side", "face", "one"} & {token.text for token in message.tokens[spot.start : spot.end]}
        clear = bool(face) and not any(is_value(quantity) for quantity in message.quantities)
    if clear and not message.has("square_in_vise", "still_clamped", "light", "up_jaw"):
        return True
    return message.has("measured_from") and not message.has("other_corner", "corner", "open", "closed")


def _is_feed_axis(message: Message, spot: Spot, choice: str, _context: Context) -> bool:
    """Tell whether an axis is named as the one that was fed along."""
    if text_at(message.tokens, spot.end - 1) == "x" and text_at(message.tokens, spot.end)[:1].isdigit():
        return False  # "55 across feed x 160 along feed"
    first = message.words.get(spot.start)
    named = {message.words.get(at) for at in range(spot.start, spot.end)}
    again = message.has("cut_again", "cut_cross", "reversed", "reverse_feed", "backlash", "play", "before_moves")
    usual = text_at(message.tokens, spot.start) == "feed" and text_at(message.tokens, spot.start - 1) in ("we", "i")
    crossed = choice == "y" and not usual and message.has("hollow", "step", "joint")  # a second cut to compare
    if not again and not crossed and _says_it_was_fed(message, spot, named):
        return True
    if named & {"feed", "fed"} and not message.has("cut_again", "cut_cross"):
        clause = next(clause for clause in message.clauses if clause.start <= spot.start < clause.end)
        start = clause.start + (text_at(message.tokens, clause.start) in ("we", "i"))
        measured = any(is_value(quantity) for quantity in message.quantities)
        whole = (start, clause.end) == (spot.start, spot.end)
        if whole and not (crossed and measured) and (first in ("feed", "fed") or not measured):
            return True
    if first in ("along", "in") and _alone(message, spot):
        measured = any(is_value(quantity) for quantity in message.quantities)
        return not measured and not message.has("needle", "sweep")
    if message.said(spot.start, spot.end).lower() in _PLAIN_WAYS:
        return False
    return bool(message.word_set & choosing_words("feeding")) and not message.has(*choosing_words("not_fed_along"))


def _says_it_was_fed(message: Message, spot: Spot, named: Set[str | None]) -> bool:
    """Tell whether a phrase says by itself which way was fed: "feeding x", "milled along the table"."""
    width, before = spot.end - spot.start, text_at(message.tokens, spot.start - 1)
    if before in choosing_words("across_feed"):
        return False  # "hollow across the feed in x"
    if message.said(spot.start, spot.end).lower().endswith(("left to right", "right to left")):
        return False  # which way of the two, not only the axis
    return (width > 1 and bool(named & {"feed", "fed"}) and not named & {"cros", "cross"}) or (
        width >= LONG - 1 and bool(named & choosing_words("milling"))
    )


def _is_feed_sense(message: Message, spot: Spot, choice: str, context: Context) -> bool:
    """Tell whether a way is named as the one in which the cutter went over the work."""
    if context.asked == "heel_marks" or message.has("reversed", "reverse_feed"):
        return False
    if {text_at(message.tokens, at) for at in range(max(0, spot.start - 3), spot.start + 1)} & {"when", "whenever"}:
        return False  # "double marks when I feed to the right" says what happens then
    only_how = text_at(message.tokens, spot.end) in choosing_words("right_off")
    if choice == "right" and only_how and text_at(message.tokens, spot.end - 2) not in ("to", "the"):
        return False  # "the cutter went right off both sides"
    width, of_cutter = spot.end - spot.start, "cutter" in message.said(spot.start, spot.end).lower()
    if choice in ("left", "right") and message.has("choice:feed_axis=y") and not of_cutter:
        return False  # it is the order of the passes then
    if width >= 3 and of_cutter:
        return not message.has("arcs", "hatch")
    moving = message.word_set & (choosing_words("feeding") | {"cut", "cutter", "mov"})
    return width >= 2 and bool(moving) and not message.has(*choosing_words("no_feed_sense"))


def _alone(message: Message, spot: Spot) -> bool:
    """Tell whether a phrase makes up its clause, beside others that tell of the cut."""
    clause = next(clause for clause in message.clauses if clause.start <= spot.start < clause.end)
    told = message.has("pass", "cutter") or any(
        name.startswith(("choice:milling_sense", "choice:cutter_kind", "zero:")) for name in message.all_names
    )
    return clause.start == spot.start and clause.end == spot.end and told


def _from(message: Message, spot: Spot) -> bool:
    """Tell whether a face is named as the one that was measured from."""
    if message.text_at(spot.start - 1) in ("away", "furthest", "farthest", "far"):
        return False
    told = {text_at(message.tokens, at) for at in range(spot.start - 2, spot.end) if at >= 0}
    stood = {text_at(message.tokens, at) for at in range(spot.start - 5, spot.start) if at >= 0}
    return bool(told & choosing_words("measuring_from")) or (
        bool(stood & choosing_words("squares")) and bool(stood & choosing_words("standing"))
    )


def _is_material(message: Message, spot: Spot, _choice: str, context: Context) -> bool:
    """Tell whether a material is that of the part, not of a hammer, a bar or what was there before."""
    if context.asked == "moving_jaw_contact" and not message.has("part_noun"):
        return False  # "bit of round silver steel"
    before = [text_at(message.tokens, at) for at in range(max(0, spot.start - 4), spot.start)]
    if "instead" in before or before[-3:-1] == ["place", "of"] or before[-2:] == ["place", "of"]:
        return False  # what was there before
    if before[-1:] and before[-1] in choosing_words("numbering") and message.tokens[spot.start].text[0].isdigit():
        return False  # "job number 316"
    beyond = text_at(message.tokens, spot.end)
    if text_at(message.tokens, spot.start + 1) in ("to", "on") and text_at(message.tokens, spot.start + 2) in _METAL:
        return False  # "steel to steel" says that nothing is between
    if before[-1:] == ["to"] and before[-2:-1] and before[-2] in _METAL:
        return False
    if _is_shim_stock(message, spot.start) or _of_another(before, beyond):
        return False
    if beyond in choosing_words("of_material") and set(before[-2:]) & {"with", "used", "using", "took", "by"}:
        return False  # "lifted it with a steel bar"
    if beyond == "on" and text_at(message.tokens, spot.end + 2) in choosing_words("on_these"):
        return False  # "a brass plate on the machine"
    if before[-1:] == ["of"] and beyond in choosing_words("flying"):
        return False  # "a bit of steel fell into the tray"
    if before[-1:] == ["of"] and "chip" in message.names(max(0, spot.start - 3), spot.start):
        return False  # "a sliver of steel"
    if len(before) > 1 and before[-1] in ("is", "are", "was") and _is_tool(message, spot.start - 1):
        return False  # "my square is stainless"
    last = text_at(message.tokens, spot.end - 1)
    if message.has("moving_jaw") and (before[-1:] == ["soft"] or last in choosing_words("of_material")):
        return False  # "soft aluminium plates", "bright bar at the moving jaw"
    if _laid_at_the_jaw(message, spot):
        return False  # "a bit of ally can in at the moving jaw"
    if before[-2:] == ["on", "the"] and {token.text for token in message.tokens} & choosing_words("how_fast"):
        return False  # "about 900 revs on the alloy" tells what speed it likes
    if spot.end - spot.start == 1 and text_at(message.tokens, spot.start) in choosing_words("no_material"):
        return False
    following = text_at(message.tokens, spot.end)
    if following in choosing_words("of_material"):
        return following == "bar" and not message.has("moving_jaw", "vise")
    return not (message.has("cool_it") and text_at(message.tokens, spot.start) in choosing_words("short_materials"))


def _laid_at_the_jaw(message: Message, spot: Spot) -> bool:
    """Tell whether a material is that of a strip or plate laid at the moving jaw, and not of the part itself."""
    jaw = next((one for one in message.spots if one.name == "moving_jaw" and one.start >= spot.end), None)
    if jaw is None or jaw.start - spot.end > _TO_THE_JAW:
        return False
    between = [text_at(message.tokens, at) for at in range(spot.start, jaw.start + 1)]
    led = choosing_words("laid_at") & set(between)
    return bool(led) and not {",", ".", ";"} & set(between) and not set(between) & choosing_words("lumps_of_work")


def _is_shim_stock(message: Message, at: int) -> bool:
    """Tell whether a metal is said to be as thin as a shim: "put .002 brass under it"."""
    at -= text_at(message.tokens, at - 1) in ("of", "thick")
    return any(
        q.end == at and not q.junk and (q.mm < _THIN if q.mm is not None else q.value < _THIN / 10)
        for q in message.prepared
    )


def _of_another(before: Sequence[str], beyond: str) -> bool:
    """Tell whether a metal is that of another piece than the part: "a different chunk of steel"."""
    lump = before[-1:] == ["of"] and before[-2:-1] and before[-2] in choosing_words("lumps")
    if lump:
        return bool(set(before[:-2]) & choosing_words("another"))
    return beyond == "block" and bool(set(before[-2:]) & {"trusted", "known"})


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
    before = text_at(message.tokens, spot.start - 1)
    if choice == "bar" and of_work and before in ("the", "my", "this", "of"):
        return False  # the middle of the bar springs up: the bar is the work
    if choice == "bar" and before == "the" and spot.end - spot.start == 1 and not message.has("moving_jaw", "tighten"):
        return False  # "look down on the bar": the work
    if choice == "bar" and before in ("flat", "hex", "square", "black", "bright", "of"):
        return message.has("moving_jaw")  # bar stock, unless it is said to be at the jaw
    if choice == "plain" and text_at(message.tokens, spot.end - 1) == "only":
        after = text_at(message.tokens, spot.end)
        if after.isalpha() and after not in choosing_words("after_only"):
            return False  # "the jaws only catch the last 5 mm"
    if choice == "plain":
        said = {token.text for token in message.tokens[spot.start : spot.end]}
        of_it = message.has("jaw", "bar", "vise") or bool(said & choosing_words("of_the_jaw"))
        return message.has("moving_jaw") or (spot.end - spot.start > 1 and of_it)
    if choice == "paper" and (
        message.has("slides_out", "shim_it", "jaw_plate")
        or (message.has("paper_held") and not message.has("moving_jaw"))
    ):
        return False
    if _taken_away(message, spot):
        return False  # "pulled the rod out from in front of the jaw"
    if choice == "soft" and spot.end - spot.start == 1:
        return message.has("moving_jaw")
    if choice == "soft" and not message.word_set & {"jaw", "soft"}:
        return message.has("moving_jaw")  # "opened the vise, it's aluminium plate"
    return where or (
        message.has("tighten") and choice in ("bar", "ball") and not message.has("without", "no_bar")
    )


def _taken_away(message: Message, spot: Spot) -> bool:
    """Tell whether what was at the jaw is said to be taken away from there."""
    before = {message.words.get(at, "") for at in range(max(0, spot.start - 4), spot.start)}
    after = {text_at(message.tokens, at) for at in range(spot.end, spot.end + 3)}
    taken, gone = choosing_words("taking"), after & choosing_words("away")
    return "remov" in before or bool(gone and (before | after) & taken)


def _is_seat(message: Message, spot: Spot, _choice: str, _context: Context) -> bool:
    """Tell whether the part is said to sit, not that a face or the parallels are only named by it."""
    led = [text_at(message.tokens, at) for at in (spot.start - 2, spot.start - 1)]
    if text_at(message.tokens, spot.end - 1) == "them" and not message.has("parallel"):
        return False
    return not (led[1] in ("that", "which") and led[0] in choosing_words("faces"))  # "inked the face that sits on it"


def _is_machine(message: Message, spot: Spot, _choice: str, _context: Context) -> bool:
    """Tell whether a machine is one that stands there, not any: "a knee mill never lies"."""
    owner = text_at(message.tokens, spot.start - 1)
    if owner in choosing_words("theirs") or (owner.endswith("'s") and owner not in choosing_words("not_owning")):
        return False  # "my mate's knee mill"
    led = [text_at(message.tokens, at) for at in range(max(0, spot.start - _SO_FAR), spot.start)]
    if set(led[-5:]) & choosing_words("of_theirs") and set(led) & choosing_words("people") and "i" not in led:
        return False  # "my cousin up north has a bed mill"
    beyond = [text_at(message.tokens, at) for at in (spot.end, spot.end + 1)]
    if owner in ("other", "another") or beyond == ["next", "door"]:
        return False  # "the part came out the same on the other knee mill"
    any_one = owner in ("a", "an", "any", "every", "most", "all")
    if message.word_set & choosing_words("gone"):
        return False  # "we had a bed mill but sold it"
    return not (any_one and text_at(message.tokens, spot.end) in choosing_words("of_any_machine"))


def _is_cutter(message: Message, spot: Spot, choice: str, _context: Context) -> bool:
    """Tell whether a cutter is named, not what was done with one: "face milled again"."""
    last = text_at(message.tokens, spot.end - 1)
    if last.endswith("s") and last.rstrip("s") in choosing_words("cutters") and not message.sized_before(spot.start):
        return False  # "anyone who uses slab mills"
    texts = {token.text for token in message.tokens}
    crept = texts & choosing_words("creeping") and texts & choosing_words("holders")
    moved = crept or text_at(message.tokens, spot.end) == "runs"
    if moved and text_at(message.tokens, spot.start - 1) in ("the", ""):
        return False  # "the end mill pulled out of the collet"
    return choice != "face_mill" or text_at(message.tokens, spot.end - 1) not in choosing_words("done_with")


CHECKS: Mapping[str, Callable[[Message, Spot, str, Context], bool]] = {
    "cutter_kind": _is_cutter,
    "machine": _is_machine,
    "material": _is_material,
    "seat": _is_seat,
    "milling_sense": _is_milling_sense,
    "moving_jaw_contact": _is_contact,
    "wall_side": _is_wall_side,
    "vertical_travel": is_vertical_travel,
    "pass_order": _is_pass_order,
    "feed_axis": _is_feed_axis,
    "feed_sense": _is_feed_sense,
    "gripped_face": _is_gripped_face,
}
"""What single words cannot tell of a choice, by its key."""
