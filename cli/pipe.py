"""The talk without a terminal: one line in, one answer out, flushed before the next line is read."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import IO, TYPE_CHECKING

from askew.engine.safe import MAX_LINE

if TYPE_CHECKING:
    from askew.cli.door import Consultation
    from askew.engine.seam import Turn


def lines(stream: IO[bytes], limit: int = MAX_LINE) -> Iterator[str | None]:
    """Yield the lines of a stream without their ends, None for one that is too long or not UTF-8.

    A line that is too long is read past in pieces, so that it never fills the memory.
    """
    while raw := stream.readline(limit + 1):
        if len(raw) > limit and not raw.endswith(b"\n"):
            while (more := stream.readline(limit)) and not more.endswith(b"\n"):
                pass
            yield None
            continue
        try:
            yield raw.decode().rstrip("\r\n")
        except UnicodeDecodeError:
            yield None


def converse(consultation: Consultation, stream: IO[bytes], answer: Callable[[Turn], None]) -> Turn:
    """Give the case as it stands, then one answer for every line of the stream; return the last.

    `answer` must have shown its Turn for good when it returns: that is what acknowledges the line.
    """
    turn = consultation.now()
    answer(turn)
    for line in lines(stream):
        turn = refused(consultation) if line is None else consultation.say(line)
        answer(turn)
    return turn


def refused(consultation: Consultation) -> Turn:
    """Return the case as it stands with the error that a line was unreadable."""
    from askew.engine.seam import ErrorOut

    error = ErrorOut(
        message=f"The line is longer than {MAX_LINE // 1024} KiB or is not UTF-8 text.",
        hint="Send one shorter line of UTF-8 text or one JSON object.",
    )
    return consultation.now().model_copy(update={"error": error, "heard": [], "unread": []})
