"""The whole way from a message to what was heard."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from functools import partial

from askew.engine.language.clauses.courtesies import answer_alone, without_courtesies
from askew.engine.language.clauses.message import Message, shown_habit
from askew.engine.language.clauses.prepare import prepare
from askew.engine.language.commands.asked_beside import asked_beside
from askew.engine.language.commands.commands import command, doubtful
from askew.engine.language.commands.how_asked import how_asked
from askew.engine.language.commands.limits import limits
from askew.engine.language.commands.loose_commands import loose_command
from askew.engine.language.corrections.held_against import answers_check, held_against
from askew.engine.language.corrections.repair import repaired
from askew.engine.language.learned.one_core import on_one_core
from askew.engine.language.learned.told import named
from askew.engine.language.model import Ambiguity, Context, Heard
from askew.engine.language.numbers.quantities import Quantity
from askew.engine.language.numbers.values import NeedsAskingError, ambiguity
from askew.engine.language.together.after_deed import name_after_deed, nothing_after_deed
from askew.engine.language.together.anothers import of_another
from askew.engine.language.together.answers_told import (
    NOT_DONE,
    NOT_SAID,
    add_answers,
    add_sure,
    borne_out,
    drop_untold,
    fact_of,
    implied,
    mend_signs,
)
from askew.engine.language.together.as_asked import as_asked, lay_along
from askew.engine.language.together.asked import (
    LONG_ANSWER,
    answers_whole,
    asked_meanings,
    drop_doubles,
    take_sign,
)
from askew.engine.language.together.attempt import Trial, asks
from askew.engine.language.together.axes_left import add_axes_left
from askew.engine.language.together.bearing import far_fetched, likely, mostly_known, unlikely
from askew.engine.language.together.chip_places import settle_chip
from askew.engine.language.together.complaint import add_complaint
from askew.engine.language.together.cooling import cooled_apart
from askew.engine.language.together.counts import counts_things
from askew.engine.language.together.direction_not_known import open_directions
from askew.engine.language.together.directions_told import add_directions
from askew.engine.language.together.evidence import idle, supported
from askew.engine.language.together.feed_axis import turn_with_feed
from askew.engine.language.together.joins import no_step_where_smooth, ridge_where_smooth, step_from_nail
from askew.engine.language.together.left_open import settle_left_open
from askew.engine.language.together.measured_from import drop_measured_from
from askew.engine.language.together.mistaken import drop_lengths_read, part_lengths, turn_directions
from askew.engine.language.together.numbers_told import (
    SURE,
    SURE_ALONE,
    SURE_IN_A_STORY,
    add_numbers,
    of_the_job,
)
from askew.engine.language.together.of_this_job import set_aside
from askew.engine.language.together.other_axis import add_right_axis
from askew.engine.language.together.parallels_apart import parallels_apart
from askew.engine.language.together.place_not_known import before_the_doubt, name_asked
from askew.engine.language.together.places_in_rows import settle_by_rows
from askew.engine.language.together.places_told import settle_places
from askew.engine.language.together.redundant import (
    drop_bare_topics,
    drop_deeds_told_twice,
    drop_measuring,
    drop_signs_told_otherwise,
    drop_told_twice,
)
from askew.engine.language.together.scenes import add_scenes
from askew.engine.language.together.sequence import read_groups
from askew.engine.language.together.sizes_not_gone_over import drop_sizes_not_gone_over
from askew.engine.language.together.small_cutter import settle_small_cutter
from askew.engine.language.together.spans import share_circle, share_length, take_hole_depth, take_run_length
from askew.engine.language.together.told_in_rows import add_told
from askew.engine.language.together.two_corners import part_corners
from askew.engine.language.together.understood import not_understood, take_understood
from askew.engine.language.together.undone import (
    drop_nothing_at_the_jaw,
    drop_tried,
    drop_undone,
    drop_what_is_gone,
    settle_locks,
)
from askew.engine.language.words.lexicon import lexicon
from askew.engine.language.words.tokens import LONGEST
from askew.engine.observations import Action, Command, Observation, Reading, SetupFact, Sign, name_of
from askew.engine.units import UNITS, Habit

_TOLD_BY_NUMBER = {"needle_moves_on_tightening"}
_ELSEWHERE = {"saying", "idiom", "history", "buy", "weather", "other_machine", "not_mine"}


def read(text: str, context: Context | None = None) -> Heard:
    """Return what a message says.

    Pure: the same text in the same context always gives the same answer. No text makes it raise, and the
    time it takes is bounded since no more than `LONGEST` characters are read; the rest comes back as unread.
    """
    with on_one_core():
        return _read(text, context if context is not None else Context())


def _read(text: str, context: Context) -> Heard:
    """Return what a message says in its context; it may be read once more in other words or with less asked."""
    rest = (text[LONGEST:],) if len(text) > LONGEST else ()
    text = text[:LONGEST]
    text = without_courtesies(text)
    if context.asked is not None:
        asked_for = lexicon().meanings.get(context.asked)
        text = answer_alone(text, asked_for is not None and asked_for.kind == "reading")
    chosen = _chosen(text, context)
    if chosen is not None:
        return _read(chosen, replace(context, options=()))
    message = prepare(text)
    if not message.tokens:
        return Heard(unread=rest)
    shown = shown_habit(message)
    answers = answers_check(message, context)
    against = held_against(message, context) if answers else None
    if isinstance(against, Reading):
        return Heard((against,), rest, shown)
    if against is not None:
        return _read(against, replace(context, last=()))
    fixed = repaired(prepare(text, as_said=True), context) if context.last and not answers else None
    if fixed is not None:
        return Heard(fixed, (), shown, corrects=True)
    placeless = before_the_doubt(message, context)
    if placeless is not None:
        answer = _read(placeless, context)
        others = tuple(fact for fact in answer.facts if isinstance(fact, Reading | SetupFact | Action))
        return replace(answer, facts=(Sign(name_asked(context), "yes", placeless), *others), question=None)
    beside = asked_beside(message, context)
    if beside is not None:
        told = _read(beside.rest, replace(context, asked=None) if beside.asked.argument == context.asked else context)
        if told.facts and not any(isinstance(fact, Command) for fact in told.facts):
            return replace(told, facts=(*told.facts, beside.asked))
    asked = command(message, context)
    if asked is not None and not doubtful(message, asked, context):
        return Heard((*limits(text, message, asked, _settled, context), asked), rest, shown)
    habit = context.unit if context.unit is not None and _weakly_shown(message) else shown or context.unit
    trial = _settled(text, message, context, habit)
    asks_how = bool(how_asked(text)) and not message.prepared
    asked = loose_command(message) if asks_how or (not trial.facts and trial.question is None) else None
    if asked is not None and not far_fetched(message, asked, context):
        return Heard((asked,), rest, shown)
    if context.asked is None and of_another(message):
        return Heard((), (text, *rest), shown)
    take_sign(trial, asked_meanings(context), LONG_ANSWER)  # only of what was truly asked, not of what seems likely
    phrased = list(trial.facts)
    drop_lengths_read(trial, context)
    _add_learned(trial, text, context, habit)
    if context.asked is None:
        add_axes_left(trial)
    if not _one_question(trial.message):
        add_sure(trial, text, context)
    part_lengths(trial, context)
    turn_directions(trial, context)
    settle_places(trial, context)
    settle_left_open(trial, context)
    settle_chip(trial)
    settle_by_rows(trial, context)
    settle_small_cutter(trial, context)
    drop_undone(trial.message, trial.facts)
    drop_what_is_gone(trial.message, trial.facts)
    drop_nothing_at_the_jaw(trial.message, trial.facts)
    drop_tried(trial.facts, context.asked)
    settle_locks(trial.message, trial.facts, context.asked == "locks_were_loose")
    drop_deeds_told_twice(trial.message, trial.facts)
    drop_untold(trial, phrased, context)
    if context.asked is None:
        name_after_deed(trial.message, trial.facts)
        nothing_after_deed(trial)
    lay_along(trial, context)
    drop_sizes_not_gone_over(trial.message, trial.facts)
    drop_measured_from(trial.message, trial.facts)
    if asks_how:  # "how can I check my square" tells nothing of it
        trial.facts[:] = [fact for fact in trial.facts if isinstance(fact, Command)]
    aside = set_aside(trial, context)
    _give_back(trial, aside)
    take_understood(trial, phrased, context.asked)
    return Heard(
        tuple(trial.facts),
        (*not_understood(trial.message), *rest),
        shown,
        trial.question,
        nearest=tuple(trial.nearest),
        aside=aside,
    )


def _add_learned(trial: Trial, text: str, context: Context, habit: Habit | None) -> None:
    """Add what the network tells where no phrase did, less where the message asks or tells of something else."""
    message = trial.message
    mend_signs(trial, context)
    strange = asks(message, 0, len(message.tokens)) or message.has("planned", "some_day")
    if strange or not mostly_known(message, context):
        if trial.question is None and not message.all_names & NOT_SAID:
            add_numbers(trial, context, habit, SURE_ALONE, lambda again, leaning: _settled(text, again, leaning, habit))
        return
    elsewhere = message.all_names & _ELSEWHERE
    told = list(trial.facts)
    if trial.question is None or trial.nearest:
        least = SURE_IN_A_STORY if elsewhere else SURE
        before = list(trial.facts)
        add_numbers(trial, context, habit, least, lambda again, leaning: _settled(text, again, leaning, habit))
        if context.asked is None and trial.facts != before:
            _add_beside(trial)
    if trial.question is None and not elsewhere and not (context.asked is None and idle(message)):
        _add_likely(trial, text, context, habit)
        add_answers(trial, text, context)
    add_directions(trial, context.asked)
    if _one_question(message):  # "is it the jaw plate that is loose?" asks for something at most
        trial.facts[:] = [fact for fact in trial.facts if fact in told or isinstance(fact, Command)]


def _one_question(message: Message) -> bool:
    """Tell whether a message is nothing but one question, without a stop or a comma before its end."""
    marks = [token.text for token in message.tokens if token.text in (".", "!", ";", ",", "?")]
    return marks == ["?"] and message.tokens[-1].text == "?"


def _add_beside(trial: Trial) -> None:
    """Add what stands beside a number that only the network took: the other axis that is right, a shared length."""
    add_right_axis(trial.message, trial.facts)
    share_circle(trial.message, trial.facts, trial.habit)
    share_length(trial.message, trial.facts)


def _add_likely(trial: Trial, text: str, context: Context, habit: Habit | None) -> None:
    """Add what the words of a message make likely though no phrase told it, each read as if it had been asked for.

    A reading is only offered, and only where nothing was heard: too often its number belongs to another. The job is not
    told by a word alone. What was not done, is only planned, asked or told of something else is left alone, for the
    network hardly shows that.
    """
    message = trial.message
    for name in likely(message, context):
        bare = named(name)
        if bare == context.asked or bare in {name_of(fact) for fact in trial.facts}:
            continue
        if name[0] in "!$":
            fact = fact_of(name, text)
            sure = not message.all_names & NOT_DONE and (name[0] == "!" or not trial.facts)
            trial.facts += [fact] if sure and not implied(fact, trial.facts) else []
        elif name in lexicon().meanings and lexicon().meanings[name].kind == "reading":
            trial.nearest += [bare] if not trial.facts and bare not in trial.nearest else []
        elif trial.facts or context.asked is not None or ":=" not in name:
            answer = _settled(text, prepare(text), replace(context, asked=bare), habit)
            new = [fact for fact in answer.facts if name_of(fact) == bare and not _read_before(fact, message)]
            new = [fact for fact in new if borne_out(fact, message, context)]
            trial.facts += new
            message.taken |= answer.message.taken if new else set()


def _read_before(fact: Observation, message: Message) -> bool:
    """Tell whether a fact about the setup was made of words that something was made of before."""
    held = message.taken.intersection(message.tokens_of(fact.words))
    return isinstance(fact, SetupFact) and (isinstance(fact.value, tuple) or bool(held))


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
            _make_facts(trial, context)
        except NeedsAskingError as asking:
            quantity = asking.quantity
            if question is None and not _no_error(message, quantity, context.asked, habit):
                last = message.tokens[max(quantity.end, quantity.head + 1) - 1]
                question = ambiguity(asking, text, message.tokens[quantity.head].start, last.end)
            left_out.add(quantity.head)
            message = message.without(partial(_left_out, left_out, attempt))
            continue
        _weigh(trial, question, context)
        return trial
    return Trial(message, habit, question=question)


def _make_facts(trial: Trial, context: Context) -> None:
    """Add to an attempt the facts that its message tells.

    Raises:
        NeedsAskingError: if a number has more than one meaning that matters.
    """
    message, facts = trial.message, trial.facts
    asked = asked_meanings(context)
    if answers_whole(trial, asked, context):
        return
    cooled_apart(trial)
    if context.asked is None:
        parallels_apart(trial)
    read_groups(trial, asked, context)
    add_told(trial, context.asked)
    add_scenes(trial, context)
    part_corners(trial, context)
    add_right_axis(message, facts)
    turn_with_feed(message, facts, context)
    drop_told_twice(message, facts, trial.vouched)
    drop_signs_told_otherwise(message, facts)
    if context.asked is None:
        drop_bare_topics(message, facts)
    take_hole_depth(message, facts)
    drop_measuring(message, facts)
    no_step_where_smooth(message, facts)
    step_from_nail(facts)
    ridge_where_smooth(message, facts)
    share_circle(message, facts, trial.habit)
    take_run_length(message, facts, trial.habit)
    share_length(message, facts)
    drop_doubles(trial, asked)
    open_directions(trial)
    as_asked(trial, context)
    take_sign(trial, asked)
    if context.asked is None:
        add_axes_left(trial)
        add_complaint(message, facts)
    lay_along(trial, context)


def _weigh(trial: Trial, question: Ambiguity | None, context: Context) -> None:
    """Keep of an attempt what the words bear out, and settle what is asked next.

    Args:
        trial: The attempt, all facts of the message made.
        question: What must be asked about a quantity that was left out, if any was.
        context: What was asked for, if anything was.
    """
    message, answering = trial.message, context.asked is not None
    doubted = [
        fact
        for fact in trial.facts
        if not any(fact is sure for sure in trial.vouched) and not supported(message, fact, answering)
    ]
    sure = [fact for fact in trial.vouched if not isinstance(fact, Action)]  # rows name what words bear out
    open_ = [fact for fact in trial.facts if fact not in doubted and not any(fact is one for one in sure)]
    strange = unlikely(message, open_, context, trial.vouched)
    trial.facts = [fact for fact in trial.facts if fact not in doubted and fact not in strange]
    _give_back(trial, [*doubted, *strange])
    trial.nearest += [fact.id for fact in doubted if isinstance(fact, Reading | Sign)]
    trial.question = question or trial.question
    if trial.question is not None and not answering and not trial.facts:
        meant = Reading("face_out_of_square", 1.0, words=trial.question.words)
        if idle(message) or not supported(message, meant, answering=False):
            trial.question = None
    if question is None:
        return
    trial.facts = [fact for fact in trial.facts if not _half_told(fact, question)]
    if answering:  # the answer comes whole once its number is clear
        trial.facts = [fact for fact in trial.facts if not (isinstance(fact, Reading) and fact.value is None)]
    else:  # such a sign only says that the number still asked about was read
        trial.facts = [fact for fact in trial.facts if not (isinstance(fact, Sign) and fact.id in _TOLD_BY_NUMBER)]


def _half_told(fact: Observation, question: Ambiguity) -> bool:
    """Tell whether a nothing is only the rest of what is asked about: the "right zero" of "left 0.04, right zero"."""
    return isinstance(fact, Reading) and fact.value == 0 and question.words in fact.words


def _no_error(message: Message, quantity: Quantity, asked: str | None, habit: Habit | None) -> bool:
    """Tell whether a number is no error, so that its unit need not be asked about."""
    return counts_things(message, quantity, asked) or of_the_job(message, quantity, asked, habit)


def _left_out(heads: set[int], attempt: int, quantity: Quantity) -> bool:
    """Leave out what must be asked about; after several such, all without a unit, then every number."""
    return quantity.head in heads or (attempt == 1 and quantity.unit not in UNITS) or attempt >= 2


def _give_back(trial: Trial, doubted: Iterable[Observation]) -> None:
    """Show the words of what was not taken as not understood."""
    message = trial.message
    for fact in doubted:
        message.taken.difference_update(message.tokens_of(fact.words))
