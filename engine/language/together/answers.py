"""Short answers that lean on what was just asked: "4 left, 9 right", "same", "dead nuts"."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from functools import cache

from askew.engine.language.clauses.groups import Group
from askew.engine.language.clauses.message import Message
from askew.engine.language.job.setups import answer_length
from askew.engine.language.model import Context
from askew.engine.language.numbers.measured import is_value
from askew.engine.language.numbers.quantities import Quantity
from askew.engine.language.numbers.unit_words import words as number_words
from askew.engine.language.numbers.values import convert, small_unit
from askew.engine.language.observed.directions import direction, place_direction
from askew.engine.language.observed.length_over import nothing_over
from askew.engine.language.observed.readings import read_group
from askew.engine.language.observed.signs import place_of
from askew.engine.language.together.not_known import tells_nothing_of_it
from askew.engine.language.words.fitting import best
from askew.engine.language.words.lexicon import lexicon
from askew.engine.language.words.meanings import Meaning
from askew.engine.language.words.word_tables import short_answers, table, word_list
from askew.engine.observations import Observation, Reading, SetupFact, Sign
from askew.engine.units import Habit

_FLAGS = ("overrun", "leaned_on_purpose")
CHANGES = {"cooled_change"}
"""Readings that are themselves a change from before: "0.01 less than it was warm" answers them."""
_BARE_PLACE = 4
"""Most words of an answer that only names a place: "on the left"."""
_SHARES = (
    ("treble_of", Decimal(3)),
    ("half_again", Decimal("1.5")),
    ("two_thirds_of", Decimal(2) / 3),
    ("three_quarters_of", Decimal("0.75")),
    ("tenth_of", Decimal("0.1")),
    ("fifth_of", Decimal("0.2")),
    ("half_of", Decimal("0.5")),
    ("double_of", Decimal(2)),
    ("third_of", Decimal(1) / 3),
    ("quarter_of", Decimal("0.25")),
)


@cache
def _lengths() -> frozenset[str]:
    """Return the setup keys that are lengths; the helpers of the lexicon stand for others."""
    return frozenset(table("setup.toml")["lengths"]) - {"cube", "square_section", "sweep_radius"}


def changed_by(message: Message, start: int, end: int) -> tuple[Quantity, int] | None:
    """Return by how much something changed, and whether up or down: "worse by 2 thou", "a thou less than before"."""
    said = number_words()
    for quantity in message.within(start, end):
        before = [message.tokens[at].text for at in range(max(start, quantity.start - 2), quantity.start)]
        after = [message.tokens[at].text for at in range(quantity.end, min(end, quantity.end + 3))]
        by = len(before) == 2 and before[1] == "by"
        told = before[0] if by else after[0] if after else ""
        against = after[1:2] == ["than"] and after[2:] != [] and after[2] in said.before_now
        if is_value(quantity) and (told in said.changing or (against and not by)):
            sense = 1 if told in said.grown else -1 if told in said.shrunk else 0
            if sense:
                return quantity, sense
    return None


def compared(
    message: Message, start: int, end: int, name: str, context: Context, habit: Habit | None
) -> Reading | None:
    """Read "half of what it was", "same", "opposite", "worse by 2" against the latest value of the reading `name`.

    Raises:
        NeedsAskingError: if a number has more than one meaning that matters.
    """
    plain = not any(is_value(quantity) for quantity in message.within(start, end))
    before = context.readings.get(name) or (_just_told(name, context) if plain else None)
    if before is None or before.value is None:
        return None
    change = changed_by(message, start, end)
    if change is not None:
        amount, sense = change
        by = float(convert(amount, small_unit(amount, habit, before.unit), None, None).mm) * sense
        value = max(0.0, abs(before.value) + by) * (1 if before.value >= 0 else -1)
        return replace(before, value=value, low=None, high=None, bound=None, words=message.said(start, end))
    values = [quantity for quantity in message.quantities if is_value(quantity)]
    if len(values) == 1 and ("same" in message.all_names or "still" in message.word_set):
        told = convert(values[0], small_unit(values[0], habit, before.unit), None, None).mm
        if abs(abs(float(told)) - abs(before.value)) <= abs(before.value) / 50:
            return replace(before, words=message.said(start, end))  # "still four thou, no change"
    if values:
        return None
    names = message.names(start, end)
    words = message.said(start, end)
    factor = next((share for spot, share in _SHARES if spot in names), None)
    about = _about(message, start, end)
    if names & {"opposite", "mixed_up"} or ("flip" in names and name != "square_flip"):
        factor = -(factor or Decimal(1))
    elif factor is None and "same" in names:
        factor = Decimal(1)
    if factor is None:
        return None
    ends = (
        None
        if before.low is None or before.high is None
        else sorted(float(factor) * bound for bound in (before.low, before.high))
    )
    return replace(
        before,
        value=float(factor) * before.value,
        words=words,
        bound="between"
        if ends
        else before.bound
        if factor == 1 and not about
        else "about"
        if about or before.bound == "about"
        else None,
        low=ends[0] if ends else None,
        high=ends[1] if ends else None,
    )


def _just_told(name: str, context: Context) -> Reading | None:
    """Return the reading of this name in the message before, if it told one."""
    return next((fact for fact in context.last if isinstance(fact, Reading) and fact.id == name), None)


def _about(message: Message, start: int, end: int) -> bool:
    """Tell whether a share is only about right: "roughly half"."""
    shares = [
        spot.start
        for spot in message.spots_in(start, end)
        if spot.name in {"same", *(name for name, _ in _SHARES)}
    ]
    said = [message.tokens[at - 1].text for at in shares if at > 0]
    said += [message.tokens[at].text for at in shares]  # "about the same" is one phrase
    return any(number_words().before.get((text,)) == "about" for text in said)


def sign_answer(message: Message, meaning: Meaning) -> Sign | None:
    """Read a whole message as the answer to a sign that was asked for."""
    lex = lexicon()
    names = message.names(0, len(message.tokens))
    mask = message.mask(0, len(message.tokens)) | meaning.about
    words = message.text.strip()
    if [token.text for token in message.tokens[:3]] in (["not", "that", "i"], ["not", "that", "we"]):
        return Sign(meaning.id, "no", words)  # "not that I could find"
    if "unsure" in names:
        return Sign(meaning.id, "unknown", words)
    if meaning.turned_round:
        return _beyond_yes_or_no(message, meaning, words) or _turned_round(meaning, mask, names, words)
    refused = bool(names & {"no", "not"}) or (
        meaning.id == "needle_moves_on_tightening" and "not_move" in names
    )
    if meaning.no and best(meaning.no, mask):
        return Sign(meaning.id, "no", words)
    place = place_of(meaning, mask)
    if place == "none" or (meaning.none and (refused or "nothing" in names) and place in (None, "both")):
        return Sign(meaning.id, meaning.none, words)
    if place is not None and not refused:
        return Sign(meaning.id, place, words)
    if refused or "nothing" in names:
        return Sign(meaning.id, "no", words)
    if names & {"yes", "whisker"}:
        return Sign(meaning.id, "yes", words)
    if names & {"stayed", "not_move"}:
        return Sign(meaning.id, "no", words)
    if meaning.id in _OF_MOVING and mask & (lex.bits["move"] | lex.bits["rise"] | lex.bits["feel"]):
        return Sign(meaning.id, "yes", words)
    return None


_OF_MOVING = {
    *("needle_moves_on_tightening", "parallel_loose", "paper_pulls_out", "part_moved", "plate_loose", "step_felt"),
    *("springs_on_release", "witness_mark_moved", "light_at_ends", "light_at_ends_along"),
}
"""Signs that a bare "it shifts" or "I can feel it" answers: "safety walk coming through" tells of no chip."""
_YES_OR_NO = {"yes", "yeah", "yep", "yup", "aye", "yea", "no", "nope", "nah", "naw"}
_MORE_THAN_A_WORD = 3


def _beyond_yes_or_no(message: Message, meaning: Meaning, words: str) -> Sign | None:
    """Read what is told after an opening yes or no, which says it plainly: "nope, everything was cranked down"."""
    if message.tokens[0].text not in _YES_OR_NO or len(message.tokens) < _MORE_THAN_A_WORD:
        return None
    rest = message.mask(1, len(message.tokens)) | meaning.about
    if best(meaning.yes, rest):
        return Sign(meaning.id, "yes", words)
    return Sign(meaning.id, "no", words) if best(meaning.no, rest) else None


def _turned_round(meaning: Meaning, mask: int, names: set[str], words: str) -> Sign | None:
    """Read the answer to a sign whose question asks for the opposite: "were they locked?" "no"."""
    if best(meaning.yes, mask):
        return Sign(meaning.id, "yes", words)
    if best(meaning.no, mask):
        return Sign(meaning.id, "no", words)
    if names & {"no", "not", "nothing"}:
        return Sign(meaning.id, "yes", words)
    return Sign(meaning.id, "no", words) if "yes" in names else None


def setup_answer(message: Message, key: str, context: Context, habit: Habit | None) -> SetupFact | None:
    """Read a message as the answer to a setup question.

    Raises:
        NeedsAskingError: if a number has more than one meaning that matters.
    """
    names = message.names(0, len(message.tokens))
    words = message.text.strip()
    if key in _FLAGS:
        if names & {"no", "not"}:
            return SetupFact(key, False, words=words)
        return SetupFact(key, True, words=words) if "yes" in names else None
    if key in _lengths():
        if key == "wall" and names & {"no", "solid"} and not message.quantities:
            return SetupFact(key, 0.0, words=words)
        if key == "cutter_offset" and not message.quantities and names & {"nothing", "middle", "no"}:
            return SetupFact(key, 0.0, words=words)
        return answer_length(message, key, habit)
    if key == "passes":
        for quantity in message.quantities:
            if (
                quantity.unit is None
                and not quantity.junk
                and quantity.value == quantity.value.to_integral_value()
                and 1 <= quantity.value <= 500
            ):
                message.take(quantity.start, quantity.end)
                return SetupFact(key, int(quantity.value), words=words)
        return None
    return _by_word(message, key) or _numbered(message, key, context)


def _by_word(message: Message, key: str) -> SetupFact | None:
    """Read "towards the column" or "the left one" against the words for each choice."""
    names = message.names(0, len(message.tokens))
    fits = [choice for choice, words in short_answers().get(key, {}).items() if words & names]
    if len(fits) > 1 and "both" in fits:
        fits = ["both"]
    if len(fits) != 1 or names & {"not", "unsure", "dont_know"} - {"not"} or "not" in names - {"nothing"}:
        return None
    return SetupFact(key, fits[0], words=message.text.strip())


def _numbered(message: Message, key: str, context: Context) -> SetupFact | None:
    """Read "2" or "the second one" against the options that were offered."""
    if not context.options:
        return None
    ordinals = {"first": 1, "second": 2, "third": 3, "fourth": 4, "fifth": 5, "last": len(context.options)}
    words = [message.words.get(index, "") for index in range(len(message.tokens))]
    text = message.text.strip().lower().replace(" ", "_")
    if text in context.options:
        return SetupFact(key, text, words=message.text.strip())
    pick = next((ordinals[word] for word in words if word in ordinals), None)
    if (
        pick is None
        and len(message.quantities) == 1
        and len(words) <= 3
        and message.quantities[0].unit is None
    ):
        value = message.quantities[0].value
        pick = int(value) if value == value.to_integral_value() and abs(value) < 100 else None
    if pick is not None and 1 <= pick <= len(context.options):
        return SetupFact(key, context.options[pick - 1], words=message.text.strip())
    return None


def reading_answer(
    message: Message, group: Group, meaning: Meaning, context: Context, habit: Habit | None
) -> Observation | None:
    """Read a group with no topic of its own as the answer to a reading that was asked for.

    Raises:
        NeedsAskingError: if a number has more than one meaning that matters.
    """
    names = message.names(group.start, group.end)
    change = changed_by(message, group.start, group.end)
    if meaning.id not in CHANGES or change is None:
        likened = compared(message, group.start, group.end, meaning.id, context, habit)
        if likened is not None:
            return likened
        if change is not None:
            return None  # changed from what is not known
    words = message.said(group.start, group.end)
    if lexicon().foreign[meaning.id] & message.mask(group.start, group.end):
        return None  # it names a matter of its own
    if any(is_value(quantity) for quantity in message.within(group.start, group.end)):
        return read_group(message, group.start, group.end, meaning, context, habit)
    if (
        names & {"nothing", "not_move"}
        or ("gone" in names and meaning.id in context.readings and not message.has("opposite", "up", "down"))
        or ("same" in names and names & {"ends", "both", "all"})
        or (names & {"no", "square", "flat"} and not names & {"unsure", "yes"} and not _tells_why_not(message, names))
    ):
        over = None if meaning.size else nothing_over(message, group.start, group.end, habit)
        return Reading(meaning.id, 0.0, over, words=words)
    if "whisker" in names:
        return Reading(meaning.id, 0.0, bound="about", words=words)
    return None


_NO_READING = {"cannot", "lacks", "dont_know", "unsure", "unchecked"}


def _tells_why_not(message: Message, names: set[str]) -> bool:
    """Tell whether a "no" says that the reading was not taken, and not that there is none: "never wrote it down"."""
    missing = "no" in names and any(name.startswith("tool:") or name == "block" for name in names)
    texts = {token.text for token in message.tokens}
    never = bool(texts & word_list("clauses.toml", "not_known", "not_taken"))
    return missing or never or bool(message.all_names & _NO_READING) or tells_nothing_of_it(message)


def finish_direction(message: Message, group: Group, meaning: Meaning, context: Context) -> Reading | None:
    """Give the direction to a reading whose direction was left open: "open", "towards the back"."""
    before = context.readings.get(meaning.id)
    if before is None or before.value is None or before.sign_known:
        return None
    mask = message.mask(group.start, group.end)
    sign, known = direction(meaning, mask)
    if not known and group.end - group.start <= _BARE_PLACE:
        sign, known = place_direction(meaning, mask)
    if not known:
        return None
    return replace(
        before, value=sign * abs(before.value), sign_known=True, words=message.said(group.start, group.end)
    )
