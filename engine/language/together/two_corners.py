"""Both corners told in one sentence: "fixed jaw corner 2 thou open, the other one closed by two"."""

from __future__ import annotations

from collections.abc import Set
from dataclasses import dataclass, replace

from askew.engine.language.clauses.message import Clause, Message
from askew.engine.language.model import Context
from askew.engine.language.numbers.measured import is_value
from askew.engine.language.observed.directions import direction, signed
from askew.engine.language.observed.readings import read_group
from askew.engine.language.together.attempt import Trial
from askew.engine.language.words.lexicon import lexicon
from askew.engine.language.words.word_tables import word_list
from askew.engine.observations import Observation, Reading, SetupFact
from askew.engine.units import UNITS

FIXED, MOVING = "face_out_of_square", "other_corner"
_MARKS = {
    "other_corner": MOVING,
    "moving_jaw": MOVING,
    "choice:gripped_face=moving": MOVING,
    "second_corner": MOVING,
    "jaw_side_face": FIXED,
    "fixed_jaw": FIXED,
    "choice:gripped_face=fixed": FIXED,
    "first_corner": FIXED,
}
"""The phrases that name a corner, and the reading that is told of it."""
_TOLD = {"open", "closed", "too_big", "too_small", "truly_square", "came_square", "nothing"}
_SAME = {"same"}
_OF_ANOTHER = {
    *("tighten", "sweep", "indicator_up", "column", "hole", "block", "flip", "lean", "plan", "table_run"),
    *("turned", "turn_part", "cool", "cool_it", "diagonal", "small_cutter", "wall", "still_clamped"),
}
"""What makes of a corner the matter of another reading."""


@dataclass(frozen=True, slots=True)
class _Verdict:
    """What one clause tells of a corner."""

    corner: str
    clause: Clause


def part_corners(trial: Trial, context: Context) -> None:
    """Tell the two corners of a message apart where each has a number or a nothing of its own.

    Args:
        trial: The attempt at the message, whose facts change in place.
        context: What the words may lean on.

    Raises:
        NeedsAskingError: if a number has more than one meaning that matters.
    """
    message = trial.message
    if message.all_names & _OF_ANOTHER or not message.all_names & _MARKS.keys():
        return
    _name_first(trial)
    verdicts = _verdicts(message)
    if {verdict.corner for verdict in verdicts} != {FIXED, MOVING} or len(verdicts) != 2:
        return
    first = _read(trial, verdicts[0], context, None)
    second = _read(trial, verdicts[1], context, first)
    if first.value is None or second.value is None:
        return
    trial.facts[:] = [fact for fact in trial.facts if not _of_a_corner(fact)]
    trial.facts += [first, second]
    trial.vouched += [first, second]
    for verdict in verdicts:
        message.take(verdict.clause.start, verdict.clause.end)


def _name_first(trial: Trial) -> None:
    """Give back to the first corner what was read of the other one since that was spoken of before."""
    told = [at for at, fact in enumerate(trial.facts) if isinstance(fact, Reading) and fact.id in (FIXED, MOVING)]
    for at in told if len(told) == 2 else ():
        fact = trial.facts[at]
        own = trial.message.tokens_of(fact.words)
        names = trial.message.names(own.start, own.stop) if own else set[str]()
        named = {_MARKS[name] for name in names & _MARKS.keys()}
        if isinstance(fact, Reading) and fact.id == MOVING and "first_corner" in names and named == {FIXED}:
            trial.facts[at] = replace(fact, id=FIXED)


def _of_a_corner(fact: Observation) -> bool:
    if isinstance(fact, Reading):
        return fact.id in (FIXED, MOVING)
    return isinstance(fact, SetupFact) and fact.key == "gripped_face"


def _verdicts(message: Message) -> list[_Verdict]:
    """Return what is told of a corner, clause by clause, each of the corner that was named last."""
    corner: str | None = None
    told: list[_Verdict] = []
    for clause in message.clauses:
        names = message.names(clause.start, clause.end)
        named = _corners_named(message, clause)
        if len(named) > 1:
            return []
        corner = next(iter(named), corner)
        if not _tells(message, clause, names):
            continue
        if corner is None:
            corner = FIXED  # "the corner is 5 thou open, and the other one closed by 2"
        told.append(_Verdict(corner, clause))
    return told


def _corners_named(message: Message, clause: Clause) -> set[str]:
    """Return the corners that a clause names; the "jaw side" of "moving jaw side" and the other part are none."""
    parts = word_list("clauses.toml", "turned", "part")
    spots = [
        spot
        for spot in message.spots_in(clause.start, clause.end)
        if spot.name in _MARKS and message.text_at(spot.end) not in parts
    ]
    moving = [spot for spot in spots if _MARKS[spot.name] == MOVING]
    return {
        _MARKS[spot.name]
        for spot in spots
        if spot in moving or not any(other.start < spot.end and spot.start < other.end for other in moving)
    }


def _tells(message: Message, clause: Clause, names: Set[str]) -> bool:
    """Tell whether a clause says how a corner is, and by how much."""
    values = sum(is_value(quantity) for quantity in message.within(clause.start, clause.end))
    if not names & _TOLD or values > 1:
        return False
    return values == 1 or bool(names & (_TOLD - {"open", "closed", "too_big", "too_small"} | _SAME))


def _read(trial: Trial, verdict: _Verdict, context: Context, before: Reading | None) -> Reading:
    """Return the reading that a clause tells, a bare number in the unit of the one before, "the same" its value."""
    message, start, end = trial.message, verdict.clause.start, verdict.clause.end
    meaning = lexicon().meanings[verdict.corner]
    habit = UNITS[before.unit].habit if before is not None and before.unit in UNITS else trial.habit
    names = message.names(start, end)
    valued = any(is_value(quantity) for quantity in message.within(start, end))
    if before is not None and not valued and names & _SAME and "nothing" not in names:
        sign, known = direction(meaning, message.mask(start, end))
        same = replace(before, id=verdict.corner, words=message.said(start, end))
        return signed(same, sign) if known and before.value else same
    return read_group(message, start, end, meaning, context, habit)
