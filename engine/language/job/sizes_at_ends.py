"""Whole sizes read at the two ends of a face: their difference is the reading, and neither is a length of the job."""

from __future__ import annotations

from askew.engine.language.clauses.message import Message
from askew.engine.language.numbers.quantities import Quantity

_ENDS = ({"front", "back"}, {"left", "right"}, {"top", "bottom"})
_BESIDE = 3
"""So many tokens before the first size and after the second one may name the end that it was read at."""


def size_at_an_end(message: Message, quantity: Quantity) -> bool:
    """Tell whether a size is one of two that were read at two ends: "across the feed: front 12.004, back 12.019 mm".

    Args:
        message: The message.
        quantity: One of its quantities.
    """
    if not quantity.size:
        return False
    pair = [other for other in message.quantities if other.size]
    if len(pair) != 2 or quantity not in pair:
        return False
    start, end = max(0, pair[0].start - _BESIDE), min(len(message.tokens), pair[1].end + _BESIDE)
    names = message.names(start, end)
    return any(names >= both for both in _ENDS)
