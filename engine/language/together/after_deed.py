"""What was found after a deed told along with it: the same cut fed the other way, "the step's gone to nothing".

The reading of a face that was cut anew has a name of its own, for it is held against the first. Deeds are also told in
rows of words and by the network, after the readings were made, so it is settled here once all facts are there.
"""

from __future__ import annotations

from dataclasses import replace

from askew.engine.language.clauses.message import Message
from askew.engine.language.observed.length_over import nothing_over
from askew.engine.language.together.attempt import Trial, add
from askew.engine.language.words.word_tables import word_list
from askew.engine.observations import Action, Observation, Reading, Sign

_ANEW = {
    "cross_cut": {"hollow_across": "cross_feed_hollow", "step": "cross_feed_step"},
    "feed_reversed": {"step": "reversed_step"},
    "turned_part": {"face_out_of_square": "turned_error"},
    "fine_cut": {"face_out_of_square": "fine_cutter_error"},
    "bar_removed": {"clamp_rise": "clamp_rise_plain"},
}
"""What the usual readings become after each deed."""


def name_after_deed(message: Message, facts: list[Observation]) -> None:
    """Give readings that were told after a deed the name that they have after it.

    Args:
        message: The message the facts were read from.
        facts: The facts, changed in place.
    """
    for deed in [fact for fact in facts if isinstance(fact, Action) and fact.id in _ANEW]:
        for place, fact in enumerate(facts):
            name = _ANEW[deed.id].get(fact.id) if isinstance(fact, Reading) else None
            told = name is not None and any(isinstance(one, Reading) and one.id == name for one in facts)
            if isinstance(fact, Reading) and name is not None and not told and _follows(message, deed, fact):
                facts[place] = replace(fact, id=name)
    if any(isinstance(fact, Action) and fact.id == "bar_removed" for fact in facts):
        _still_without_bar(message, facts)


_NOTHING_LEFT: dict[str, tuple[frozenset[str], str]] = {
    "vise_trued": (frozenset(), "jaw_run"),
    "block_gripped": (frozenset({"indicator_up", "ran_it", "needle", "up"}), "block_out_of_square"),
    "feed_reversed": (frozenset({"step"}), "reversed_step"),
    "cross_cut": (frozenset({"hollow"}), "cross_feed_hollow"),
}
"""What is nothing after each deed when no other reading is told, and the phrases of which one must name it."""


def nothing_after_deed(trial: Trial) -> None:
    """Add the reading that is nothing after a deed: "pulled the vise, dialed it back in dead nuts over six inches".

    Args:
        trial: The attempt at the message; its facts change in place.
    """
    message, facts = trial.message, trial.facts
    if any(isinstance(fact, Reading) for fact in facts):
        return
    for deed in [fact for fact in facts if isinstance(fact, Action) and fact.id in _NOTHING_LEFT]:
        topics, name = _NOTHING_LEFT[deed.id]
        done, where = message.tokens_of(deed.words), _nothing(message)
        if where is None or not len(done) or where <= done.start or (topics and not message.all_names & topics):
            continue
        stop = next((clause.end for clause in message.clauses if clause.start <= where < clause.end), where + 1)
        over = nothing_over(message, where, min(stop + _LENGTH_AFTER, len(message.tokens)), trial.habit)
        add(facts, Reading(name, 0.0, over, words=message.said(where, stop)))
        return


_LENGTH_AFTER = 5
"""So many words and marks after a nothing the length may follow that it was found over."""


def _nothing(message: Message) -> int | None:
    """Return the token at which it is said that there is nothing or no error; "nothing but a dart" is no reading."""
    idle = word_list("clauses.toml", "after_deed", "not_nothing")
    for quantity in message.prepared:
        if quantity.value == 0 and not quantity.junk and message.text_at(quantity.end) not in idle:
            return quantity.head
    for spot in message.prepared_spots:
        longer = any(
            one.start <= spot.start and spot.end <= one.end and one.end - one.start > spot.end - spot.start
            for one in message.prepared_spots
        )
        if spot.name == "nothing" and not longer and message.text_at(spot.end) not in idle:
            return spot.start
    return None


def _still_without_bar(message: Message, facts: list[Observation]) -> None:
    """Take an edge that stays down once the bar is away, or a zero, for the reading that is taken then.

    A needle that only stays put is the sign.
    """
    told = any(isinstance(fact, Reading) and fact.id.startswith("clamp_rise") for fact in facts)
    for place, fact in enumerate(facts):
        still = isinstance(fact, Sign) and (fact.id, fact.answer) == ("needle_moves_on_tightening", "no")
        if still and isinstance(fact, Sign) and not told and _edge_or_zero(message, fact):
            facts[place] = Reading("clamp_rise_plain", 0.0, words=fact.words)


def _edge_or_zero(message: Message, fact: Sign) -> bool:
    own = message.tokens_of(fact.words)
    names = message.names(own.start, own.stop) if len(own) else set()
    zero = any(quantity.value == 0 and not quantity.junk for quantity in message.prepared)
    edge = "edge" in {token.text for token in message.tokens[own.start : own.stop]} if len(own) else False
    return zero or (edge and "rise" in names and "needle" not in names)


def _follows(message: Message, deed: Action, fact: Reading) -> bool:
    """Tell whether a reading is told after the deed, and not of the cut that was there before."""
    own, done = message.tokens_of(fact.words), message.tokens_of(deed.words)
    if not len(own) or not len(done):
        return False
    before = word_list("clauses.toml", "after_deed", "before")
    start = next((clause.start for clause in message.clauses if clause.start <= own.start < clause.end), own.start)
    if {token.text for token in message.tokens[start : own.stop]} & before:
        return False
    if done.stop <= own.start:
        return True  # the deed has words of its own, before those
    if done.start > own.start or own.start == 0:
        return False
    later = word_list("clauses.toml", "after_deed", "deeds")
    return not any(token.text in later for token in message.tokens[own.stop :])
