"""What was just asked for, and the messages that answer it as a whole."""

from __future__ import annotations

from functools import cache

from askew.engine.language.clauses.message import Message
from askew.engine.language.clauses.prepare import prepare
from askew.engine.language.job.setups import setup_facts
from askew.engine.language.model import Context
from askew.engine.language.numbers.measured import is_value
from askew.engine.language.numbers.unit_words import words as number_words
from askew.engine.language.observed.length_over import nothing_over
from askew.engine.language.observed.two_ends import pair_of
from askew.engine.language.together import answers
from askew.engine.language.together.attempt import Trial, add
from askew.engine.language.together.lengths_in_rows import add_lengths_told
from askew.engine.language.together.not_known import leaves_sign_open
from askew.engine.language.words.lexicon import lexicon
from askew.engine.language.words.meanings import Meaning
from askew.engine.language.words.word_tables import knowledge_rows, word_list
from askew.engine.observations import Reading, SetupFact, Sign

_OPENING = 9
"""So many words and marks the sentence of an answer may have that more follows."""
_LONG = 8
"""So many words and marks may tell more than an answer about the setup."""
LONG_ANSWER = 26
"""So many words and marks an answer about a sign may have that tells nothing else."""


@cache
def _gives() -> dict[str, tuple[str, ...]]:
    """Return what each check gives, so that a check just asked for makes its readings likely."""
    return {name: tuple(row.get("gives", ())) for name, row in knowledge_rows("checks.toml").items()}


def asked_meanings(context: Context) -> tuple[Meaning, ...]:
    """Return the readings and signs just asked for: the one by its name, or all that a check gives."""
    if context.asked is None:
        return ()
    meanings = lexicon().meanings
    names = (context.asked,) if context.asked in meanings else _gives().get(context.asked, ())
    return tuple(meanings[name] for name in names if name in meanings)


def answers_whole(trial: Trial, asked: tuple[Meaning, ...], context: Context) -> bool:
    """Add what a message tells of the setup, and tell whether it is no more than an answer, which was then added.

    Args:
        trial: The attempt at the message.
        asked: The readings and signs just asked for.
        context: What the words may lean on.

    Raises:
        NeedsAskingError: if a number has more than one meaning that matters.
    """
    return (
        _answers_setup(trial, asked, context)
        or _answers_reading(trial, asked, context)
        or _leaves_open(trial, context)
    )


def _leaves_open(trial: Trial, context: Context) -> bool:
    """Tell whether a message only says why the sign asked for is not known, and add that."""
    message = trial.message
    if context.asked is None or not leaves_sign_open(message, context):
        return False
    message.take(0, len(message.tokens))
    add(trial.facts, Sign(context.asked, "unknown", message.text.strip()))
    return True


def _answers_setup(trial: Trial, asked: tuple[Meaning, ...], context: Context) -> bool:
    """Add what is told of the setup, and tell whether the whole message answers a question about it."""
    message = trial.message
    add_lengths_told(trial, context.asked)
    rows = [fact for fact in trial.facts if isinstance(fact, SetupFact)]
    told = {fact.key for fact in rows}
    found = [fact for fact in setup_facts(message, context, trial.habit) if fact.key not in told]
    trial.facts.extend(found)
    found = [*rows, *found]
    if context.asked is None:
        return False
    if any(fact.key == context.asked for fact in found):
        return _brief(message)
    if asked:
        return False
    answer = answers.setup_answer(message, context.asked, context, trial.habit)
    if answer is None:
        return False
    trial.facts.append(answer)
    if len(message.tokens) >= _LONG:
        return False
    message.take(0, len(message.tokens))
    return True


def _answers_reading(trial: Trial, asked: tuple[Meaning, ...], context: Context) -> bool:
    """Tell whether the whole message answers the one reading that was asked for, and add that."""
    message = trial.message
    readings = _readings(asked)
    if len(readings) != 1 or readings[0].members:
        return False
    answer = answers.compared(message, 0, len(message.tokens), readings[0].id, context, trial.habit)
    if answer is None:
        values = [quantity for quantity in message.quantities if is_value(quantity)]
        if readings[0].ends and _short(message) and 1 <= len(values) == len(message.quantities) <= 2:
            answer = pair_of(message, 0, len(message.tokens), readings[0], trial.habit)
    if answer is None and _none_at_all(message):
        over = None if readings[0].size else nothing_over(message, 0, len(message.tokens), trial.habit)
        answer = Reading(readings[0].id, 0.0, over, words=message.text.strip())
    if answer is None:
        return False
    message.take(0, len(message.tokens))
    add(trial.facts, answer)
    return True


def _none_at_all(message: Message) -> bool:
    """Tell whether a short answer only says that there is none: "nothing, flat as anything", "didn't bulge any"."""
    if not _short(message) or any(is_value(quantity) and quantity.value for quantity in message.quantities):
        return False
    texts = [token.text for token in message.tokens if token.kind != "mark"]
    at_all = word_list("clauses.toml", "none", "at_all")
    if _brief(message) and texts and texts[0] in number_words().denying and texts[-1] in at_all:
        return True
    opening = [spot for spot in message.spots if spot.start == 0 and spot.name in ("nothing", "no", "not_move")]
    if not opening:
        return False
    end = max(spot.end for spot in opening)
    rest = message.names(end, len(message.tokens))
    nothing = any(spot.name != "no" for spot in opening)
    stops = end < len(message.tokens) and message.tokens[end].kind == "mark"
    return stops and bool(rest & _FINE) and (nothing or not rest & _FAULTY) and not rest & {"not", "yes"}


_FINE = {"flat", "square", "truly_square", "same", "nothing", "parallel_word", "not_move"}
_FAULTY = {"hollow", "crowned", "open", "closed", "out_of_square", "lean", "out"}


def drop_doubles(trial: Trial, asked: tuple[Meaning, ...]) -> None:
    """Take nothing from a short answer that gives two numbers for one thing without saying what each is.

    Args:
        trial: The attempt at the message; its facts change in place.
        asked: The readings and signs just asked for.
    """
    readings = _readings(asked)
    if len(readings) != 1:
        return
    name = readings[0].id
    if any(isinstance(fact, Reading) and fact.id == name and fact.value for fact in trial.facts):
        trial.facts[:] = [fact for fact in trial.facts if not (isinstance(fact, Reading) and _none_of(fact, name))]
    if not _brief(trial.message):
        return
    told = [fact for fact in trial.facts if isinstance(fact, Reading) and fact.id == name and fact.value is not None]
    if len(told) > 1 and not any(fact.sign_known and not lexicon().meanings[name].size for fact in told):
        trial.facts[:] = [fact for fact in trial.facts if fact not in told]
        trial.nearest.append(name)


def _none_of(fact: Reading, name: str) -> bool:
    """Tell whether a nothing is only the way to the number told beside it: "can barely feel it, half a thou"."""
    return fact.id == name and fact.value == 0 and fact.unit is None


def take_sign(trial: Trial, asked: tuple[Meaning, ...], longest: int = 0) -> None:
    """Take a short message that told nothing else for the answer to the one sign that was asked for.

    Args:
        trial: The attempt at the message; its facts change in place.
        asked: The readings and signs just asked for.
        longest: So many words and marks the message may have; none tells that it must be short.
    """
    message, facts = trial.message, trial.facts
    signs = [meaning for meaning in asked if meaning.kind == "sign"]
    if len(signs) != 1 or any(isinstance(fact, Sign) and fact.id == signs[0].id for fact in facts):
        return
    if any(isinstance(fact, Reading | Sign) for fact in facts):
        _take_opening(trial, signs[0])
        return
    sign = answers.sign_answer(message, signs[0]) if _short(message) or len(message.tokens) < longest else None
    if sign is not None:
        message.take(0, len(message.tokens))
        facts.insert(0, sign)


def _take_opening(trial: Trial, meaning: Meaning) -> None:
    """Take the first sentence for the answer where the rest tells other things: "nope, sat still. no dents either"."""
    message = trial.message
    stops = (".", ";", "!", ",") if _only_yes_or_no(trial) else (".", ";", "!")
    end = next((at for at, token in enumerate(message.tokens) if token.text in stops), 0)
    first = message.said(0, end)
    told = any(isinstance(fact, Reading | Sign) and fact.words in first for fact in trial.facts)
    if not end or end > _OPENING or told:
        return
    sign = answers.sign_answer(prepare(first), meaning)
    if sign is not None:
        message.take(0, end)
        trial.facts.insert(0, sign)


def _only_yes_or_no(trial: Trial) -> bool:
    """Tell whether a bare yes or no stands before a comma and only signs were read: "yes, a sliver in the middle"."""
    tokens = trial.message.tokens
    bare = len(tokens) > 1 and tokens[1].text == "," and trial.message.names(0, 1) & {"yes", "no"}
    return bool(bare) and all(isinstance(fact, Sign) for fact in trial.facts)


def _readings(asked: tuple[Meaning, ...]) -> list[Meaning]:
    return [meaning for meaning in asked if meaning.kind == "reading"]


def _brief(message: Message) -> bool:
    return sum(token.kind != "mark" for token in message.tokens) <= 5


def _short(message: Message) -> bool:
    return sum(token.kind != "mark" for token in message.tokens) <= 12
