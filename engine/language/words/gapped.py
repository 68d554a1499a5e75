"""Rows of words with gaps between, found in a message: "turned .. part .. quarter"."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

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


class Rows(Generic[_T]):
    """What many rows tell, kept by the words that a row may begin with: only few are tried at a place.

    Args:
        told: Each row, and what it tells.
    """

    def __init__(self, told: Iterable[tuple[Row, _T]]) -> None:
        """Sort the rows by their first words, each with those of its second step."""
        self._begins: dict[str, list[tuple[frozenset[str], bool, Row, _T]]] = {}
        for way, one in told:
            second, gap = way.steps[1] if len(way.steps) > 1 else (frozenset[str](), False)
            for word in way.steps[0][0]:
                self._begins.setdefault(word, []).append((second, gap, way, one))

    def found_in(self, words: Sequence[str]) -> Iterator[tuple[_T, tuple[int, ...]]]:
        """Yield what the rows tell that are found in a message, with the places of their words; stops stand as "".

        They come by the place where they begin, those of one place in the order that they were told in.
        """
        for start, word in enumerate(words):
            begun = self._begins.get(word)
            if begun is None:
                continue
            beside, near = words[start + 1 : start + 2], words[start + 1 : start + GAP + 2]
            for second, gap, way, one in begun:
                if second and second.isdisjoint(near if gap else beside):
                    continue  # most rows end here
                places = found(way, words, start)
                if places is not None:
                    yield one, places

    def first_in(self, words: Sequence[str]) -> Iterator[tuple[int, ...]]:
        """Yield the places of the words of a row for each place where one begins, of the first one told."""
        seen = -1
        for _, places in self.found_in(words):
            if places[0] != seen:
                seen = places[0]
                yield places

    def anywhere(self, words: Sequence[str]) -> bool:
        """Tell whether any row is found in a message."""
        return any(True for _ in self.found_in(words))


def found(wanted: Row, words: Sequence[str], start: int) -> tuple[int, ...] | None:
    """Return the places of the words of a row that begins at `start`, None where it does not; stops stand as ""."""
    if words[start] not in wanted.steps[0][0]:
        return None
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
