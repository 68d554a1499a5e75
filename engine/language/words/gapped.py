"""Rows of words with gaps between, found in a message: "turned .. part .. quarter"."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeVar

GAP = 5
"""So many other words may stand where a row has a gap."""


@dataclass(frozen=True, slots=True)
class Row:
    """Words in their order: each step holds the words that may stand there, and whether others may stand before it."""

    steps: tuple[tuple[frozenset[str], bool], ...]


def row(text: str, classes: Mapping[str, frozenset[str]]) -> Row:
    """Return a row as written, "lock_word .. slide now|since", the names of classes replaced by their words."""
    steps: list[tuple[frozenset[str], bool]] = []
    gap = False
    for part in text.split():
        if part == "..":
            gap = True
            continue
        words = frozenset[str]().union(*(classes.get(name, frozenset((name,))) for name in part.split("|")))
        steps.append((words, gap))
        gap = False
    return Row(tuple(steps))


_T = TypeVar("_T")


def by_first(told: Iterable[tuple[Row, _T]]) -> Mapping[str, tuple[_T, ...]]:
    """Return what rows tell by each word that one may begin with, in their order: only few are tried at a place."""
    begins: dict[str, list[_T]] = {}
    for way, one in told:
        for word in way.steps[0][0]:
            begins.setdefault(word, []).append(one)
    return {word: tuple(ways) for word, ways in begins.items()}


def found(wanted: Row, words: Sequence[str], start: int) -> tuple[int, ...] | None:
    """Return the places of the words of a row that begins at `start`, None where it does not; stops stand as ""."""
    if words[start] not in wanted.steps[0][0]:
        return None
    if len(wanted.steps) > 1 and wanted.steps[1][0].isdisjoint(words[start + 1 : start + GAP + 2]):
        return None  # most rows end here
    reached: dict[int, tuple[int, ...]] = {start + 1: (start,)}
    for allowed, gap in wanted.steps[1:]:
        after: dict[int, tuple[int, ...]] = {}
        for end, places in reached.items():
            for at in range(end, min(len(words), end + (GAP if gap else 0) + 1)):
                if not words[at]:
                    break
                if words[at] in allowed:
                    after.setdefault(at + 1, (*places, at))
        reached = after
    return reached[min(reached)] if reached else None
