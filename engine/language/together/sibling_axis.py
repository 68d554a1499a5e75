"""The other axis of a reading, told along with the first: "lost motion x 8 thou, y 5 thou", "and in Y nothing"."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from askew.engine.language.clauses.groups import Group, has_value
from askew.engine.language.clauses.message import Clause, Message
from askew.engine.language.model import Context
from askew.engine.language.numbers.measured import is_value
from askew.engine.language.observed.length_over import nothing_over
from askew.engine.language.observed.readings import read_group
from askew.engine.language.observed.two_ends import pair_of
from askew.engine.language.together.attempt import Trial, add, last_reading
from askew.engine.language.together.axes import AXIS_WORDS
from askew.engine.language.words.fitting import best
from askew.engine.language.words.lexicon import lexicon
from askew.engine.language.words.meanings import Meaning
from askew.engine.observations import Reading
from askew.engine.units import UNITS

_BOTH_WAYS = ("sweep_x", "sweep_y", "vise_bed", "hole_lean")
"""What is told for both axes at once: "level both ways"."""

_HOLLOWS = ("hollow_across", "hollow_along")

_BY_DIRECTION = ("hole_lean", "sweep", "vise_bed", "table_run", "square_travel", "sweep_shift")
"""Families in which a single direction names the axis: "and the back is a thou high"."""

_MOVED = {"push_pull": {"x": {"table"}, "y": {"saddle"}, "z": {"head"}}}
"""What else names an axis where it is what was pushed."""

_NEEDLE_RAN = {"table_run", "saddle_run", "ran_it", "needle", "read"}
_NONE = {"nothing", "not_move"}
_OF_THE_PART = {"part", "part_noun", "face", "thick", "thin", "thickness", "taper", "out_of_parallel"}


def _family(name: str) -> str | None:
    """Return the family of a reading that is told for each axis, else None."""
    return name[:-2] if name[-2:] in ("_x", "_y", "_z") else None


def _implied(message: Message, start: int, end: int) -> set[str]:
    """Return the names of the phrases between two tokens, and of what these stand for."""
    names = message.names(start, end)
    implies = lexicon().implies
    return names | {more for name in names for more in implies.get(name, ())}


def axis_named(message: Message, start: int, end: int, family: str) -> str | None:
    """Return the only axis that is named between two tokens; None where none is, or more than one."""
    names = _implied(message, start, end)
    if family and f"{family}_z" not in lexicon().meanings and f"{family}_x" in lexicon().meanings:
        names -= {"z"}  # a quill is only what was run
    found = [axis for axis in "xyz" if axis in names or names & _MOVED.get(family, {}).get(axis, set())]
    if len(found) > 1 and found[0] == "x" and "x" not in names:
        del found[0]  # "the table in and out" is the saddle
    if not found:
        pairs = (("x", {"left", "right"}), ("y", {"front", "back"}))
        found = [axis for axis, both in pairs if names >= both]
    if not found and family in _BY_DIRECTION:
        found = [axis for axis, words in AXIS_WORDS.items() if names & words]
    return found[0] if len(found) == 1 else None


def _none_there(message: Message, start: int, end: int) -> bool:
    """Tell whether it is said that there is none; "the same" front and back is none, "front to back" is as before."""
    names = message.names(start, end)
    if message.said(end - 3, end).lower() == "not at all":
        return True
    return bool(names & _NONE) or ("same" in names and not names & {"f2b", "b2f", "l2r", "r2l"})


def sibling(trial: Trial, group: Group) -> Meaning | None:
    """Return the reading of another axis that goes on from the last one: "lost motion x 8 thou, y 5 thou".

    Args:
        trial: The attempt at the message.
        group: The clauses with the next number, or that say that there is nothing.
    """
    last, message = last_reading(trial), trial.message
    if last is None:
        return None
    if last[1].id in _HOLLOWS and has_value(message, group):
        names = message.names(group.start, group.end)
        named = "hollow_along" if "along" in names else "hollow_across" if "across" in names else None
        return None if named is None else lexicon().meanings[named]
    family = _family(last[1].id)
    if family is None or last[1].value is None:
        return None
    axis = axis_named(message, group.start, group.end, family)
    if axis is None and "other_axis" in message.names(group.start, group.end):
        axis = {"x": "y", "y": "x"}.get(last[1].id[-1])
    if axis is None:
        return None
    none = _none_there(message, group.start, group.end)
    solid = family == "push_pull" and "solid" in message.names(group.start, group.end)  # "the saddle is solid"
    if not has_value(message, group) and (last[1].id.endswith(axis) or not (none or solid)):
        return None
    return lexicon().meanings.get(f"{family}_{axis}")


def only_the_axis(trial: Trial, group: Group) -> Meaning | None:
    """Return the reading that goes on where a group seems another one since it names the axis: "table in X 2 thou"."""
    last, meaning = last_reading(trial), group.meaning
    if last is None or meaning is None:
        return None
    if meaning.id == "stays_with_machine" and "other_axis" in trial.message.names(group.start, group.end):
        return sibling(trial, group)
    if not has_value(trial.message, group):
        return None
    if _family(last[1].id) == "vise_bed" and meaning.id.startswith("face_out_of_parallel"):
        # "in X the left end is 2 hundredths high" goes on about the bed where the axis is named and the part is not
        named = trial.message.names(group.start, group.end)
        return sibling(trial, group) if named & {"x", "y"} and not named & _OF_THE_PART else None
    if _family(last[1].id) not in ("push_pull", "vise_bed") or _family(meaning.id) != "table_run":
        return None
    mask = trial.message.mask(group.start, group.end)
    no_way = best(meaning.plus, mask) == best(meaning.minus, mask)  # "table lengthways 0.03"
    ran = _NEEDLE_RAN - {"table_run"} if no_way and _family(last[1].id) == "push_pull" else _NEEDLE_RAN
    if trial.message.names(group.start, group.end) & ran:
        return None
    return sibling(trial, group)


def with_their_axis(message: Message, groups: Sequence[Group]) -> list[Group]:
    """Return the groups, a number joined to the axis that was named for it just before: "in and out is worse | 8"."""
    made: list[Group] = []
    for group in groups:
        before = made[-1] if made else None
        if before is not None and before.meaning is None and group.meaning is None and _waits(message, before):
            names = message.names(group.start, group.end)
            told = has_value(message, group) or names & _NONE
            if told and axis_named(message, group.start, group.end, "") is None:
                made[-1] = replace(before, end=group.end)
                continue
        made.append(group)
    return made


def _waits(message: Message, group: Group) -> bool:
    """Tell whether a group names an axis and nothing that was found along it."""
    return (
        axis_named(message, group.start, group.end, "") is not None
        and not has_value(message, group)
        and not message.names(group.start, group.end) & _NONE
    )


def told_before(trial: Trial, groups: Sequence[Group], fact: Reading, context: Context) -> list[Reading]:
    """Return what was told of other axes before their topic was named: "X has 5, Y has 9 and Z 14 thou of backlash".

    Args:
        trial: The attempt at the message.
        groups: The groups with a number that nothing was made of, right before the topic.
        fact: The reading whose topic was named.
        context: What the words may lean on.

    Raises:
        NeedsAskingError: if a number has more than one meaning that matters.
    """
    family, message, told = _family(fact.id), trial.message, {fact.id}
    if family not in _MOVED and family != "backlash_check":
        return []
    made: list[Reading] = []
    for group in groups:
        axis = axis_named(message, group.start, group.end, family)
        inside = [quantity for quantity in message.within(group.start, group.end) if is_value(quantity)]
        name = f"{family}_{axis}"
        if axis is None or name in told or name not in lexicon().meanings or len(inside) != 1:
            continue
        habit = UNITS[fact.unit].habit if fact.unit in UNITS else trial.habit
        reading = read_group(message, group.start, group.end, lexicon().meanings[name], context, habit)
        message.take(group.start, group.end)
        told.add(name)
        made.append(reading)
    return made


def each_axis(trial: Trial, group: Group, context: Context) -> list[Reading]:
    """Return the readings of a group that tells one number or a nothing for each of two axes, in clauses of their own.

    Args:
        trial: The attempt at the message.
        group: The clauses that both were told in.
        context: What the words may lean on.

    Returns:
        The readings, none where the group does not tell just one for each axis.

    Raises:
        NeedsAskingError: if a number has more than one meaning that matters.
    """
    message, meaning = trial.message, group.meaning
    if meaning is None or meaning.kind != "reading":
        return []
    family = meaning.id if meaning.members else _family(meaning.id)
    if family is None:
        return []
    parts = list(_parts(message, group, family))
    if len({axis for axis, _, _ in parts}) != len(parts) or len(parts) < 2:
        return []
    meanings = [lexicon().meanings.get(f"{family}_{axis}") for axis, _, _ in parts]
    for _, start, end in parts:
        values = sum(is_value(quantity) for quantity in message.within(start, end))
        none = _none_there(message, start, end) or (family == "push_pull" and "solid" in message.names(start, end))
        if values > 1 or not (values or none):
            return []
    return [
        axis_told(trial, replace(group, start=start, end=end), of_axis, context)
        for of_axis, (_, start, end) in zip(meanings, parts, strict=True)
        if of_axis is not None
    ]


def axis_told(trial: Trial, group: Group, of_axis: Meaning, context: Context) -> Reading:
    """Return the reading that a group tells of one axis: its number, or that there is nothing.

    Args:
        trial: The attempt at the message.
        group: The clauses that tell it.
        of_axis: The reading of that axis.
        context: What the words may lean on.

    Raises:
        NeedsAskingError: if a number has more than one meaning that matters.
    """
    if not has_value(trial.message, group):
        over = None if of_axis.size else nothing_over(trial.message, group.start, group.end, trial.habit)
        return Reading(of_axis.id, 0.0, over, words=trial.message.said(group.start, group.end))
    return read_group(trial.message, group.start, group.end, of_axis, context, trial.habit)


def _parts(message: Message, group: Group, family: str) -> Iterable[tuple[str, int, int]]:
    """Yield the stretches of a group that go on about one axis: the axis, first and after-last token."""
    held: list[Clause] = [clause for clause in message.clauses if group.start <= clause.start < group.end]
    axis, start = None, group.start
    for clause in held:
        named = axis_named(message, clause.start, clause.end, family)
        if named is not None and axis is not None and named != axis:
            yield axis, start, clause.start
            start = clause.start
        axis = named or axis
    if axis is not None:
        yield axis, start, group.end


def add_other_axis(trial: Trial, group: Group, fact: Reading) -> None:
    """Add the second pair of "left 0 right 5, front 2 back 2", and the second of "both ways".

    Args:
        trial: The attempt at the message, which takes the second reading.
        group: The clauses that both were told in.
        fact: The reading of the first axis.
    """
    named = trial.message.names(group.start, group.end)
    twin = lexicon().meanings.get(fact.id[:-1] + ("y" if fact.id.endswith("x") else "x"))
    both = ("both_ways" in named and fact.id.startswith(_BOTH_WAYS)) or (fact.value == 0 and {"x", "y"} <= named)
    if both and fact.value is not None and fact.id[-2:] in ("_x", "_y") and twin is not None:
        add(trial.facts, replace(fact, id=twin.id))
        return
    if (
        fact.id[-2:] not in ("_x", "_y")
        or sum(is_value(q) for q in trial.message.within(group.start, group.end)) < 4
    ):
        return
    if twin is not None and twin.ends:
        second = pair_of(trial.message, group.start, group.end, twin, trial.habit)
        if second is not None:
            add(trial.facts, replace(second, over=fact.over))
