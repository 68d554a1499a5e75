"""The lines typed before: on the disk as soon as one is entered, for recall and search."""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path

from platformdirs import user_data_path
from prompt_toolkit.history import FileHistory, History, InMemoryHistory

from askew.engine.safe import safe

MOST = 5000
"""Lines that recall goes back."""


class LineHistory(FileHistory):
    """History in a private file, written after every line; harmless where the file fails or is odd."""

    def load_history_strings(self) -> Iterable[str]:
        """Yield the lines, the newest first, each made safe to show."""
        try:
            for number, text in enumerate(super().load_history_strings()):
                if number >= MOST:
                    return
                yield safe(text, lines=True)
        except OSError:
            return

    def store_string(self, string: str) -> None:
        """Append a line to the file; a file that cannot be written costs the history and nothing else."""
        try:
            super().store_string(string)
        except OSError:
            return


def history_file() -> Path | None:
    """Return the private file of lines typed, made if absent; None where its folder refuses."""
    from askew.engine.record.private import NotWritten, private_file, private_folder

    folder = Path(os.environ.get("ASKEW_HOME") or user_data_path("askew", appauthor=False)).expanduser()
    try:
        private_folder(folder)
        return private_file(folder / "lines-typed")
    except NotWritten:
        return None


def open_history(*, keep: bool) -> History:
    """Return the history, in memory where it is not to be kept or cannot be."""
    path = history_file() if keep else None
    return InMemoryHistory() if path is None else LineHistory(str(path))
