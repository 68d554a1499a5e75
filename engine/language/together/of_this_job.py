"""What sounds like a fact and is told of something else: of another's machine, of a plan, in a question.

"His was out 10 thou" has every word of a reading. What tells it from "mine was" are small words and where they stand.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import pairwise

import numpy as np

from askew.engine.language.clauses.message import Message
from askew.engine.language.learned import told as learned
from askew.engine.language.learned.verifier import Evidence, verifier
from askew.engine.language.model import Context
from askew.engine.language.together.answers_told import answer_of
from askew.engine.language.together.attempt import Trial
from askew.engine.language.together.bearing import meaning_of, names_only_material
from askew.engine.language.together.numbers_told import NONE, made_of
from askew.engine.language.together.undone import advised
from askew.engine.observations import Command, Observation, Reading, SetupFact, Sign, name_of

UNLIKELY = 0.4
"""Below this chance a fact is not of this job. Nearly half of what strangers told of something else lies below it, and
one in a hundred of what they told of their own."""

NEVER, BESIDE = 0.2, 0.5
"""A clause tells of one job: what has the first chance is kept beside what has the second."""

BRIEF = 3
"""An answer of no more words is taken for what it says: "elsewhere"."""

LONG = 80
"""A message of more words and marks tells much that its words as a whole hardly show."""

NEAR, FAR = 6, 30
"""So many words to each side of a fact count as near it, and so many of other clauses count at all."""

STEP, SCALE, CERTAIN = 1.5, 4.0, 8.0
"""Log odds are told in steps of the first, in parts of the second, and none larger than the third."""

_NUMBER, _TINY = "#", 1e-6


def set_aside(trial: Trial, context: Context) -> tuple[Observation, ...]:
    """Let go of what was told of something else, and return it.

    Args:
        trial: The attempt at the message; its facts change in place.
        context: What was asked for.
    """
    aside = [fact for fact in trial.facts if advised(trial.message, fact)]
    if len(trial.message.tokens) <= LONG:
        aside += _unlikely(trial, [fact for fact in trial.facts if fact not in aside], context.asked)
    trial.facts[:] = [fact for fact in trial.facts if not any(fact is one for one in aside)]
    return tuple(aside)


def _unlikely(trial: Trial, facts: Sequence[Observation], asked: str | None) -> list[Observation]:
    """Return those of some facts that are hardly told of this job, nor beside one that is."""
    open_ = [fact for fact in facts if not _certain(trial, fact, asked)]
    chances = [chance_told(trial.message, fact, asked) for fact in open_]
    held = [clauses_of(trial.message, trial.message.tokens_of(fact.words)).start for fact in open_]
    best = {start: max(its for its, at in zip(chances, held, strict=True) if at == start) for start in held}
    return [
        fact
        for fact, chance, at in zip(open_, chances, held, strict=True)
        if chance < (UNLIKELY if best[at] < BESIDE else NEVER)
    ]


def _certain(trial: Trial, fact: Observation, asked: str | None) -> bool:
    """Tell whether nothing is held against a fact: a wish, a list, a grade, no wall at all, a bare answer.

    Nor is anything against what rows surely tell.
    """
    if isinstance(fact, Command) or any(fact is sure for sure in trial.sure):
        return True
    if asked is not None and sum(token.kind != "mark" for token in trial.message.tokens) <= BRIEF:
        return True
    listed = fact.value if isinstance(fact, SetupFact) and isinstance(fact.value, tuple) else ()
    if len(listed) > 1 or (listed and _is_all(trial.message)):
        return True
    return names_only_material(fact) or meaning_of(fact).endswith(":=0")


def _is_all(message: Message) -> bool:
    """Tell whether a short message tells the one thing that there is: "only got a square"."""
    return len(message.tokens) <= SHORT and not _ALL.isdisjoint(token.text for token in message.tokens)


_ALL = {"only", "just", "all"}
SHORT = 8
"""So many words and marks a message may have that tells what there is."""


def chance_told(message: Message, fact: Observation, asked: str | None) -> float:
    """Return the chance that a fact heard in a message is told of this job.

    Args:
        message: The message.
        fact: What was heard in it.
        asked: What was asked for.
    """
    return verifier().chance(evidence_of(message, fact, asked))


def evidence_of(message: Message, fact: Observation, asked: str | None) -> Evidence:
    """Return what bears on whether a fact was told of this job.

    Args:
        message: The message.
        fact: What was heard in it.
        asked: What was asked for.
    """
    kind = type(fact).__name__
    own = message.tokens_of(fact.words)
    held = clauses_of(message, own)
    found = {f"kind {kind}": 1.0, f"asked {asked is not None}": 1.0, f"answers {asked == name_of(fact)}": 1.0}
    found[f"of {meaning_of(fact)}"] = found[f"open {isinstance(fact, Sign) and fact.answer == 'unknown'}"] = 1.0
    found[f"whole {len(own) == len(message.tokens)} {kind}"] = 1.0
    found[f"asks {any(token.text == '?' for token in message.tokens[own.start :])} {kind}"] = 1.0
    for name, chance in _thought(message, fact, own, asked):
        if chance is None:
            found[f"{name} unknown"] = 1.0
            continue
        odds = max(-CERTAIN, min(CERTAIN, math.log((chance + _TINY) / (1.0 - chance + _TINY))))
        found[name] = found[f"{name} {kind}"] = odds / SCALE
        found[f"{name} {kind} {round(odds / STEP)}"] = 1.0
    looks = [learned.looks(message, at, asked) for at in (range(own.start, max(own.stop, own.start + 1)), held)]
    return Evidence(found, [*_words(message, own, held)], np.concatenate(looks))


def clauses_of(message: Message, own: range) -> range:
    """Return the tokens of the clauses that the words of a fact stand in."""
    stop = max(own.stop, own.start + 1)
    held = [clause for clause in message.clauses if clause.start < stop and clause.end > own.start]
    return range(held[0].start, held[-1].end) if held else range(len(message.tokens))


def _words(message: Message, own: range, held: range) -> Iterator[tuple[str, Sequence[str]]]:
    """Yield the words and pairs of words before, in and after a fact: in its clauses, near it, and in other clauses."""
    texts, pairs = _pairs(tuple(token.text for token in message.tokens))
    start, stop = own.start, max(own.stop, own.start + 1)
    for place, first, last in (
        *(("before", held.start, start), ("in", start, stop), ("after", stop, held.stop)),
        *(("near before", start - NEAR, start), ("near after", stop, stop + NEAR)),
        *(("far before", held.start - FAR, held.start), ("far after", held.stop, held.stop + FAR)),
    ):
        begin, end = max(0, first), max(0, last)
        if begin < end:
            yield place, [*texts[begin:end], *pairs[begin : end - 1]]
    yield "first", texts[:1]
    yield "begins", texts[held.start : held.start + 1]


@lru_cache(maxsize=8)
def _pairs(texts: tuple[str, ...]) -> tuple[list[str], list[str]]:
    """Return words in lower case, one for all numbers, and each with the next."""
    words = [_NUMBER if any(map(str.isdigit, text)) else text.lower() for text in texts]
    return words, [f"{one} {two}" for one, two in pairwise(words)]


def _thought(message: Message, fact: Observation, own: range, asked: str | None) -> Iterator[tuple[str, float | None]]:
    """Yield what the networks think: that a fact is spoken of, is told, is what its number is, and is none of all."""
    yield "spoken of", learned.meanings(message, asked).get(meaning_of(fact))
    yield "told", learned.answers(message, asked).get(answer_of(fact) or "")
    shares = None
    if isinstance(fact, Reading | SetupFact) and fact.value and not isinstance(fact.value, bool | str | tuple):
        quantity = next((one for one in message.prepared if one.head in own and made_of(fact, one)), None)
        shares = learned.number(message, quantity, asked) if quantity is not None else None
    yield "number", shares.get(name_of(fact), 0.0) if shares is not None else None
    yield "number none", shares.get(NONE, 0.0) if shares is not None else None
