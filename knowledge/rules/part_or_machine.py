"""An error that follows the part or stays with the machine, or does neither."""

from __future__ import annotations

from askew.knowledge.rules.book import PRACTICE, Theme, against, points
from askew.knowledge.rules.shorthand import no, yes

THEME = Theme("follows the part or stays with the machine")

PART = ("blank_taper", "reference_rock", "stress_bow", "wall_squeeze", "part_deflect", "heat_growth")
MACHINE = (
    "tram", "nod", "lean_side", "lean_fore", "table_slope", "saddle_slope", "table_droop", "axis_skew",
    "fixed_jaw_lean", "jaw_plate_seat", "fixed_jaw_flex", "jaw_lift", "bed_tilt_x", "bed_tilt_y", "vise_skew",
)  # fmt: skip
PASSING = (
    "gib_play_x", "gib_play_y", "gib_play_z", "adjustment_creep", "spindle_play", "part_slip",
    "chip_behind_jaw",
    "chip_under_part", "reference_rock", "jaw_plate_seat", "dirt_at_check", "indicator_error",
)  # fmt: skip

THEME.rule(
    "goes_with_part",
    yes("follows_part"),
    then=points(*PART) + against(*MACHINE),
    because="The error goes with the part when it is turned or moved, so it is in the part and not "
    "in the machine.",
    basis=PRACTICE,
)
THEME.rule(
    "leaves_part",
    no("follows_part"),
    then=against(*PART),
    because="The error does not go with the part, so it is not in the part.",
    basis=PRACTICE,
)
THEME.rule(
    "stays_put",
    yes("stays_with_machine"),
    then=points(*MACHINE, "parallels_uneven", "off_centre_push", "square_error") + against(*PART[:3]),
    because="Another part shows the same error the same way: it is in the machine, the vise or the "
    "measuring.",
    basis=PRACTICE,
)
THEME.rule(
    "leaves_machine",
    no("stays_with_machine"),
    then=against(*MACHINE),
    because="Another part does not show it, so it is not in the machine or the vise.",
    basis=PRACTICE,
)
THEME.rule(
    "with_neither",
    no("follows_part"),
    no("stays_with_machine"),
    then=points("chip_behind_jaw", "chip_under_part", "part_slip", "dirt_at_check", "jaw_rack"),
    because="It goes neither with the part nor with the machine: what is drawn afresh at each grip "
    "is left, dirt above all.",
    basis=PRACTICE,
)
THEME.rule(
    "comes_and_goes",
    yes("comes_and_goes"),
    then=points(*PASSING),
    because="Not the same twice with nothing changed: something is loose, dirty or does not seat.",
    basis=PRACTICE,
)
THEME.rule(
    "always_the_same",
    no("comes_and_goes"),
    then=against("dirt_at_check", "chip_behind_jaw", "chip_under_part", "part_slip", "indicator_error"),
    because="It comes out the same each time, and dirt, chips and slipping do not repeat.",
    basis=PRACTICE,
)
