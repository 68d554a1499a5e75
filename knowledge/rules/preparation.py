"""What must be true before a reading is trusted: locks, cleaning, cooling, and which face was gripped."""

from __future__ import annotations

from askew.knowledge.experta_port import MATCH, NOT, one_of
from askew.knowledge.facts import Complaint, Done, Gives, Known, Measured, Numbers, Outdated, Wants
from askew.knowledge.rules.book import HOLDING, PRACTICE, REVERSAL, Theme, first
from askew.knowledge.rules.shorthand import known, told, yes

THEME = Theme("before a reading is trusted")

SWEEPS = ("sweep_x", "sweep_y", "sweep_shift_x", "sweep_shift_y")
TRAVELS = (
    "square_travel_x",
    "square_travel_y",
    "fixed_jaw_travel",
    "face_out_of_square_clamped",
    "block_out_of_square",
)
VISE = ("vise_bed_x", "vise_bed_y", "fixed_jaw_travel", "fixed_jaw_square", "jaw_run", "block_out_of_square")
ON_PART = (
    "face_out_of_square", "other_corner", "turned_error", "fine_cutter_error", "face_out_of_parallel_across",
    "face_out_of_parallel_along", "end_out_of_square_plan", "blank_thickness", "square_flip", "hollow_across",
    "hollow_along", "light_in_middle", "light_at_ends", "light_in_middle_along", "light_at_ends_along",
    "twist",
)  # fmt: skip
SIGNED = ("face_out_of_square", "other_corner", "turned_error", "fine_cutter_error")

for _id, _readings, _action, _because in (
    (
        "lock_before_sweep", SWEEPS, "locked",
        "Lock head, quill, column and knee first: a slide that hangs free spoils the sweep.",
    ),
    (
        "clean_before_vise", VISE, "cleaned",
        "Wipe and deburr bed and jaws first: a chip there reads as a crooked vise.",
    ),
    (
        "clean_before_part", ON_PART, "cleaned",
        "Deburr and wipe part, square and plate first: a burr lifts what rests on it.",
    ),
):  # fmt: skip
    THEME.rule(
        _id,
        Gives(check=MATCH.check, what=one_of(*_readings)),
        NOT(Done(action=_action, holds=True)),
        NOT(Wants(check=MATCH.check, action=_action)),
        then=first("?check", _action),
        because=_because,
        basis=PRACTICE,
    )
THEME.rule(
    "gibs_up_before_travel",
    Gives(check=MATCH.check, what=one_of(*TRAVELS)),
    Numbers(source="gib_play_z", standing="likely"),
    then=first("?check", "locked"),
    because="Snug the slides first, and always approach from below: play in Z reads as a lean.",
    basis=PRACTICE,
)
THEME.rule(
    "cool_before_part",
    Gives(check=MATCH.check, what=one_of(*ON_PART[:6])),
    yes("worse_when_warm"),
    NOT(Done(action="cooled", holds=True)),
    then=first("?check", "cooled"),
    because="Let the part come to room temperature first: it is worse when warm.",
    basis=PRACTICE,
)
THEME.rule(
    "swept_unlocked",
    yes("locks_were_loose"),
    Measured(reading=one_of(*SWEEPS, name="what"), current=True),
    NOT(Done(action="locked", holds=True)),
    then=first("?what", "locked"),
    because="The locks were loose, so {what:name} may not stand: lock them and sweep again.",
    basis=PRACTICE,
)
THEME.rule(
    "measured_on_dirt",
    told("chip_found", "under_square"),
    Measured(reading=one_of(*SIGNED, name="what"), current=True),
    then=first("?what", "cleaned"),
    because="There was dirt under the square, so {what:name} may not stand: clean and measure again.",
    basis=PRACTICE,
)
THEME.rule(
    "vise_on_dirt",
    told("chip_found", "under_vise"),
    Measured(
        reading=one_of("vise_bed_x", "vise_bed_y", "jaw_run", "fixed_jaw_travel", name="what"), current=True
    ),
    then=first("?what", "vise_trued"),
    because="There was dirt under the vise, so {what:name} speaks for the dirt: clean, set the vise "
    "true, take it again.",
    basis=PRACTICE,
)
THEME.rule(
    "which_face_gripped",
    Complaint(reading=one_of(*SIGNED, name="what"), side=one_of("plus", "minus")),
    NOT(Known(key="gripped_face")),
    then=first("?what", "gripped_face"),
    because="Say which face was against the fixed jaw and which one was measured from: the sign "
    "turns over with it.",
    basis=REVERSAL,
)
THEME.rule(
    "meant_or_not",
    Numbers(source=one_of("tram", "nod", name="source"), standing="likely"),
    NOT(Known(key="leaned_on_purpose")),
    then=first("?source", "leaned_on_purpose"),
    because="Ask whether the head is leaned on purpose, for heel clearance, before it is called the trouble.",
    basis=PRACTICE,
)
THEME.rule(
    "which_travel",
    Gives(check=MATCH.check, what=one_of(*TRAVELS)),
    NOT(Known(key="vertical_travel")),
    then=first("?check", "vertical_travel"),
    because="Say whether quill, knee or head does the travel: a quill goes along the spindle, a knee "
    "along its own ways.",
    basis=HOLDING,
)
THEME.rule(
    "new_cut_for_new_head",
    Complaint(reading=MATCH.what),
    Outdated(what=MATCH.what, of="cut", action=one_of("trammed", "shimmed", name="action")),
    NOT(Wants(action="recut")),
    then=first("?what", "recut"),
    because="Take a new cut before the machine is judged again: {what:name} was measured on the cut "
    "from before it was adjusted.",
    basis=PRACTICE,
)
THEME.rule(
    "sweep_after_tightening",
    Done(action="trammed", holds=True),
    NOT(Measured(reading=one_of("sweep_x", "sweep_y"), current=True)),
    then=first("sweep_x", "trammed"),
    because="Sweep again with the bolts tight: tightening moves the head.",
    basis=PRACTICE,
)
THEME.rule(
    "bar_off_centre",
    Gives(check=MATCH.check, what="clamp_rise"),
    known("moving_jaw_contact", "bar", "ball"),
    then=first("?check", "moving_jaw_contact"),
    because="Grip it with the bar at the same height as for the cut: the rise depends on where it pushes.",
    basis=HOLDING,
)
