"""What a message may be about at all, by words that were counted.

The lexicon knows phrases; it does not know how people talk around them. Thousands of sentences are labelled with what
they say, and from its words alone it can be told what a sentence hardly speaks of. There is a logistic regression for
each meaning, over single words and neighbouring pairs: words respelled and cut to their stems, numbers all alike,
counted as usual for text (sublinear counts and inverse document frequency: Manning, Raghavan & Schuetze, Introduction
to Information Retrieval, 2008, sections 6.2 to 6.4). The weights are data, `knowledge/lexicon/bearing.npz`, learned
anew by `tests/engine/language/learn_bearing.py`.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from askew.engine.language.clauses.message import Message
from askew.engine.language.model import Context
from askew.engine.language.together.asked import asked_meanings
from askew.engine.observations import Action, Command, Observation, SetupFact, name_of

NUMBER, STOP = "#", "|"
"""What stands for every number, and for the end of a sentence."""

HARDLY = 0.03
"""Below this chance a message hardly speaks of a meaning, whatever phrase was found in it. Of what strangers' sentences
were rightly heard to say one part in a hundred is below it, of what was made up two thirds."""

LIKELY, DONE, ASKED_TO = 0.45, 0.6, 0.9
"""From these chances on a message speaks of a fact though no phrase told it, of something that was done, and of a
command: the last two are taken as they stand, without words that answer a question."""

LONG, REACH = 25, 6
"""From so many words and marks on a message may speak of many things; then a fact is held to its own words and to so
many on each side of them."""

KNOWN = 0.85
"""So many of its words must have been counted before a message is said to be likely about anything."""

_FILE = "bearing.npz"


@dataclass(frozen=True)
class Bearing:
    """Weights of words for meanings.

    Attributes:
        place: Place of each word or pair among the rows.
        idf: Inverse document frequency of each, (f,).
        start: Where the weights of each begin among all, (f + 1,).
        column: The meaning of each weight, (w,).
        weight: The weights, (w,).
        bias: Log odds of each meaning where no word is known, (m,).
        meanings: The meanings.
    """

    place: Mapping[str, int]
    idf: NDArray[np.float32]
    start: NDArray[np.int32]
    column: NDArray[np.uint8]
    weight: NDArray[np.float32]
    bias: NDArray[np.float32]
    meanings: tuple[str, ...]

    def chances(self, said: list[str]) -> dict[str, float]:
        """Return the chance of each meaning, given the words and pairs of a message."""
        counts = Counter(self.place[word] for word in said if word in self.place)
        score = self.bias.astype(np.float64)
        if counts:
            rows = np.fromiter(counts, dtype=np.intp)
            size = (1.0 + np.log(np.fromiter(counts.values(), dtype=np.float64))) * self.idf[rows]
            size /= np.linalg.norm(size)
            for row, much in zip(rows, size, strict=True):
                some = slice(self.start[row], self.start[row + 1])
                score[self.column[some]] += much * self.weight[some]
        return dict(zip(self.meanings, (1.0 / (1.0 + np.exp(-score))).tolist(), strict=True))


@cache
def bearing() -> Bearing:
    """Return the weights that ship, read at the first call."""
    with (files("askew.knowledge") / "lexicon" / _FILE).open("rb") as file, np.load(file) as found:
        words = bytes(found["words"]).decode().split("\n")
        return Bearing(
            {word: i for i, word in enumerate(words)},
            found["idf"].astype(np.float32),
            found["start"],
            found["column"],
            found["weight"] * found["scale"],
            found["bias"],
            tuple(bytes(found["meanings"]).decode().split("\n")),
        )


def meaning_of(fact: Observation) -> str:
    """Return the name under which a fact's meaning is learned; keys, actions and commands are marked as such.

    That there is none of something is a meaning of its own: "solid" speaks of no wall.
    """
    if isinstance(fact, SetupFact):
        none = fact.value == 0 and not isinstance(fact.value, bool)
        return f"{fact.key}:=0" if none else f"{fact.key}:="
    mark = "!" if isinstance(fact, Action) else "$" if isinstance(fact, Command) else ""
    return mark + fact.id


def words_of(message: Message, asked: str | None = None, at: range | None = None) -> list[str]:
    """Return the words of a message, its neighbouring pairs, and what was asked for, as they are counted.

    Args:
        message: The message.
        asked: What was asked for.
        at: The tokens that count; all of them if None.
    """
    words = [word for i in at or range(len(message.tokens)) if (word := _word(message, i))]
    return [*words, *map(" ".join, pairwise(words)), *([f"?{asked}"] if asked is not None else [])]


def _word(message: Message, index: int) -> str:
    token = message.tokens[index]
    if token.kind == "mark":
        return STOP if token.text in (".", "!", "?", ";") else ""
    return NUMBER if token.kind in ("number", "code") else message.words.get(index, token.text)


def chances(message: Message, asked: str | None = None) -> dict[str, float]:
    """Return the chance of each meaning that a message speaks of it, by its words alone."""
    return bearing().chances(words_of(message, asked))


def likely(message: Message, context: Context) -> list[str]:
    """Return the meanings that a message likely speaks of, the likeliest first, named as by `meaning_of`.

    Of a long one nothing: it speaks of many things, each of them in a few of its words.
    """
    if len(message.tokens) > 2 * LONG:
        return []
    words = words_of(message, context.asked)
    single = [word for word in words if " " not in word]
    if sum(word in bearing().place for word in single) < KNOWN * len(single):
        return []
    may_be = bearing().chances(words)
    least = {"!": DONE, "$": ASKED_TO}
    found = [name for name, chance in may_be.items() if chance >= least.get(name[0], LIKELY)]
    return sorted(found, key=lambda name: -may_be[name])


def unlikely(message: Message, facts: Sequence[Observation], context: Context) -> list[Observation]:
    """Return the facts heard in a message that its words hardly speak of; what was asked for is what they speak of.

    Args:
        message: The message.
        facts: What was heard in it.
        context: What was asked for.
    """
    answers = {context.asked, *(meaning.id for meaning in asked_meanings(context))}
    open_ = [fact for fact in facts if name_of(fact) not in answers]
    if not open_:
        return []
    whole = chances(message, context.asked)
    strange = [fact for fact in open_ if _hardly(fact, whole)]
    if len(message.tokens) <= LONG:
        return strange
    return [fact for fact in strange if _hardly(fact, _near(message, fact, context.asked))]


def _hardly(fact: Observation, may_be: Mapping[str, float]) -> bool:
    return may_be.get(meaning_of(fact), 1.0) < HARDLY


def _near(message: Message, fact: Observation, asked: str | None) -> Mapping[str, float]:
    """Return the chance of each meaning by the words around those of a fact; a long message speaks of many things."""
    at = message.tokens_of(fact.words)
    near = range(max(at.start - REACH, 0), min(at.stop + REACH, len(message.tokens)))
    return bearing().chances(words_of(message, asked, near))
