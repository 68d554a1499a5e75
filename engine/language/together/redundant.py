"""Facts left out because another fact of the same message already says as much, or says it better."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from typing import TypeGuard

from askew.engine.language.clauses.message import Message
from askew.engine.language.learned import told as learned
from askew.engine.language.together.telling import FAULTY, felt
from askew.engine.language.words.lexicon import lexicon
from askew.engine.observations import Action, Observation, Reading, SetupFact, Sign

_MEASURING = {"indicated", "clocked", "indicating", "clocking", "dialing", "dialling"}

_RECUTS = {"turned_part", "feed_reversed", "fine_cut", "cross_cut"}

_UP = {"off", "up", "down", "lifted", "unbolted", "pulled", "under", "underneath", "beneath", "bottom", "base"}
"""What shows that the vise was taken from the table."""
_PARTS = {"part", "job", "work", "workpiece", "piece", "block", "casting", "plate"}
_APART = _PARTS | {"jaws", "jaw", "parallels", "parallel", "face", "faces"}
_BESIDE = 3
_FELT = {"nail", "fingernail", "thumbnail", "finger", "catch", "catches", "feel", "felt", "snag", "snags"}
_BORNE = {"part", "job", "work", "jaw", "face", "faces", "block", "piece", "bed", "side", "underneath", "dent", "dents"}
"""Words of where a dent may be; beside a worn edge a bright spot without them is on the edge."""

SAID = 0.9
"""From this chance on a deed was said in so many words, though another presupposes it."""

_AFTER_RECUT = {"turned_error", "fine_cutter_error", "cross_feed_hollow", "cross_feed_step", "reversed_step"}


def drop_told_twice(message: Message, facts: list[Observation], sure: Sequence[Observation] = ()) -> None:
    """Leave out what another fact already says: a plain second cut beside what was cut again, a step that a nail felt.

    Args:
        message: The message the facts were read from.
        facts: The facts, changed in place.
        sure: Those of them whose own words bear them out.
    """
    told = {fact.id for fact in facts if isinstance(fact, Action | Reading)}
    vouched = {fact.id for fact in sure if isinstance(fact, Action)}
    _drop_recuts(message, facts, told, vouched)
    _drop_of_the_vise(message, facts, told)
    _drop_bare_readings(message, facts)
    facts[:] = [fact for fact in facts if not _only_set(message, fact)]
    _drop_of_the_way(facts, told, vouched)
    if any(isinstance(fact, SetupFact) and fact.value == "plain" for fact in facts):
        _drop_answer(facts, "chip_found", "no")


def drop_deeds_told_twice(message: Message, facts: list[Observation]) -> None:
    """Leave out what the network added of a deed that is told whole: the second cut of "quarter turn, one more cut".

    Args:
        message: The message the facts were read from.
        facts: The facts, changed in place.
    """
    told = {fact.id for fact in facts if isinstance(fact, Action | Reading)}
    sure = learned.answers(message)
    if told & _RECUTS:
        _drop(facts, Action, "recut")
    kept = [fact for fact in facts if isinstance(fact, Action) and sure.get(f"!{fact.id}", 0.0) >= SAID]
    _drop_of_the_vise(message, facts, told)
    facts += [fact for fact in kept if fact not in facts]  # "bar out, gripped it again"


def _drop_of_the_vise(message: Message, facts: list[Observation], told: set[str]) -> None:
    """Leave out what belongs to a deed of the vise: set down and cleaned to be trued, gripped again without its bar."""
    texts = {token.text for token in message.tokens}
    if "vise_trued" in told and not texts & _PARTS and not message.has("part_noun"):
        _drop(facts, Action, "regripped")
    if "vise_trued" in told and _vise_up(message) and not _cleaned_apart(message):
        _drop(facts, Action, "cleaned")
    if "bar_removed" in told and not _put_back(message):
        _drop(facts, Action, "regripped")


def _vise_up(message: Message) -> bool:
    """Tell whether the vise was taken up, so that what was wiped was under it."""
    return message.has("lifted_vise") or bool(_UP & {token.text for token in message.tokens})


def _cleaned_apart(message: Message) -> bool:
    """Tell whether what was cleaned is named and no part of the vise's seat: "wiped the jaws", "the part cleaned"."""
    return any(
        spot.name in ("clean", "deburr")
        and {token.text for token in message.tokens[max(0, spot.start - _BESIDE) : spot.end + _BESIDE]} & _APART
        for spot in message.spots
    )


def _put_back(message: Message) -> bool:
    """Tell whether the part itself is told to have been put back, more than gripping it without the bar takes."""
    texts = {token.text for token in message.tokens}
    return bool(texts & {"reseated", "refitted"}) or ("put" in texts and "back" in texts)


def _drop_recuts(message: Message, facts: list[Observation], told: set[str], vouched: set[str]) -> None:
    """Leave out a plain second cut where another fact already says what was cut again, and how."""
    measured = any(isinstance(fact, Reading) for fact in facts)
    if "cross_cut" in told:  # the other direction there is the other axis
        _drop(facts, Action, "feed_reversed")
    fine = "fine_cut" in vouched or message.has("cut_again", "fine_done", "fine_again")
    if "fine_cutter_error" in told and not fine:
        _drop(facts, Action, "fine_cut")
    turned = "turned_part" in vouched or message.has("turn_part")  # "quarter turn, cut again"
    if "turned_error" in told and not turned:
        _drop(facts, Action, "turned_part")
    if told & (_RECUTS | _AFTER_RECUT) or ("cutter_changed" in told and measured):
        _drop(facts, Action, "recut")


def _drop_bare_readings(message: Message, facts: list[Observation]) -> None:
    """Leave out a step or a hollow without a number where a nail felt the step, or the hollow runs the other way."""
    if any(isinstance(fact, Sign) and fact.id == "step_felt" and fact.answer != "no" for fact in facts):
        _drop_bare(facts, "step")
    along = any(isinstance(fact, Reading) and fact.id == "hollow_along" and fact.value is not None for fact in facts)
    if along and "across" not in message.all_names:  # "low at the ends along the length, so it's crowned"
        _drop_bare(facts, "hollow_across")


def _only_set(message: Message, fact: Observation) -> bool:
    """Tell whether a square was only set true to the travel that it is held against: "one leg dead true to X"."""
    if not isinstance(fact, Reading) or fact.id != "axes_square" or fact.value != 0:
        return False
    held = message.tokens_of(fact.words)
    named = {spot.name for spot in message.prepared_spots if spot.start in held}
    return "x" in named and not named & _DOWN_THE_OTHER_LEG


_DOWN_THE_OTHER_LEG = {"y", "front", "back", "f2b", "b2f", "to_front", "to_back", "saddle_run", "other_part", "axes"}


def _drop_of_the_way(facts: list[Observation], told: set[str], vouched: set[str]) -> None:
    """Leave out what is only the way in which something else was done: tramming, locking, a spring pass."""
    if "spring_pass" in told:  # what it "cleaned off" is what it took
        _drop(facts, Action, "recut", "cleaned")
    if "trammed" in told:
        facts[:] = [fact for fact in facts if not _of_the_tramming(fact)]
    if "lock_shift" in told and "locked" not in vouched:  # locking is how it was measured
        _drop(facts, Action, "locked")


def _of_the_tramming(fact: Observation) -> bool:
    """Tell whether a fact is part of tramming: the head's swing, which measures nothing, its bolts nipped up again."""
    if isinstance(fact, Reading):
        return fact.id.startswith("sweep") and fact.value is None
    return isinstance(fact, Action) and fact.id == "regripped" and "part" not in fact.words


def _drop(facts: list[Observation], kind: type[Action | Sign], *names: str) -> None:
    """Leave out the actions or signs that bear one of these names."""
    facts[:] = [fact for fact in facts if not (isinstance(fact, kind) and fact.id in names)]


def _drop_bare(facts: list[Observation], name: str) -> None:
    """Leave out a reading where it has no number."""
    facts[:] = [fact for fact in facts if not (isinstance(fact, Reading) and fact.id == name and fact.value is None)]


def _drop_answer(facts: list[Observation], name: str, answer: str) -> None:
    """Leave out a sign where it has this answer."""
    facts[:] = [fact for fact in facts if not (isinstance(fact, Sign) and (fact.id, fact.answer) == (name, answer))]


def drop_measuring(message: Message, facts: list[Observation]) -> None:
    """Leave out what was only done to measure: "I indicated the vise and the jaw is 2 thou out".

    Args:
        message: The message the facts were read from.
        facts: The facts, changed in place.
    """
    readings = [fact for fact in facts if isinstance(fact, Reading)]
    if any(fact.id.startswith("clamp_rise") and fact.value for fact in readings):
        _drop_answer(facts, "needle_moves_on_tightening", "yes")  # the number says as much
    if any(fact.id == "lock_shift" for fact in readings) and not message.has("cut", "sweep"):
        _drop(facts, Sign, "locks_were_loose")
    out = any(fact.id == "jaw_run" and fact.value and fact.bound != "at_most" for fact in readings)
    said = [message.said(spot.start, spot.end).lower().split() for spot in message.spots if spot.name == "true_vise"]
    if out and all(words[0] in _MEASURING and "in" not in words for words in said if words):
        _drop(facts, Action, "vise_trued")


def drop_bare_topics(message: Message, facts: list[Observation]) -> None:
    """Leave out checks that were only named: without a number only a complaint tells something.

    What is said to be wrong complains too where only its number is said to be missing.
    """
    meanings = lexicon().meanings
    facts[:] = [
        fact
        for fact in facts
        if not (isinstance(fact, Reading) and fact.value is None and not meanings[fact.id].complaint)
        or _wrong_without_figure(message, fact)
    ]


def _wrong_without_figure(message: Message, fact: Observation) -> bool:
    """Tell whether something is said to be wrong, and that nobody wrote down by how much."""
    own = message.tokens_of(fact.words)
    if isinstance(fact, Reading) and len(own) > 0 and felt(message, fact.id, own.start, own.stop):
        return True
    missing = message.has("no_figure") and not message.has("planned", "might_be", "what_if", "history", "other_machine")
    return missing and len(own) > 0 and bool(message.names(own.start, own.stop) & FAULTY)


def drop_signs_told_otherwise(message: Message, facts: list[Observation]) -> None:
    """Leave out what another fact already says: the step that a nail felt, the smear of the ink, the light along.

    Args:
        message: The message the facts were read from.
        facts: The facts, changed in place.
    """
    signs = {fact.id: fact.answer for fact in facts if isinstance(fact, Sign)}
    done = {fact.id: fact.words for fact in facts if isinstance(fact, Action)}
    if message.has("lifted_vise") and message.has("under_part"):  # "had the vise off, there was a chip under it"
        facts[:] = [
            replace(fact, answer="under_vise") if _below_it(fact) else fact for fact in facts
        ]
    if signs.get("chip_found") == "no" and _somewhere_else(message):
        facts[:] = [
            replace(fact, answer="elsewhere") if isinstance(fact, Sign) and fact.id == "chip_found" else fact
            for fact in facts
        ]
    ridge = any(isinstance(fact, Reading) and fact.id == "ridge" and fact.value for fact in facts)
    opened = [
        fact.words for fact in facts if isinstance(fact, Reading) and fact.id.startswith("release_") and fact.value
    ]
    on_purpose = any(isinstance(fact, SetupFact) and fact.key == "leaned_on_purpose" for fact in facts)
    if signs.get("dent_found") == "yes" and signs.get("chip_found") in ("behind_jaw", "under_part"):
        place = signs["chip_found"]
        facts[:] = [
            replace(fact, answer=place) if isinstance(fact, Sign) and _there(fact) else fact for fact in facts
        ]
    warm = signs.get("worse_when_warm")
    drifts = any(isinstance(fact, Reading) and fact.id == "depth_drift" and fact.value for fact in facts)

    def needless(fact: Observation) -> bool:
        if isinstance(fact, Reading) and fact.id == "face_out_of_square" and fact.value is None:
            held = signs.keys() & {"parallel_loose", "paper_pulls_out"}  # "the back one's pinched"
            return bool(held) and not set(fact.words.lower().split()) & {"square", "corner", "part", "face"}
        if isinstance(fact, Reading):
            return "step_felt" in signs and fact.id in ("step", "ridge") and not fact.value
        if not isinstance(fact, Sign):
            return False
        return (
            (fact.id == "rubbing" and "ink_print" in signs)
            or (fact.id == "plate_loose" and "shimmed" in done)  # what went in behind it was the shim
            or (fact.id == "edge_worn" and done.get("cutter_changed") == fact.words)  # the new one is sharp
            or (fact.id == "stays_with_machine" and fact.answer == "no" and signs.get("comes_and_goes") == "yes")
            or (fact.id == "part_moved" and fact.answer == "no" and "needle_moves_on_tightening" in signs)
            or (fact.id == "stays_with_machine" and fact.answer == "no" and "cutter_changed" in done)
            or (fact.id == "step_felt" and ridge and not set(fact.words.lower().split()) & _FELT)
            or (fact.id == "springs_on_release" and fact.answer == "yes" and any(fact.words in told for told in opened))
            or (fact.id == "edge_worn" and "cutter_changed" in done and _of_a_new_cutter(fact))
            or (fact.id == "heel_marks" and fact.answer == "none" and on_purpose)
            or (fact.id == "paper_pulls_out" and "plate_loose" in signs and fact.answer == "no")
            or (fact.id == "dent_found" and "edge_worn" in signs and not set(fact.words.lower().split()) & _BORNE)
            or (fact.id == "worse_when_cold" and warm == fact.answer == "yes" and _of_warmth(fact))
            or (fact.id == "worse_when_cold" and fact.answer == "no" and warm == "yes" and _only_good(fact))
            or (fact.id == "grows_along_cut" and fact.answer == "yes" and drifts)
            or (fact.id == "locks_were_loose" and fact.answer == "no" and "locked" in done and _is_of_now(fact.words))
            or (fact.id.startswith("light_") and signs.get(f"{fact.id}_along") == fact.answer)
        )

    facts[:] = [fact for fact in facts if not needless(fact)]


def _somewhere_else(message: Message) -> bool:
    """Tell whether what is denied of some places is said to have been at another: "not under it, somewhere else"."""
    texts = [token.text for token in message.tokens]
    places = [at for at, (one, two) in enumerate(pairwise(texts)) if (one, two) == ("somewhere", "else")]
    return bool(places) and any(text in ("was", "were", "found", "is") for text in texts[: places[0]])


def _there(fact: Sign) -> bool:
    """Tell whether a dent was left where the chip sat: "a chip behind it, left a dent in the piece there"."""
    return fact.id == "dent_found" and bool({"there", "left"} & set(fact.words.lower().split()))


def _of_a_new_cutter(fact: Sign) -> bool:
    """Tell whether only the cutter that was put in is called sharp."""
    return fact.answer == "no" and not set(fact.words.lower().split()) & {"edge", "edges", "insert", "inserts", "teeth"}


def _only_good(fact: Sign) -> bool:
    """Tell whether the cold is told only as the better time: "mornings are fine, it gets worse through the day"."""
    return not set(fact.words.lower().split()) & {"worse", "no", "not", "difference", "isn't", "aren't", "never"}


def _of_warmth(fact: Sign) -> bool:
    """Tell whether only warmth is spoken of: "worse in the afternoon, when the machine is good and warm"."""
    cold = {"cold", "morning", "mornings", "first", "early", "startup", "freezing"}
    return not set(fact.words.lower().split()) & cold


def _is_of_now(words: str) -> bool:
    """Tell whether something is said of how it is from now on: "they're staying locked now"."""
    return bool({"now", "since", "on", "staying", "stay", "stays"} & set(words.lower().split()))


def _below_it(fact: Observation) -> TypeGuard[Sign]:
    """Tell whether a chip was found under what was named before."""
    return (
        isinstance(fact, Sign)
        and (fact.id, fact.answer) == ("chip_found", "under_part")
        and bool({"it", "its", "underside", "underneath"} & set(fact.words.lower().split()))
    )
