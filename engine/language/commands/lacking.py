"""What cannot be done or measured here: "can't, haven't got a square", "no indicator"."""

from __future__ import annotations

from askew.engine.language.clauses.groups import divide
from askew.engine.language.clauses.message import Message
from askew.engine.language.commands.doubts import tells_of_a_sign
from askew.engine.language.job.instruments import on_the_bench
from askew.engine.language.model import Context
from askew.engine.language.numbers.quantities import Quantity
from askew.engine.language.together.attempt import asks
from askew.engine.observations import Command

_LACKING = {"no", "without", "not", "have", "idiom", "polite", "can't", "cannot", "nothing", "plain", "found"}
_OF_TOOLS = {
    "thin_strip",
    "needle",
    "square_tool",
    "square",
    "straight_edge",
    "parallel",
    "block",
    "feeler",
    "light",
    "thickness",
}
_OF_SIGNS = (
    *("feel", "see", "needle", "rise", "step", "release", "arcs", "repeat", "not_repeat", "out_of_square"),
    *("nail", "ask_next"),
)
"""What a "can't" may be said of that tells how something behaves."""
_DETERMINERS = {
    "a",
    "an",
    "any",
    "the",
    "my",
    "no",
    "such",
    "own",
    "got",
    "good",
    "decent",
    "proper",
    "and",
    "or",
    ",",
}


def _in_tool(message: Message, quantity: Quantity) -> bool:
    """Tell whether the number is part of the name of an instrument: a "tenths indicator"."""
    return any(
        spot.name.startswith("tool:") and spot.start <= quantity.end - 1 and quantity.start <= spot.end
        for spot in message.spots
    )


def lacking(message: Message, context: Context, words: list[str], names: set[str]) -> Command | None:
    """Read "can't, haven't got a square" and "can't do that here".

    Args:
        message: The message.
        context: What was asked, which is what cannot be done where nothing else is named.
        words: The words of the message, without marks.
        names: The names of its phrases.

    Returns:
        The command "cannot" with the instrument that is not there or what was asked; None if nothing is lacking.
    """
    missing = [s.name.removeprefix("tool:") for s in message.spots if s.name.startswith("tool:") and s.start == 1]
    plain = {name for name in names if ":" not in name}
    if words[0] == "no" and missing and len(words) <= 6 and plain <= _LACKING | _OF_TOOLS:
        return Command("cannot", missing[0], message.text.strip())
    if "cannot" not in names or names & {"unsure", "dont_know"} or _tells_a_size(message):
        return None
    if "lacks" not in names and tells_of_a_sign(message, context):
        return None  # "can't shift either of the parallels"
    tools = _tools_lacking(message)
    if not tools and context.asked is None and _of_something_else(message):
        return None
    if not tools and _tells_something_else(message, words):
        return None
    offered = {"just", "only", "but", "all"} & set(words) and context.asked in (None, "instruments")
    if offered and on_the_bench(message, asked=False):
        return None  # "no indicator, just a square" tells what is there
    return Command("cannot", tools[0] if tools else context.asked, message.text.strip())


def _tells_a_size(message: Message) -> bool:
    """Tell whether a number is told that is no part of an instrument's name."""
    return any(
        not quantity.junk and not quantity.pronoun and not _in_tool(message, quantity)
        for quantity in message.quantities
    )


def _tools_lacking(message: Message) -> list[str]:
    """Return the instruments that are named after the "can't" as things, not as what something is done with."""
    spot = next(spot for spot in message.spots if spot.name == "cannot")
    counted = [token.text for token in message.tokens]
    return [
        found.name.removeprefix("tool:")
        for found in message.spots
        if found.name.startswith("tool:")
        and found.start >= spot.start
        and (counted[found.start - 1] in _DETERMINERS or found.start == spot.end)
    ]


def _of_something_else(message: Message) -> bool:
    """Tell whether a "can't" that nothing was asked before names no check: "can't get parts for it"."""
    if asks(message, 0, len(message.tokens)):
        return True
    spot = next(spot for spot in message.spots if spot.name == "cannot")
    last = message.tokens[spot.end - 1].text
    broken = last in ("broken", "busted") and spot.start > 0 and message.tokens[spot.start].text in ("is", "are", "was")
    return broken or (last in ("get", "find", "buy") and message.has("part_noun"))


def _tells_something_else(message: Message, words: list[str]) -> bool:
    """Tell whether a "can't" belongs to a longer story, to a sign or to a complaint: "can't feel a step"."""
    if len(words) > 14 or (len(words) > 3 and message.has(*_OF_SIGNS)):
        return True
    if any(found.name == "cant_measure" and found.start <= 1 for found in message.spots):
        return False
    return any(
        group.meaning is not None
        and (group.score >= 1 or (group.meaning.complaint and group.score > 0.5 and len(words) > 4))
        for group in divide(message, ())
    )
