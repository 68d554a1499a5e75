"""The instruments on hand, where a message lists some."""

from __future__ import annotations

from askew.engine.language.lexicon import Spot, word_list
from askew.engine.language.message import Message, is_value
from askew.engine.observations import SetupFact

# Talk that a tool took part in: it is no list of what is on the bench.
_OF_A_READING = (
    *("light", "out_of_square", "gap", "open", "closed", "paper_held", "slides_out", "tighten", "chip"),
    "moving_jaw",
)


def _around(name: str) -> frozenset[str]:
    return word_list("setup.toml", "around", name)


def instruments(message: Message, asked: bool) -> list[SetupFact]:
    """Return the instruments on hand, if the message lists some."""
    named = [spot for spot in message.spots if spot.name.startswith("tool:")]
    tools = [spot for spot in named if not _missing(message, spot)]
    if not tools or (not asked and not (_beside_no_value(message, named) and _listed(message, named, tools))):
        return []
    names: list[str] = []
    for spot in tools:
        name = spot.name.removeprefix("tool:")
        if name not in names:
            names.append(name)
            message.settle(spot.start, spot.end)  # "a square" on the bench says nothing of the part
    return [SetupFact("instruments", tuple(names), words=message.said(tools[0].start, tools[-1].end))]


def _missing(message: Message, tool: Spot) -> bool:
    """Tell whether a tool was named as one that is not there: "no parallels", "without a square"."""
    before = message.tokens[max(0, tool.start - 3) : tool.start]
    return any(token.text in _around("refusing") for token in before)


def _beside_no_value(message: Message, named: list[Spot]) -> bool:
    """Tell whether every measured value is a part of some tool's own name."""
    return all(
        any(tool.start <= quantity.end - 1 and quantity.start <= tool.end for tool in named)
        for quantity in message.quantities
        if is_value(quantity)
    )


def _listed(message: Message, named: list[Spot], tools: list[Spot]) -> bool:
    """Tell whether the tools are said to be on hand, not to have read or done something."""
    first, last = tools[0].start, tools[-1].end
    denied_to = max([0, *(spot.end for spot in named if spot.end <= first)])  # "no parallels, I have a square"
    before = [message.words.get(index, "") for index in range(max(0, first - 12), first)]
    since = [message.words.get(index, "") for index in range(max(denied_to, first - 12), first)]
    after = [message.words.get(index, "") for index in range(last, min(last + 6, len(message.tokens)))]
    if not ((len(tools) > 1 and "what" in after) or "al" in after):  # "... is what I've got"
        after = []
    if _around("denying") & set(after + since) or not _around("have") & set(after + before):
        return False
    if len(tools) > 1:
        return True
    return (
        first > 0
        and message.tokens[first - 1].text in _around("before_one_tool")
        and not message.has(*_OF_A_READING)
        and bool(_around("having") & set(after + before))
    )
