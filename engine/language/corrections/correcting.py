"""Whether a message corrects what was said before, or names a matter of its own."""

from __future__ import annotations

from itertools import pairwise

from askew.engine.language.clauses.groups import divide
from askew.engine.language.clauses.message import DIRECTIONS, Message
from askew.engine.language.corrections.anew import taken_anew
from askew.engine.language.corrections.as_meant import as_meant, takes_back_a_direction
from askew.engine.language.corrections.correction_words import (
    OPPOSITES,
    REFUSALS,
    UNIT_NAMES,
    direction_said,
    is_mixed_up,
    is_named,
    old_refused,
    other_number,
    same_number,
    sign_said,
    told_anew,
    unit_named,
)
from askew.engine.language.job.setups import setup_facts
from askew.engine.language.model import Context
from askew.engine.language.numbers.measured import is_span
from askew.engine.language.numbers.quantities import Quantity
from askew.engine.language.numbers.values import NeedsAskingError
from askew.engine.language.words.lexicon import lexicon
from askew.engine.language.words.word_tables import table, word_list
from askew.engine.observations import Observation, Reading, name_of

_SHORT = 5
_HESITATING = {"uh", "um", "er", "erm", "ah", "oh", "hmm", "uhh", "umm", "well"}
_REMARK = 10
"""So many words may tell no more than the length that something was taken over."""
_ANEW = {
    *("told", "said", "again", "misread", "actually", "glasses", "looking", "looked", "checked", "rechecked"),
    *("wrote", "typed", "checking", "rechecking", "remeasured", "measuring", "remeasuring"),
}
"""What stands beside an old number and the one that it should have been."""
_AMOUNTS = {"amount", "number", "figure", "size", "value"}
_SPANS = {"sweep_diameter", "travel", "run_x", "run_y", "hole_depth", "wall_height", "jaw_height", "bed_length"}
"""Setup keys of lengths that a reading is taken over: naming one corrects the reading."""


def is_correction(message: Message, fact: Observation, context: Context, count: int) -> bool:
    """Tell whether the message says by its form that it corrects or completes what was said before.

    Args:
        message: The message.
        fact: What was understood last.
        context: What was asked.
        count: How many words the message has.

    Returns:
        Whether it does.
    """
    names = message.names(0, len(message.tokens))
    texts = [token.text for token in message.tokens if token.kind != "mark"]
    first = next((text for text in texts if text not in _HESITATING), texts[0])
    told = any(token.kind == "number" for token in message.tokens) or bool(message.quantities)
    if not told and any(token.text.startswith("hundredth") for token in message.tokens):
        return False  # of what, only the person knows
    if "meant" in names and not _meant_to_do(message):
        return True
    if "ask_undo" in names and isinstance(fact, Reading):
        if told_anew(message, fact):
            return True  # "take that back, it was 9 thou"
        if count >= _SHORT:
            return direction_said(fact, as_meant(message))[1]  # "scrub that, it was the left end that was high"
    if (first in ("no", "nope", "nah", "naw") and count > 1) or _refuses(message):
        return True
    if isinstance(fact, Reading) and fact.value is not None and not fact.sign_known and count <= _SHORT:
        return not message.quantities and direction_said(fact, message)[1]  # "it's open by the way"
    if "opposite" in names and (count <= 7 or (isinstance(fact, Reading) and direction_said(fact, message)[1])):
        return True
    counted = any(not quantity.pronoun for quantity in message.quantities)
    if isinstance(fact, Reading) and not counted and count <= _REMARK and _other_way(names):
        return True
    if isinstance(fact, Reading) and ((is_mixed_up(message) and count <= 9) or (sign_said(message) and count <= 2)):
        return True
    if isinstance(fact, Reading) and any(is_named(message, quantity) for quantity in message.quantities):
        return True
    if not message.quantities and unit_named(message) is not None:
        return count <= 4 or all(_plain(message, at) for at in range(len(message.tokens)))
    if isinstance(fact, Reading) and fact.value is not None and _only_turned(message, fact, count):
        return True  # "it went down, same amount"
    if isinstance(fact, Reading) and fact.value and (old_refused(message, fact) or _turned_back(message, fact)):
        return True
    if isinstance(fact, Reading) and fact.value and _points_out(message, fact):
        return True
    if isinstance(fact, Reading) and "swap_it" in names and any(_put_to(message, one) for one in message.quantities):
        return True  # "amend that figure to nine"
    if isinstance(fact, Reading) and taken_anew(message):
        return True
    if isinstance(fact, Reading) and fact.value is not None and fact.over is None and count <= _REMARK:
        return context.asked not in table("setup.toml")["lengths"] and _only_a_span(message)
    anew = "swap_it" in names or any(token.text in _ANEW for token in message.tokens)
    return isinstance(fact, Reading) and anew and other_number(message, fact) is not None


def _other_way(names: set[str]) -> bool:
    """Tell whether two places are said to be the wrong way round, or the other end to be the high one."""
    turned = "opposite" in names and (bool(names & {"x", "y"}) or any(names >= {*pair} for pair in OPPOSITES))
    return turned or ("other_end" in names and bool(names & {"high", "low", "up", "down", "proud", "more", "less"}))


def _only_turned(message: Message, fact: Reading, count: int) -> bool:
    """Tell whether the amount is said to be as told and only a direction is new: "it went down, same amount"."""
    amount = any(
        one == "same" and two in _AMOUNTS
        for one, two in pairwise(token.text for token in message.tokens)
    )
    return amount and count <= _REMARK and not message.quantities and direction_said(fact, message)[1]


def _turned_back(message: Message, fact: Reading) -> bool:
    """Tell whether the number told before stands, or none is said, and only its direction is said to be another.

    "0.016 was right but the drift is to the left", "that was the left side, not the right".
    """
    meant = as_meant(message)
    sign, known = direction_said(fact, meant)
    if not known or fact.value is None or sign * fact.value > 0:
        return False
    names = {token.text for token in message.tokens}
    if same_number(message, fact):
        return bool(names & _STANDS)
    return not message.quantities and bool(names & REFUSALS) and takes_back_a_direction(message, meant)


def _points_out(message: Message, fact: Reading) -> bool:
    """Tell whether a place is pointed out against the one told before: "it was the front one that is taller"."""
    texts = [token.text for token in message.tokens]
    cleft = any(text in _IT_WAS and "that" in texts[at + 1 : at + _CLEFT] for at, text in enumerate(texts)) or any(
        one == "it" and two in ("is", "was") and any(text.startswith("that") for text in texts[at + 2 : at + _CLEFT])
        for at, (one, two) in enumerate(pairwise(texts))
    )
    counted = any(not quantity.pronoun and quantity.decimals for quantity in message.quantities)
    sign, known = direction_said(fact, as_meant(message))
    return cleft and known and not counted and fact.value is not None and sign * fact.value < 0


_IT_WAS = {"it's", "its", "'twas", "twas"}
_CLEFT = 8
"""So many words on from "it was" the "that" may stand."""


def _put_to(message: Message, quantity: Quantity) -> bool:
    """Tell whether a number is what another is to be changed to."""
    return not quantity.junk and message.text_at(quantity.start - 1) == "to"


_STANDS = {"but", "same", "still", "correct", "only", "just"}


_NO_DEED = ("say", "type", "put", "write", "be", "read", "tell", "the", "my", "me", "front", "back", "left", "right")
"""What follows "meant to" where nothing was to be done: "I meant to say", "I meant to the front"."""


def _meant_to_do(message: Message) -> bool:
    """Tell whether something was only meant to be done: "I meant to go to lunch"."""
    texts = [token.text for token in message.tokens]
    return any(
        one == "meant" and two == "to" and three not in _NO_DEED
        for one, two, three in zip(texts, texts[1:], texts[2:], strict=False)
    )


def _plain(message: Message, at: int) -> bool:
    """Tell whether a token says nothing by itself, or names a unit."""
    token = message.tokens[at]
    small = word_list("clauses.toml", "words", "small") | word_list("clauses.toml", "evidence", "plain")
    named = {"meant", "idiom", "polite", *(name for name, _ in UNIT_NAMES)}
    return (
        token.kind == "mark"
        or token.text in small
        or any(spot.name in named and spot.start <= at < spot.end for spot in message.spots)
    )


def _only_a_span(message: Message) -> bool:
    """Tell whether all that is said is the length that something was taken over: "over 3 inches that was"."""
    if len(message.quantities) != 1 or not message.quantities[0].span:
        return False
    only = message.quantities[0]
    return is_span(only) and all(
        only.start <= at < only.end
        or _plain(message, at)
        or message.tokens[at].text in ("measured", "taken", "across", "length", "travel")
        for at in range(len(message.tokens))
    )


def names_something_else(message: Message, fact: Observation, context: Context) -> bool:
    """Tell whether the message names a matter of its own: "sorry, the step is 2 thou" after a hollow."""
    own = name_of(fact)
    copy = message.copy()
    try:
        found = setup_facts(copy, context, context.unit)
    except NeedsAskingError:
        found = []
    spans = _SPANS if isinstance(fact, Reading) else set()
    if any(other.key not in {own, *spans} and other.value for other in found):
        return True
    if "other_end" in message.all_names:
        return False
    lex = lexicon()
    meaning = lex.meanings.get(own)
    mine = 0
    if meaning is not None:
        for way in (*meaning.when, *meaning.plus, *meaning.minus):
            for term in (*way.must, *way.may):
                mine |= term
    unsaid = [spot for spot in message.spots if spot.name == "meant"]
    again = taken_anew(message)
    for group in divide(message, ()):
        if group.meaning is None or group.meaning.kind == "ignore" or group.meaning.id == own:
            continue
        if _excuses(message, group.start, group.end):
            continue  # "three, not five, me glasses were mucky"
        if group.meaning.id in KIN.get(own, ()):
            continue  # "it was closed, not open" of the corner after the quarter turn
        if group.meaning.kind == "action" and (again or "meant" in message.names(group.start, group.end)):
            continue  # "scrub that", "did it again with more care"
        topic = 0
        for way in group.meaning.when:
            for term in way.must:
                topic |= term
        for spot in message.spots_in(group.start, group.end):
            if any(other.start <= spot.start and spot.end <= other.end for other in unsaid):
                continue  # "I had it backwards"
            bit = lex.bits.get(spot.name, 0) & topic & ~mine
            if bit and lex.weights[bit] >= _TOPIC:
                return True
    return False


_EXCUSING = {"i", "i'd", "i've", "i'm", "me", "my", "mine", "typo", "wrong", "forgot"}


def _excuses(message: Message, start: int, end: int) -> bool:
    """Tell whether words at the end of a correction only say how the mistake was made."""
    begins = start > 0 and message.text_at(start - 1) in (",", ".", "-", ";") and message.text_at(start) in _EXCUSING
    return begins and not message.within(start, end) and not message.names(start, end) & DIRECTIONS


_CORNER = ("face_out_of_square", "other_corner", "turned_error", "fine_cutter_error", "square_flip")
KIN = {
    **dict.fromkeys((*_CORNER, "cooled_change"), _CORNER),
    "reversed_step": ("step",),
    "cross_feed_step": ("step",),
    "cross_feed_hollow": ("hollow_across",),
}
"""Readings that say their direction in the same words, so that these name no other matter; complaints stand first."""

_TOPIC = 0.8
"""What a word must weigh to name a matter."""


def _refuses(message: Message) -> bool:
    """Tell whether it reads "12, not 15" or "closed not open"."""
    return (
        any(
            token.text == "not" and (index > 0 or len(message.quantities) == 2) and index < len(message.tokens) - 1
            for index, token in enumerate(message.tokens)
        )
        and len(message.tokens) <= 9
    )
