"""The words of the language as data: loading, stems, and how well ways of saying fit."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib import resources
from typing import Any


@lru_cache(maxsize=20_000)
def stem(word: str) -> str:
    """Return the word without apostrophes and common endings.

    A light stemmer of a few suffixes: a full one costs ten times the time, and all that counts here is that
    the same word in another form comes out the same.
    """
    text = word.removesuffix("'s").replace("'", "")
    kept, spelt = forms()
    if text in kept:
        return text
    text = spelt.get(text, text)
    if text in kept:
        return text
    if len(text) > 5 and text.endswith("ing"):
        text = text[:-3]
    elif len(text) > 4 and text.endswith("ied"):
        text = text[:-3] + "y"
    elif len(text) > 4 and text.endswith("ed"):
        text = text[:-2]
    elif len(text) > 4 and text.endswith("ies"):
        text = text[:-3] + "y"
    elif len(text) > 3 and text.endswith("s") and not text.endswith("ss"):
        text = text[:-1]
    if len(text) > 3 and text.endswith("e"):
        text = text[:-1]
    if len(text) > 3 and text[-1] == text[-2] and text[-1] not in "eo":
        text = text[:-1]
    return text


@dataclass(frozen=True, slots=True)
class Way:
    """One way of saying something: words that must, must not and may be there, as bit masks."""

    must: tuple[int, ...]
    never: int
    may: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Meaning:
    """A reading, a sign or an action, and the ways to say it."""

    id: str
    kind: str
    when: tuple[Way, ...]
    plus: tuple[Way, ...] = ()
    minus: tuple[Way, ...] = ()
    yes: tuple[Way, ...] = ()
    no: tuple[Way, ...] = ()
    ends: tuple[str, ...] = ()
    size: bool = False
    default: str = ""
    places: tuple[tuple[str, tuple[str, ...]], ...] = ()
    none: str = ""
    members: tuple[str, ...] = ()
    zero: tuple[Way, ...] = ()
    complaint: bool = False
    turned_round: bool = False
    about: int = 0


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


@dataclass(frozen=True, slots=True)
class Lexicon:
    """Everything the language knows.

    Attributes:
        bits: Bit of each word-concept.
        weights: Weight of each bit's position.
        phrases: First stem to the phrases that may begin with it. Phrases hide shorter ones in the same room.
        meanings: Readings, signs and actions.
        starters: Bit of a word to the (meaning, way) pairs that need it first.
        vocabulary: All stems that are known, the everyday ones included.
        everyday: The stems that are known only as everyday words.
        shop: The stems that misspelt words may be taken for, by length.
        implies: Further words that a word stands for.
        commands: Command id, the word that asks for it, and whether only before a term of the trade; in order.
        alone: What asks for a command only where nothing else is said, and the command.
        loose: Command id and what must be named for it in any order, False for what must not.
        senses: What each single word stands for.
        foreign: For each reading, the words that name some other matter, so that no answer to it holds them.
    """

    bits: Mapping[str, int]
    weights: Mapping[int, float]
    phrases: Mapping[str, tuple[Phrase, ...]]
    meanings: Mapping[str, Meaning]
    starters: Mapping[int, tuple[tuple[Meaning, Way], ...]]
    vocabulary: frozenset[str]
    everyday: frozenset[str]
    shop: Mapping[int, tuple[str, ...]]
    implies: Mapping[str, tuple[str, ...]]
    commands: tuple[tuple[str, str, bool], ...]
    alone: Mapping[str, str]
    loose: tuple[tuple[str, tuple[tuple[frozenset[str], bool], ...]], ...]
    senses: Mapping[str, frozenset[str]]
    foreign: Mapping[str, int]


def table(name: str) -> dict[str, Any]:
    """Return one file of the lexicon as it stands."""
    text = resources.files("askew.knowledge").joinpath("lexicon", name).read_text(encoding="utf-8")
    return tomllib.loads(text)


@cache
def _words_file() -> dict[str, Any]:
    return table("words.toml")


@cache
def forms() -> tuple[frozenset[str], Mapping[str, str]]:
    """Return the forms that are kept as they are, and other spellings of the same word."""
    rows = _words_file()
    return frozenset(_items(rows["stems"]["kept"])), rows["spelt"]


def _items(text: str) -> list[str]:
    return [" ".join(item.split()) for item in text.split(",") if item.strip()]


@cache
def _macros() -> Mapping[str, tuple[str, ...]]:
    """Return what the names in braces stand for in phrases."""
    return {name: tuple(_items(text)) for name, text in _words_file()["macros"].items()}


@cache
def _slots() -> Mapping[str, Slot]:
    """Return the phrases of each name in braces by their first stem."""
    made: dict[str, Slot] = {}
    for name, phrases in _macros().items():
        slot: dict[str, list[tuple[str, ...]]] = {}
        for phrase in phrases:
            stems = _stems(phrase)
            slot.setdefault(stems[0], []).append(stems)
        made[name] = {first: tuple(dict.fromkeys(found)) for first, found in slot.items()}
    return made


def _parts(phrase: str) -> tuple[str | Slot, ...]:
    """Return the stems of a phrase, with what may stand in each slot; "{name?}" may stand empty."""
    parts: list[str | Slot] = []
    while phrase:
        before, brace, rest = phrase.partition("{")
        parts.extend(_stems(before))
        name, _, phrase = rest.partition("}") if brace else ("", "", "")
        if brace:
            slot = _slots()[name.removesuffix("?")]
            parts.append({**slot, "": ()} if name.endswith("?") else slot)
    return tuple(parts)


@cache
def dialect() -> Mapping[str, str]:
    """Return words written as they are spoken in some places, and the usual words for them."""
    return dict(_words_file()["dialect"])


@cache
def word_list(file: str, section: str, name: str) -> frozenset[str]:
    """Return a plain list of words of the lexicon."""
    return frozenset(_items(table(file)[section][name]))


@cache
def short_answers() -> Mapping[str, Mapping[str, frozenset[str]]]:
    """Return, for each setup key, the words that pick each of its choices when it was asked for."""
    return {
        key: {choice: frozenset(_items(text)) for choice, text in choices.items()}
        for key, choices in table("setup.toml")["answers"].items()
    }


@cache
def joining() -> Mapping[str, float]:
    """Return the words that join clauses, and what it costs to read across them."""
    return {word: float(cost) for word, cost in table("clauses.toml")["joining"].items()}


def _stems(phrase: str) -> tuple[str, ...]:
    words = (part for word in phrase.split() for part in ([word] if word[0].isdigit() else word.split("-")))
    return tuple(stem(word) for word in words if word)


_OPTIONAL = re.compile(r"\{(\w+)\?\}")


def _spelt_out(phrase: str) -> Iterable[str]:
    """Yield a phrase with and without each of its slots that may be left empty: "{cut} {it?} again"."""
    found = _OPTIONAL.search(phrase)
    if found is None:
        yield phrase
        return
    for inside in (f"{{{found[1]}}}", ""):
        yield from _spelt_out(f"{phrase[: found.start()]}{inside}{phrase[found.end() :]}")


def _with_and_without_the(parts: tuple[str | Slot, ...]) -> Iterable[tuple[str | Slot, ...]]:
    """Yield a phrase as it stands, and without "the", which notes leave out: "up jaw", "in vise"."""
    yield parts
    bare = tuple(part for part in parts if part != "the")
    if 2 <= len(bare) < len(parts):
        yield bare


class _Builder:
    """Collects phrases and bits while the files are read."""

    def __init__(self) -> None:
        self.bits: dict[str, int] = {"qty": 1, "sizes": 2}
        self.phrases: dict[str, list[Phrase]] = {}
        self.vocabulary: set[str] = set()

    def bit(self, name: str) -> int:
        return self.bits.setdefault(name, 1 << len(self.bits))

    def add(self, room: str, name: str, phrases: Iterable[str]) -> None:
        spelt_out = (_parts(text) for item in phrases for text in _spelt_out(item))
        for parts in (form for phrase in spelt_out for form in _with_and_without_the(phrase)):
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
        return tuple(self.way(text) for text in texts)


@cache
def lexicon() -> Lexicon:
    """Load the lexicon once."""
    build = _Builder()
    words = _words_file()
    for name, text in words["words"].items():
        build.bit(name)
        build.add("words", name, _items(text))
    for name, text in words["aside"].items():
        build.bit(name)
        build.add(f"aside:{name}", name, _items(text))
    meanings: dict[str, Meaning] = {}
    actions = table("actions.toml")
    action_words = actions.pop("words")
    for name, text in action_words.items():
        build.bit(name)
        build.add("actions", name, _items(text))
    readings = table("readings.toml")
    for kind, rows in (
        ("reading", readings),
        ("sign", table("signs.toml")),
        ("action", actions),
    ):
        for name, row in rows.items():
            meanings[name] = _meaning(build, name, "ignore" if name.startswith("_") else kind, row)
    _setup(build, table("setup.toml"))
    asked = table("commands.toml")
    commands = tuple(
        (name, asked[name][kind], kind == "before_a_term")
        for name in asked["order"]
        for kind in ("words", "before_a_term")
        if kind in asked[name]
    )
    alone = {phrase: name for name in asked["order"] for phrase in _items(asked[name].get("alone", ""))}
    for name, text in asked["concepts"].items():
        build.add(f"{CONCEPT}{name}", f"{CONCEPT}{name}", _items(text))
    loose = tuple(
        (name, tuple((frozenset(term.lstrip("!").split("|")), term[0] != "!") for term in way.split()))
        for name in asked["order"]
        for way in asked[name].get("loose", ())
    )
    everyday = {stem(word) for text in table("common.toml").values() for word in text.split()}
    shop: dict[int, list[str]] = {}
    spellings = {other for other, usual in forms()[1].items() if stem(usual) in build.vocabulary}
    for known in sorted(build.vocabulary | spellings):
        if len(known) >= 4 and known.isalpha():
            shop.setdefault(len(known), []).append(known)
    usual = dict.fromkeys(action_words, 1.5)
    weights = {
        bit: float(words["weights"].get(name, usual.get(name, 1.0))) for name, bit in build.bits.items()
    }
    starters: dict[int, list[tuple[Meaning, Way]]] = {}
    for meaning in meanings.values():
        for way in meaning.when:
            rarest = max(way.must, key=lambda mask: _weight(mask, weights) / mask.bit_count())
            for bit in _each(rarest):
                starters.setdefault(bit, []).append((meaning, way))
    return Lexicon(
        bits=build.bits,
        weights=weights,
        phrases={first: tuple(found) for first, found in build.phrases.items()},
        meanings=meanings,
        starters={bit: tuple(ways) for bit, ways in starters.items()},
        vocabulary=frozenset(build.vocabulary | everyday),
        everyday=frozenset(everyday - build.vocabulary),
        shop={size: tuple(found) for size, found in shop.items()},
        implies={name: tuple(_items(text)) for name, text in words["implies"].items()},
        commands=commands,
        alone=alone,
        loose=loose,
        senses={
            word: frozenset(phrase.name for phrase in found if phrase.plain == (word,))
            for word, found in build.phrases.items()
        },
        foreign={
            name: _foreign(meaning, build.bits, words["implies"], readings[name].get("foreign", ()))
            for name, meaning in meanings.items()
            if meaning.kind == "reading"
        },
    )


def _foreign(
    meaning: Meaning, bits: Mapping[str, int], implies: Mapping[str, str], named: Iterable[str]
) -> int:
    """Return the words of clauses.toml's `own_matters` that a reading is never told with, and those it names itself."""
    own = 0
    for way in (*meaning.when, *meaning.plus, *meaning.minus, *meaning.zero):
        for term in (*way.must, *way.may):
            own |= term
    for name in meaning.ends:
        own |= bits.get(name, 0)
    made = sum(bits[name] for name in named)
    for name in word_list("clauses.toml", "words", "own_matters"):
        meant = [name, *_items(implies.get(name, ""))]
        if not any(bits.get(word, 0) & own for word in meant):
            made |= bits[name]
    return made


def _meaning(build: _Builder, name: str, kind: str, row: Mapping[str, Any]) -> Meaning:
    return Meaning(
        id=name,
        kind=kind,
        when=build.ways([*row["when"], *row.get("also", ())]),
        plus=build.ways(row.get("plus", ())),
        minus=build.ways(row.get("minus", ())),
        yes=build.ways(row.get("yes", ())),
        no=build.ways(row.get("no", ())),
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
        zero=build.ways(row.get("zero", ())),
        complaint=bool(row.get("complaint", False)),
        turned_round=bool(row.get("turned_round", False)),
        about=sum(build.bit(word) for word in row.get("about", ())),
    )


def _setup(build: _Builder, rows: Mapping[str, Any]) -> None:
    for key, text in rows["lengths"].items():
        build.add("lengths", f"length:{key}", _items(text))
    for key, choices in rows["choices"].items():
        for choice, text in choices.items():
            build.add(f"choice:{key}", f"choice:{key}={choice}", _items(text))
    for name, text in rows["instruments"].items():
        build.add("instruments", f"tool:{name}", _items(text))
    build.add("hollow", "hollow_section", _items(rows["hollow_section"]["words"]))
    for key, text in rows["zeros"].items():
        build.add("zeros", f"zero:{key}", _items(text))


def _each(mask: int) -> Iterable[int]:
    while mask:
        low = mask & -mask
        yield low
        mask ^= low


def _weight(mask: int, weights: Mapping[int, float]) -> float:
    return max((weights[bit] for bit in _each(mask)), default=0.0)


@lru_cache(maxsize=50_000)
def _heaviest(mask: int) -> float:
    return _weight(mask, lexicon().weights)


def weigh(way: Way, mask: int) -> float:
    """Return how well a way of saying fits the words in `mask`; 0 if it does not."""
    if way.never & mask:
        return 0.0
    total = 0.0
    for term in way.must:
        hit = term & mask
        if not hit:
            return 0.0
        total += _heaviest(hit)
    for term in way.may:
        hit = term & mask
        if hit:
            total += 0.4 * _heaviest(hit)
    return total


def best(ways: Sequence[Way], mask: int) -> float:
    """Return the best fit among several ways."""
    return max((weigh(way, mask) for way in ways), default=0.0)
