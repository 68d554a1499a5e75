"""What is asked of the assistant in a sentence of its own, beside what is told: "locked it all. what next?"."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from askew.engine.language.clauses.message import Message
from askew.engine.language.clauses.prepare import prepare
from askew.engine.language.commands.commands import command
from askew.engine.language.commands.loose_commands import loose_command
from askew.engine.language.model import Context
from askew.engine.language.together.bearing import far_fetched
from askew.engine.language.words.word_tables import word_list
from askew.engine.observations import Command

_LONGEST = 70
"""So many words and marks a message may have that tells and asks."""
_STOPS = {".", "!", "?", ";"}
_ANSWERS = {"dont_know", "cannot"}
"""Commands that only answer what was asked, which a sentence beside others does not."""
_SHORT = {"quit": 3, "undo": 2, "help": 3}
"""So many words these must have, for a short one only goes with the rest: "oops", "OK, finished."."""


@dataclass(frozen=True, slots=True)
class Beside:
    """A wish and the rest of its message.

    Attributes:
        asked: What is asked for.
        rest: The text that tells something, without the wish.
    """

    asked: Command
    rest: str


def asked_beside(message: Message, context: Context) -> Beside | None:
    """Return what one sentence of a message asks for, and the rest of it; None where none does or nothing is left.

    Args:
        message: The message.
        context: What was asked, which a wish beside an answer does not answer.
    """
    if len(message.tokens) > _LONGEST:
        return None
    alone = Context(unit=context.unit)
    for start, end in _pieces(message, context):
        said = message.text[start:end]
        rest = f"{message.text[:start]} {message.text[end:]}".strip()
        if not any(sign.isalpha() for sign in rest) or not any(sign.isalpha() for sign in said):
            continue
        piece = prepare(said)
        if not piece.tokens:
            continue
        asked = command(piece, alone)
        if asked is None or asked.id in _ANSWERS:
            asked = loose_command(piece)
        if asked is not None and asked.id in _SHORT and len(said.split()) < _SHORT[asked.id]:
            continue
        if asked is not None and not far_fetched(piece, asked, alone):
            return Beside(asked, rest)
    return None


def _pieces(message: Message, context: Context) -> Iterator[tuple[int, int]]:
    """Yield where the sentences begin and end in the text, the last first; then a question that follows a comma."""
    sentences: list[tuple[int, int]] = []
    begin = 0
    for token in message.tokens:
        if token.kind == "mark" and token.text in _STOPS:
            sentences.append((begin, token.end))
            begin = token.end
    if message.tokens[-1].end > begin:
        sentences.append((begin, len(message.text)))
    if len(sentences) > 1:
        yield from reversed(sentences)
    if context.asked is not None:
        return  # "drill bit, what else"
    asking = word_list("commands.toml", "asking", "after_a_comma")
    first, last = sentences[-1]
    for at in range(len(message.tokens) - 2, 0, -1):
        token = message.tokens[at]
        if token.start < first:
            break
        if token.text == "," and message.tokens[at + 1].text in asking:
            yield token.end, last
            break
