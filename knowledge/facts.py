"""The facts that the rules match.

Each type lists its fields; a rule that names another field does not load. What a size or a comparison
amounts to is worked out before the facts are declared, so that most rules match plain words.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, ClassVar

from askew.knowledge.experta_port import Fact


@dataclass(frozen=True, slots=True)
class Pair:
    """Two readings that are one thing before and after a change, and the actions that are that change."""

    before: str
    after: str
    changes: frozenset[str]


def _pair(before: str, after: str, *changes: str) -> Pair:
    return Pair(before, after, frozenset(changes))


PAIRS: Mapping[str, Pair] = {
    "turned": _pair("face_out_of_square", "turned_error", "turned_part", "regripped", "recut"),
    "finer": _pair("face_out_of_square", "fine_cutter_error", "fine_cut", "cutter_changed", "recut"),
    "reversed": _pair("step", "reversed_step", "feed_reversed", "recut"),
    "crossed": _pair("hollow_across", "cross_feed_hollow", "cross_cut", "recut"),
    "bar": _pair("clamp_rise", "clamp_rise_plain", "bar_removed", "regripped"),
    "corners": _pair("face_out_of_square", "other_corner"),
}
"""What is compared with what. Any other action between the two makes the comparison a mixed one."""

ENDS: Mapping[str, frozenset[str]] = {
    "machine": frozenset({"trammed", "shimmed"}),
    "vise": frozenset({"shimmed", "vise_trued"}),
    "grip": frozenset({"regripped", "bar_removed", "turned_part", "block_gripped", "vise_trued"}),
    "tool": frozenset({"cutter_changed", "fine_cut"}),
    "part": frozenset(),
}
"""By what a reading speaks for, the actions that make it history; a new cut ends those of a cut."""

VISE_READINGS = frozenset({"vise_bed_x", "vise_bed_y", "fixed_jaw_travel", "fixed_jaw_square", "jaw_run"})
"""Readings of the machine that are of its vise."""

UNDOES: Mapping[str, frozenset[str]] = {
    "cleaned": frozenset(
        {"regripped", "turned_part", "bar_removed", "block_gripped", "recut", "cross_cut", "fine_cut"}
    ),
    "locked": frozenset({"trammed", "shimmed"}),
    "cooled": frozenset({"recut", "cross_cut", "fine_cut", "turned_part"}),
    "vise_trued": frozenset(),
}
"""What an action is undone by, where a reading rests on it."""


class TradeFact(Fact):
    """Base of all facts."""

    fields: ClassVar[tuple[str, ...]] = ()

    def __init__(self, **fields: Any) -> None:
        """Take fields over as they are: they are plain, so experta's freezing of each value is not needed."""
        dict.update(self, fields)


class Known(TradeFact):
    """A fact about the job: setup `key` has `value`."""

    fields = ("key", "value")


class Seen(TradeFact):
    """A sign. `answer` as told; `yes` is "yes", "no" or "unknown" (so is a place); `current` as below."""

    fields = ("sign", "answer", "yes", "when", "current")


class Idle(TradeFact):
    """A sign that means nothing here, because of setup `key` being `value`."""

    fields = ("sign", "key", "value")


class Measured(TradeFact):
    """A reading.

    `side` is plus, minus, nil (within the scatter of such a reading), either (a size without a direction)
    or open (no number). `size` is seen, nil or open. `value` and `over` in mm. `when` is the number of the
    state it was taken in, and it is `current` while nothing done since has ended what it speaks for.
    """

    fields = ("reading", "side", "size", "value", "over", "of", "when", "current")


class Compared(TradeFact):
    """Two readings of one thing, before and after.

    `outcome` is gone (under a third left), less, same, same_size (where the direction of one is not known),
    more, or over (the sign turned over); "nil" where there was nothing to begin with; "mixed" where `also`
    was done between them and may be what made the difference. `side` and `when` are those of the first.
    """

    fields = ("pair", "before", "after", "outcome", "side", "also", "when")


class Repeated(TradeFact):
    """One reading taken twice with nothing changed: `outcome` same or differs."""

    fields = ("reading", "first", "second", "outcome")


class Done(TradeFact):
    """An action; `holds` while nothing done since has undone it (see `UNDOES`)."""

    fields = ("action", "holds")


class Outdated(TradeFact):
    """A reading or sign that spoke for things before `action`."""

    fields = ("what", "of", "action")


class Complaint(TradeFact):
    """What came out wrong. `number` is "given" or "missing"."""

    fields = ("reading", "side", "value", "over", "number")


class Numbers(TradeFact):
    """What the numbers say of one source.

    `standing` is likely (probability 0.5 and up), possible (0.1 and up) or unlikely. `needed` is the size
    that alone would explain the complaint, None where none would; `plausible` the largest that is
    plausible. `reach_ratio` is the largest plausible contribution over the complaint, `reach_zone` the
    same over the tolerance; None where there is no number. `explains` is "by_size", or "never" where no
    size would. `share` is a size. `can_plus` and `can_minus`: the interval of its size reaches that side.
    """

    fields = (
        "source", "group", "standing", "probability", "share", "needed", "plausible", "reach",
        "explains", "reach_ratio", "reach_zone", "can_plus", "can_minus",
    )  # fmt: skip


class Doubt(TradeFact):
    """A reading that does not fit the others: the `chance` that it is wild."""

    fields = ("reading", "chance")


class Course(TradeFact):
    """Where the case stands: how sure the remedy is, what is explained, the best check and its worth."""

    fields = ("decided", "explained", "best", "worth", "number")


class Gives(TradeFact):
    """The check about to be asked for gives this reading or sign."""

    fields = ("check", "what")


class Wants(TradeFact):
    """The check about to be asked for begins with this action."""

    fields = ("check", "action")


class Proposed(TradeFact):
    """A remedy about to be proposed, and what it serves."""

    fields = ("remedy", "source")


class Warns(TradeFact):
    """A check or remedy about to be proposed carries this caution."""

    fields = ("item", "caution")


class Requirement(TradeFact):
    """A source or check (`subject`, `kind`) that needs setup `key`.

    `met` is "no" where what is known rules it out, "unknown" where it must be said first, "later" where a
    reading (then `key`) must come before.
    """

    fields = ("subject", "kind", "key", "value", "met")


class Lacks(TradeFact):
    """A check whose instruments are not on the bench; `instead` serves in its place where `has_trick`."""

    fields = ("check", "missing", "instead", "has_trick")


class Refused(TradeFact):
    """A check that the person cannot or will not make."""

    fields = ("check",)


class Without(TradeFact):
    """A source or check that this kind of machine does not have."""

    fields = ("subject", "kind", "machine")


class Opinion(TradeFact):
    """What a pattern says of a source, with the numbers beside it, so that one fact tells whether they agree.

    `kind` is points or speaks_against, `toward` plus, minus or any; `rule` and `because` are the pattern's.
    `cleared` where a size clears the source, `contested` where another pattern points to it; the rest as in
    `Numbers`.
    """

    fields = (
        "kind", "source", "toward", "rule", "because", "cleared", "contested",
        "standing", "probability", "share", "can_plus", "can_minus",
    )  # fmt: skip
