"""What lies ready at the bench besides instruments: cutters for facing and leaves to make up shims from.

A cutter is kept as a short text, "76.2 mm face_mill carbide 5 teeth", so that it goes through a case file, the
scriptable seam and a settings file as one plain value and still says what it is.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from askew.engine.units import Habit, format_span

KINDS = ("end_mill", "face_mill", "shell_mill", "fly_cutter")
"""Cutters that can face."""
SMALLEST, LARGEST = 0.5, 1000.0
"""Diameters that a cutter may have, mm."""
EXAMPLES = ["76.2 mm face_mill", "12.7 mm end_mill carbide 4 teeth"]
"""Cutters as they are kept."""
MOST = 40
"""Cutters, or leaves, that a bench may be said to hold."""

_MM = re.compile(r"([0-9]{1,4}(?:\.[0-9]{1,6})?) ?mm")


class CutterError(ValueError):
    """Words that name no cutter; the message is one sentence for a person."""


@dataclass(frozen=True, slots=True)
class Cutter:
    """A cutter on hand.

    Attributes:
        diameter: mm.
        kind: One of `KINDS`.
        teeth: Number of teeth; None: not told.
        carbide: Carbide rather than high-speed steel.
    """

    diameter: float
    kind: str = "end_mill"
    teeth: int | None = None
    carbide: bool = False

    def kept(self) -> str:
        """Return it as the text that is kept."""
        more = [" carbide"] if self.carbide else []
        more += [f" {self.teeth} teeth"] if self.teeth is not None else []
        return f"{round(self.diameter, 4):g} mm {self.kind}{''.join(more)}"

    def words(self, habit: Habit | None) -> str:
        """Return it as people say it: "3 in face mill, carbide, 5 teeth"."""
        more = [", carbide"] if self.carbide else []
        more += [f", {self.teeth} {'tooth' if self.teeth == 1 else 'teeth'}"] if self.teeth is not None else []
        return f"{format_span(self.diameter, habit)} {self.kind.replace('_', ' ')}{''.join(more)}"


def read_cutter(text: str, length: Callable[[str], float]) -> Cutter:
    """Return the cutter that some words name: a diameter, and perhaps a kind, carbide, and a number of teeth.

    Args:
        text: Like "3in face_mill carbide" or "20mm end mill 4 teeth".
        length: Reads the diameter, mm; what it raises goes through.

    Raises:
        CutterError: The words name no cutter, or its size or number of teeth cannot be.
    """
    kind, carbide, teeth, rest = "end_mill", False, None, []
    words = text[:80].lower().replace("-", "_").split()
    while words:
        word = words.pop(0)
        if word in KINDS:
            kind = word
        elif words and f"{word}_{words[0]}" in KINDS:
            kind = f"{word}_{words.pop(0)}"
        elif word in ("carbide", "hss"):
            carbide = word == "carbide"
        elif word.isascii() and word.isdigit() and words and words[0] in ("teeth", "tooth", "flutes", "flute"):
            teeth, _ = int(word[:6]), words.pop(0)
        else:
            rest.append(word)
    if not rest:
        raise CutterError(f"{text[:80]!r} names no cutter; write its diameter and kind, like 3in face_mill.")
    diameter = length(" ".join(rest))
    if not SMALLEST <= diameter <= LARGEST:
        raise CutterError(f"{diameter:g} mm is no diameter of a cutter: from {SMALLEST:g} to {LARGEST:g} mm.")
    if teeth is not None and not 1 <= teeth <= 60:
        raise CutterError(f"A cutter has from 1 to 60 teeth, not {teeth}.")
    return Cutter(diameter, kind, teeth, carbide)


def kept_cutter(text: str) -> Cutter:
    """Return the cutter that `Cutter.kept` wrote.

    Raises:
        CutterError: The text is none.
    """
    return read_cutter(text, _mm)


def _mm(text: str) -> float:
    found = _MM.fullmatch(text)
    if found is None:
        raise CutterError(f"{text[:40]!r} is no diameter in mm, like 76.2 mm.")
    return float(found[1])


def listed_words(listed: Iterable[str | float], habit: Habit | None) -> str | None:
    """Return cutters or leaves as people say them: "3 in face mill; 0.5 in end mill", "1, 2, 5 and 10 thou".

    None for anything else, such as the names of instruments.
    """
    items = list(listed)
    if not items:
        return "none"
    sizes = [item for item in items if isinstance(item, int | float)]
    if len(sizes) == len(items):
        return _leaves(sorted(sizes), habit)
    try:
        return "; ".join(kept_cutter(str(text)).words(habit) for text in items)
    except CutterError:
        return None


def _leaves(sizes: list[float], habit: Habit | None) -> str:
    unit, one = ("thou", 0.0254) if habit == "in" else ("mm", 1.0)
    *before, last = (f"{round(size / one, 3):g}" for size in sizes)
    return f"{', '.join(before)} and {last} {unit}" if before else f"{last} {unit}"
