"""The whole way from a message to what was heard."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from dataclasses import replace
from functools import cache, partial
from importlib import resources

from askew.engine.language import answers
from askew.engine.language.afterthoughts import (
    denied,
    direction_added,
    place_added,
    put_in_doubt,
    span_added,
)
from askew.engine.language.attempt import (
    Trial,
    add,
    ask_which,
    goes_on_planning,
    is_question,
    last_reading,
    led_by,
    out_of_what,
    special,
    take_spots,
    whenever,
)
from askew.engine.language.axes import add_other_axis, by_axis, sibling
from askew.engine.language.commands import command, loose_command
from askew.engine.language.deeds import NOT_DONE, also_done
from askew.engine.language.evidence import idle, supported
from askew.engine.language.groups import Group, divide, has_value
from askew.engine.language.joins import Hints, joined, step_from_nail, told_after
from askew.engine.language.lexicon import Meaning, best, lexicon, word_list
from askew.engine.language.measured import is_value
from askew.engine.language.message import Message, shown_habit
from askew.engine.language.model import Ambiguity, Context, Heard
from askew.engine.language.prepare import prepare
from askew.engine.language.quantities import Quantity
from askew.engine.language.readings import pair_of, read_group
from askew.engine.language.redundant import (
    drop_bare_topics,
    drop_measuring,
    drop_signs_told_otherwise,
    drop_told_twice,
)
from askew.engine.language.repair import repaired
from askew.engine.language.setups import setup_facts
from askew.engine.language.signs import SIGN_NUMBERS, TELLING, read_sign
from askew.engine.language.spans import share_circle, take_hole_depth
from askew.engine.language.tokens import LONGEST
from askew.engine.language.topics import GENERIC, beside, continued, goes_on, goes_with, is_topic, same_topic
from askew.engine.language.values import NeedsAskingError, ambiguity
from askew.engine.observations import Action, Observation, Reading, Sign
from askew.engine.units import UNITS, Habit

_TOLD_BY_NUMBER = {"needle_moves_on_tightening"}


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
    asked = loose_command(message) if not trial.facts and trial.question is None else None
    if asked is not None:
        return Heard((asked,), rest, shown)
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


def _settled(text: str, message: Message, context: Context, habit: Habit | None) -> Trial:
    """Read the message, leaving out quantities that must be asked about first."""
    question: Ambiguity | None = None
    left_out: set[int] = set()
    for attempt in range(4):
        trial = Trial(message, habit)
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
        asked = context.asked is not None
        doubted = [fact for fact in trial.facts if not supported(message, fact, asked)]
        trial.facts = [fact for fact in trial.facts if fact not in doubted]
        _give_back(trial, doubted)
        trial.question = question or trial.question
        if trial.question is not None and not asked and not trial.facts:
            meant = Reading("face_out_of_square", 1.0, words=trial.question.words)
            if idle(message) or not supported(message, meant, answering=False):
                trial.question = None
        if question is not None and not asked:  # it only says that the number still asked about was read
            trial.facts = [
                fact for fact in trial.facts if not (isinstance(fact, Sign) and fact.id in _TOLD_BY_NUMBER)
            ]
        if left_out and context.asked is not None:  # the answer comes whole once its number is clear
            trial.facts = [
                fact for fact in trial.facts if not (isinstance(fact, Reading) and fact.value is None)
            ]
        return trial
    return Trial(message, habit, question=question)


def _give_back(trial: Trial, doubted: list[Observation]) -> None:
    """Show the words of what was not taken as not understood, and offer what they may have meant."""
    message = trial.message
    for fact in doubted:
        at = message.text.find(fact.words)
        if at >= 0:
            end = at + len(fact.words)
            message.taken -= {i for i, token in enumerate(message.tokens) if at <= token.start < end}
        if isinstance(fact, Reading | Sign):
            trial.nearest.append(fact.id)


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


def _try(trial: Trial, context: Context) -> None:
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
    if len(readings) == 1 and not readings[0].members:
        likened = answers.compared(message, 0, len(message.tokens), readings[0].id, context, trial.habit)
        if likened is not None:
            message.take(0, len(message.tokens))
            add(facts, likened)
            return
        values = [quantity for quantity in message.quantities if is_value(quantity)]
        if readings[0].ends and _short(message) and 1 <= len(values) == len(message.quantities) <= 2:
            pair = pair_of(message, 0, len(message.tokens), readings[0], trial.habit)
            if pair is not None:
                message.take(0, len(message.tokens))
                add(facts, pair)
                return
    carried: Meaning | None = None
    waiting: Group | None = None
    groups = divide(message, asked)
    hints, spoken = Hints(), None
    for place, group in enumerate(groups):
        if waiting is not None and _says_nothing(message, group):
            _answer(trial, group, carried, asked, context)  # a length or a direction by the way
            continue
        taken_up, reading = joined(trial, waiting, group, context)
        if not taken_up and waiting is not None and waiting.meaning is not None and _complains(message, waiting):
            add(
                facts,
                read_group(message, waiting.start, waiting.end, waiting.meaning, context, trial.habit),
            )
        if taken_up:
            family = waiting is not None and waiting.meaning is not None and bool(waiting.meaning.members)
            waiting = waiting if family else None  # the other axis may follow
            take_spots(message, group)
            if reading is not None:
                add(facts, reading)
            continue
        _tell_sign(trial, waiting)
        waiting = None
        following = groups[place + 1] if place + 1 < len(groups) else None
        if spoken is not None and told_after(trial, spoken, group, following, context):
            take_spots(message, group)
            also_done(trial, group)
            continue
        if beside(trial, group) and span_added(trial, group):
            direction_added(trial, group)
            take_spots(message, group)
            continue
        if same_topic(trial, group) and direction_added(trial, group):
            take_spots(message, group)
            continue
        if is_topic(message, group, asked) or continued(message, group, following):
            waiting = group
            also_done(trial, group)
            continue
        if (
            group.meaning is not None
            and group.meaning.kind == "reading"
            and (same_topic(trial, group) or group.meaning.id in GENERIC)
            and direction_added(trial, group)
        ):
            take_spots(message, group)
            continue
        fact: Observation | None
        if carried is not None and goes_with(message, carried, group) and _lacks_number(trial, carried):
            fact = read_group(message, group.start, group.end, carried, context, trial.habit)
        elif group.meaning is None:
            fact = _answer(trial, group, carried, asked, context)
        else:
            fact = _fact(trial, group, group.meaning, asked, context)
            if group.meaning.kind == "reading":
                carried = group.meaning
            elif (
                group.meaning.kind == "sign"
                and isinstance(fact, Sign)
                and fact.answer not in ("no", "unknown")
            ):
                carried = _number_of(message, group, group.meaning)
            if group.meaning.kind in ("reading", "sign", "action"):
                also_done(trial, group)
        if isinstance(fact, Reading):
            fact = hints.complete(message, group, fact)
        hints.note(message, group, fact)
        if fact is not None:
            take_spots(message, group)
            add(facts, fact)
            if isinstance(fact, Reading):
                add_other_axis(trial, group, fact)
                spoken = group if fact.value is not None else spoken
    if waiting is not None and waiting.meaning is not None and _complains(message, waiting):
        add(facts, read_group(message, waiting.start, waiting.end, waiting.meaning, context, trial.habit))
    _tell_sign(trial, waiting)
    drop_told_twice(message, facts)
    drop_signs_told_otherwise(message, facts)
    if context.asked is None:
        drop_bare_topics(facts)
    take_hole_depth(message, facts)
    drop_measuring(message, facts)
    step_from_nail(facts)
    share_circle(message, facts, trial.habit)
    if len(readings) == 1 and _brief(message):
        _drop_doubles(trial, readings[0].id)
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


def _complains(message: Message, group: Group) -> bool:
    """Tell whether a topic that got no number is one that something is wrong with; a corner is none by its name."""
    wrong = {"out", "out_of_square", "not", "open", "closed", "tight", "too_big", "too_small", "square_tool", "light"}
    named, meaning = message.names(group.start, group.end), group.meaning
    return (
        meaning is not None and meaning.complaint and (meaning.id != "other_corner" or bool(named & wrong))
    )


def _drop_doubles(trial: Trial, name: str) -> None:
    """Take nothing from a short answer that gives two numbers for one thing without saying what each is."""
    told = [fact for fact in trial.facts if isinstance(fact, Reading) and fact.id == name and fact.value is not None]
    if len(told) > 1 and not any(fact.sign_known and not lexicon().meanings[name].size for fact in told):
        trial.facts[:] = [fact for fact in trial.facts if fact not in told]
        trial.nearest.append(name)


def _says_nothing(message: Message, group: Group) -> bool:
    """Tell whether a group is neither about something nor the number of what was named before it."""
    return (
        group.meaning is None
        and "nothing" not in message.names(group.start, group.end)
        and not has_value(message, group)
    )


def _brief(message: Message) -> bool:
    return sum(token.kind != "mark" for token in message.tokens) <= 5


def _short(message: Message) -> bool:
    return sum(token.kind != "mark" for token in message.tokens) <= 12


def _answer(
    trial: Trial, group: Group, carried: Meaning | None, asked: tuple[Meaning, ...], context: Context
) -> Observation | None:
    """Read a group without a topic as the answer to what was asked, or as going on with the last topic."""
    readings = [meaning for meaning in asked if meaning.kind == "reading"]
    if not readings and has_value(trial.message, group):
        readings = _numbers_for(asked)
    if len(readings) == 1:
        if last_reading(trial) is not None and span_added(trial, group):
            take_spots(trial.message, group)
            return None
        wanted = _member(trial, group, readings[0], asked)  # a check may bear the name of a whole family
        if wanted is None:
            return None
        fact = answers.reading_answer(trial.message, group, wanted, context, trial.habit)
        if fact is not None:
            return fact
        return answers.finish_direction(trial.message, group, wanted, context)
    if (
        span_added(trial, group)
        or direction_added(trial, group)
        or place_added(trial, group)
        or put_in_doubt(trial, group)
        or denied(trial, group)
    ):
        take_spots(trial.message, group)
        return None
    other_axis = sibling(trial, group)
    if other_axis is not None:
        return read_group(trial.message, group.start, group.end, other_axis, context, trial.habit)
    values = [
        quantity
        for quantity in trial.message.within(group.start, group.end)
        if is_value(quantity) and (quantity.unit is not None or trial.habit is not None)
    ]
    if carried is not None and _lacks_number(trial, carried) and not carried.members and len(values) == 1:
        return read_group(trial.message, group.start, group.end, carried, context, trial.habit)
    return None


def _lacks_number(trial: Trial, carried: Meaning | None) -> bool:
    """Tell whether the topic before still lacks its number, which may now follow."""
    return carried is not None and (
        goes_on(trial, carried)
        or (carried.id in (*SIGN_NUMBERS.values(), "ridge") and last_reading(trial) is None)
    )


def _number_of(message: Message, group: Group, sign: Meaning) -> Meaning | None:
    """Return the reading that a number right after a sign means: "a step you can feel, 4 tenths"."""
    name = SIGN_NUMBERS.get(sign.id)
    if name == "step" and "ridge" in message.names(group.start, group.end):
        name = "ridge"
    return lexicon().meanings[name] if name is not None else None


def _numbers_for(asked: tuple[Meaning, ...]) -> list[Meaning]:
    """Return the reading that a number means when a sign was asked for: "yes, 8 thou"."""
    meanings = lexicon().meanings
    return [
        meanings[SIGN_NUMBERS[meaning.id]]
        for meaning in asked
        if meaning.id in SIGN_NUMBERS and len(asked) == 1
    ]


def _fact(
    trial: Trial, group: Group, meaning: Meaning, asked: tuple[Meaning, ...], context: Context
) -> Observation | None:
    message = trial.message
    words = message.said(group.start, group.end)
    if meaning.kind == "ignore":
        message.take(group.start, group.end)
        return None
    sign_asked = next((sign for sign in asked if SIGN_NUMBERS.get(sign.id) == meaning.id), None)
    if sign_asked is not None and not has_value(message, group):
        return read_sign(message, group.start, group.end, sign_asked)
    if meaning.kind == "reading" and _doubted(message, group):
        return Sign(TELLING[meaning.id], "unknown", words) if meaning.id in TELLING else None
    if meaning.kind == "reading":
        chosen = _member(trial, group, meaning, asked)
        if chosen is None:
            return None
        chosen = special(message, group, chosen, asked)
        if len(asked) == 1 and asked[0].id == "hollow_along" and chosen.id == "hollow_across":
            chosen = asked[0] if "across" not in message.names(group.start, group.end) else chosen
        likened = answers.compared(message, group.start, group.end, chosen.id, context, trial.habit)
        if likened is None and chosen in asked and answers.changed_by(message, group.start, group.end) is not None:
            return None  # changed from what is not known
        made = likened or read_group(message, group.start, group.end, chosen, context, trial.habit)
        if made.value is None and made.sign_known and chosen in asked:
            finished = answers.finish_direction(message, group, chosen, context)
            if finished is not None:
                return finished
        if (
            made.id == "face_out_of_square"
            and made.value is not None
            and made.over is None
            and not asked
            and not trial.facts
            and out_of_what(trial, group)
        ):
            return None
        if made.id == "turned_error" and made.value is None and message.has("same"):
            return Sign("stays_with_machine", "yes", words)
        return made
    if is_question(message, group):
        return None
    if _only_planned(message, group):
        return None
    if meaning.kind == "sign":
        sign = read_sign(message, group.start, group.end, meaning)
        if sign.answer == "no" and len(asked) == 1 and SIGN_NUMBERS.get(sign.id) == asked[0].id:
            return Reading(asked[0].id, 0.0, words=words)
        return sign
    if message.names(group.start, group.end) & NOT_DONE or whenever(message, group):
        return None
    if goes_on_planning(message, group):
        return None
    return Action(meaning.id, words)


def _tell_sign(trial: Trial, waiting: Group | None) -> None:
    """Take what was to be measured, but got no number, for the sign it tells: "the needle creeps up as I tighten"."""
    if waiting is None or waiting.meaning is None or is_question(trial.message, waiting):
        return
    mask = trial.message.mask(waiting.start, waiting.end)
    if waiting.meaning.id == "spring_pass" and "cut_again" in trial.message.names(waiting.start, waiting.end):
        if not _only_planned(trial.message, waiting):
            add(trial.facts, Action("recut", trial.message.said(waiting.start, waiting.end)))
        return
    sign = lexicon().meanings.get(TELLING.get(waiting.meaning.id, ""))
    if sign is not None and best(sign.when, mask) and not _only_planned(trial.message, waiting):
        take_spots(trial.message, waiting)
        add(trial.facts, read_sign(trial.message, waiting.start, waiting.end, sign))


def _doubted(message: Message, group: Group) -> bool:
    """Tell whether a group only says what its speaker cannot tell: "not sure if it comes up"."""
    doubt = message.names(group.start, group.end) & {"unsure", "dont_know"}
    return bool(doubt) and not has_value(message, group)


def _only_planned(message: Message, group: Group) -> bool:
    """Tell whether a group says what is to be done or looked for, and nothing that was: "I'll see if it rocks"."""
    spots = message.spots_in(led_by(message, group.start), group.end)
    doubts = [spot for spot in spots if spot.name in ("unsure", "dont_know")]
    return any(
        spot.name in ("to_do", "might_be")
        and all(spot.start <= doubt.start < spot.end for doubt in doubts)
        for spot in spots
    )


def _member(trial: Trial, group: Group, meaning: Meaning, asked: tuple[Meaning, ...]) -> Meaning | None:
    """Settle which reading of a family is meant, by what was asked or what the message is about; else ask."""
    if not meaning.members:
        return meaning
    meanings = lexicon().meanings
    wanted = [other for other in asked if other.id in meaning.members]
    if len(wanted) == 1:
        return wanted[0]
    if "both_ways" in trial.message.names(group.start, group.end) and meaning.id in ("sweep", "vise_bed", "hole_lean"):
        return meanings[meaning.members[0]]  # the other one is added to it
    if not has_value(trial.message, group):
        return by_axis(trial.message, meaning, trial.message.names(group.start, group.end))
    said = [fact.id for fact in trial.facts if isinstance(fact, Reading) and fact.id in meaning.members]
    if len(set(said)) == 1:
        return meanings[said[0]]
    member = by_axis(trial.message, meaning)
    if member is not None:
        return member
    ask_which(trial, group.start, group.end, meaning)
    return None


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
