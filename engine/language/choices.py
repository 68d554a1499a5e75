"""Choices said by their words."""

from __future__ import annotations

from askew.engine.language.lexicon import Spot
from askew.engine.language.message import Message, is_value
from askew.engine.language.model import Context
from askew.engine.observations import SetupFact

_STRONG = {"machine", "material", "milling_sense", "overrun", "leaned_on_purpose"}


_WORDY = {
    "cutter_kind",
    "pass_order",
    "feed_axis",
    "feed_sense",
    "gripped_face",
    "seat",
    "moving_jaw_contact",
    "vertical_travel",
}


_SEATING = {"seat", "sit", "follow", "hard", "tap", "flat", "bed", "sat"}


# Talk of an axis that is not about the way the face was fed.
_NOT_FEED_AXIS = (
    *("hollow", "step", "joint", "arcs", "hatch", "backlash"),
    *("l2r", "r2l", "f2b", "b2f", "reversed", "reverse_feed", "cut_again", "table_run"),
)


_PLAIN_WAYS = ("left to right", "side to side", "front to back")


_FEEDING = {"feed", "fed", "cross", "crossfeed", "cross-feed", "fe"}


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
        spots, key=lambda item: (not item.name.startswith(asked), item.start - item.end, turn * item.start)
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
        message.take(spot.start, spot.end)
        facts.append(SetupFact(key, value, words=words))
    axes = [axis for axis in ("x", "y") if message.has(axis)]
    measured = any(is_value(quantity) for quantity in message.quantities)
    fed = message.word_set & _FEEDING and not measured and not message.has(*_NOT_FEED_AXIS)
    if len(axes) == 1 and fed and not any(fact.key == "feed_axis" for fact in facts):
        facts.append(SetupFact("feed_axis", axes[0], words=message.text.strip()))
    if (
        message.has("measured_from")
        and not any(fact.key == "gripped_face" for fact in facts)
        and not any(is_value(q) for q in message.quantities)
    ):
        for face, name in (("fixed", "fixed_jaw"), ("moving", "moving_jaw")):
            named = {"fixed": ("fixed", "fix", "solid"), "moving": ("mov", "movabl", "sliding")}[face]
            if (
                message.has(name) or any(word in message.words.values() for word in named)
            ) and not message.has("square_in_vise", "up_jaw", "across_jaw", "back_of_jaw", "other_corner"):
                facts.append(SetupFact("gripped_face", face, words=message.text.strip()))
                break
    return sorted(facts, key=lambda fact: message.text.find(fact.words))


def _refused_before(message: Message, spot: Spot) -> bool:
    """Tell whether a "not" stands before the phrase in its clause: "I never set it over on purpose"."""
    clause = next(clause for clause in message.clauses if clause.start <= spot.start < clause.end)
    return any(name in ("not", "no") for name in message.names(clause.start, spot.start))


_SCREWS = ("screw", "x_screw", "y_screw", "z_screw")


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
    if any(other.name.startswith(("choice:", "tool:")) for other in inside) and _not_only_material(
        message, key
    ):
        return False
    before = [_text(message, at) for at in range(max(0, spot.start - 2), spot.start)]
    if "not" in before or "isn't" in before or ("no" in before and choice != "plain"):
        return False
    if key == context.asked:
        return True
    width = spot.end - spot.start
    if key == "material":
        return _is_material(message, spot)
    if key == "milling_sense" and message.has("needle", "tighten", "front_edge", "table_run", "sweep", "parallel"):
        return False
    if key == "milling_sense" and width == 1 and any(is_value(q) for q in message.within(spot.start - 6, spot.end + 6)):
        return False
    if key in _STRONG:
        return True
    if key == "moving_jaw_contact":
        return _is_contact(message, spot, choice)
    if key == "hole_made_by":
        threads = message.word_set & {"tap", "thread", "tapp", "countersunk", "counterbor"}
        return message.has("hole") and not threads and _text(message, spot.start) not in ("boring", "drilling")
    if key == "wall_side":
        said = message.said(spot.start, spot.end).lower()
        return width >= 2 and ("wall" in said or (width >= 4 and message.has("wall")))
    if key == "cutter_kind":
        return choice not in ("drill", "boring_head", "reamer") and (
            width >= 2 or _text(message, spot.start) not in ("em", "fly")
        )
    if key == "seat":
        seating = width >= 3 and message.words.get(spot.start) in _SEATING
        return seating and not message.has("square_tool", "measured_from", "needle")
    if key == "vertical_travel" and message.has("backlash", "play", "lock", "push_head", *_SCREWS):
        return False
    if key == "vertical_travel":
        if width >= 2 and message.has("square_on_table") and _text(message, spot.start) == choice:
            return True
        return width >= 5 or (
            width >= 3
            and not message.has("push_pull")
            and _text(message, spot.start)
            in (
                "up",
                "down",
                "with",
                "on",
                "used",
                "using",
                "raised",
                "raise",
                "raising",
                "wound",
                "wind",
                "winding",
                "by",
                "ran",
                "crank",
                "cranked",
                "lift",
                "lifting",
                "lifted",
                "moved",
                "moving",
                "lowered",
                "dropped",
                "feeding",
                "fed",
                "bringing",
            )
            and not _text(message, spot.end).startswith("lock")
        )
    if key == "pass_order" and message.said(spot.start, spot.end).lower().endswith(("left to right", "right to left")):
        return message.has("choice:feed_axis=y") and message.has("pass")
    if key == "pass_order" and message.has("sweep", "table_run", "needle"):
        return False
    if key == "pass_order":
        return width >= 2 and (
            message.has("pass") or bool({"start", "work", "begin", "began", "first"} & message.word_set)
        )
    if key == "feed_axis":
        return _is_feed_axis(message, spot)
    if key == "feed_sense":
        return _is_feed_sense(message, spot, choice, context)
    if (
        key == "gripped_face"
        and choice == "fixed"
        and width >= 3
        and _from(message, spot)
        and not message.has("square_in_vise", "still_clamped", "light", "up_jaw")
    ):
        return True
    if key == "gripped_face" and message.has("other_corner", "corner", "open", "closed"):
        return False
    if key == "gripped_face":
        return width >= 2 and message.has("measured_from")
    return key in _WORDY and width >= 2


def _is_feed_axis(message: Message, spot: Spot) -> bool:
    """Tell whether an axis is named as the one that was fed along."""
    first = message.words.get(spot.start)
    if spot.end - spot.start < 2:
        return False
    if first in ("feed", "fed") and not message.has("cut_again"):
        clause = next(clause for clause in message.clauses if clause.start <= spot.start < clause.end)
        start = clause.start + (_text(message, clause.start) in ("we", "i"))
        if (start, clause.end) == (spot.start, spot.end):
            return True
    if first in ("along", "in") and _alone(message, spot):
        measured = any(is_value(quantity) for quantity in message.quantities)
        return not measured and not message.has("needle", "sweep")
    if message.said(spot.start, spot.end).lower() in _PLAIN_WAYS:
        return False
    other = ("backlash", "play", "push_pull", "hollow", "step", "joint", "cut_again", "before_moves", *_SCREWS)
    return bool(message.word_set & _FEEDING) and not message.has(*other)


def _is_feed_sense(message: Message, spot: Spot, choice: str, context: Context) -> bool:
    """Tell whether a way is named as the one in which the cutter went over the work."""
    if context.asked == "heel_marks" or message.has("reversed", "reverse_feed"):
        return False
    width, of_cutter = spot.end - spot.start, "cutter" in message.said(spot.start, spot.end).lower()
    if choice in ("left", "right") and message.has("choice:feed_axis=y") and not of_cutter:
        return False  # it is the order of the passes then
    if width >= 3 and of_cutter:
        return not message.has("arcs", "hatch")
    moving = message.word_set & (_FEEDING | {"cut", "cutter", "mov"})
    other = ("arcs", "hatch", "sweep", "table_run", "out_of_parallel", "across_jaw", "push_pull", "ran_it")
    return width >= 2 and bool(moving) and not message.has(*other)


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
        {"from", "off", "measured"}
        & {_text(message, at) for at in range(spot.start - 2, spot.end) if at >= 0}
    )


def _not_only_material(message: Message, key: str) -> bool:
    """Tell whether a longer phrase hides this one, as "aluminium sheet" at a jaw hides the material."""
    return key != "material" or message.has("moving_jaw", "jaw", "vise")


def _is_material(message: Message, spot: Spot) -> bool:
    before = [_text(message, at) for at in range(max(0, spot.start - 4), spot.start)]
    if "instead" in before or before[-3:-1] == ["place", "of"] or before[-2:] == ["place", "of"]:
        return False  # what was there before
    following = _text(message, spot.end)
    if following in (
        "rule",
        "ball",
        "bar",
        "rod",
        "shim",
        "packing",
        "table",
        "square",
        "straight",
        "straightedge",
        "jaws",
        "hammer",
        "mallet",
        "drift",
        "wool",
        "strip",
    ):
        return following == "bar" and not message.has("moving_jaw", "vise")
    return _text(message, spot.start) not in (
        "ms",
        "ci",
        "cu",
        "iron",
        "steel",
        "o1",
        "d2",
        "a2",
        "lg2",
        "pom",
    ) or not message.has("cool_it")


def _is_contact(message: Message, spot: Spot, choice: str) -> bool:
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
    if choice == "bar" and _text(message, spot.start - 1) in ("flat", "hex", "square", "black", "bright", "of"):
        return message.has("moving_jaw")  # bar stock, unless it is said to be at the jaw
    if choice == "plain":
        return message.has("moving_jaw") or spot.end - spot.start >= 2
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
