"""The whole way from a message to what was heard."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from functools import cache, partial
from importlib import resources

from askew.engine.language import answers
from askew.engine.language.commands import command
from askew.engine.language.groups import Group, divide
from askew.engine.language.lexicon import Meaning, lexicon, word_list
from askew.engine.language.message import Message, is_span, is_value, prepare, shown_habit
from askew.engine.language.model import Ambiguity, Context, Heard
from askew.engine.language.quantities import Quantity
from askew.engine.language.readings import direction, pair_of, read_group, signed, span_mm
from askew.engine.language.repair import repaired
from askew.engine.language.setups import setup_facts
from askew.engine.language.signs import place_of, read_sign
from askew.engine.language.tokens import LONGEST
from askew.engine.language.values import NeedsAskingError, ambiguity
from askew.engine.observations import Action, Observation, Reading, SetupFact, Sign
from askew.engine.units import UNITS, Habit

_SIGN_NUMBERS = {
    "needle_moves_on_tightening": "clamp_rise",
    "step_felt": "step",
    "light_in_middle": "hollow_across",
    "light_in_middle_along": "hollow_along",
    "springs_on_release": "release_change",
    "witness_mark_moved": "holder_mark",
}
_SPECIAL = (
    ({"turned", "turn_part"}, "face_out_of_square", "turned_error"),
    ({"small_cutter"}, "face_out_of_square", "fine_cutter_error"),
    ({"cross_feed"}, "hollow_across", "cross_feed_hollow"),
    ({"cross_feed"}, "step", "cross_feed_step"),
    ({"reversed", "reverse_feed"}, "step", "reversed_step"),
    ({"bar_out", "no_bar"}, "clamp_rise", "clamp_rise_plain"),
    ({"block"}, "face_out_of_square_clamped", "block_out_of_square"),
)
_WONDERING = {"should", "what", "how", "which", "where", "who", "shall"}
_ASKING = {"could", "does", "do", "is", "can", "would", "will", "are", "might", "did", "was"}
_ASKED_OF = {"i", "you", "we", "it", "that", "this", "the", "they", "there", "my", "a"}


@dataclass(slots=True)
class _Trial:
    """One attempt at a message, some quantities of it left out because they must be asked about."""

    message: Message
    habit: Habit | None
    facts: list[Observation] = field(default_factory=list)
    nearest: list[str] = field(default_factory=list)
    question: Ambiguity | None = None


def read(text: str, context: Context | None = None) -> Heard:
    """Return what a message says.

    Pure: the same text in the same context always gives the same answer. No text makes it raise, and the
    time it takes is bounded since no more than 4096 characters are read; the rest comes back as unread.
    """
    context = context if context is not None else Context()
    rest = (text[LONGEST:],) if len(text) > LONGEST else ()
    text = text[:LONGEST]
    chosen = _chosen(text, context)
    if chosen is not None:
        return read(chosen, replace(context, options=()))
    message = prepare(text)
    if not message.tokens:
        return Heard(unread=rest)
    shown = shown_habit(message)
    fixed = repaired(message, context)
    if fixed is not None:
        return Heard(fixed, (), shown, corrects=True)
    asked = command(message, context)
    if asked is not None:
        return Heard((asked,), rest, shown)
    habit = context.unit if context.unit is not None and _weakly_shown(message) else shown or context.unit
    trial = _settled(text, message, context, habit)
    return Heard(
        tuple(trial.facts),
        (*_unread(trial.message), *rest),
        shown,
        trial.question,
        nearest=tuple(trial.nearest),
    )


def _weakly_shown(message: Message) -> bool:
    """Tell whether only tenths, hundredths or mils were said, which mean different things to people."""
    units = {
        quantity.unit for quantity in message.quantities if quantity.unit is not None and not quantity.junk
    }
    return bool(units) and units <= {"tenth", "hundredth", "mil"}


def _chosen(text: str, context: Context) -> str | None:
    """Return the offered choice that a short answer picks, where the choices are whole quantities."""
    said = text.strip().strip(".!").lower()
    if (
        not said
        or len(said) > 24
        or not all(any(ch.isdigit() for ch in option) for option in context.options)
    ):
        return None
    fits = [
        option for option in context.options if said in (option.lower(), option.lower().split(" ", 1)[-1])
    ]
    return fits[0] if len(fits) == 1 else None


def _settled(text: str, message: Message, context: Context, habit: Habit | None) -> _Trial:
    """Read the message, leaving out quantities that must be asked about first."""
    question: Ambiguity | None = None
    left_out: set[int] = set()
    for attempt in range(4):
        trial = _Trial(message, habit)
        try:
            _try(trial, context)
        except NeedsAskingError as asking:
            quantity = asking.quantity
            if question is None:
                last = message.tokens[max(quantity.end, quantity.head + 1) - 1]
                question = ambiguity(asking, text, message.tokens[quantity.head].start, last.end)
            left_out.add(quantity.head)
            message = message.without(partial(_left_out, left_out, attempt))
            continue
        trial.question = question or trial.question
        return trial
    return _Trial(message, habit, question=question)


def _left_out(heads: set[int], attempt: int, quantity: Quantity) -> bool:
    """Leave out what must be asked about; after several such, all without a unit, then every number."""
    return quantity.head in heads or (attempt == 1 and quantity.unit not in UNITS) or attempt >= 2


@cache
def _gives() -> dict[str, tuple[str, ...]]:
    """Return what each check gives, so that a check just asked for makes its readings likely."""
    text = resources.files("askew.knowledge").joinpath("checks.toml").read_text(encoding="utf-8")
    return {
        name: tuple(row.get("gives", ()))
        for name, row in tomllib.loads(text).items()
        if isinstance(row, dict)
    }


def _asked(context: Context) -> tuple[Meaning, ...]:
    if context.asked is None:
        return ()
    meanings = lexicon().meanings
    names = (context.asked,) if context.asked in meanings else _gives().get(context.asked, ())
    return tuple(meanings[name] for name in names if name in meanings)


def _try(trial: _Trial, context: Context) -> None:
    message = trial.message
    facts = trial.facts
    asked = _asked(context)
    found = setup_facts(message, context, trial.habit)
    facts.extend(found)
    if context.asked is not None and _brief(message) and any(fact.key == context.asked for fact in found):
        return
    is_setup = context.asked is not None and not asked
    if is_setup and context.asked is not None and not any(fact.key == context.asked for fact in found):
        answer = answers.setup_answer(message, context.asked, context, trial.habit)
        if answer is not None:
            facts.append(answer)
            if _short(message) and len(message.tokens) < 8:
                message.take(0, len(message.tokens))
                return
    readings = [meaning for meaning in asked if meaning.kind == "reading"]
    if len(readings) == 1:
        likened = answers.compared(message, 0, len(message.tokens), readings[0].id, context)
        if likened is not None:
            message.take(0, len(message.tokens))
            _add(facts, likened)
            return
    carried: Meaning | None = None
    waiting: Group | None = None
    for group in divide(message, asked):
        taken_up, joined = _joined(trial, waiting, group, context)
        if not taken_up and waiting is not None and waiting.meaning is not None and waiting.meaning.complaint:
            _add(
                facts,
                read_group(message, waiting.start, waiting.end, waiting.meaning, context, trial.habit),
            )
        waiting = None
        if taken_up:
            _take_spots(message, group)
            if joined is not None:
                _add(facts, joined)
            continue
        if _is_topic(message, group, asked):
            waiting = group
            _also_done(trial, group)
            continue
        if (
            group.meaning is not None
            and group.meaning.kind == "reading"
            and (_same_topic(trial, group) or group.meaning.id in _GENERIC)
            and _direction_added(trial, group)
        ):
            _take_spots(message, group)
            continue
        if group.meaning is None:
            fact = _answer(trial, group, carried, asked, context)
        else:
            fact = _fact(trial, group, group.meaning, asked, context)
            if group.meaning.kind == "reading":
                carried = group.meaning
            if group.meaning.kind in ("reading", "sign"):
                _also_done(trial, group)
        if fact is not None:
            _take_spots(message, group)
            _add(facts, fact)
            if isinstance(fact, Reading):
                _add_other_axis(trial, group, fact)
    if waiting is not None and waiting.meaning is not None and waiting.meaning.complaint:
        _add(facts, read_group(message, waiting.start, waiting.end, waiting.meaning, context, trial.habit))
    _drop_plain_recut(facts)
    signs = [meaning for meaning in asked if meaning.kind == "sign"]
    if (
        len(signs) == 1
        and not any(isinstance(fact, Sign) and fact.id == signs[0].id for fact in facts)
        and _short(message)
    ):
        sign = answers.sign_answer(message, signs[0])
        if sign is not None and not any(isinstance(fact, Reading | Sign) for fact in facts):
            message.take(0, len(message.tokens))
            facts.insert(0, sign)


_GENERIC = ("face_out_of_square", "face_out_of_square_clamped")
_LIKE = {
    "fixed_jaw_square": ("fixed_jaw_travel",),
    "block_out_of_square": ("fixed_jaw_travel",),
    "sweep": ("table_run_x", "table_run_y"),
    "sweep_x": ("table_run_x",),
    "sweep_y": ("table_run_y",),
    "square_travel": ("sweep_x", "sweep_y"),
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
}
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
}


def _is_topic(message: Message, group: Group, asked: tuple[Meaning, ...]) -> bool:
    """Tell whether a group only says what was measured, so that the number may follow."""
    meaning = group.meaning
    if (
        meaning is None
        or meaning.kind != "reading"
        or (meaning.complaint and meaning.id not in _SETTINGS)
        or meaning in asked
    ):
        return False
    if any(is_value(quantity) for quantity in message.within(group.start, group.end)):
        return False
    names = message.names(group.start, group.end)
    return (
        not names & (_OUT | {"open", "closed"})
        or meaning.id == "end_out_of_square_plan"
        or bool(meaning.members and meaning.id != "backlash_check")
    )


def _joined(
    trial: _Trial, waiting: Group | None, group: Group, context: Context
) -> tuple[bool, Reading | None]:
    """Give the number of a group without a topic of its own to the topic that was named just before.

    Returns whether the group was taken up, and the reading it made, if any.
    """
    message = trial.message
    if waiting is None or waiting.meaning is None:
        return False, None
    if group.meaning is not None and group.meaning.id not in (
        *_GENERIC,
        waiting.meaning.id,
        *_LIKE.get(waiting.meaning.id, ()),
    ):
        return False, None
    names = message.names(group.start, group.end)
    if (
        not any(is_value(quantity) for quantity in message.within(group.start, group.end))
        and "nothing" not in names
    ):
        return False, None
    meaning = (
        _by_direction(message, waiting, group)
        if waiting.meaning.members
        else _special(message, group, waiting.meaning, ())
    )
    if meaning is None:
        _ask_which(trial, waiting.start, group.end, waiting.meaning)
        return True, None
    return True, read_group(message, waiting.start, group.end, meaning, context, trial.habit)


def _by_direction(message: Message, waiting: Group, group: Group) -> Meaning | None:
    """Return the member of a family whose directions are named."""
    if waiting.meaning is None:
        return None
    mask = message.mask(waiting.start, group.end)
    meanings = lexicon().meanings
    fits = [
        name
        for name in waiting.meaning.members
        if direction(replace(meanings[name], default="", size=False), mask)[1]
    ]
    return meanings[fits[0]] if len(fits) == 1 else None


def _same_topic(trial: _Trial, group: Group) -> bool:
    last = _last_reading(trial)
    return last is not None and group.meaning is not None and last[1].id == group.meaning.id


def _also_done(trial: _Trial, group: Group) -> None:
    """Add what was done on the way: "took the bar out and now it lifts half a thou"."""
    message = trial.message
    names = message.names(group.start, group.end)
    if names & {"hypothetical", "not"} or _is_question(message, group):
        return
    reading = group.meaning is not None and group.meaning.kind == "reading"
    for name, done in _DONE.items():
        if name in names and not (reading and name == "true_vise"):
            _add(trial.facts, Action(done, message.said(group.start, group.end)))


def _brief(message: Message) -> bool:
    return sum(token.kind != "mark" for token in message.tokens) <= 5


def _short(message: Message) -> bool:
    return sum(token.kind != "mark" for token in message.tokens) <= 12


def _answer(
    trial: _Trial, group: Group, carried: Meaning | None, asked: tuple[Meaning, ...], context: Context
) -> Observation | None:
    """Read a group without a topic as the answer to what was asked, or as going on with the last topic."""
    readings = [meaning for meaning in asked if meaning.kind == "reading"]
    if not readings and any(is_value(quantity) for quantity in trial.message.within(group.start, group.end)):
        readings = _numbers_for(asked)
    if len(readings) == 1:
        fact = answers.reading_answer(trial.message, group, readings[0], context, trial.habit)
        if fact is not None:
            return fact
        return answers.finish_direction(trial.message, group, readings[0], context)
    if _span_added(trial, group) or _direction_added(trial, group) or _place_added(trial, group):
        _take_spots(trial.message, group)
        return None
    sibling = _sibling(trial, group)
    if sibling is not None:
        return read_group(trial.message, group.start, group.end, sibling, context, trial.habit)
    values = [
        quantity
        for quantity in trial.message.within(group.start, group.end)
        if is_value(quantity) and quantity.unit is not None
    ]
    if carried is not None and not carried.members and len(values) == 1 and _goes_on(trial, carried):
        return read_group(trial.message, group.start, group.end, carried, context, trial.habit)
    return None


def _numbers_for(asked: tuple[Meaning, ...]) -> list[Meaning]:
    """Return the reading that a number means when a sign was asked for: "yes, 8 thou"."""
    meanings = lexicon().meanings
    return [
        meanings[_SIGN_NUMBERS[meaning.id]]
        for meaning in asked
        if meaning.id in _SIGN_NUMBERS and len(asked) == 1
    ]


def _last_reading(trial: _Trial) -> tuple[int, Reading] | None:
    for place in range(len(trial.facts) - 1, -1, -1):
        fact = trial.facts[place]
        if isinstance(fact, Reading):
            return place, fact
    return None


def _span_added(trial: _Trial, group: Group) -> bool:
    """Give the last reading the length that follows in a clause of its own: "..., 200 mm circle"."""
    last = _last_reading(trial)
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
    return True


def _direction_added(trial: _Trial, group: Group) -> bool:
    """Give the last reading the direction that follows in a clause of its own: "..., foot proud"."""
    last = _last_reading(trial)
    if (
        last is None
        or last[1].value is None
        or last[1].sign_known
        or any(is_value(q) for q in trial.message.within(group.start, group.end))
    ):
        return False
    meaning = lexicon().meanings[last[1].id]
    sign, known = direction(replace(meaning, default=""), trial.message.mask(group.start, group.end))
    if not known:
        return False
    trial.facts[last[0]] = signed(last[1], sign)
    return True


def _add_other_axis(trial: _Trial, group: Group, fact: Reading) -> None:
    """Add the second pair of "left 0 right 5, front 2 back 2"."""
    if (
        fact.id[-2:] not in ("_x", "_y")
        or sum(is_value(q) for q in trial.message.within(group.start, group.end)) < 4
    ):
        return
    other = lexicon().meanings.get(fact.id[:-1] + ("y" if fact.id.endswith("x") else "x"))
    if other is not None and other.ends:
        second = pair_of(trial.message, group.start, group.end, other, trial.habit)
        if second is not None:
            _add(trial.facts, replace(second, over=fact.over))


def _place_added(trial: _Trial, group: Group) -> bool:
    """Give the last sign the place that follows in a clause of its own: "..., back is higher"."""
    last = trial.facts[-1] if trial.facts else None
    if not isinstance(last, Sign) or last.answer != "yes":
        return False
    place = place_of(lexicon().meanings[last.id], trial.message.mask(group.start, group.end))
    if place is None:
        return False
    trial.facts[-1] = replace(last, answer=place)
    return True


def _sibling(trial: _Trial, group: Group) -> Meaning | None:
    """Return the reading of another axis that goes on from the last one: "lost motion x 8 thou, y 5 thou"."""
    last = _last_reading(trial)
    if (
        last is None
        or last[1].id[-2:] not in ("_x", "_y", "_z")
        or not any(is_value(q) for q in trial.message.within(group.start, group.end))
    ):
        return None
    names = trial.message.names(group.start, group.end)
    axis = next(
        (
            axis
            for axis in "xyz"
            if axis in names
            or (axis == "x" and names >= {"left", "right"})
            or (axis == "y" and names >= {"front", "back"})
        ),
        None,
    )
    return None if axis is None else lexicon().meanings.get(f"{last[1].id[:-1]}{axis}")


def _goes_on(trial: _Trial, carried: Meaning) -> bool:
    """Tell whether a complaint still lacks the number that may now follow."""
    return any(
        isinstance(fact, Reading) and fact.id == carried.id and fact.value is None for fact in trial.facts
    )


_RECUTS = {"turned_part", "feed_reversed", "fine_cut", "cross_cut", "cutter_changed"}
_AFTER_RECUT = {"turned_error", "fine_cutter_error", "cross_feed_hollow", "cross_feed_step", "reversed_step"}


def _drop_plain_recut(facts: list[Observation]) -> None:
    """Leave out a plain second cut where another fact already says what was cut again, and how."""
    told = {fact.id for fact in facts if isinstance(fact, Action | Reading)}
    if told & (_RECUTS | _AFTER_RECUT):
        facts[:] = [fact for fact in facts if not (isinstance(fact, Action) and fact.id == "recut")]


def _fact(
    trial: _Trial, group: Group, meaning: Meaning, asked: tuple[Meaning, ...], context: Context
) -> Observation | None:
    message = trial.message
    words = message.said(group.start, group.end)
    if meaning.kind == "ignore":
        message.take(group.start, group.end)
        return None
    sign_asked = next((sign for sign in asked if _SIGN_NUMBERS.get(sign.id) == meaning.id), None)
    if sign_asked is not None and not any(is_value(q) for q in message.within(group.start, group.end)):
        return read_sign(message, group.start, group.end, sign_asked)
    if meaning.kind == "reading":
        chosen = _member(trial, group, meaning, asked)
        if chosen is None:
            return None
        chosen = _special(message, group, chosen, asked)
        likened = answers.compared(message, group.start, group.end, chosen.id, context)
        return likened or read_group(message, group.start, group.end, chosen, context, trial.habit)
    if _is_question(message, group):
        return None
    if meaning.kind == "sign":
        sign = read_sign(message, group.start, group.end, meaning)
        if sign.answer == "no" and len(asked) == 1 and _SIGN_NUMBERS.get(sign.id) == asked[0].id:
            return Reading(asked[0].id, 0.0, words=words)
        return sign
    if message.names(group.start, group.end) & {"hypothetical", "not"}:
        return None
    return Action(meaning.id, words)


def _ask_which(trial: _Trial, start: int, end: int, family: Meaning) -> None:
    """Ask along which axis something was measured, and offer what it may have been."""
    ways = {"x": "left to right", "y": "front to back", "z": "up and down"}
    words, text = trial.message.said(start, end), trial.message.text
    at = trial.message.tokens[start].start
    options = tuple(ways[name[-1]] for name in family.members)
    restated = tuple(f"{text[:at]}{words} {option}{text[at + len(words) :]}" for option in options)
    trial.question = trial.question or Ambiguity("Which way was that?", options, restated, words)
    trial.nearest.extend(family.members)


def _special(message: Message, group: Group, meaning: Meaning, asked: tuple[Meaning, ...]) -> Meaning:
    """Return the reading that a usual one becomes after a change: after turning, without the bar."""
    if meaning in asked:
        return meaning
    before = {spot.name for spot in message.spots if spot.start < group.end}
    for markers, usual, special in _SPECIAL:
        if (
            special == "clamp_rise_plain"
            and usual == meaning.id
            and any(
                spot.name == "choice:moving_jaw_contact=plain" and spot.end - spot.start >= 2
                for spot in message.spots
            )
        ):
            return lexicon().meanings[special]
        if usual == meaning.id and before & markers:
            return lexicon().meanings[special]
    if (
        meaning.id == "face_out_of_square"
        and before & {"cool", "cool_it"}
        and before & {"change", "move", "again", "more", "different", "another_word"}
    ):
        return lexicon().meanings["cooled_change"]
    return meaning


def _is_question(message: Message, group: Group) -> bool:
    first = message.tokens[group.start].text
    second = message.tokens[group.start + 1].text if group.start + 1 < len(message.tokens) else ""
    after = message.tokens[group.end].text if group.end < len(message.tokens) else ""
    return (
        after == "?"
        or first in _WONDERING
        or (first in _ASKING and second in _ASKED_OF)
        or (first == "if")
        or bool({"what if", "wonder"} & {message.said(group.start, group.start + 2).lower(), first})
    )


def _member(trial: _Trial, group: Group, meaning: Meaning, asked: tuple[Meaning, ...]) -> Meaning | None:
    """Settle which reading of a family is meant, by what was asked or what the message is about; else ask."""
    if not meaning.members:
        return meaning
    meanings = lexicon().meanings
    wanted = [other for other in asked if other.id in meaning.members]
    if len(wanted) == 1:
        return wanted[0]
    if not any(is_value(quantity) for quantity in trial.message.within(group.start, group.end)):
        return None
    said = [fact.id for fact in trial.facts if isinstance(fact, Reading) and fact.id in meaning.members]
    if len(set(said)) == 1:
        return meanings[said[0]]
    _ask_which(trial, group.start, group.end, meaning)
    return None


def _add(facts: list[Observation], fact: Observation) -> None:
    """Add a fact; a complaint and its number said apart become one reading."""
    for place, old in enumerate(facts):
        if isinstance(old, Reading) and isinstance(fact, Reading) and old.id == fact.id:
            if old.value is None and fact.value is not None:
                facts[place] = replace(fact, over=fact.over or old.over)
                return
            if fact.value is None:
                known = fact.sign_known and old.sign_known is False
                if known and old.value is not None:
                    facts[place] = replace(old, sign_known=True)
                elif fact.over is not None and old.over is None:
                    facts[place] = replace(old, over=fact.over)
                return
        if isinstance(old, Sign) and isinstance(fact, Sign) and old.id == fact.id:
            if old.answer == "yes" and fact.answer not in ("no", "unknown"):
                facts[place] = fact
            return
        if isinstance(old, Action) and isinstance(fact, Action) and old.id == fact.id:
            return
        if isinstance(old, SetupFact) and isinstance(fact, SetupFact) and old.key == fact.key:
            return
    facts.append(fact)


def _take_spots(message: Message, group: Group) -> None:
    for spot in message.spots_in(group.start, group.end):
        message.take(spot.start, spot.end)
    for quantity in message.within(group.start, group.end):
        message.take(quantity.start, quantity.end)


def _unread(message: Message) -> Iterable[str]:
    """Return the stretches of words that nothing was made of, small words at their ends left away."""
    run: list[int] = []
    small = word_list("clauses.toml", "words", "small")
    for index, token in enumerate([*message.tokens, None]):
        if token is not None and index not in message.taken and token.kind != "mark":
            run.append(index)
            continue
        if (
            token is not None
            and token.kind == "mark"
            and index not in message.taken
            and token.text in ("-", "'", "/")
        ):
            continue
        while run and message.tokens[run[0]].text in small:
            run.pop(0)
        while run and message.tokens[run[-1]].text in small:
            run.pop()
        if run:
            yield message.said(run[0], run[-1] + 1)
        run = []
