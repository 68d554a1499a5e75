"""A grid of characters to draw on, and what the drawings share."""

from __future__ import annotations

from collections.abc import Sequence

NARROW = 60
"""Below this many columns a picture gives way to its numbers."""


class Canvas:
    """Rows and columns of single characters; what is put outside is left out."""

    def __init__(self, columns: int, rows: int) -> None:
        """Begin with an empty grid."""
        self.columns = columns
        self.rows = rows
        self._cells = [[" "] * columns for _ in range(rows)]

    def put(self, column: int, row: int, text: str) -> None:
        """Put text with its first character at a place."""
        if 0 <= row < self.rows:
            for k, char in enumerate(text, column):
                if 0 <= k < self.columns:
                    self._cells[row][k] = char

    def at(self, column: int, row: int) -> str:
        """Return what stands at a place."""
        return self._cells[row][column]

    def across(self, row: int, char: str) -> None:
        """Draw a line over empty cells of a row."""
        for column in range(self.columns):
            if self._cells[row][column] == " ":
                self._cells[row][column] = char

    def down(self, column: int, char: str) -> None:
        """Draw a line over empty cells of a column."""
        for cells in self._cells:
            if 0 <= column < self.columns and cells[column] == " ":
                cells[column] = char

    def lines(self) -> list[str]:
        """Return the rows, spaces at their ends left out."""
        return ["".join(row).rstrip() for row in self._cells]


def stacked(rows: Sequence[tuple[str, str]]) -> list[str]:
    """Return label and value pairs, one a line, for where there is no room to draw."""
    return [f"{label}: {value}" if label else value for label, value in rows]


def aligned(rows: Sequence[tuple[str, str]], width: int) -> list[str]:
    """Return label and value pairs in two columns; a value too long for its line goes on below."""
    label_width = min(max((len(label) for label, _ in rows), default=0), width // 2)
    out: list[str] = []
    for label, value in rows:
        for first, piece in enumerate(wrapped(value, width - label_width - 2)):
            out.append(f"{label if not first else '':<{label_width}}  {piece}".rstrip())
    return out


def wrapped(text: str, width: int) -> list[str]:
    """Return a text in lines of at most `width` characters."""
    import textwrap  # 5 ms, and not needed for `--help`

    return textwrap.wrap(text, max(width, 8)) or [""]
