"""A check that is answered by how it compares with the complaint: "same", "opposite", "7 the other way".

The other corner, the part turned round or the feed reversed are read to be held against what came out first. An answer
in such words is one, not a correction of the first.
"""

from __future__ import annotations

from itertools import pairwise

from askew.engine.language.clauses.message import Message
from askew.engine.language.corrections.correcting import KIN
from askew.engine.language.model import Context
from askew.engine.language.numbers.measured import is_value
from askew.engine.language.words.word_tables import word_list
from askew.engine.observations import Reading

_FEW = 7
"""So many words it may have."""


def answers_check(message: Message, context: Context) -> bool:
    """Tell whether a message that might correct the complaint takes nothing back, but tells what was asked for."""
    first = _first(context)
    if first is None or len(message.tokens) > _FEW or message.has("meant", "ask_undo", "mixed_up", "swap_it"):
        return False
    taking_back = word_list("clauses.toml", "held_against", "taking_back")
    if not taking_back.isdisjoint(token.text for token in message.tokens):
        return False
    return _way(message) != 0 or any(is_value(quantity) for quantity in message.quantities)


def held_against(message: Message, context: Context) -> str | Reading | None:
    """Return what an answer comes to that only says how it compares with the complaint.

    Args:
        message: The message.
        context: What was asked, and the readings so far.

    Returns:
        The reading; where the message has a number, the answer in other words, with its sign; None where it says
        nothing of the kind.
    """
    first, way = _first(context), _way(message)
    if first is None or first.value is None or way == 0 or context.asked is None:
        return None
    sign = way if first.value > 0 else -way
    told = [quantity for quantity in message.quantities if is_value(quantity)]
    if not told:
        return Reading(context.asked, sign * abs(first.value), first.over, unit=first.unit, words=message.text.strip())
    if len(told) > 1 or told[0].signed:
        return None
    return f"{'plus' if sign > 0 else 'minus'} {message.said(told[0].start, told[0].end)}"


def _first(context: Context) -> Reading | None:
    """Return the complaint that what was asked for is held against, None where there is none of known direction."""
    if context.asked is None or context.asked in context.readings:
        return None
    kin = (context.readings.get(name) for name in KIN.get(context.asked, ()) if name != context.asked)
    return next((one for one in kin if one is not None and one.value and one.sign_known), None)


def _way(message: Message) -> int:
    """Return 1 for "same", -1 for "opposite" and "the other way", 0 for neither."""
    texts = [token.text for token in message.tokens if token.kind != "mark"]
    small = word_list("clauses.toml", "held_against", "beside") | {"same", "opposite", "way", "other"}
    if any(text not in small for text in texts if text.isalpha()) and not message.quantities:
        return 0
    if message.has("opposite") or ("other", "way") in pairwise(texts):
        return -1
    return 1 if "same" in texts and not message.quantities else 0
