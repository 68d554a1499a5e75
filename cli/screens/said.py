"""Text that the engine has put into words: filled to the width, drawings and lists left in shape."""

from __future__ import annotations

import re
from collections.abc import Sequence

from askew.cli.lines import BLANK, Line, Span, cells, heading, wrap
from askew.cli.view import View
from askew.engine.remedies.parts import HEADINGS
from askew.engine.safe import safe

_MARK = re.compile(r"(?:[-*]|\d{1,2}[.)]) ")


def said_lines(says: Sequence[str], view: View) -> list[Line]:
    """Return lines of text with an empty line before them; nothing where nothing is said."""
    lines: list[Line] = []
    for text in says:
        if text in HEADINGS:  # a part of a remedy
            lines += heading(text, view)
            continue
        for part in safe(text, lines=True).split("\n"):
            lines += paragraph(part, view)
    return [BLANK, *lines] if lines else []


def paragraph(text: str, view: View) -> list[Line]:
    """Return one line of text filled to the width; indentation and list marks hang, drawings stay."""
    clean = safe(text).rstrip()
    if not clean:
        return [BLANK]
    if is_drawn(clean) and cells(clean) <= view.width:
        return [(Span(clean),)]
    text = clean.lstrip()
    indent = min(len(clean) - len(text), 8)
    mark = _MARK.match(text)
    return wrap(text, view, indent=indent, hang=indent + (mark.end() if mark else 0))


def drawn_lines(rows: Sequence[str], view: View) -> list[Line]:
    """Return a picture with the numbers under it: what fits as it is, and a sentence that does not filled."""
    lines: list[Line] = []
    for row in rows:
        text = safe(row).rstrip()
        indent = min(len(text) - len(text.lstrip()), 8)
        fits = cells(text) <= view.width
        lines += [(Span(text),)] if fits else wrap(text.lstrip(), view, indent=indent, hang=indent + 2)
    return lines


def is_drawn(text: str) -> bool:
    """Say whether the spaces inside a line carry meaning."""
    return "   " in text.strip()
