"""Which words were not understood, to be shown back.

A fact may be told by a message as a whole, and a number be a reading by what another clause says of it: "ran the edge
along it and the middle is low, oh, about a thou".
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from askew.engine.language.clauses.message import Clause, Message
from askew.engine.language.learned import told as learned
from askew.engine.language.together.answers_told import answer_of
from askew.engine.language.together.attempt import Trial
from askew.engine.language.together.bearing import meaning_of
from askew.engine.language.words.lexicon import lexicon
from askew.engine.language.words.word_tables import word_list
from askew.engine.observations import Observation

_WITHIN = ("-", "'", "/")
"""Marks that part no words: "end-on"."""
_NEVER_SPARED = {"not", "no", "nothing", "none", "unsure", "dont_know"}
"""Phrases of one word that are shown back whatever stands around them, beside those of a choice."""

SHARE = 0.2
"""From this share on of all that makes a fact likely a clause was understood."""


def take_understood(trial: Trial, phrased: Sequence[Observation], asked: str | None) -> None:
    """Mark the clauses as understood that bear out what was heard, where the message as a whole told it.

    Of what a phrase told only clauses count that nothing was made of.

    Args:
        trial: The attempt at the message.
        phrased: What phrases in it told.
        asked: What was asked for.
    """
    message = trial.message
    left = [clause for clause in message.clauses if message.taken.isdisjoint(range(clause.start, clause.end))]
    for fact in trial.facts:
        whole = fact.words.strip() == message.text.strip() and not any(fact is one for one in phrased)
        for clause in _bearing(message, fact, asked) if whole or left else ():
            if whole or clause in left:
                message.take(clause.start, clause.end)


def _bearing(message: Message, fact: Observation, asked: str | None) -> list[Clause]:
    """Return the clauses that a fact rests on; none where the networks do not know it."""
    if len(message.clauses) < 2:
        return message.clauses
    borne = learned.bearing(message, answer_of(fact) or meaning_of(fact), asked)
    if borne is None:
        return []
    each = [max(0.0, sum(borne[clause.start : clause.end])) for clause in message.clauses]
    return [clause for clause, its in zip(message.clauses, each, strict=True) if its > SHARE * sum(each)]


def not_understood(message: Message) -> Iterator[str]:
    """Yield the stretches of words that nothing was made of, small words at their ends left away.

    A lone word of the lexicon in a clause that was understood is spared: "laid", "the part". It says nothing by itself.
    """
    small = word_list("clauses.toml", "words", "small")
    for run in _runs(message):
        kept = [at for at in run if message.tokens[at].text not in small]
        if kept and not (kept[0] == kept[-1] and _is_spared(message, kept[0])):
            yield message.said(kept[0], kept[-1] + 1)


def _runs(message: Message) -> Iterable[Sequence[int]]:
    """Yield the words beside one another that were not taken."""
    run: list[int] = []
    for at, token in enumerate(message.tokens):
        if at not in message.taken and token.kind != "mark":
            run.append(at)
        elif at in message.taken or token.text not in _WITHIN:
            yield run
            run = []
    yield run


def _is_spared(message: Message, at: int) -> bool:
    """Tell whether a lone word is not worth to be shown back."""
    if message.tokens[at].kind != "word" or message.words.get(at) not in lexicon().vocabulary:
        return False
    names = {spot.name for spot in message.prepared_spots if spot.start <= at < spot.end}
    if names & _NEVER_SPARED or any(name.startswith("choice:") for name in names):
        return False
    if any(quantity.start <= at < quantity.end for quantity in message.prepared):
        return False
    clause = message.clause_at(at)
    return clause is not None and not message.taken.isdisjoint(range(clause.start, clause.end))
