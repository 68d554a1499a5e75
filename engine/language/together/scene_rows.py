"""What was tried, told in rows of words or by a deed, and what is read there."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import dataclass
from functools import cache

from askew.engine.language.clauses.message import Message
from askew.engine.language.numbers.measured import is_value
from askew.engine.language.together.attempt import asks
from askew.engine.language.together.topics import GENERIC
from askew.engine.language.words.gapped import Row, Rows, row
from askew.engine.language.words.stems import stem
from askew.engine.language.words.tokens import SENTENCE_ENDS
from askew.engine.language.words.word_tables import table, word_lists
from askew.engine.observations import Action, Observation

_FILE = "scenes.toml"
_BEFORE = 6
"""So many words before what was tried a "not" or a "will" takes it back."""


@dataclass(frozen=True, slots=True)
class Scene:
    """What is read where something was tried.

    Attributes:
        id: The reading.
        unreal: Words that take it back.
        never: Words that must stand neither beside what was tried nor beside the number.
        told: Words one of which must stand beside the number; none where it is empty.
        instead: What the number is taken for by its own sentence, where that does not know what was tried.
        mention: Words one of which must stand in the message; none where it is empty.
        nothing: Whether a nothing is read there too.
    """

    id: str
    unreal: frozenset[str]
    never: frozenset[str]
    told: frozenset[str]
    instead: frozenset[str]
    mention: frozenset[str]
    nothing: bool

    @property
    def family(self) -> frozenset[str]:
        """The readings of the same kind along every axis: words beside the number may tell another axis."""
        axes = ("_x", "_y", "_z", "") if self.id[-2] == "_" else ()
        return frozenset(f"{self.id[:-2]}{axis}" for axis in axes)


@dataclass(frozen=True, slots=True)
class Tried:
    """What a message says was tried, with the tokens it begins and ends at."""

    scene: Scene
    start: int
    end: int


@cache
def _rules() -> tuple[Rows[Scene], Mapping[str, Sequence[Scene]]]:
    """Return what may be tried, by its rows and by the deed that tries it."""
    lists = table(_FILE)
    classes = word_lists(lists["classes"])
    stems = {name: frozenset(map(stem, words)) for name, words in classes.items()}
    rules: list[tuple[Row, Scene]] = []
    deeds: dict[str, list[Scene]] = {}
    for name, told in lists["scenes"].items():
        made = Scene(
            id=name.partition(":")[0],
            unreal=stems["unreal"],
            never=frozenset[str]().union(*(stems[each] for each in told.get("never", ()))),
            told=frozenset[str]().union(*(stems[each] for each in told.get("told", ()))),
            instead=frozenset((*GENERIC, *told.get("instead", ()))),
            mention=frozenset[str]().union(*(stems[each] for each in told.get("mention", ()))),
            nothing=bool(told.get("nothing", True)),
        )
        rules += [(_stemmed(row(text, classes)), made) for text in told.get("ways", ())]
        if "deed" in told:
            deeds.setdefault(told["deed"], []).append(made)
    return Rows(rules), deeds


def _stemmed(way: Row) -> Row:
    """Return a row whose words stand without their endings, as those of a message do."""
    return Row(tuple((frozenset(map(stem, words)), gap) for words, gap in way.steps))


def words_of(message: Message) -> list[str]:
    """Return the words of a message without their endings, a stop as "" and any other mark as ","."""
    return [
        message.words.get(at, token.text) if token.kind != "mark" else "" if token.text in SENTENCE_ENDS else ","
        for at, token in enumerate(message.tokens)
    ]


def tried(message: Message, facts: Sequence[Observation]) -> list[Tried]:
    """Return what was tried, by rows of words and by the deeds among the facts, in the order of the message."""
    counted = {quantity.head for quantity in message.prepared if is_value(quantity)}
    fits = [*_by_rows(message, counted), *_by_deeds(message, facts)]
    kept: list[Tried] = []
    for fit in sorted(fits, key=lambda fit: fit.start):
        earlier = next((one for one in reversed(kept) if one.scene.id == fit.scene.id), None)
        if earlier is None or counted & {*range(earlier.start, fit.start)}:
            kept.append(fit)  # "grabbed the saddle and rocked it" is one try
    return kept


def _by_rows(message: Message, counted: Set[int]) -> Iterator[Tried]:
    """Yield what is told in rows of words that no number stands among."""
    texts = words_of(message)
    at = [place for place, text in enumerate(texts) if text != ","]
    words = [texts[place] for place in at]
    for scene, places in _rules()[0].found_in(words):
        if counted & {at[one] for one in range(places[0], places[-1] + 1)}:
            continue
        if scene.mention and not scene.mention & {*words}:
            continue
        before = words[max(0, places[0] - _BEFORE) : places[0]]
        stop = next((i for i in range(len(before) - 1, -1, -1) if before[i] in ("", "but", "then")), -1)
        between = {words[one] for one in range(places[0], places[-1] + 1) if one not in places}
        start, end = at[places[0]], at[places[-1]] + 1
        if not scene.unreal & {*before[stop + 1 :], *between} and not asks(message, start, end):
            yield Tried(scene, start, end)


def _by_deeds(message: Message, facts: Sequence[Observation]) -> Iterator[Tried]:
    """Yield what was tried by a deed that the message tells."""
    for deed in [fact for fact in facts if isinstance(fact, Action)]:
        own = message.tokens_of(deed.words)
        for scene in _rules()[1].get(deed.id, ()) if len(own) else ():
            yield Tried(scene, own.start, own.stop)
