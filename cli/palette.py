"""The colours of the styles.

Each is a colour of the common 256-colour palette with a contrast of at least 4.5 to 1 both on black and on
white (WCAG 2.1, success criterion 1.4.3), because nobody knows which of the two the terminal has.
"""

from __future__ import annotations

from askew.cli.lines import Style

COLOURS: dict[Style, tuple[int, int, int]] = {
    "accent": (0x5F, 0x5F, 0xFF),
    "good": (0x00, 0x87, 0x5F),
    "warn": (0xAF, 0x5F, 0x5F),
    "dim": (0x76, 0x76, 0x76),
}
BOLD: frozenset[Style] = frozenset({"title", "strong", "warn"})


def rich_style(style: Style, *, colours: bool) -> str:
    """Return a style in the words of rich; without colours only bold is left."""
    words = ["bold"] if style in BOLD else []
    if colours and style in COLOURS:
        words.append("#{:02x}{:02x}{:02x}".format(*COLOURS[style]))
    return " ".join(words)


PROMPT_STYLE: dict[str, str] = {
    "bottom-toolbar": "reverse",
    "completion-menu": "bg:#dddddd #000000",
    "completion-menu.completion": "bg:#dddddd #000000",
    "completion-menu.completion.current": "noreverse bg:#000000 #ffffff bold",
    "completion-menu.meta.completion": "bg:#cccccc #000000",
    "completion-menu.meta.completion.current": "noreverse bg:#000000 #ffffff",
    "auto-suggestion": "#767676",
}
"""Styles of the prompt itself: black on light grey or the reverse, and the grey of `COLOURS`."""
