"""Lengths of the setup told in whatever words: the few that matter in their order, the number among them as "#".

A noun must stand right beside its number. People put half a sentence between: "slid the table long ways under the
indicator, a foot and a half". A row names what must be said, and "#" stands for the number that it tells.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cache

from askew.engine.language.clauses.message import Message
from askew.engine.language.job.lengths import in_mm
from askew.engine.language.job.sizes_at_ends import size_at_an_end
from askew.engine.language.numbers.measured import is_value
from askew.engine.language.numbers.quantities import Quantity
from askew.engine.language.numbers.values import NeedsAskingError, settle_comma, small_unit
from askew.engine.language.together.attempt import Trial, asks
from askew.engine.language.words.gapped import Row, Rows, row
from askew.engine.language.words.row_words import as_in_rows
from askew.engine.language.words.word_tables import forms, setup_lengths, table, word_lists
from askew.engine.observations import SetupFact
from askew.engine.units import UNITS, Habit, to_mm

_FILE = "lengths_told.toml"
_NUMBER = "#"
_STOPS = {".", "!", ";"}
"""A question is none: "does the depth of the hole matter? it's fifty mm"."""
_BEFORE = 6
"""So many words before what is told a "not" or a "will" takes it back."""
_LEAST, _MOST = Decimal(5), Decimal(1500)
"""mm. What is smaller is an error rather than the size of a thing."""
_THINNEST = Decimal("0.4")
"""mm. A wall may be as thin."""
_LOOSEST = Decimal("1.6")
"""mm. No tolerance is larger."""
_CLOSE = 2
"""So many words after a number still belong to it."""
_PARTING = {",", ".", "and", "n", "&", "then", "-", "(", ";"}
_RUNS = {"run_x", "run_y"}
_BARE_SIZE = 4
"""A number without a unit is a size from here on, and no error, where a run is told."""


@dataclass(frozen=True, slots=True)
class _Told:
    """What rows of words tell a length of.

    Attributes:
        key: The setup key.
        unreal: Words that take it back.
        never: Words that must not stand in the message.
        mention: Words one of which must stand in the message; none where it is empty.
        not_after: Words that must not follow the number: "65 mm thick" is no travel.
        beside_readings: Whether an error may be told in the same message; what is run under a needle belongs to it.
    """

    key: str
    unreal: frozenset[str]
    never: frozenset[str]
    mention: frozenset[str]
    not_after: frozenset[str]
    beside_readings: bool


@cache
def _rules() -> Rows[tuple[int, _Told]]:
    """Return the rows with what they tell and its place in the lexicon."""
    lists = table(_FILE)
    classes = word_lists(lists["classes"])
    rules: list[tuple[Row, tuple[int, _Told]]] = []
    for number, (name, told) in enumerate(lists["told"].items()):
        made = _Told(
            key=name.partition(":")[0],
            unreal=classes["unreal"],
            never=frozenset[str]().union(*(classes[each] for each in told.get("never", ()))),
            mention=classes[told["mention"]] if "mention" in told else frozenset(),
            not_after=classes[told["not_after"]] if "not_after" in told else frozenset(),
            beside_readings=bool(told.get("beside_readings")),
        )
        rules += [(row(text, classes), (number, made)) for text in told["ways"]]
    return Rows(rules)


def add_lengths_told(trial: Trial, asked: str | None) -> None:
    """Add the lengths of the setup that the message tells in rows of words, and vouch for them.

    Args:
        trial: The attempt at the message; the quantities that are used are removed from it.
        asked: What was asked for: a lone number answers that.
    """
    message = trial.message
    usable = [quantity for quantity in message.quantities if not quantity.junk and not quantity.box]
    lone = len(usable) == 1 and asked in setup_lengths()
    for told, quantity, start, end in _fitting(message):
        held = any(isinstance(fact, SetupFact) and fact.key == told.key for fact in trial.facts)
        if held or quantity not in message.quantities or (lone and told.key != asked):
            continue
        size = _size(message, quantity, told.key, trial.habit)
        if size is None:
            continue
        fact = SetupFact(told.key, float(size[0]), size[1], message.said(start, end))
        message.drop([quantity])
        message.take(start, end)
        if told.key in _RUNS:
            message.settle(start, end)  # nothing was measured: the needle and the table only say what was run
        trial.facts.append(fact)
        trial.vouched.append(fact)


def _size(message: Message, quantity: Quantity, key: str, habit: Habit | None) -> tuple[Decimal, str] | None:
    """Return a length in mm with its unit; None where it is not clear or out of reach."""
    try:
        settle_comma(quantity)
        if key == "tolerance":
            unit = small_unit(quantity, habit, None)
            mm = to_mm(quantity.value, unit)
        else:
            mm, unit = in_mm(message, quantity, key, habit)
    except NeedsAskingError:
        return None
    if UNITS[unit].kind == "angle":
        return None
    fits = 0 < mm <= _LOOSEST if key == "tolerance" else (_THINNEST if key == "wall" else _LEAST) <= mm <= _MOST
    return (mm, unit) if fits else None


def _texts(message: Message) -> tuple[list[int], list[str]]:
    """Return the words of a message with the tokens they stand at; a number is one "#", a stop is empty."""
    usual = forms()[1]
    numbers = {q.head: q for q in message.quantities if not (q.junk or q.box or q.plus_minus or _no_length(message, q))}
    at: list[int] = []
    texts: list[str] = []
    skip = 0
    for index, token in enumerate(message.tokens):
        if index < skip:
            continue
        if index in numbers:
            at.append(index)
            texts.append(_NUMBER)
            skip = max(_end_of_number(message, numbers[index]), index + 1)
        elif token.kind != "mark" or token.text in _STOPS:
            at.append(index)
            typed = as_in_rows(token.text, message.words.get(index, ""))
            texts.append("" if token.kind == "mark" else usual.get(token.text, typed))
    return at, texts


def _no_length(message: Message, quantity: Quantity) -> bool:
    """Tell whether a number is only the "one" of "the right one", or what was read at one of two ends."""
    only_one = quantity.pronoun or (quantity.worded and quantity.value == 1 and quantity.unit is None)
    return only_one or size_at_an_end(message, quantity)


def _end_of_number(message: Message, quantity: Quantity) -> int:
    """Return the token after a number; a full stop that only ends its unit belongs to it: "9 in. across"."""
    return quantity.end + (message.text_at(quantity.end) == "." and message.text_at(quantity.end - 1) == "in")


def _fitting(message: Message) -> Iterator[tuple[_Told, Quantity, int, int]]:
    """Yield what is told with its number and the tokens it begins and ends at, in the order of the lexicon."""
    at, texts = _texts(message)
    if _NUMBER not in texts:
        return
    numbers = {q.head: q for q in message.quantities}
    fits: list[tuple[int, _Told, Quantity, int, int]] = []
    for (number, told), places in _rules().found_in(texts):
        told_by = [where for where in range(places[0], places[-1] + 1) if texts[where] == _NUMBER]
        if len(told_by) == 1 and _holds(message, texts, at, told, places, told_by[0]):
            fits.append((number, told, numbers[at[told_by[0]]], at[places[0]], at[places[-1]] + 1))
    for _, told, quantity, start, end in sorted(fits, key=lambda fit: fit[0]):
        yield told, quantity, start, max(end, quantity.end)


def _holds(
    message: Message, texts: Sequence[str], at: Sequence[int], told: _Told, places: Sequence[int], number: int
) -> bool:
    """Tell whether nothing around a row takes it back: a refusal, a plan, a question, an error told beside it."""
    said = set(texts)
    if (told.mention and not told.mention & said) or told.never & said:
        return False
    if number + 1 < len(texts) and texts[number + 1] in told.not_after:
        return False
    if number > places[0] and _of_number_before(message, at[places[0]]):
        return False
    if not told.beside_readings and message.has("nothing", "not_move", "dead_true"):
        return False  # the needle stood still over that length
    before = texts[max(0, places[0] - _BEFORE) : places[0]]
    stop = next((i for i in range(len(before) - 1, -1, -1) if before[i] in ("", "but", "so", "then")), -1)
    between = {texts[i] for i in range(places[0], places[-1] + 1) if i not in places}
    if told.unreal & {*before[stop + 1 :], *between}:
        return False
    here = at[number]
    if not told.beside_readings and any(_is_error(q) for q in message.quantities if q.head != here):
        return False
    clause = message.clause_at(here)
    return clause is None or not asks(message, clause.start, clause.end)


def _of_number_before(message: Message, start: int) -> bool:
    """Tell whether words belong to the number before them: "38 mm wide across the feed, and 90 along it"."""
    end = max((q.end for q in message.prepared if q.end <= start), default=None)
    if end is None or start - end > _CLOSE:
        return False
    return not {message.text_at(at) for at in range(end, start + 1)} & _PARTING


def _is_error(quantity: Quantity) -> bool:
    """Tell whether a number is an error that was measured: "it dropped 3 thou", but not the "6" of "6 wide"."""
    return is_value(quantity) and (quantity.mm is not None or quantity.value < _BARE_SIZE)
