"""Lines of styled text: how screens are made, before any terminal is involved.

A line is a tuple of spans, a span a style's name and a text. Widths are counted in terminal cells, so that
wide characters in a person's own words do not push a line over the edge.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from wcwidth import wcswidth, wcwidth

from askew.cli.view import View
from askew.engine.safe import safe

Style = Literal["", "title", "strong", "accent", "good", "warn", "dim"]


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of text in one style."""

    text: str
    style: Style = ""


Line = tuple[Span, ...]
BLANK: Line = ()
TIE = "\u00a0"
"""Between a number and what it counts or names, so that no line ends there; shown as a space."""


def span(text: str, style: Style = "") -> Span:
    """Return a span of text made safe to show."""
    return Span(safe(text), style)


def plain(line: Line) -> str:
    """Return a line's bare text."""
    return "".join(part.text for part in line)


def cells(text: str) -> int:
    """Return how many terminal cells a text takes."""
    if text.isascii():
        return len(text)
    return max(0, wcswidth(text))


def wrap(
    parts: str | Span | Sequence[Span],
    view: View,
    *,
    indent: int = 0,
    hang: int | None = None,
    style: Style = "",
) -> list[Line]:
    """Fill text into lines no wider than the view, broken between words only.

    Args:
        parts: A text (made safe here) or spans.
        view: Gives the width.
        indent: Cells before the first line.
        hang: Cells before the others; as `indent` where it is not given.
        style: The style of a bare text.
    """
    spans = [span(parts, style)] if isinstance(parts, str) else [parts] if isinstance(parts, Span) else parts
    later = indent if hang is None else hang
    lines: list[Line] = []
    current: list[Span] = []
    used = indent
    start = indent
    for word in _kept_together(_words(spans)):
        space = 1 if current and word.gap else 0
        for piece in _fitting(word.spans, view.width - later):
            size = sum(cells(part.text) for part in piece)
            if current and used + space + size > view.width:
                lines.append(_join(start, current))
                current, used, start, space = [], later, later, 0
            if space:
                current.append(Span(" ", _common(current[-1], piece[0])))
            current.extend(piece)
            used += space + size
            space = 0
    if current:
        lines.append(_join(start, current))
    return lines


def bullet(parts: str | Span | Sequence[Span], view: View, *, mark: str = "-", indent: int = 2) -> list[Line]:
    """Return a list item: a mark, and text that hangs under itself."""
    spans = [span(parts)] if isinstance(parts, str) else [parts] if isinstance(parts, Span) else list(parts)
    return wrap([Span(f"{mark} "), *spans], view, indent=indent, hang=indent + len(mark) + 1)


def labelled(label: str, value: str | Span, view: View, *, indent: int = 2, column: int = 22) -> list[Line]:
    """Return a label and its value: side by side where there is room, else one under the other."""
    shown = span(value) if isinstance(value, str) else value
    if view.linear or (view.stacked and cells(label) + cells(shown.text) + indent + 2 <= view.width):
        return wrap([Span(f"{label}: ", "dim"), shown], view, indent=indent)
    if view.stacked or cells(label) > column - 1:
        return [
            *wrap(Span(label, "dim"), view, indent=indent),
            *wrap(shown, view, indent=indent + 2),
        ]
    first, *rest = wrap(shown, replace(view, width=view.width - indent - column)) or [BLANK]
    start = Span(" " * indent + label + " " * (column - cells(label)), "dim")
    return [(start, *first), *((Span(" " * (indent + column)), *line) for line in rest)]


def bar(fraction: float, view: View, *, width: int = 10) -> Span:
    """Return a bar for a fraction from 0 to 1; the number stands beside it wherever it is used.

    What works against the error is drawn with minus signs.
    """
    full = max(0, min(width, round(abs(fraction) * width)))
    solid, empty = ("#", ".") if view.ascii else ("\u2588", "\u2591")
    solid = solid if fraction >= 0 else "-"
    return Span(solid * full + empty * (width - full), "accent")


def heading(text: str, view: View, note: str = "") -> list[Line]:
    """Return a screen's heading, with an empty line before it."""
    parts = [span(text, "title")]
    if note:
        parts += [Span("  "), span(note, "dim")]
    return [BLANK, *wrap(parts, view)]


def shorten(text: str, most: int) -> str:
    """Return a text cut between words to at most `most` cells, with three dots where something is missing."""
    clean = safe(text)
    if cells(clean) <= most:
        return clean
    kept = ""
    for word in clean.split():
        longer = f"{kept} {word}".strip()
        if cells(longer) + 4 > most:
            break
        kept = longer
    return f"{kept} ...".strip()


@dataclass(frozen=True, slots=True)
class _Word:
    spans: tuple[Span, ...]
    gap: bool


def _words(spans: Iterable[Span]) -> Iterable[_Word]:
    """Yield words; one may run over several spans ("(" in one style, the number in another)."""
    current: list[Span] = []
    gap = False
    for part in spans:
        for number, piece in enumerate(part.text.split(" ")):
            if number > 0:
                if current:
                    yield _Word(tuple(current), gap)
                    current = []
                gap = True
            if piece:
                current.append(Span(piece, part.style))
    if current:
        yield _Word(tuple(current), gap)


_NUMBER = re.compile(r"[(~]?[+-]?[0-9][0-9./,]*")
_UNIT = re.compile(r"(?:thou|tenths?|in|mm|min|h|deg|mrad)\b[^\w]*")


def _kept_together(words: Iterable[_Word]) -> Iterable[_Word]:
    """Yield words with a number and its unit as one, so that no line ends between them."""
    held: _Word | None = None
    for word in words:
        text = "".join(part.text for part in word.spans)
        if held is not None:
            if word.gap and _UNIT.fullmatch(text):
                joint = Span(" ", _common(held.spans[-1], word.spans[0]))
                yield _Word((*held.spans, joint, *word.spans), held.gap)
                held = None
                continue
            yield held
        held = word if _NUMBER.fullmatch(text) else None
        if held is None:
            yield word
    if held is not None:
        yield held


def _fitting(word: tuple[Span, ...], room: int) -> list[tuple[Span, ...]]:
    """Return the word whole, or in pieces where no line could ever hold it."""
    if sum(cells(part.text) for part in word) <= room:
        return [word]
    pieces: list[tuple[Span, ...]] = []
    for part in word:
        text, used = "", 0
        for char in part.text:
            size = max(0, wcwidth(char))
            if used + size > room:
                pieces.append((Span(text, part.style),))
                text, used = "", 0
            text, used = text + char, used + size
        if text:
            pieces.append((Span(text, part.style),))
    return pieces


def _join(indent: int, parts: list[Span]) -> Line:
    merged: list[Span] = [Span(" " * indent)] if indent else []
    for tied in parts:
        part = Span(tied.text.replace(TIE, " "), tied.style)
        if merged and merged[-1].style == part.style:
            merged[-1] = Span(merged[-1].text + part.text, part.style)
        else:
            merged.append(part)
    return tuple(merged)


def _common(left: Span, right: Span) -> Style:
    return left.style if left.style == right.style else ""
