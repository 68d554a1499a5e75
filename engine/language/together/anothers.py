"""Talk of another's machine or of what things cost, whose facts are none of this case."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

from askew.engine.language.clauses.message import Message
from askew.engine.language.words.gapped import Rows, row
from askew.engine.language.words.tokens import SENTENCE_ENDS
from askew.engine.language.words.word_tables import table, word_lists

_MINE = {"i", "i'm", "i've", "i'd", "i'll", "im", "ive", "we", "we've", "we're", "my", "our", "mine", "me", "this"}
_COMPARED = {"same", "error", "fault", "follow", "followed", "follows"}
"""What tells that the part of this case was tried there: "at his shop the error came with it"."""
_NEAR = 3
"""So many words after a "my" may be the person that it speaks of: "my late uncle"."""


@cache
def _ways() -> tuple[Rows[None], frozenset[str]]:
    """Return the rows of words that tell of others, and the words for people."""
    anothers = table("clauses.toml")["anothers"]
    classes = word_lists(anothers["classes"])
    return Rows((row(text, classes), None) for text in anothers["rows"]["ways"]), classes["person"]


def of_another(message: Message) -> bool:
    """Tell whether a message is only about another's machine, or about prices: "a chap at the club has a mill that"."""
    words = [
        token.text if token.kind != "mark" else ""
        for token in message.tokens
        if token.kind != "mark" or token.text in SENTENCE_ENDS
    ]
    ways, people = _ways()
    if _of_mine(words, people) or _COMPARED & {*words}:
        return False
    return ways.anywhere(words)


def _of_mine(words: Sequence[str], people: frozenset[str]) -> bool:
    """Tell whether the person speaks of what is theirs, too; "my cousin" and "a friend of mine" are others."""
    for at, word in enumerate(words):
        if word not in _MINE:
            continue
        if word == "my" and people & {*words[at + 1 : at + 1 + _NEAR]}:
            continue
        if at and ((word == "mine" and words[at - 1] == "of") or (word == "me" and words[at - 1] in ("to", "told"))):
            continue
        return True
    return False
