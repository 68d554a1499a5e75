"""What was done half-way: an old cut or reading does not speak for what was changed after it."""

from __future__ import annotations

from askew.knowledge.experta_port import MATCH, NOT, one_of
from askew.knowledge.facts import VISE_READINGS, Complaint, Outdated
from askew.knowledge.rules.book import PRACTICE, Theme, conclude

THEME = Theme("what was done half-way")

RECUTS = ("recut", "cross_cut", "fine_cut", "turned_part")
REGRIPS = ("regripped", "bar_removed", "turned_part", "block_gripped")
SWEEPS = ("sweep_x", "sweep_y", "sweep_shift_x", "sweep_shift_y", "square_travel_x", "square_travel_y")

# What was asked about is worth a note; for the rest it is enough that the chain shows it.
ADJUSTED: tuple[tuple[str, tuple[str, ...], str], ...] = (
    (
        "new_head", ("trammed",),
        "The {what:name} is of the cut from before the head was adjusted: it speaks for the old "
        "head only.",
    ),
    (
        "new_shims", ("shimmed",),
        "The {what:name} is of the cut from before the shims went in: it speaks for the machine "
        "as it was.",
    ),
)  # fmt: skip

for _id, _actions, _because in ADJUSTED:
    THEME.rule(
        f"old_cut_{_id}",
        Outdated(what=MATCH.what, of="cut", action=one_of(*_actions, name="action")),
        Complaint(reading=MATCH.what),
        then=conclude("note", "?what"),
        because=_because,
        basis=PRACTICE,
    )
    THEME.rule(
        f"old_look_{_id}",
        Outdated(what=MATCH.what, of="cut", action=one_of(*_actions, name="action")),
        NOT(Complaint(reading=MATCH.what)),
        then=conclude("aside", "?what"),
        because=_because,
        basis=PRACTICE,
    )
THEME.rule(
    "old_sweep",
    Outdated(what=one_of(*SWEEPS, name="what"), action=one_of("trammed", "shimmed", name="action")),
    then=conclude("note", "?what"),
    because="The {what:name} was taken before the machine was adjusted: it speaks for how it stood then.",
    basis=PRACTICE,
)
THEME.rule(
    "old_vise_reading",
    Outdated(what=one_of(*sorted(VISE_READINGS), name="what"), action=one_of("vise_trued", name="action")),
    then=conclude("note", "?what"),
    because="The {what:name} was taken before the vise was trued: it speaks for how it stood then.",
    basis=PRACTICE,
)
THEME.rule(
    "old_cutter",
    Outdated(what=MATCH.what, of="cut", action=one_of("cutter_changed", "fine_cut", name="action")),
    then=conclude("aside", "?what"),
    because="The {what:name} is of the cut from before the cutter was changed: it speaks for the old cutter.",
    basis=PRACTICE,
)
THEME.rule(
    "old_cut",
    Outdated(what=MATCH.what, of="cut", action=one_of(*RECUTS, name="action")),
    then=conclude("aside", "?what"),
    because="The face has been cut again since {what:name} was taken, which speaks for the cut before.",
    basis=PRACTICE,
)
THEME.rule(
    "old_grip",
    Outdated(what=MATCH.what, of="grip", action=one_of(*REGRIPS, name="action")),
    then=conclude("aside", "?what"),
    because="The part has been gripped again since {what:name} was taken: chips and seat are drawn afresh, "
    "jaw and lift stay.",
    basis=PRACTICE,
)
