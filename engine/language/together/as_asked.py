"""What was heard in an answer, under the name of what was asked for; a question about an amount is no answer."""

from __future__ import annotations

from dataclasses import replace

from askew.engine.language.clauses.message import Message
from askew.engine.language.model import Context
from askew.engine.language.together.attempt import Trial
from askew.engine.observations import Action, Observation, Reading, Sign

_KIN = {
    "other_corner": "face_out_of_square",
    "turned_error": "face_out_of_square",
    "fine_cutter_error": "face_out_of_square",
    "block_out_of_square": "face_out_of_square",
    "reversed_step": "step",
    "cross_feed_step": "step",
    "cross_feed_hollow": "hollow_across",
    "clamp_rise_plain": "clamp_rise",
}
"""Readings that are another one taken again in another way, and the one whose words they are told in."""
_PREMISE = {"cooled_change": "cooled"}
"""Readings that are only asked for once something was done, and that deed."""
_BEFORE = {"first", "original", "originally", "before", "earlier", "old", "yesterday"}
_LONGEST = 14
_JUDGING = {
    *("lot", "much", "bad", "good", "ok", "okay", "normal", "fine", "right", "acceptable", "typical", "reasonable"),
    *("enough", "usual", "high", "low", "alright", "excessive", "decent", "terrible", "poor"),
}
_ASKING = {"is", "are", "isn't", "isnt", "aren't", "would", "wouldn't", "does", "is'nt"}
_FIRST = {"wait", "hm", "hmm", "so", "um", "er", "but", "hang", "on", "hold", "and", "sorry", "just", "mate", "sir"}


def as_asked(trial: Trial, context: Context) -> None:
    """Give what was heard in a short answer the name of what was asked for, unless its amount is only asked about.

    Args:
        trial: The attempt at the message; its facts change in place.
        context: What was asked for.
    """
    facts, asked = trial.facts, context.asked
    if asked is None or not any(isinstance(fact, Reading) for fact in facts):
        return
    if weighs_an_amount(trial.message):
        facts.clear()
        return
    answer = next((fact for fact in facts if isinstance(fact, Reading) and fact.id == asked), None)
    if answer is not None and answer.value is None and trial.message.has("cannot", "dont_know", "lacks"):
        facts.remove(answer)  # "there's no room to get behind the jaw" tells nothing of it
    elif answer is not None:
        facts[:] = [fact for fact in facts if not _told_by(answer, fact)]
    if answer is not None:
        return
    words = [token.text for token in trial.message.tokens if token.kind != "mark"]
    kin = [at for at, fact in enumerate(facts) if isinstance(fact, Reading) and fact.id == _KIN.get(asked)]
    if len(kin) == 1 and len(words) <= _LONGEST and not _BEFORE & {*words}:
        told = facts[kin[0]]
        assert isinstance(told, Reading)
        facts[kin[0]] = replace(told, id=asked)


def lay_along(trial: Trial, context: Context) -> None:
    """Give what a straight edge showed to the way it lay: along the feed where that was asked for, or where it is said.

    Args:
        trial: The attempt at the message; its facts change in place.
        context: What was asked for.
    """
    message, facts = trial.message, trial.facts
    asked_along = context.asked is not None and context.asked.startswith("light_") and context.asked.endswith("_along")
    if message.has("across") or not (asked_along or (message.has("along") and not context.asked)):
        return
    told = {fact.id for fact in facts if isinstance(fact, Sign)}
    facts[:] = [fact for fact in facts if not (isinstance(fact, Sign) and f"{fact.id}_along" in told)]
    for at, fact in enumerate(facts):
        if isinstance(fact, Sign) and fact.id in _ACROSS:
            facts[at] = replace(fact, id=f"{fact.id}_along")


_ACROSS = {"light_in_middle", "light_at_ends"}


def _told_by(answer: Reading, fact: Observation) -> bool:
    """Tell whether a fact is no more than the answer: "no step any more, zero", "it is cold now: 2 thou less"."""
    if isinstance(fact, Reading):
        return fact.id == _KIN.get(answer.id) and fact.value in (answer.value, None)
    return isinstance(fact, Action) and fact.id == _PREMISE.get(answer.id)


def weighs_an_amount(message: Message) -> bool:
    """Tell whether a message only asks if some amount is a lot: "wait, is a couple of tenths bad for a chuck?"."""
    texts = [token.text for token in message.tokens if token.kind != "mark"]
    if not message.tokens or message.tokens[-1].text != "?":
        return False
    while texts and texts[0] in _FIRST:
        texts.pop(0)
    return bool(texts) and texts[0] in _ASKING and bool(_JUDGING & {*texts})
