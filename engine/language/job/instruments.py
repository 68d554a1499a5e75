"""The instruments on hand, where a message lists some."""

from __future__ import annotations

from askew.engine.language.clauses.message import Message
from askew.engine.language.job.tool_lists import list_beside
from askew.engine.language.numbers.measured import is_value
from askew.engine.language.words.phrase_forms import Spot
from askew.engine.language.words.word_tables import word_list
from askew.engine.observations import SetupFact

# Talk that a tool took part in: it is no list of what is on the bench.
_OF_A_READING = (
    *("light", "out_of_square", "gap", "open", "closed", "paper_held", "slides_out", "tighten", "chip"),
    "moving_jaw",
)


_NEAR = 12
_PAIR = 2
"""Tools named alone that may still answer something else: "square and feelers"."""


def _around(name: str) -> frozenset[str]:
    return word_list("setup.toml", "around", name)


def instruments(message: Message, asked: bool) -> list[SetupFact]:
    """Return the instruments on hand, if the message lists some; their words are used up."""
    tools = on_the_bench(message, asked)
    if not tools:
        return []
    for spot in tools:
        if not _names_a_length(message, spot):
            message.settle(spot.start, spot.end)  # "a square" on the bench says nothing of the part
    names = tuple(dict.fromkeys(spot.name.removeprefix("tool:") for spot in tools))
    return [SetupFact("instruments", names, words=message.said(tools[0].start, tools[-1].end))]


def _names_a_length(message: Message, tool: Spot) -> bool:
    """Tell whether a tool also begins the name of a length, "my square's blade is 6 inches"."""
    return any(
        spot.name.startswith("length:") and spot.start <= tool.start and tool.end < spot.end
        for spot in message.spots_in(max(0, tool.start - 2), tool.end + 3)
    )


def on_the_bench(message: Message, asked: bool) -> list[Spot]:
    """Return the instruments that a message lists as being on hand; `asked` where just that was asked."""
    named = [spot for spot in message.spots if spot.name.startswith("tool:") and not _done_with(message, spot)]
    tools = [spot for spot in named if not _missing(message, spot)]
    if asked or not tools or (_beside_no_value(message, named) and _listed(message, named, tools)):
        return tools
    return list_beside(message, named, _missing)


def _done_with(message: Message, tool: Spot) -> bool:
    """Tell whether a word is what was done and no tool: "squared the block up"."""
    return any(message.tokens[at].text in _around("done_with_tools") for at in range(tool.start, tool.end))


def _missing(message: Message, tool: Spot) -> bool:
    """Tell whether a tool was named as one that is not there: "no parallels", "without a square"."""
    before = message.tokens[max(0, tool.start - 3) : tool.start]
    after, beyond = message.text_at(tool.end), message.text_at(tool.end + 1)
    if after in ("no", "none") and beyond in ("", ".", ",", ";"):
        return True  # "surface plate no"
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
    begun = next((clause.start for clause in message.clauses if clause.start <= first < clause.end), 0)
    if len(tools) == 1 and _said_of(message, last):
        return False  # "just so you have it, the block measures 3 by 2"
    before = _forms(message, max(0, first - 12), first)
    since = _forms(message, max(denied_to, begun, first - 12), first)
    after = _forms(message, last, min(last + 8, len(message.tokens)))
    all_there = bool(after & _around("all_there"))
    if not ((len(tools) > 1 and "what" in after) or all_there):  # "... is what I've got"
        after = set()
    kept = bool(_forms(message, last, len(message.tokens)) & _around("kept_on"))
    if (len(tools) > _PAIR or 0 < len(tools) < len(named) or (kept and len(tools) == _PAIR)) and _nothing_else(
        message, named
    ):
        return True
    owned = _around("have") & (after | before) - _helping(message, first)
    owned |= after & _around("kept_here")
    only = message.text_at(last) == "only" and message.text_at(last + 1) in ("", ".", ",", ";", "here", "now")
    if message.tokens[last - 1].text.endswith("'s"):
        return False  # "the square's only got a short blade"
    if _around("denying") & (after | since) or not (owned or only):
        return False
    if _in_use(message, tools):
        return False
    if message.has("tram_it", "shim_it"):
        return False  # "got the head back to square with the indicator"
    if owned <= {"there", "theres"} and message.has(*_OF_A_READING):
        return False  # "there is light under the square and the straight edge"
    if len(tools) > 1:
        return True
    before_it = message.tokens[first - 1].text if first > 0 else ""
    return (
        (only or before_it in _around("before_one_tool") or all_there or _forms(message, 0, first) >= {"all", "have"})
        and not message.has(*_OF_A_READING)
        and bool(only or _around("having") & (after | before) - _helping(message, first))
    )


def _helping(message: Message, end: int) -> set[str]:
    """Return the words of having before a token that only help another: the "have" of "I have opened the vise"."""
    found = set()
    for at in range(max(0, end - _NEAR), end):
        word = message.tokens[at].text.replace("'", "")
        then = at + 1
        while message.text_at(then) in _around("then_done"):
            then += 1
        done = message.text_at(then)
        if word in _around("helping") and then < end and (done.endswith("ed") or done in _around("done")):
            found |= {word, message.words.get(at, "")}
    return found


def _said_of(message: Message, at: int) -> bool:
    """Tell whether something is said of the tool that ends before a token, so that it is only what is spoken of."""
    return message.text_at(at) in _around("said_of_tools")


def _in_use(message: Message, tools: list[Spot]) -> bool:
    """Tell whether the tools were taken to do something: "got the square out", "got a bit of feeler in behind"."""
    first, last = tools[0], tools[-1]
    where, beyond = message.text_at(last.end), message.text_at(last.end + 1)
    ours = beyond in ("", ".", ",", "my", "the", "this", "our", "here")  # "feelers in my box"
    owned = ours and message.text_at(first.start - 1) != "the"
    return where in _around("taken_to") and not owned


def _forms(message: Message, start: int, end: int) -> set[str]:
    """Return the words between two tokens as they were typed and as stems."""
    typed = {message.tokens[index].text.replace("'", "") for index in range(start, end)}
    return typed | {message.words.get(index, "") for index in range(start, end)}


def _nothing_else(message: Message, named: list[Spot]) -> bool:
    """Tell whether a message is a bare list of tools: "mic 0-25, 1-2-3 blocks, parallels"."""
    in_tools = {at for spot in named for at in range(spot.start, spot.end)}
    return all(
        token.kind != "word" or at in in_tools or token.text in _around("in_a_list") | _around("kept_on")
        for at, token in enumerate(message.tokens)
    )
