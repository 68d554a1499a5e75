"""Numbers in words that count things and measure nothing: "two have chipped", "the taller of the two", "got one".

People count in words all the time, and say "two" of an error seldom without its unit. To ask what unit the two straight
edges are in is worse than to miss an error, so the network settles which it is before anybody is asked.
"""

from __future__ import annotations

from askew.engine.language.clauses.message import Message
from askew.engine.language.learned import told
from askew.engine.language.numbers.quantities import Quantity
from askew.engine.language.together.numbers_told import NONE
from askew.engine.language.words.word_tables import word_list

SURE = 0.7
"""From this share of all chances on a number is held for one that measures nothing."""


def counts_things(message: Message, quantity: Quantity, asked: str | None) -> bool:
    """Tell whether a number without a unit counts things, so that its unit need not be asked about.

    Args:
        message: The message.
        quantity: The number that would be asked about.
        asked: What was asked for.
    """
    if quantity.unit is not None or not quantity.worded:
        return False
    before, after = message.text_at(quantity.head - 1), message.text_at(quantity.end)
    there = message.text_at(quantity.head - 2) == "there"  # "if there was one"
    alone = quantity.value == 1 and (there or before not in word_list("clauses.toml", "counting", "telling"))
    held = before in word_list("clauses.toml", "counting", "before")
    thing = after.isalpha() and after not in word_list("clauses.toml", "counting", "not_things")
    if not (alone or held or thing):
        return False
    return told.number(message, quantity, asked)[NONE] > SURE
