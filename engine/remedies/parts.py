"""A remedy in parts, each under a heading: what to do, what it shows, what it costs, what to beware of.

Light on purpose: the screens import it to know a heading when they see one.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

Part = tuple[str, tuple[str, ...]]
"""A heading and its sentences; what to do has no heading of its own."""

TO_DO = ""
HOLDING = "These hold, the quickest first"
CARRY_OUT = "How to cut the first"
NEAREST = "None holds; the nearest"
WORTH = "Worth it for a batch"
SHOWS = "What the cut will show"
COSTS = "What it costs"
BEWARE = "Beware"
ALONGSIDE = "In the same go"
ASSUMED = "Assumed"
PROOF = "What proves it"
CARE = "Take care"
REASONS = "What the rules make of it"

HEADINGS = frozenset(
    {REASONS, HOLDING, CARRY_OUT, NEAREST, WORTH, SHOWS, COSTS, BEWARE, ALONGSIDE, ASSUMED, PROOF, CARE}
)
_IN_ORDER = frozenset({TO_DO, HOLDING, CARRY_OUT})
"""Parts whose sentences are numbered: steps, and what is ranked."""


def laid_out(parts: Iterable[Part]) -> list[str]:
    """Return parts as lines: headings as they are, sentences with a number or a mark before them."""
    lines: list[str] = []
    for heading, sentences in parts:
        if not sentences:
            continue
        if not heading and len(sentences) == 1:
            lines += sentences
            continue
        lines += [heading] if heading else []
        lines += [f"{mark(heading, number)} {text}" for number, text in enumerate(sentences, 1)]
    return lines


def merged(parts: Iterable[Part]) -> list[Part]:
    """Return parts with those of one heading as one, each where its first stood."""
    together: dict[str, list[str]] = {}
    for heading, texts in parts:
        together.setdefault(heading, []).extend(texts)
    return [(heading, tuple(texts)) for heading, texts in together.items() if texts]


def differing(lines: Sequence[str], before: Sequence[str]) -> list[str]:
    """Return the lines of a layout that were not in the one before, each under its heading."""
    found: list[str] = []
    heading = ""
    for line in lines:
        if line in HEADINGS:
            heading = line
        elif line not in before:
            found += [heading, line] if heading else [line]
            heading = ""
    return found


def mark(heading: str, number: int) -> str:
    """Return what stands before a sentence of a part."""
    return f"{number}." if heading in _IN_ORDER else "-"


def sentences(parts: Sequence[Part]) -> tuple[str, ...]:
    """Return the sentences of parts without headings and marks."""
    return tuple(text for _, texts in parts for text in texts)
