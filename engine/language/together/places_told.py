"""The place of a sign where another place is named only to refuse it, or where the place is owned not to be known."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from askew.engine.language.clauses.message import Message
from askew.engine.language.model import Context
from askew.engine.language.observed.signs import place_of
from askew.engine.language.together.answers_told import rather_told
from askew.engine.language.together.attempt import Trial
from askew.engine.language.together.place_not_known import doubted_from
from askew.engine.language.words.lexicon import lexicon
from askew.engine.language.words.meanings import Meaning
from askew.engine.language.words.word_tables import word_list
from askew.engine.observations import Sign

_APART = {"heel_marks", "parallel_loose", "paper_pulls_out", "ink_print"}
"""Signs whose places are told against each other: "the back one slides, the front one's held"."""
_OPEN = _APART | {"step_felt", "dent_found", "chip_found"}
"""Signs of which it may be known that they are there, and not where."""


def settle_places(trial: Trial, context: Context) -> None:
    """Give a sign the one place that is told for it where others are refused, and none where it is not known.

    Args:
        trial: The attempt at the message; its facts change in place.
        context: What was asked for.
    """
    meanings = lexicon().meanings
    told = [fact for fact in trial.facts if isinstance(fact, Sign) and fact.id in _OPEN]
    for fact in told:
        if fact.answer == "none" and fact in trial.vouched:
            continue  # "no double arcs either way, left or right"
        answer = None
        supposed = fact.answer == "unknown" and "if" in trial.message.word_set
        if fact.id in _APART and not supposed and (fact.id == context.asked or len(told) == 1):
            answer = _told_apart(trial.message, meanings[fact.id])
        if answer is None and len(told) == 1 and _place_left_open(trial.message, fact):
            answer = "yes"
        if answer is None or answer == fact.answer:
            continue
        if not rather_told(trial.message, fact, answer, context):
            trial.facts[trial.facts.index(fact)] = replace(fact, answer=answer)


def _told_apart(message: Message, meaning: Meaning) -> str | None:
    """Return the one place that is told where every other place that is named is refused."""
    told: set[str] = set()
    refused: set[str] = set()
    for start, end in _stretches(message):
        place = place_of(meaning, message.mask(start, end))
        texts = {token.text for token in message.tokens[start:end]}
        denied = bool(texts & _words("refusing")) and not texts & _words("in_spite")
        if place is None and meaning.none and texts & _words("neither") and texts & _words("ways"):
            refused.add("both")
        if place is None and denied and texts & _words("others"):
            place = "others"
        if place is not None and (denied or end - start > 1):
            (refused if denied else told).add(place)
    named = {place for place, _ in meaning.places}
    if meaning.none and told in ({"left", "right"}, {"front", "back"}) and not refused:
        return "both"
    if not told and meaning.none and ("both" in refused or len(refused & named) > 1):
        return meaning.none
    return told.pop() if len(told) == 1 and refused - told and "both" not in told else None


def _stretches(message: Message) -> Iterator[tuple[int, int]]:
    """Yield where stretches between signs begin and end; one that only says yes or no belongs to the one before."""
    parts = _words("parting")
    edges = [at for at, token in enumerate(message.tokens) if token.kind == "mark" or token.text in parts]
    begin = 0
    for edge in [*edges, len(message.tokens)]:
        following = next((at for at in edges if at > edge), len(message.tokens))
        words = [token.text for token in message.tokens[edge + 1 : following]]
        if edge < len(message.tokens) and len(words) == 1 and words[0] in _words("bare"):
            continue
        if edge > begin:
            yield begin, edge
        begin = edge + 1


def _place_left_open(message: Message, fact: Sign) -> bool:
    """Tell whether the sign is affirmed before it is owned that only its place is not known."""
    at = doubted_from(message)
    if at is None:
        return False
    before = {token.text for token in message.tokens[:at]}
    told = word_list("clauses.toml", "told_of_it", "affirming") | _words("there")
    denying = word_list("clauses.toml", "told_of_it", "denying")
    return bool(before & told) and not before & denying and fact.answer != "elsewhere"


def _words(name: str) -> frozenset[str]:
    return word_list("clauses.toml", "places_apart", name)
