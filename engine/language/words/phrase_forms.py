"""Phrases of the lexicon: their stems and their slots, and where one is found in a message."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache

from askew.engine.language.words.stems import stems_of
from askew.engine.language.words.word_tables import items, table

Slot = Mapping[str, tuple[tuple[str, ...], ...]]
"""What may stand in a slot of a phrase: stems by the first of them; with the key "" it may stand empty."""


@dataclass(frozen=True, slots=True)
class Phrase:
    """A phrase of the lexicon: its stems, slots among them, its room and what it stands for."""

    parts: tuple[str | Slot, ...]
    room: str
    name: str
    plain: tuple[str, ...] | None


CONCEPT = "concept:"
"""What the names of words begin with that tell what the assistant is asked for."""


@dataclass(frozen=True, slots=True)
class Spot:
    """A phrase found in a message: what it stands for, and its first and after-last token."""

    name: str
    start: int
    end: int


@cache
def _macros() -> Mapping[str, tuple[str, ...]]:
    """Return what the names in braces stand for in phrases."""
    return {name: tuple(items(text)) for name, text in table("words.toml")["macros"].items()}


@cache
def _slots() -> Mapping[str, Slot]:
    """Return the phrases of each name in braces by their first stem."""
    made: dict[str, Slot] = {}
    for name, phrases in _macros().items():
        slot: dict[str, list[tuple[str, ...]]] = {}
        for phrase in phrases:
            stems = stems_of(phrase)
            slot.setdefault(stems[0], []).append(stems)
        made[name] = {first: tuple(dict.fromkeys(found)) for first, found in slot.items()}
    return made


def _parts(phrase: str) -> tuple[str | Slot, ...]:
    """Return the stems of a phrase, with what may stand in each slot; "{name?}" may stand empty."""
    parts: list[str | Slot] = []
    while phrase:
        before, brace, rest = phrase.partition("{")
        parts.extend(stems_of(before))
        name, _, phrase = rest.partition("}") if brace else ("", "", "")
        if brace:
            slot = _slots()[name.removesuffix("?")]
            parts.append({**slot, "": ()} if name.endswith("?") else slot)
    return tuple(parts)


_OPTIONAL = re.compile(r"\{(\w+)\?\}")


def _with_each_slot(phrase: str) -> Iterable[str]:
    """Yield a phrase with and without each of its slots that may be left empty: "{cut} {it?} again"."""
    found = _OPTIONAL.search(phrase)
    if found is None:
        yield phrase
        return
    for inside in (f"{{{found[1]}}}", ""):
        yield from _with_each_slot(f"{phrase[: found.start()]}{inside}{phrase[found.end() :]}")


def _with_and_without_the(parts: tuple[str | Slot, ...]) -> Iterable[tuple[str | Slot, ...]]:
    """Yield a phrase as it stands, and without "the", which notes leave out: "up jaw", "in vise"."""
    yield parts
    bare = tuple(part for part in parts if part != "the")
    if 2 <= len(bare) < len(parts):
        yield bare


def forms_of(phrase: str) -> Iterable[tuple[str | Slot, ...]]:
    """Yield the stems and slots of a phrase in all its forms: empty slots left out, "the" left out."""
    for text in _with_each_slot(phrase):
        yield from _with_and_without_the(_parts(text))
