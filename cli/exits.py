"""What the program's exit status says; the manual page and the help print this table."""

from __future__ import annotations

OK = 0
REFUSED = 1
USAGE = 2
NO_CASE = 3
NOT_SAVED = 4
INTERRUPTED = 130
READER_GONE = 141

MEANING: dict[int, str] = {
    OK: "done",
    REFUSED: "it could not be done; one sentence on the error output says why",
    USAGE: "the command line or the configuration is wrong",
    NO_CASE: "the case or record file cannot be used; it was left as it was",
    NOT_SAVED: "the talk ended with something that is not on the disk",
    INTERRUPTED: "interrupted by Ctrl-C outside the chat",
    READER_GONE: "whatever read the output went away",
}
"""Every exit status and its meaning."""


class Refusal(Exception):
    """Something that cannot be done, as one sentence for a person.

    Attributes:
        status: The exit status that goes with it.
    """

    def __init__(self, sentence: str, status: int = REFUSED) -> None:
        """Carry the sentence and the exit status."""
        super().__init__(sentence)
        self.status = status
