"""Whether the reading told last was taken once more: "did that over with more care, eight tenths"."""

from __future__ import annotations

from functools import cache

from askew.engine.language.clauses.message import Message
from askew.engine.language.numbers.measured import is_value
from askew.engine.language.words.gapped import Row, found, row
from askew.engine.language.words.word_tables import table, word_lists

_BEFORE = {"", ",", "i", "i've", "we", "so", "ok", "and"}


@cache
def _ways() -> tuple[Row, ...]:
    """Return the ways of saying that something was measured again."""
    anew = table("clauses.toml")["anew"]
    classes = word_lists(anew["classes"])
    return tuple(row(text, classes) for text in anew["rows"]["ways"])


def taken_anew(message: Message) -> bool:
    """Tell whether a message begins by saying that something was measured again, and gives the one number for it."""
    values = [quantity for quantity in message.quantities if is_value(quantity) or quantity.unit is None]
    if len(values) != 1:
        return False
    words = [token.text if token.kind != "mark" or token.text == "," else "" for token in message.tokens]
    begin = next((at for at, text in enumerate(words) if text not in _BEFORE), 0)
    return any(found(way, words, begin) is not None for way in _ways())
