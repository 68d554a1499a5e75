"""Numbers that only name another axis than the reading before: "X has 0.2 mm of slop, Y maybe 0.3".

What a phrase goes on with is read clause by clause. Here is what is left: numbers behind a reading that only counted
words took, or that lent its unit to a number without one, which would be asked about though the first tells it.
"""

from __future__ import annotations

from dataclasses import replace

from askew.engine.language.clauses.message import Clause, Message
from askew.engine.language.numbers.measured import is_value
from askew.engine.language.numbers.quantities import Quantity
from askew.engine.language.numbers.values import convert
from askew.engine.language.observed.directions import direction, signed
from askew.engine.language.together.attempt import Trial, add, asks
from askew.engine.language.together.sibling_axis import axis_named
from askew.engine.language.words.lexicon import lexicon
from askew.engine.observations import Reading
from askew.engine.units import UNITS

_FAMILIES = {
    *("backlash_check", "push_pull", "sweep_shift", "sweep", "square_travel", "table_run", "vise_bed", "hole_lean"),
}


def add_axes_left(trial: Trial) -> None:
    """Add the other axes of readings, each told by a number in a clause that names it and nothing else.

    Args:
        trial: The attempt at the message; its facts change in place.
    """
    message = trial.message
    for fact in [fact for fact in trial.facts if isinstance(fact, Reading) and fact.value and fact.id[-2:-1] == "_"]:
        family = fact.id[:-2]
        own = message.tokens_of(fact.words)
        if family not in _FAMILIES or fact.unit not in UNITS or not len(own):
            continue
        first = next((one for one in message.prepared if one.head in own and is_value(one)), None)
        if first is None:
            continue
        for quantity in message.prepared:
            if quantity.head <= first.head or (quantity.head in message.taken and quantity.head not in own):
                continue
            clause = next((one for one in message.clauses if one.start <= quantity.head < one.end), None)
            if clause is not None and not clause.start <= first.head < clause.end:
                other = _other(message, clause, quantity, fact)
                if other is not None and not _told(trial, other):
                    add(trial.facts, other)
                    message.take(clause.start, clause.end)


def _told(trial: Trial, other: Reading) -> bool:
    """Tell whether a reading of this name, or the same number under another, is there already."""
    return any(
        isinstance(fact, Reading) and (fact.id == other.id or (fact.words == other.words and fact.value is not None))
        for fact in trial.facts
    )


def _other(message: Message, clause: Clause, quantity: Quantity, fact: Reading) -> Reading | None:
    """Return what a clause tells of another axis of a reading; None where it does not name one, or names more."""
    if quantity.junk or quantity.pronoun or quantity.length or asks(message, clause.start, clause.end):
        return None
    inside = [one for one in message.within(clause.start, clause.end) if one.head != quantity.head and is_value(one)]
    axis = axis_named(message, clause.start, clause.end, fact.id[:-2])
    meaning = lexicon().meanings.get(f"{fact.id[:-2]}_{axis}")
    unit = quantity.unit or fact.unit
    if inside or meaning is None or meaning.id == fact.id or unit is None:
        return None
    measured = replace(quantity, unit=unit, span=False)
    if not is_value(measured):
        return None
    size = convert(measured, unit, None, None)
    mask = message.mask(clause.start, clause.end)
    sign, known = direction(meaning, mask)
    made = Reading(
        meaning.id,
        float(size.mm),
        bound=quantity.bound,
        low=None if size.low is None else float(size.low),
        high=None if size.high is None else float(size.high),
        unit=unit,
        words=message.said(clause.start, clause.end),
    )
    return replace(signed(made, sign), sign_known=known)
