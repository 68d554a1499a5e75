"""What was done, told in whatever words: a verb of the past, its object, and where or how, a few words between."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from askew.engine.language.clauses.message import Message
from askew.engine.language.together.attempt import Trial, asks
from askew.engine.language.together.evidence import elsewhere_beside
from askew.engine.language.words.gapped import Row, found, row
from askew.engine.language.words.word_tables import forms, items, table
from askew.engine.observations import Action

_BEFORE = 8
"""So many words before a deed a "not" or a "will" takes it back."""
_TURNS = {"", "but", "so", "then", "now"}
_NOT_YET = {"once", "until", "till", "when", "whenever"}
_STOPS = {".", "!", "?", ";", ":"}


@dataclass(frozen=True, slots=True)
class _Deed:
    """An action, the rows of words that tell it, what must not stand in its sentence and what must in the message."""

    id: str
    ways: tuple[Row, ...]
    never: frozenset[str]
    mention: frozenset[str]


@cache
def _classes() -> Mapping[str, frozenset[str]]:
    return {name: frozenset(items(text)) for name, text in table("deeds.toml")["classes"].items()}


@cache
def _deeds() -> Mapping[str, tuple[tuple[_Deed, Row], ...]]:
    """Return the deeds with each of their rows, by every word that the row may begin with."""
    lists = table("deeds.toml")
    refused = {name: frozenset(items(text)) for name, text in lists["never"].items()}
    classes = _classes()
    begins: dict[str, list[tuple[_Deed, Row]]] = {}
    for name, told in lists["deeds"].items():
        never = frozenset[str]().union(*(refused.get(each) or classes[each] for each in told.get("never", ())))
        ways = tuple(row(text, classes) for text in told["ways"])
        deed = _Deed(name, ways, never, classes.get(told.get("mention", ""), frozenset()))
        for way in ways:
            for word in way.steps[0][0]:
                begins.setdefault(word, []).append((deed, way))
    return {word: tuple(rows) for word, rows in begins.items()}


def add_deeds(trial: Trial) -> None:
    """Add the actions that the message tells and that no phrase of the lexicon named.

    Args:
        trial: The attempt at the message, which takes the actions and vouches for them.
    """
    message, usual = trial.message, forms()[1]
    at = [i for i, token in enumerate(message.tokens) if token.kind != "mark" or token.text in _STOPS]
    words = [usual.get(message.tokens[i].text, message.tokens[i].text) for i in at]
    words = ["" if word in _STOPS else word for word in words]
    known = {fact.id: fact for fact in trial.facts if isinstance(fact, Action)}
    begins = _deeds()
    for place, word in enumerate(words):
        for deed, way in begins.get(word, ()):
            if any(deed.id == sure.id for sure in trial.vouched if isinstance(sure, Action)):
                continue
            end = found(way, words, place)
            if end is None or not _was_done(message, words, deed, at[place], at[end - 1] + 1):
                continue
            message.take(at[place], at[end - 1] + 1)
            if deed.id not in known:
                known[deed.id] = Action(deed.id, message.said(at[place], at[end - 1] + 1))
                trial.facts.append(known[deed.id])
            trial.vouched.append(known[deed.id])


def _was_done(message: Message, words: list[str], deed: _Deed, start: int, end: int) -> bool:
    """Tell whether nothing around a deed takes it back: a refusal, a plan, a question, a matter of another kind."""
    if deed.mention and not deed.mention & set(words):
        return False
    unreal = _classes()["unreal"]
    usual = forms()[1]
    texts = [usual.get(token.text, token.text) if token.kind != "mark" else "" for token in message.tokens]
    before = texts[max(0, start - _BEFORE) : start]
    turn = next((at for at in range(len(before) - 1, -1, -1) if before[at] in _TURNS), -1)
    before = before[turn + 1 :]
    if unreal & {*before, *texts[start:end]}:
        return False
    first, last = _clauses(message, start, end)
    if deed.never & set(texts[first:last]):
        return False
    if start and message.tokens[start - 1].text == "to":
        return False  # "I have to put a new one in"
    if message.tokens[first].text in _NOT_YET:
        return False
    clause = next((clause for clause in message.clauses if clause.start <= start < clause.end), None)
    return clause is None or not (asks(message, clause.start, clause.end) or elsewhere_beside(message, start))


def _clauses(message: Message, start: int, end: int) -> tuple[int, int]:
    """Return where the clauses begin and end that the tokens from `start` to `end` stand in."""
    held = [clause for clause in message.clauses if clause.start < end and start < clause.end]
    return min((clause.start for clause in held), default=start), max((clause.end for clause in held), default=end)
