"""A list of tools that stands beside something else: "the head is out 2 thou, and I've got feelers and a square"."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from askew.engine.language.clauses.message import Message
from askew.engine.language.words.phrase_forms import Spot
from askew.engine.language.words.word_tables import word_list

_LED_IN = 6
"""Words that may stand between a "have" and the first of the tools: "have here in the toolbox"."""
_OWNERS = {"i", "we"}
_FEWEST = 2
"""One tool alone may only be what is spoken of."""


def _around(name: str) -> frozenset[str]:
    return word_list("setup.toml", "around", name)


def list_beside(message: Message, named: Sequence[Spot], missing: Callable[[Message, Spot], bool]) -> list[Spot]:
    """Return the tools of a list that somebody says to have, whatever else the message tells.

    Args:
        message: The message.
        named: The tools that it names.
        missing: Tells whether one is named as not there.
    """
    for at in range(len(message.tokens)):
        if not _owns(message, at):
            continue
        listed = _listed_from(message, at, named)
        if not listed or _taken_up(message, listed):
            continue
        if _adds(message, at, listed[-1].end):
            listed = [tool for tool in named if tool.end <= at] + listed
        there = [tool for tool in listed if not missing(message, tool)]
        if len({tool.name for tool in there}) >= _FEWEST:
            return there
    return []


def _owns(message: Message, at: int) -> bool:
    """Tell whether a token says that somebody here has what follows: "I own", "we've", "my kit is"."""
    text = message.text_at(at)
    before = [message.text_at(place) for place in (at - 2, at - 1) if place >= 0]
    if text == ":" and before[-1:] and before[-1] in _around("heading"):
        return True  # "held here: micrometers, a thermometer"
    if text in ("lie", "lies", "is", "are") and before[-1:] == ["here"]:
        return True  # "here lie a square and feelers"
    if text in ("there's", "theres"):  # "there's a square and a sweep arm on the wall here"
        return any(message.text_at(place) in _around("kept_here") for place in range(at, len(message.tokens)))
    if text in _around("owning_bench"):
        return message.text_at(at + 1) in ("is", "are", "has", ":")
    if text in ("me", "us") and before[-1:] and before[-1] in _around("lending"):
        return True  # "my brother lent me a tenths clock and a surface plate"
    if text not in _around("owning_list"):
        return False
    clipped = text.endswith("ve") and text != "have"
    return clipped or (bool(_OWNERS & set(before)) and before[-1] in _around("owners"))


def _listed_from(message: Message, at: int, named: Sequence[Spot]) -> list[Spot]:
    """Return the tools that follow one another after a token with nothing but words of a list between them."""
    found: list[Spot] = []
    end, fitting = at + 1, _around("stored") | _around("in_a_list")
    for tool in named:
        if tool.start < end:
            continue
        between = range(end, tool.start)
        if (not found and len(between) > _LED_IN) or not all(_passes(message, place, fitting) for place in between):
            break
        if message.text_at(tool.start - 1) == "the":
            break  # what was taken to do something
        found.append(tool)
        end, fitting = tool.end, _around("in_a_list") | _around("among_tools")
    return found


def _passes(message: Message, at: int, fitting: frozenset[str]) -> bool:
    """Tell whether a token may stand in a list: a mark, a size or a count, or one of its words."""
    token = message.tokens[at]
    sized = any(quantity.start <= at < quantity.end for quantity in message.quantities)
    return sized or token.text in fitting or (token.kind == "mark" and token.text not in ".!?;")


def _taken_up(message: Message, listed: Sequence[Spot]) -> bool:
    """Tell whether something is said to be done with the last of the tools: "I've a square and paper under it"."""
    after = message.text_at(listed[-1].end)
    counted = message.text_at(listed[-1].end + 1) in ("pairs", "sets", "matched", "boxes")  # "parallels in pairs"
    return (after in _around("taken_to") and not counted) or after in _around("said_of_tools")


def _adds(message: Message, start: int, end: int) -> bool:
    """Tell whether a list only adds to the tools that were named before it: "plus I own", "and feelers too"."""
    around = range(max(0, start - 3), min(len(message.tokens), end + 2))
    return any(message.text_at(at) in _around("added_to") for at in around)
