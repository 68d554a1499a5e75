"""Putting lines on a stream: plain text, or styled through rich on a terminal that can."""

from __future__ import annotations

import sys
import unicodedata
from collections.abc import Sequence
from typing import TextIO

from askew.cli.lines import Line, plain
from askew.cli.view import View

_ASCII = str.maketrans(
    {
        "\u00b1": "+-",
        "\u00b0": " deg",
        "\u00b5": "u",
        "\u03bc": "u",
        "\u00d7": "x",
        "\u00f7": "/",
        "\u2212": "-",
        "\u2013": "-",
        "\u2014": "-",
        "\u2018": "'",
        "\u2019": "'",
        "\u201c": '"',
        "\u201d": '"',
        "\u2026": "...",
        "\u2264": "<=",
        "\u2265": ">=",
        "\u00bd": "1/2",
        "\u00bc": "1/4",
        "\u00be": "3/4",
        "\u00b2": "^2",
        "\u00b3": "^3",
        "\u2588": "#",
        "\u2591": ".",
    }
)


def to_ascii(text: str) -> str:
    """Return a text in ASCII: shop symbols spelt out, accents dropped, the rest as question marks."""
    if text.isascii():
        return text
    spelt = unicodedata.normalize("NFKD", text.translate(_ASCII))
    bare = "".join(char for char in spelt if not unicodedata.combining(char))
    return bare.encode("ascii", "replace").decode()


def encodable(text: str, encoding: str) -> str:
    """Return a text that a stream's encoding can take, with the nearest ASCII where it cannot."""
    try:
        text.encode(encoding)
    except (UnicodeEncodeError, LookupError):
        return "".join(_encodable(char, encoding) for char in text)
    return text


def _encodable(char: str, encoding: str) -> str:
    try:
        char.encode(encoding)
    except (UnicodeEncodeError, LookupError):
        return to_ascii(char)
    return char


def emit(lines: Sequence[Line], view: View, out: TextIO | None = None) -> None:
    """Write lines and flush. Colour only where the view has it."""
    stream = out or sys.stdout
    if view.colour:
        _emit_rich(lines, view, stream)
    else:
        encoding = stream.encoding or "ascii"
        for line in lines:
            text = to_ascii(plain(line)) if view.ascii else encodable(plain(line), encoding)
            stream.write(text.rstrip() + "\n")
    stream.flush()


def _emit_rich(lines: Sequence[Line], view: View, stream: TextIO) -> None:
    from rich.console import Console  # 25 ms, and only on a terminal with colour
    from rich.text import Text

    from askew.cli.palette import rich_style

    console = Console(file=stream, force_terminal=True, width=view.width + 1, highlight=False, emoji=False)
    # With sixteen colours or fewer the terminal's own palette decides, and nobody has measured its contrast.
    colours = console.color_system in ("256", "truecolor")
    encoding = stream.encoding or "ascii"
    for line in lines:
        text = Text(no_wrap=True, overflow="ignore", end="\n")
        for part in line:
            shown = to_ascii(part.text) if view.ascii else encodable(part.text, encoding)
            text.append(shown, rich_style(part.style, colours=colours))
        console.print(text, soft_wrap=True, markup=False)
