"""Choices said by their words."""

from __future__ import annotations

from askew.engine.language.clauses.message import Message
from askew.engine.language.job.choice_rules import accepted
from askew.engine.language.job.choosing import LONG, choosing_words
from askew.engine.language.model import Context
from askew.engine.language.numbers.measured import is_value
from askew.engine.language.words.phrase_forms import Spot
from askew.engine.observations import SetupFact

_LAST_MADE = {"choice:hole_made_by=bored": 1, "choice:hole_made_by=drilled": 2}
"""A hole that was drilled and then reamed was reamed: what comes last counts."""


def choices(message: Message, context: Context) -> list[SetupFact]:
    """Return the choices that a message names as facts, in the order said.

    Args:
        message: The message; the phrases that name a choice are taken from it.
        context: What was asked, whose answer comes before anything else that the same words may name.

    Returns:
        At most one fact for each setup key.
    """
    spots = [spot for spot in message.spots if spot.name.startswith("choice:")]
    facts = _named(message, spots, context)
    for key in ("machine", "milling_sense"):  # "two bed mills and a knee mill in the shop"
        if _kinds(key, message, spots, context) > 1:
            facts = [fact for fact in facts if fact.key != key]
    keys = {fact.key for fact in facts}
    measured = any(is_value(quantity) for quantity in message.quantities)
    axis = _feed_axis(message) if "feed_axis" not in keys and not measured else None
    if axis is not None:
        facts.append(SetupFact("feed_axis", axis, words=message.text.strip()))
    face = _measured_face(message) if "gripped_face" not in keys and not measured else None
    if face is not None:
        facts.append(SetupFact("gripped_face", face, words=message.text.strip()))
    return sorted(facts, key=lambda fact: message.text.find(fact.words))


def _named(message: Message, spots: list[Spot], context: Context) -> list[SetupFact]:
    """Return the choices that phrases name, and take these from the message."""
    facts: list[SetupFact] = []
    answered: set[int] = set()  # "copper sheet" for what is at the jaw tells nothing of the part's material
    for spot in _by_weight(message, spots, context):
        key, choice = spot.name.removeprefix("choice:").split("=")
        if any(fact.key == key for fact in facts) or not accepted(message, spot, key, choice, context):
            continue
        if spot.start in answered and key != context.asked:
            continue
        if key == context.asked:
            answered.update(range(spot.start, spot.end))
        words = message.said(spot.start, spot.end)
        value = _value(message, spot, key, choice)
        _settle(message, spot, spots, context)
        message.take(spot.start, spot.end)
        facts.append(SetupFact(key, value, words=words))
    return facts


def _by_weight(message: Message, spots: list[Spot], context: Context) -> list[Spot]:
    """Return the phrases so that the one to be heard comes first: what was asked, then the longest, then the first."""
    turn = -1 if message.has("change_cutter") else 1  # "swapped the face mill for a fly cutter": the last counts
    asked = f"choice:{context.asked}="
    return sorted(
        spots,
        key=lambda item: (
            not item.name.startswith(asked),
            not (item.name.startswith(asked) and _answers_at_once(message, item)),
            _LAST_MADE.get(item.name, 0),
            message.said(item.start, item.end).lower() in choosing_words("made_how"),  # "the steel is stainless"
            item.start - item.end,
            turn * item.start,
        ),
    )


def _answers_at_once(message: Message, spot: Spot) -> bool:
    """Tell whether a phrase begins an answer and a mark ends it: "knee, the quill stayed put"."""
    return spot.start <= 1 and message.text_at(spot.end) in (",", ".", ";", "-")


def _value(message: Message, spot: Spot, key: str, choice: str) -> str | bool:
    """Return what a choice is kept as: a truth for those of yes and no."""
    if key not in ("overrun", "leaned_on_purpose"):
        return choice
    if key == "leaned_on_purpose" and choice == "true" and _refused_before(message, spot):
        return False
    return {"true": True, "false": False}.get(choice, choice)


_NO_RUN = {"table_run", "along", "x", "y", "to_back", "to_front", "to_left", "to_right"}
"""What the words of a feed would tell of a reading's direction."""


def _settle(message: Message, spot: Spot, spots: list[Spot], context: Context) -> None:
    """Let nothing else be made of a phrase that sounds like a finding but only names the choice."""
    key, choice = spot.name.removeprefix("choice:").split("=")
    if key == "gripped_face" and choice == "fixed" and context.asked is None:
        message.settle(spot.start, spot.end)  # where it was measured from is no word of the jaw itself
    if key == "moving_jaw_contact" and message.text_at(spot.end - 1) in ("slip", "slips"):
        message.settle(spot.start, spot.end)  # a "copper slip" has not slipped
    if key == "leaned_on_purpose":
        for other in [other for other in spots if other.name.startswith("choice:leaned_on_purpose")]:
            message.settle(other.start, other.end)  # "so the heel doesn't drag" tells no mark of a heel
    if key == "feed_axis" and context.asked is None and spot.end - spot.start > 1:
        message.forget_in(_NO_RUN, spot.start, spot.end)  # "fed along the table" ran it under no needle
    if key == "seat" and spot.end - spot.start >= LONG and context.asked is None:
        message.settle(spot.start, spot.end)  # "lies free on the bed" tells no loose parallel


def _feed_axis(message: Message) -> str | None:
    """Return the axis that was fed along, where one is named and a word of feeding beside it."""
    axes = [axis for axis in ("x", "y") if _names_axis(message, axis)]
    fed = _tells_of_feeding(message) and not message.has(*choosing_words("not_feed_axis"))
    return axes[0] if len(axes) == 1 and fed else None


def _names_axis(message: Message, axis: str) -> bool:
    """Tell whether an axis is named, not the "x" between two sizes."""
    return any(
        spot.name == axis and not (message.text_at(spot.start) == "x" and _is_number(message, spot.end))
        for spot in message.spots
    )


def _is_number(message: Message, at: int) -> bool:
    return at < len(message.tokens) and message.tokens[at].kind == "number"


def _tells_of_feeding(message: Message) -> bool:
    """Tell whether a word of feeding is there that does more than say where: "ruler laid across the feed"."""
    return any(
        word in choosing_words("feeding") and message.text_at(at - 1) not in choosing_words("across_feed")
        for at, word in message.words.items()
    )


def _measured_face(message: Message) -> str | None:
    """Return the face that is named as the one that was measured from, as "the solid jaw side"."""
    if not message.has("measured_from") or message.has("length:part_depth"):
        return None
    if not message.word_set & {"jaw", "sid", "one", "fac"}:
        return None
    if message.has("square_in_vise", "up_jaw", "across_jaw", "back_of_jaw", "other_corner"):
        return None
    words = set(message.words.values())
    if message.has("fixed_jaw", "ref_face") or words & {"fixed", "fix", "solid"}:
        return "fixed"
    return "moving" if message.has("moving_jaw", "moving_face") or words & {"mov", "movabl", "sliding"} else None


def _kinds(key: str, message: Message, spots: list[Spot], context: Context) -> int:
    """Return how many choices of one key are named and not denied."""
    return len(
        {
            spot.name
            for spot in spots
            if spot.name.startswith(f"choice:{key}=")
            and accepted(message, spot, key, spot.name.rpartition("=")[2], context)
        }
    )


def _refused_before(message: Message, spot: Spot) -> bool:
    """Tell whether a "not" stands before the phrase in its clause: "I never set it over on purpose"."""
    clause = next(clause for clause in message.clauses if clause.start <= spot.start < clause.end)
    return any(name in ("not", "no") for name in message.names(clause.start, spot.start))
