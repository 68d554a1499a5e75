"""What was done, told for itself or beside another matter, and what is only planned."""

from __future__ import annotations

from askew.engine.language.clauses.groups import Group
from askew.engine.language.clauses.message import Message
from askew.engine.language.together.attempt import Trial, add, goes_on_planning, is_question, led_by, whenever
from askew.engine.language.words.fitting import best
from askew.engine.language.words.lexicon import lexicon
from askew.engine.language.words.meanings import Meaning
from askew.engine.observations import Action

_NOT_DONE = frozenset({"hypothetical", "to_do", "not", "unsure", "dont_know"})
"""What stands beside an action that was not done, or may not have been."""

_DONE = {
    "bar_out": "bar_removed",
    "tram_it": "trammed",
    "regrip": "regripped",
    "clean": "cleaned",
    "deburr": "cleaned",
    "turn_part": "turned_part",
    "shim_it": "shimmed",
    "change_cutter": "cutter_changed",
    "reverse_feed": "feed_reversed",
    "cool_it": "cooled",
    "true_vise": "vise_trued",
    "put_in": "block_gripped",
    "block_up": "block_gripped",
    "swap_in": "block_gripped",
    "lock_it": "locked",
}


def also_done(trial: Trial, group: Group) -> None:
    """Add what was done on the way: "took the bar out and now it lifts half a thou".

    Args:
        trial: The attempt at the message, which takes the actions.
        group: The clauses that may tell of them.
    """
    message = trial.message
    names = message.names(group.start, group.end)
    if names & _NOT_DONE or is_question(message, group) or whenever(message, group):
        return
    reading = group.meaning is not None and group.meaning.kind == "reading"
    mask = message.mask(group.start, group.end)
    for name, done in _DONE.items():
        if name in names and best(lexicon().meanings[done].when, mask) and not (reading and name == "true_vise"):
            add(trial.facts, Action(done, message.said(group.start, group.end)))


def action_told(message: Message, group: Group, meaning: Meaning) -> Action | None:
    """Return the action that a group tells, unless it only says that it may be, will be or was not done.

    Args:
        message: The message the group is of.
        group: The clauses that tell of it.
        meaning: The action they are about.
    """
    if message.names(group.start, group.end) & _NOT_DONE or whenever(message, group):
        return None
    if goes_on_planning(message, group) or (meaning.id == "feed_reversed" and _takes_back(message, group)):
        return None
    return Action(meaning.id, message.said(group.start, group.end))


def _takes_back(message: Message, group: Group) -> bool:
    """Tell whether what sounds like a deed only takes back what was said: "I think I had it backwards"."""
    spots = message.spots_in(group.start, group.end)
    meant = {(spot.start, spot.end) for spot in spots if spot.name == "meant"}
    return any(spot.name == "reverse_feed" and (spot.start, spot.end) in meant for spot in spots)


def only_planned(message: Message, group: Group) -> bool:
    """Tell whether a group says what is to be done or looked for, and nothing that was: "I'll see if it rocks"."""
    spots = message.spots_in(led_by(message, group.start), group.end)
    doubts = [spot for spot in spots if spot.name in ("unsure", "dont_know")]
    return any(
        spot.name in ("to_do", "might_be")
        and all(spot.start <= doubt.start < spot.end for doubt in doubts)
        for spot in spots
    )
