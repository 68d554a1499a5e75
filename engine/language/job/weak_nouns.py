"""Nouns that are too little by themselves: the "in x" of no run, the "along" of no width, the "moved" of no pass."""

from __future__ import annotations

from collections.abc import Iterable, Set
from dataclasses import dataclass
from functools import cache

from askew.engine.language.clauses.message import Message
from askew.engine.language.words.phrase_forms import Spot
from askew.engine.language.words.stems import stems_of
from askew.engine.language.words.word_tables import items, table


@dataclass(frozen=True, slots=True)
class _Weak:
    """Nouns of one length that need more said in the message; a section `weak` of setup.toml.

    Attributes:
        words: The stems of each noun, a "the" among them left out.
        needs: Stems or names of phrases, one of which must be there.
        never: Stems or names of phrases that must not be there.
        never_before: Words that must not follow.
    """

    words: frozenset[tuple[str, ...]]
    needs: frozenset[str]
    never: frozenset[str]
    never_before: frozenset[str]

    def holds(self, said: Set[str], following: str) -> bool:
        """Tell whether enough is said beside one of these nouns."""
        return bool(self.needs & said) and not self.never & said and following not in self.never_before


def _without_the(stems: Iterable[str]) -> tuple[str, ...]:
    return tuple(stem for stem in stems if stem not in ("the", ""))


@cache
def _rows() -> dict[str, tuple[_Weak, ...]]:
    """Return the weak nouns of each length."""
    rows: dict[str, tuple[_Weak, ...]] = {}
    for row in table("setup.toml")["weak"].values():
        words = frozenset(_without_the(stems_of(word)) for word in items(row["words"]))
        made = _Weak(words, *(frozenset(items(row.get(name, ""))) for name in ("needs", "never", "never_before")))
        for key in items(row["keys"]):
            rows[key] = (*rows.get(key, ()), made)
    return rows


def too_little(message: Message, noun: Spot, key: str, asked: str | None) -> bool:
    """Tell whether a noun tells no length here, since what would have to be said beside it is not.

    Args:
        message: The message.
        noun: The noun.
        key: The length that it names.
        asked: The setup key that was asked for, if any: it need not be said again.
    """
    stems = _without_the(message.words.get(at, "") for at in range(noun.start, noun.end))
    rows = [row for row in _rows().get(key, ()) if stems in row.words]
    if not rows:
        return False
    said = message.word_set | message.all_names | ({f"asked:{asked}"} if asked else set())
    place = noun.start, noun.end
    own = {spot.name for spot in message.spots_in(*place) if (spot.start, spot.end) == place}
    if any(own & (row.needs | row.never) for row in rows):  # "the other way" is no width beside itself
        beside = {spot.name for spot in message.spots if (spot.start, spot.end) != place}
        said = said - own | (own & beside)
    return not any(row.holds(said, message.text_at(noun.end)) for row in rows)
