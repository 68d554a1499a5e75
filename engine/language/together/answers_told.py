"""What was seen, chosen, done or asked for in words that no phrase took, by how often such words told it before."""

from __future__ import annotations

from askew.engine.language.counted.features import answer_features
from askew.engine.language.counted.weights import weights
from askew.engine.language.model import Context
from askew.engine.language.together.attempt import Trial
from askew.engine.observations import Action, Command, Observation, SetupFact, Sign, name_of

NOT_DONE = {"not", "hypothetical", "planned", "intended", "to_do", "some_day", "might_be", "unsure"}
"""Phrases that say of something that it was not done."""

LIKELY, CHOSEN = 0.3, 0.5
"""From these chances on something seen, done or asked for, and something of the setup, is taken without a phrase."""


def answer_of(fact: Observation) -> str | None:
    """Return the name under which a fact without a number is learned; None for readings and sizes."""
    if isinstance(fact, Sign):
        return f"{fact.id}:{fact.answer}"
    if isinstance(fact, Action | Command):
        return f"{'!' if isinstance(fact, Action) else '$'}{fact.id}"
    if isinstance(fact, SetupFact) and isinstance(fact.value, str | bool):
        return f"{fact.key}:={fact.value}"
    return None


def fact_of(answer: str, words: str) -> Observation:
    """Return the fact that was learned under a name."""
    if answer[0] in "!$":
        return Action(answer[1:], words) if answer[0] == "!" else Command(answer[1:], words=words)
    name, _, value = answer.partition(":")
    if value[0] != "=":
        return Sign(name, value, words)
    return SetupFact(name, {"True": True, "False": False}.get(value[1:], value[1:]), words=words)


def add_answers(trial: Trial, text: str, context: Context) -> None:
    """Add what the words of a message likely tell though no phrase told it.

    Args:
        trial: The attempt at the message; its facts change in place.
        text: The message.
        context: What was asked for.
    """
    chances = weights("answers").named(answer_features(trial.message, context.asked))
    sure_undone = trial.message.all_names & NOT_DONE
    for answer in sorted(chances, key=lambda name: -chances[name]):
        if chances[answer] < LIKELY:
            return
        fact = fact_of(answer, text)
        told = {_family(name_of(old)) for old in trial.facts}
        if _family(name_of(fact)) in told or (isinstance(fact, Action) and sure_undone):
            continue
        if isinstance(fact, SetupFact) and (chances[answer] < CHOSEN or not (told or context.asked)):
            continue
        if isinstance(fact, Command) and told:
            continue
        trial.facts.append(fact)


def _family(name: str) -> str:
    """Return the name that signs share which are looked for along the feed or across it, at the ends or the middle."""
    return "light" if name.startswith("light_") else name
