"""What belongs to the clause before: the number of a topic, its length, its direction, its place."""

from __future__ import annotations

from collections.abc import Set
from dataclasses import dataclass, field, replace
from typing import TypeGuard

from askew.engine.language.attempt import (
    Trial,
    add,
    ask_which,
    is_question,
    last_reading,
    special,
    whenever,
)
from askew.engine.language.groups import Group, has_value
from askew.engine.language.lexicon import Meaning, best, lexicon, word_list
from askew.engine.language.measured import LARGEST_VALUE, is_span, is_value
from askew.engine.language.message import Message
from askew.engine.language.model import Context
from askew.engine.language.quantities import Quantity
from askew.engine.language.readings import direction, pair_of, read_group, signed, span_mm
from askew.engine.language.signs import place_of
from askew.engine.observations import Action, Observation, Reading, SetupFact, Sign
from askew.engine.units import UNITS, Habit

GENERIC = ("face_out_of_square", "face_out_of_square_clamped")


_LIKE = {
    "fixed_jaw_square": ("fixed_jaw_travel",),
    "block_out_of_square": ("fixed_jaw_travel",),
    "sweep": ("table_run_x", "table_run_y"),
    "sweep_x": ("table_run_x",),
    "sweep_y": ("table_run_y",),
    "square_travel": ("sweep_x", "sweep_y"),
    "wall_taper": ("blank_thickness",),
    "vise_bed": ("face_out_of_parallel_along", "face_out_of_parallel_across", "table_run_x", "table_run_y"),
    "table_run": ("face_out_of_parallel_along", "face_out_of_parallel_across"),
    "table_run_x": ("face_out_of_parallel_along",),
    "table_run_y": ("face_out_of_parallel_across",),
    "vise_bed_x": ("face_out_of_parallel_along", "table_run_x"),
    "vise_bed_y": ("face_out_of_parallel_across", "table_run_y"),
    "jaw_run": ("face_out_of_parallel_along",),
    "axes_square": ("table_run_x", "table_run_y", "square_travel_x", "jaw_run"),
    "twist": ("face_out_of_square",),
    "hollow_along": ("hollow_across",),
    "ridge": ("step",),
    "step": ("clamp_rise", "face_out_of_parallel_across", "face_out_of_parallel_along"),
}


_SETTINGS = ("other_corner", "turned_error", "fine_cutter_error", "end_out_of_square_plan")


_OUT = {
    "out",
    "lean",
    "out_of_square",
    "not",
    "out_of_parallel",
    "play",
    "square",
    "nothing",
    "skew",
    "whisker",
    "opposite",
    "same",
    "half_of",
    "double_of",
    "loose",
    "not_move",
}


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


def is_topic(message: Message, group: Group, asked: tuple[Meaning, ...]) -> bool:
    """Tell whether a group only says what was measured, so that the number may follow."""
    meaning = group.meaning
    if (
        meaning is None
        or meaning.kind != "reading"
        or (meaning.complaint and meaning.id not in _SETTINGS)
        or meaning in asked
    ):
        return False
    if any(is_value(quantity) or quantity.size for quantity in message.within(group.start, group.end)):
        return False
    names = message.names(group.start, group.end)
    if best(meaning.zero, message.mask(group.start, group.end)):
        return False
    return (
        not names & (_OUT | {"open", "closed"})
        or (meaning.id in ("end_out_of_square_plan", "square_flip") and not names & {"nothing", "same"})
        or bool(meaning.members and meaning.id != "backlash_check" and not _none_of_it(message, meaning, names))
    )


def _none_of_it(message: Message, family: Meaning, names: Set[str]) -> bool:
    """Tell whether a family is named with its axis only to say that there is none: "no drift side to side"."""
    return bool(names & {"nothing", "not_move", "not"}) and by_axis(message, family, names) is not None


def continued(message: Message, group: Group, following: Group | None) -> bool:
    """Tell whether what a group speaks of gets its number in the next one: "the bed is out, right end high a thou"."""
    meaning = group.meaning
    if meaning is None or meaning.kind != "reading" or following is None:
        return False
    like = following.meaning is not None and following.meaning.id in _LIKE.get(meaning.id, ())
    if meaning.complaint and not (like or _only_out(message, following)):
        return False
    if like and (
        _across_and_along(message, group, following) or "step" in message.names(following.start, following.end)
    ):
        return False
    if has_value(message, group):
        return False
    told = following.meaning is None or following.meaning.id in (*GENERIC, *_LIKE.get(meaning.id, ()))
    return told and has_value(message, following)


def _across_and_along(message: Message, one: Group, two: Group) -> bool:
    """Tell whether two groups speak of different directions: "along it's flat, across it's hollow"."""
    first, second = message.names(one.start, one.end), message.names(two.start, two.end)
    return ("along" in first and "across" in second) or ("across" in first and "along" in second)


def goes_with(message: Message, carried: Meaning | None, group: Group) -> bool:
    """Tell whether what seems another matter goes with the topic before: "nail catches, the front's a thou up"."""
    return (
        carried is not None
        and group.meaning is not None
        and group.meaning.id in _LIKE.get(carried.id, ())
        and not message.names(group.start, group.end) & {"tighten", "needle", "vise", "thickness", "out_of_parallel"}
    )


def _only_out(message: Message, group: Group) -> bool:
    """Tell whether a group is told for a face out of square only because something is "out five thou"."""
    if group.meaning is None or group.meaning.id != "face_out_of_square":
        return False
    names = message.names(group.start, group.end)
    return "out" in names and not names & {"out_of_square", "square", "corner", "open", "closed", "square_tool"}


def joined(
    trial: Trial, waiting: Group | None, group: Group, context: Context
) -> tuple[bool, Reading | None]:
    """Give the number of a group without a topic of its own to the topic that was named just before.

    Returns whether the group was taken up, and the reading it made, if any.
    """
    message = trial.message
    if waiting is None or waiting.meaning is None:
        return False, None
    if group.meaning is not None and group.meaning.id not in (
        *GENERIC,
        waiting.meaning.id,
        *_LIKE.get(waiting.meaning.id, ()),
    ):
        return False, None
    names = message.names(group.start, group.end)
    if (
        not has_value(message, group)
        and "nothing" not in names
        and not best(waiting.meaning.zero, message.mask(group.start, group.end))
    ):
        return False, None
    meaning = (
        (
            _by_direction(message, waiting, group)
            or by_axis(message, waiting.meaning, message.names(group.start, group.end))
            or by_axis(message, waiting.meaning)
        )
        if waiting.meaning.members
        else special(message, group, waiting.meaning, ())
    )
    if meaning is None:
        ask_which(trial, waiting.start, group.end, waiting.meaning)
        return True, None
    return True, read_group(message, waiting.start, group.end, meaning, context, trial.habit)


def _by_direction(message: Message, waiting: Group, group: Group) -> Meaning | None:
    """Return the member of a family whose directions are named."""
    if waiting.meaning is None:
        return None
    mask = message.mask(min(waiting.start, group.start), max(waiting.end, group.end))
    meanings = lexicon().meanings
    fits = [
        name
        for name in waiting.meaning.members
        if direction(replace(meanings[name], default="", size=False), mask)[1]
    ]
    return meanings[fits[0]] if len(fits) == 1 else None


_ALONG_X = ("x_run", "table_ends", "push_table_end")
_AXIS_WORDS = {
    "x": frozenset({"x", "left", "right", "l2r", "r2l", "to_left", "to_right", *_ALONG_X}),
    "y": frozenset({"y", "front", "back", "f2b", "b2f", "to_front", "to_back", "saddle_run", "push_saddle"}),
    "z": frozenset({"z", "quill", "knee", "push_head"}),
}


def by_axis(message: Message, family: Meaning, among: Set[str] | None = None) -> Meaning | None:
    """Return the member of a family whose axis is the only one that the message names, or these names do."""
    among = message.all_names if among is None else among
    named = [axis for axis, names in _AXIS_WORDS.items() if names & among]
    name = f"{family.id}_{named[0]}" if len(named) == 1 else ""
    return lexicon().meanings[name] if name in family.members else None


def same_topic(trial: Trial, group: Group) -> bool:
    """Tell whether a group is about the last reading heard."""
    last = last_reading(trial)
    return last is not None and group.meaning is not None and last[1].id == group.meaning.id


def beside(trial: Trial, group: Group) -> bool:
    """Tell whether a group is about the last reading, its whole family, or nothing more than a face."""
    last, meaning = last_reading(trial), group.meaning
    return (
        last is not None
        and meaning is not None
        and (meaning.id in (*GENERIC, last[1].id) or last[1].id in meaning.members)
    )


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


@dataclass(slots=True)
class Hints:
    """Directions told before the number they belong to: "the corner is closed, it's 4 thou out"."""

    signs: dict[str, int] = field(default_factory=dict)
    loose: Group | None = None

    def note(self, message: Message, group: Group, fact: Observation | None) -> None:
        """Remember the direction of a group without a number."""
        self.loose = None
        if has_value(message, group):
            return
        if group.meaning is None:
            self.loose = group if fact is None else None
        elif group.meaning.kind == "reading" and not group.meaning.size:
            sign, known = direction(replace(group.meaning, default=""), message.mask(group.start, group.end))
            if known:
                self.signs[group.meaning.id] = sign

    def complete(self, message: Message, group: Group, fact: Reading) -> Reading:
        """Give a number of unknown direction the one that was told right before it."""
        meaning = lexicon().meanings[fact.id]
        if fact.value is None or fact.sign_known or meaning.size:
            return fact
        if fact.id in self.signs:
            return signed(fact, self.signs[fact.id])
        if self.loose is not None and group.start - self.loose.end <= 1:
            mask = message.mask(self.loose.start, self.loose.end)
            sign, known = direction(replace(meaning, default=""), mask)
            return signed(fact, sign) if known else fact
        return fact


def told_after(
    trial: Trial, spoken: Group, group: Group, following: Group | None, context: Context
) -> bool:
    """Give a number the topic that is named only after it: "leans back 1 thou, indicator up the fixed jaw"."""
    message, topic, last = trial.message, group.meaning, last_reading(trial)
    if topic is not None and topic.members:
        topic = _by_direction(message, group, spoken)
    if topic is None or topic.kind != "reading" or last is None or last[1].id == topic.id:
        return False
    if last[1].id not in (*GENERIC, *_LIKE.get(topic.id, ())) or not _follows(message, spoken, group):
        return False
    inside = [*message.within(group.start, group.end)]
    if following is not None:
        inside += message.within(following.start, following.end)
    alone = topic.complaint and topic.id not in _SETTINGS
    if alone or any(is_value(quantity) for quantity in inside):
        return False
    told = read_group(message, spoken.start, group.end, special(message, group, topic, ()), context, trial.habit)
    if told.value is None or "nothing" in message.names(group.start, group.end):
        return False
    trial.facts[last[0]] = told
    return True


def _follows(message: Message, spoken: Group, group: Group) -> bool:
    """Tell whether no more than small words stand between two groups."""
    small = word_list("clauses.toml", "words", "small")
    between = message.tokens[spoken.end : group.start]
    return all(token.kind == "mark" or token.text in small for token in between)


def span_added(trial: Trial, group: Group) -> bool:
    """Give the last reading the length that follows in a clause of its own: "..., 200 mm circle"."""
    last = last_reading(trial)
    inside = trial.message.within(group.start, group.end)
    spans = [quantity for quantity in inside if is_span(quantity)]
    if (
        last is None
        or last[1].over is not None
        or last[1].value is None
        or len(spans) != 1
        or any(is_value(quantity) for quantity in inside)
    ):
        return False
    habit = UNITS[last[1].unit].habit if last[1].unit in UNITS else trial.habit
    over = span_mm(trial.message, spans[0], habit or trial.habit)
    trial.facts[last[0]] = replace(last[1], over=over)
    for place, fact in enumerate(trial.facts):  # the other axis of the same sweep was taken on the same circle
        same = isinstance(fact, Reading) and fact.id.startswith("sweep_") and last[1].id.startswith("sweep_")
        if same and isinstance(fact, Reading) and fact.over is None and fact.value is not None:
            trial.facts[place] = replace(fact, over=over)
    return True


def direction_added(trial: Trial, group: Group) -> bool:
    """Give the last reading the direction that follows in a clause of its own: "..., foot proud"."""
    last = last_reading(trial)
    if (
        last is None
        or last[1].value is None
        or last[1].sign_known
        or has_value(trial.message, group)
    ):
        return False
    meaning = lexicon().meanings[last[1].id]
    sign, known = direction(replace(meaning, default=""), trial.message.mask(group.start, group.end))
    if not known:
        return False
    trial.facts[last[0]] = signed(last[1], sign)
    return True


def step_from_nail(facts: list[Observation]) -> None:
    """Give a step of unknown direction the side that the nail found higher."""
    side = next((f.answer for f in facts if isinstance(f, Sign) and f.id == "step_felt"), "")
    if side not in ("back", "right", "front", "left"):
        return
    for place, fact in enumerate(facts):
        if isinstance(fact, Reading) and fact.id == "step" and fact.value and not fact.sign_known:
            facts[place] = signed(fact, 1 if side in ("back", "right") else -1)


_BOTH_WAYS = ("sweep_x", "sweep_y", "vise_bed", "hole_lean")
"""What is told for both axes at once: "level both ways"."""


def add_other_axis(trial: Trial, group: Group, fact: Reading) -> None:
    """Add the second pair of "left 0 right 5, front 2 back 2", and the second of "both ways"."""
    named = trial.message.names(group.start, group.end)
    twin = lexicon().meanings.get(fact.id[:-1] + ("y" if fact.id.endswith("x") else "x"))
    both = ("both_ways" in named and fact.id.startswith(_BOTH_WAYS)) or (fact.value == 0 and {"x", "y"} <= named)
    if both and fact.value is not None and fact.id[-2:] in ("_x", "_y") and twin is not None:
        add(trial.facts, replace(fact, id=twin.id))
        return
    if (
        fact.id[-2:] not in ("_x", "_y")
        or sum(is_value(q) for q in trial.message.within(group.start, group.end)) < 4
    ):
        return
    other = lexicon().meanings.get(fact.id[:-1] + ("y" if fact.id.endswith("x") else "x"))
    if other is not None and other.ends:
        second = pair_of(trial.message, group.start, group.end, other, trial.habit)
        if second is not None:
            add(trial.facts, replace(second, over=fact.over))


def place_added(trial: Trial, group: Group) -> bool:
    """Give the last sign the place that follows in a clause of its own: "..., back is higher"."""
    last = trial.facts[-1] if trial.facts else None
    if not isinstance(last, Sign):
        return False
    higher = last.id == "step_felt" and "high" in trial.message.names(group.start, group.end)
    only = trial.message.tokens[group.start].text in ("only", "just") and last.answer == "no"
    if last.answer != "yes" and not only and not (higher and last.answer not in ("no", "unknown")):
        return False
    place = place_of(lexicon().meanings[last.id], trial.message.mask(group.start, group.end))
    if place is None:
        return False
    trial.facts[-1] = replace(last, answer=place)
    return True


def denied(trial: Trial, group: Group) -> bool:
    """Take the last sign for denied where a clause of its own says so: "looked for chips, found none"."""
    last = trial.facts[-1] if trial.facts else None
    if not isinstance(last, Sign) or last.answer not in ("yes", "both") or group.end - group.start > 5:
        return False
    names = trial.message.names(group.start, group.end)
    if "none_of_them" in names and last.answer == "both":
        trial.facts[-1] = replace(last, answer="no")
        return True
    if "tears_first" in names and last.id == "paper_pulls_out":
        trial.facts[-1] = replace(last, answer="no")
        return True
    if last.answer != "yes" or not names & {"nothing", "no", "not"} or names & {"change", "move", "again"}:
        return False
    meanings = lexicon().meanings
    across = last.id.removesuffix("_along")
    if across != last.id and "across" in names and "along" not in names:
        trial.facts.append(Sign(across, "no", trial.message.said(group.start, group.end)))
        return True
    if names & {"ends", "middle"} and "along" not in names:
        return False  # that it shows nowhere else denies nothing
    other = f"{last.id}_along"
    if other in meanings and "along" in trial.message.names(group.start, group.end):
        trial.facts.append(Sign(other, "no", trial.message.said(group.start, group.end)))
        return True
    trial.facts[-1] = replace(last, answer=meanings[last.id].none or "no")
    return True


_ABOUT_DOUBT = {
    *("which", "where", "how", "why", "that", "this", "matters", "matter", "help", "helps"),
    *("normal", "related", "connected", "means", "mean"),
}


def put_in_doubt(trial: Trial, group: Group) -> bool:
    """Take the last sign for unknown where a clause of its own says so: "paper tore, so I can't say"."""
    last = trial.facts[-1] if trial.facts else None
    names = trial.message.names(group.start, group.end)
    words = {token.text for token in trial.message.tokens[group.start : group.end]}
    if not isinstance(last, Sign) or not names & {"unsure", "dont_know"} or words & _ABOUT_DOUBT or len(words) > 8:
        return False
    trial.facts[-1] = replace(last, answer="unknown")
    return True


_HOLLOWS = ("hollow_across", "hollow_along")


def sibling(trial: Trial, group: Group) -> Meaning | None:
    """Return the reading of another axis that goes on from the last one: "lost motion x 8 thou, y 5 thou"."""
    last = last_reading(trial)
    if (
        last is None
        or (last[1].id[-2:] not in ("_x", "_y", "_z") and last[1].id not in _HOLLOWS)
        or not has_value(trial.message, group)
    ):
        return None
    names = trial.message.names(group.start, group.end)
    if last[1].id in _HOLLOWS and names & {"along", "across"}:
        return lexicon().meanings["hollow_along" if "along" in names else "hollow_across"]
    axis = next(
        (
            axis
            for axis in "xyz"
            if axis in names
            or (axis == "x" and names >= {"left", "right"})
            or (axis == "y" and names >= {"front", "back"})
            or (last[1].id.startswith(("hole_lean", "sweep_x", "sweep_y")) and names & _AXIS_WORDS[axis])
        ),
        None,
    )
    return None if axis is None else lexicon().meanings.get(f"{last[1].id[:-1]}{axis}")


def goes_on(trial: Trial, carried: Meaning) -> bool:
    """Tell whether a complaint still lacks the number that may now follow."""
    return any(
        isinstance(fact, Reading) and fact.id == carried.id and fact.value is None for fact in trial.facts
    )


_MEASURING = {"indicated", "clocked", "indicating", "clocking", "dialing", "dialling"}
_RECUTS = {"turned_part", "feed_reversed", "fine_cut", "cross_cut"}


_AFTER_RECUT = {"turned_error", "fine_cutter_error", "cross_feed_hollow", "cross_feed_step", "reversed_step"}


def drop_plain_recut(message: Message, facts: list[Observation]) -> None:
    """Leave out a plain second cut where another fact already says what was cut again, and how."""
    told = {fact.id for fact in facts if isinstance(fact, Action | Reading)}
    measured = any(isinstance(fact, Reading) for fact in facts)
    if "cross_cut" in told:  # the other direction there is the other axis
        facts[:] = [fact for fact in facts if not (isinstance(fact, Action) and fact.id == "feed_reversed")]
    if "fine_cutter_error" in told and not message.has("cut_again", "fine_done", "fine_again"):
        facts[:] = [fact for fact in facts if not (isinstance(fact, Action) and fact.id == "fine_cut")]
    if "turned_error" in told and not message.has("turn_part"):  # "quarter turn, cut again, 3 thou closed"
        facts[:] = [fact for fact in facts if not (isinstance(fact, Action) and fact.id == "turned_part")]
    if told & (_RECUTS | _AFTER_RECUT) or ("cutter_changed" in told and measured):
        facts[:] = [fact for fact in facts if not (isinstance(fact, Action) and fact.id == "recut")]
    if any(isinstance(fact, Sign) and fact.id == "step_felt" and fact.answer != "no" for fact in facts):
        facts[:] = [f for f in facts if not (isinstance(f, Reading) and f.id == "step" and f.value is None)]
    along = any(isinstance(f, Reading) and f.id == "hollow_along" and f.value is not None for f in facts)
    if along and "across" not in message.all_names:  # "low at the ends along the length, so it's crowned"
        facts[:] = [f for f in facts if not (isinstance(f, Reading) and f.id == "hollow_across" and f.value is None)]
    if "spring_pass" in told:  # what it "cleaned off" is what it took
        facts[:] = [fact for fact in facts if not (isinstance(fact, Action) and fact.id in ("recut", "cleaned"))]
    if any(isinstance(fact, SetupFact) and fact.value == "plain" for fact in facts):
        facts[:] = [f for f in facts if not (isinstance(f, Sign) and (f.id, f.answer) == ("chip_found", "no"))]
    if "trammed" in told:  # a swing of the head measures nothing
        facts[:] = [
            f for f in facts if not (isinstance(f, Reading) and f.id.startswith("sweep") and f.value is None)
        ]
    if "trammed" in told:  # what is nipped up again there is the head
        facts[:] = [
            fact
            for fact in facts
            if not (isinstance(fact, Action) and fact.id == "regripped" and "part" not in fact.words)
        ]
    if "lock_shift" in told:  # locking is how it was measured
        facts[:] = [fact for fact in facts if not (isinstance(fact, Action) and fact.id == "locked")]


def drop_measuring(message: Message, facts: list[Observation]) -> None:
    """Leave out what was only done to measure: "I indicated the vise and the jaw is 2 thou out"."""
    if any(isinstance(fact, Reading) and fact.id.startswith("clamp_rise") and fact.value for fact in facts):
        told = ("needle_moves_on_tightening", "yes")  # the number says as much
        facts[:] = [fact for fact in facts if not (isinstance(fact, Sign) and (fact.id, fact.answer) == told)]
    if any(isinstance(fact, Reading) and fact.id == "lock_shift" for fact in facts) and not message.has("cut", "sweep"):
        facts[:] = [fact for fact in facts if not (isinstance(fact, Sign) and fact.id == "locks_were_loose")]
    out = any(
        isinstance(fact, Reading) and fact.id == "jaw_run" and fact.value and fact.bound != "at_most" for fact in facts
    )
    said = [message.said(spot.start, spot.end).lower().split() for spot in message.spots if spot.name == "true_vise"]
    if out and all(words[0] in _MEASURING and "in" not in words for words in said if words):
        facts[:] = [fact for fact in facts if not (isinstance(fact, Action) and fact.id == "vise_trued")]


def drop_bare_topics(facts: list[Observation]) -> None:
    """Leave out checks that were only named: without a number only a complaint tells something."""
    meanings = lexicon().meanings
    facts[:] = [
        fact
        for fact in facts
        if not (isinstance(fact, Reading) and fact.value is None and not meanings[fact.id].complaint)
    ]


def drop_signs_told_otherwise(message: Message, facts: list[Observation]) -> None:
    """Leave out what another fact already says: the step that a nail felt, the smear of the ink, the light along."""
    signs = {fact.id: fact.answer for fact in facts if isinstance(fact, Sign)}
    done = {fact.id: fact.words for fact in facts if isinstance(fact, Action)}
    if message.has("lifted_vise") and message.has("under_part"):  # "had the vise off, there was a chip under it"
        facts[:] = [
            replace(fact, answer="under_vise") if _below_it(fact) else fact for fact in facts
        ]
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
            or (fact.id == "grows_along_cut" and fact.answer == "yes" and drifts)
            or (fact.id.startswith("light_") and signs.get(f"{fact.id}_along") == fact.answer)
        )

    facts[:] = [fact for fact in facts if not needless(fact)]


def _below_it(fact: Observation) -> TypeGuard[Sign]:
    """Tell whether a chip was found under what was named before."""
    return (
        isinstance(fact, Sign)
        and (fact.id, fact.answer) == ("chip_found", "under_part")
        and bool({"it", "its", "underside", "underneath"} & set(fact.words.lower().split()))
    )


def share_circle(message: Message, facts: list[Observation], habit: Habit | None) -> None:
    """Take one circle for both axes of a sweep told together, and one that was named in a clause of its own."""
    for place, fact in enumerate(facts):
        if isinstance(fact, Reading) and fact.id in ("sweep_x", "sweep_y") and fact.value and fact.over is None:
            circles = [
                quantity
                for quantity in message.quantities
                if (is_span(quantity) or (quantity.mm or 0) > LARGEST_VALUE or _bare_size(quantity))
                and message.names(quantity.end, quantity.end + 3) & {"circle", "sweep", "length:sweep_diameter"}
            ]
            if len(circles) == 1:
                facts[place] = replace(fact, over=span_mm(message, circles[0], habit))
    sweeps = [f for f in facts if isinstance(f, Reading) and f.id in ("sweep_x", "sweep_y") and f.value is not None]
    overs = {fact.over for fact in sweeps} - {None}
    if len(sweeps) == 2 and len(overs) == 1:
        over = overs.pop()
        facts[:] = [
            replace(fact, over=over) if isinstance(fact, Reading) and fact in sweeps else fact for fact in facts
        ]


def _bare_size(quantity: Quantity) -> bool:
    """Tell whether a number without a unit is too large for an error."""
    return quantity.unit is None and not quantity.junk and not quantity.pronoun and quantity.value >= LEAST_CIRCLE


LEAST_CIRCLE = 3
"""What a bare number must be at least to be the circle of a sweep, in inches or mm."""
_PART_SIZES = {"part_across", "part_along", "part_depth"}
_DEPTHS = {
    "jaw_run": "jaw_width",
    "hole_lean_x": "hole_depth",
    "hole_lean_y": "hole_depth",
    "wall_taper": "wall_height",
}


def take_hole_depth(message: Message, facts: list[Observation]) -> None:
    """Take the depth of a hole, the height of a wall or the length of a jaw as what its lean was taken over."""
    depths = {fact.key: fact.value for fact in facts if isinstance(fact, SetupFact)}
    tapers = [fact for fact in facts if isinstance(fact, Reading) and fact.id == "wall_taper"]
    if tapers and tapers[0].value is not None and tapers[0].over is None and "wall_height" not in depths:
        deep = depths.get("part_depth")  # "1.25 deep" beside a taper is the wall's, not the part's
        if isinstance(deep, float):
            facts[:] = [
                replace(fact, over=deep) if fact is tapers[0] else fact
                for fact in facts
                if not (isinstance(fact, SetupFact) and fact.key == "part_depth")
            ]
        if isinstance(depths.get("part_height"), float) and not _PART_SIZES & depths.keys():
            facts[:] = [  # so is the height beside it
                replace(fact, key="wall_height")
                if isinstance(fact, SetupFact) and fact.key == "part_height"
                else fact
                for fact in facts
            ]
            depths["wall_height"] = depths["part_height"]
    leans = [fact for fact in facts if isinstance(fact, Reading) and fact.id.startswith("hole_lean") and fact.over]
    for quantity in message.prepared:
        deep = message.said(quantity.end, quantity.end + 1).lower() == "depth"
        if leans and deep and quantity.mm is not None and float(quantity.mm) == leans[0].over:
            words = message.said(quantity.start, quantity.end + 1)  # "on 30 mm depth" tells both
            add(facts, SetupFact("hole_depth", float(quantity.mm), quantity.unit, words))
    for place, fact in enumerate(facts):
        if isinstance(fact, Reading) and fact.id == "jaw_run" and not message.has("over_jaw"):
            continue  # that the jaws are six inches wide does not say that all of it was measured
        if isinstance(fact, Reading) and fact.value is not None and fact.over is None:
            depth = depths.get(_DEPTHS.get(fact.id, ""))
            if isinstance(depth, float):
                facts[place] = replace(fact, over=depth)
