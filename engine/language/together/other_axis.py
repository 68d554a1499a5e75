"""The other axis of a reading, told only to be right: "leans left 4 thou, front to back it's fine, zero"."""

from __future__ import annotations

from askew.engine.language.clauses.message import Clause, Message
from askew.engine.language.numbers.measured import is_value
from askew.engine.language.words.lexicon import lexicon
from askew.engine.observations import Observation, Reading

_SIDEWAYS = frozenset({"x", "l2r", "r2l", "left", "right", "side_to_side"})
_IN_AND_OUT = frozenset({"y", "f2b", "b2f", "front", "back"})
_TWINS = {
    "hollow_across": ("hollow_along", frozenset({"along"})),
    "hollow_along": ("hollow_across", frozenset({"across"})),
    "face_out_of_parallel_across": ("face_out_of_parallel_along", frozenset({"along"})),
    "face_out_of_parallel_along": ("face_out_of_parallel_across", frozenset({"across"})),
}
"""The reading beside each one, and the words that name it."""
_LONGEST = 3
"""So many clauses the remark may take: "front to back, it's fine, zero"."""
_HARD = {".", "!", "?", ";"}


def add_right_axis(message: Message, facts: list[Observation]) -> None:
    """Add a reading of nothing on the axis that is named only to be right.

    Args:
        message: The message the facts were read from.
        facts: The facts, changed in place.
    """
    told = {fact.id for fact in facts if isinstance(fact, Reading)}
    for fact in [fact for fact in facts if isinstance(fact, Reading) and fact.value is not None]:
        twin, names = _twin(fact.id)
        if twin and twin not in told:
            words = _told_right(message, names)
            if words:
                facts.append(Reading(twin, 0.0, words=words))
                return


def _twin(name: str) -> tuple[str, frozenset[str]]:
    """Return the reading of the other axis, "" if there is none, and the words that name that axis."""
    if name in _TWINS:
        return _TWINS[name]
    if name.endswith(("_x", "_y")) and not name.startswith(("backlash", "push_pull", "sweep_shift")):
        other = f"{name[:-1]}{'y' if name.endswith('x') else 'x'}"
        if other in lexicon().meanings:
            return other, _IN_AND_OUT if name.endswith("x") else _SIDEWAYS
    return "", frozenset()


def _told_right(message: Message, names: frozenset[str]) -> str:
    """Return the words of the clauses, nothing made of them yet, that name an axis and say "nothing" of it."""
    for place, clause in enumerate(message.clauses):
        named = [spot for spot in message.spots_in(clause.start, clause.end) if spot.name in names]
        if not named or any(at in message.taken for spot in named for at in range(spot.start, spot.end)):
            continue
        end = clause.end
        for following in message.clauses[place : place + _LONGEST]:
            if following is not clause and _parted(message, end, following):
                break
            if _measured(message, following):
                break
            end = following.end
            if "nothing" in message.names(clause.start, end):
                message.take(clause.start, end)
                return message.said(clause.start, end)
    return ""


def _parted(message: Message, end: int, following: Clause) -> bool:
    return any(message.tokens[at].text in _HARD for at in range(end, following.start))


def _measured(message: Message, clause: Clause) -> bool:
    return any(is_value(quantity) and quantity.value for quantity in message.within(clause.start, clause.end))
