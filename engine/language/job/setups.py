"""Setup facts in a message: sizes beside their nouns, choices by their words, instruments on hand."""

from __future__ import annotations

from askew.engine.language.clauses.message import Message
from askew.engine.language.job.boxes import boxes
from askew.engine.language.job.choices import choices
from askew.engine.language.job.hollow_work import settle_hollow_work, solid_work
from askew.engine.language.job.instruments import instruments
from askew.engine.language.job.lengths import lengths
from askew.engine.language.job.on_hand import on_hand
from askew.engine.language.job.passes import passes
from askew.engine.language.job.tolerance import tolerance
from askew.engine.language.model import Context
from askew.engine.language.numbers.values import large_unit, small_unit
from askew.engine.observations import SetupFact
from askew.engine.units import UNITS, Habit, to_mm


def setup_facts(message: Message, context: Context, habit: Habit | None) -> list[SetupFact]:
    """Return the setup facts of a message; quantities used for them are removed from it.

    Args:
        message: The message.
        context: What the words may lean on.
        habit: The units that the person thinks in, None while unknown.

    Returns:
        The facts, one for each key: what is said first counts, sizes before choices.

    Raises:
        NeedsAskingError: if a number has more than one meaning that matters.
    """
    facts = [
        *on_hand(message, context, habit),
        *passes(message),
        *boxes(message, habit),
        *lengths(message, habit, context.asked),
        *tolerance(message, habit),
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


def answer_length(message: Message, key: str, habit: Habit | None) -> SetupFact | None:
    """Return the length that answers the question for `key`, if the message holds just one.

    Args:
        message: The message; the quantity that is used is removed from it.
        key: The length that was asked for.
        habit: The units that the person thinks in, None while unknown.

    Raises:
        NeedsAskingError: if the number has more than one meaning that matters.
    """
    usable = [quantity for quantity in message.quantities if not quantity.junk and not quantity.box]
    if len(usable) != 1:
        return None
    quantity = usable[0]
    if quantity.span and message.has("nothing"):
        return None  # the length of "dead nuts over 3 inches"
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
    value = to_mm(quantity.value * factor, unit)
    return SetupFact(key, float(value), unit, message.said(quantity.start, quantity.end))
