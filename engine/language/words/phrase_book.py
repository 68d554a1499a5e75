"""Collects the phrases, the bits of words and the ways of saying while the lexicon is read."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from askew.engine.language.words.meanings import Meaning, Way
from askew.engine.language.words.phrase_forms import Phrase, forms_of
from askew.engine.language.words.word_tables import items


class PhraseBook:
    """Collects phrases and bits while the files are read."""

    def __init__(self) -> None:
        """Begin with the bits of what is no phrase: a quantity, and two whole sizes."""
        self.bits: dict[str, int] = {"qty": 1, "sizes": 2}
        self.phrases: dict[str, list[Phrase]] = {}
        self.vocabulary: set[str] = set()

    def bit(self, name: str) -> int:
        """Return the bit of a word, a new one if it has none yet."""
        return self.bits.setdefault(name, 1 << len(self.bits))

    def add(self, room: str, name: str, phrases: Iterable[str]) -> None:
        """Add the phrases of a room that stand for `name`, in all their forms."""
        for parts in (form for phrase in phrases for form in forms_of(phrase)):
            if not parts:
                continue
            plain = tuple(part for part in parts if isinstance(part, str))
            made = Phrase(parts, room, name, plain if len(plain) == len(parts) else None)
            for first in (parts[0],) if isinstance(parts[0], str) else parts[0]:
                self.phrases.setdefault(first, []).append(made)
            self.vocabulary.update(plain)
            for part in parts:
                if not isinstance(part, str):
                    self.vocabulary.update(word for found in part.values() for words in found for word in words)

    def way(self, text: str) -> Way:
        """Return a way of saying, as "hollow middle|centre ?x !y": what must, may and must not be there."""
        must: list[int] = []
        never = 0
        may: list[int] = []
        for term in text.split():
            if term[0] == "!":
                for name in term[1:].split("|"):
                    never |= self.bit(name)
                continue
            mask = 0
            for name in term.lstrip("?").split("|"):
                mask |= self.bit(name)
            (may if term[0] == "?" else must).append(mask)
        return Way(tuple(must), never, tuple(may))

    def ways(self, texts: Iterable[str]) -> tuple[Way, ...]:
        """Return several ways of saying, in the order given."""
        return tuple(self.way(text) for text in texts)


def read_meaning(book: PhraseBook, name: str, kind: str, row: Mapping[str, Any]) -> Meaning:
    """Return a meaning from its row of a table; its words get their bits in the book."""
    return Meaning(
        id=name,
        kind=kind,
        when=book.ways([*row["when"], *row.get("also", ())]),
        plus=book.ways(row.get("plus", ())),
        minus=book.ways(row.get("minus", ())),
        yes=book.ways(row.get("yes", ())),
        no=book.ways(row.get("no", ())),
        ends=tuple(row.get("ends", ())),
        size=bool(row.get("size", False)),
        default=str(row.get("default", "")),
        places=tuple(
            (place, tuple(found))
            for part in ("places", "otherwise")
            for place, found in row.get(part, {}).items()
        ),
        none=str(row.get("none", "")),
        members=tuple(row.get("members", ())),
        zero=book.ways(row.get("zero", ())),
        complaint=bool(row.get("complaint", False)),
        turned_round=bool(row.get("turned_round", False)),
        about=sum(book.bit(word) for word in row.get("about", ())),
        most=float(row.get("most", 0.0)),
    )


def add_setup(book: PhraseBook, rows: Mapping[str, Any]) -> None:
    """Add the phrases that tell of the setup: lengths, choices, instruments, hollow sections and zeros."""
    for key, text in rows["lengths"].items():
        book.add("lengths", f"length:{key}", items(text))
    for key, choices in rows["choices"].items():
        for choice, text in choices.items():
            book.add(f"choice:{key}", f"choice:{key}={choice}", items(text))
    for name, text in rows["instruments"].items():
        book.add("instruments", f"tool:{name}", items(text))
    book.add("hollow", "hollow_section", items(rows["hollow_section"]["words"]))
    for key, text in rows["zeros"].items():
        book.add("zeros", f"zero:{key}", items(text))
