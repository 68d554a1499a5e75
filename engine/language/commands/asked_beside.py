"""What is asked of the assistant in a sentence of its own, beside what is told: "locked it all. what next?"."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from askew.engine.language.clauses.message import Message
from askew.engine.language.clauses.prepare import prepare
from askew.engine.language.commands.asked_in_rows import asked_in_rows, asks_for_sign
from askew.engine.language.commands.commands import command, doubtful
from askew.engine.language.commands.loose_commands import loose_command
from askew.engine.language.model import Context
from askew.engine.language.words.tokens import SENTENCE_ENDS
from askew.engine.language.words.word_tables import word_list
from askew.engine.observations import Command

_LONGEST = 70
"""So many words and marks a message may have that tells and asks."""
_SAID = 3
"""More words than that a wish must have that no mark parts from the rest."""
_JOINING = {"so", "and", "then", "now", "but"}
_ANSWERS = {"dont_know", "cannot"}
"""Commands that only answer what was asked, which a sentence beside others does not."""
_PUT_OFF = {"skip", "cannot", "dont_know"}
"""What may be answered to a question in one sentence, while another tells of something else."""
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
        answers = context.asked is not None and not asks_for_sign(context)
        put_off = asked_in_rows(piece, context) if answers else None
        if put_off in _PUT_OFF:
            return Beside(Command(put_off, context.asked, said), rest)
        asked = command(piece, alone)
        if asked is None or asked.id in _ANSWERS:
            asked = loose_command(piece)
        if asked is not None and asked.id in _SHORT and len(said.split()) < _SHORT[asked.id]:
            continue
        if asked is not None and not doubtful(piece, asked, alone):
            return Beside(asked, rest)
    return _put_off_first(message, context)


def _put_off_first(message: Message, context: Context) -> Beside | None:
    """Return what was asked for put off before a comma, and what is told after it: "skip it for now, I cleaned it"."""
    comma = next((token for token in message.tokens if token.text == "," or token.text in SENTENCE_ENDS), None)
    if context.asked is None or asks_for_sign(context) or comma is None or comma.text != ",":
        return None
    said, rest = message.text[: comma.start], message.text[comma.end :].strip()
    piece = prepare(said)
    if not piece.tokens or not any(sign.isalpha() for sign in rest) or asked_in_rows(piece, context) != "skip":
        return None
    return Beside(Command("skip", context.asked, said), rest)


def _pieces(message: Message, context: Context) -> Iterator[tuple[int, int]]:
    """Yield where the sentences begin and end in the text, the last first; then a question that follows a comma."""
    sentences: list[tuple[int, int]] = []
    begin = 0
    for token in message.tokens:
        if token.kind == "mark" and token.text in SENTENCE_ENDS:
            sentences.append((begin, token.end))
            begin = token.end
    if message.tokens[-1].end > begin:
        sentences.append((begin, len(message.text)))
    if len(sentences) > 1:
        yield from reversed(sentences)
    if context.asked is not None:
        return  # "drill bit, what else"
    asking = word_list("commands.toml", "asking", "after_a_comma")
    joined = word_list("commands.toml", "asking", "after_a_so")
    first, last = sentences[-1]
    for at in range(len(message.tokens) - 2, 0, -1):
        token = message.tokens[at]
        if token.start < first:
            break
        after = message.tokens[at + 1].text
        if token.text == "," and after in asking:
            yield token.end, last
        elif token.text in _JOINING and after in joined and len(message.tokens) - at > _SAID:
            yield token.start, last  # "it's two thou open so how do I cure it"
