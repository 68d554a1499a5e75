"""What was done on the way, told beside another matter: "took the bar out and now it lifts half a thou"."""

from __future__ import annotations

from askew.engine.language.attempt import Trial, add, is_question, whenever
from askew.engine.language.groups import Group
from askew.engine.language.lexicon import best, lexicon
from askew.engine.observations import Action

NOT_DONE = frozenset({"hypothetical", "to_do", "not", "unsure", "dont_know"})
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
    """Add what was done on the way: "took the bar out and now it lifts half a thou"."""
    message = trial.message
    names = message.names(group.start, group.end)
    if names & NOT_DONE or is_question(message, group) or whenever(message, group):
        return
    reading = group.meaning is not None and group.meaning.kind == "reading"
    mask = message.mask(group.start, group.end)
    for name, done in _DONE.items():
        if name in names and best(lexicon().meanings[done].when, mask) and not (reading and name == "true_vise"):
            add(trial.facts, Action(done, message.said(group.start, group.end)))
