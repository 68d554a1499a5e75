"""Where the lines of a chat come from: a full prompt, or one line at a time for a screen reader."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Sequence
from pathlib import Path
from types import ModuleType
from typing import Any, Protocol

from askew.cli.chat.completing import offers
from askew.cli.chat.words import Saying
from askew.engine.safe import safe

PROMPT = "> "


class Reader(Protocol):
    """Gives what the person types."""

    def read(self, begun: str = "") -> str:
        """Return the next message, begun with what was typed already; raises EOFError when the person leaves."""

    def typed_ahead(self) -> bool:
        """Tell whether more was read from the terminal already than the last message."""

    def set_suggestions(self, on: bool) -> None:
        """Turn the suggestions on or off."""

    def refresh(self) -> None:
        """Show the status line anew; may be called from any thread."""

    def call(self, show: Callable[[], str]) -> None:
        """Run something that prints, from another thread, without harm to the line being typed."""


class LinearReader:
    """Reads with the terminal's own line editing: nothing is redrawn, nothing pops up."""

    def __init__(self, history: Path | None, sayings: Callable[[], Sequence[Saying]]) -> None:
        """Use a history file, or none, and complete from what can be said."""
        self._history = history
        self._readline: ModuleType | None = None
        with contextlib.suppress(ImportError):  # Windows has none; typing works all the same
            import readline

            self._readline = readline
            _set_up(readline, history, sayings)

    def read(self, begun: str = "") -> str:  # noqa: ARG002  (nothing is stopped here, so nothing is begun)
        """Return the next line; Ctrl-C clears it and begins again."""
        while True:
            try:
                line = safe(input(PROMPT))
            except KeyboardInterrupt:
                print("\nLine cleared. Ctrl-D leaves.")  # noqa: T201
                continue
            if self._readline is not None and self._history is not None and line.strip():
                with contextlib.suppress(OSError, AttributeError):
                    self._readline.append_history_file(1, self._history)
            return line

    def typed_ahead(self) -> bool:
        """Say no: a line is read at a time."""
        return False

    def set_suggestions(self, on: bool) -> None:
        """Suggestions would be read aloud as if typed, so there are none here."""

    def refresh(self) -> None:
        """There is no status line here."""

    def call(self, show: Callable[[], str]) -> None:
        """Print at once; nothing else runs while this reader waits."""
        show()


def _set_up(readline: Any, history: Path | None, sayings: Callable[[], Sequence[Saying]]) -> None:
    if history is not None:
        with contextlib.suppress(OSError):
            readline.read_history_file(history)
    found: list[str] = []

    def complete(_text: str, number: int) -> str | None:
        if number == 0:
            before = readline.get_line_buffer()[: readline.get_endidx()]
            found[:] = [
                before[: len(before) - offer.replaces] + offer.text
                for offer in offers(before, sayings(), asked=True)
            ]
        return found[number] if number < len(found) else None

    readline.set_completer_delims("")
    readline.set_completer(complete)
    readline.parse_and_bind("tab: complete")
