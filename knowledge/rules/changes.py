"""What changes when the part is turned, the cutter is smaller, or the feed is reversed."""

from __future__ import annotations

from askew.knowledge.experta_port import MATCH
from askew.knowledge.facts import Compared
from askew.knowledge.rules.book import (
    GEOMETRY,
    HOLDING,
    JUDGEMENT,
    PRACTICE,
    Theme,
    against,
    conclude,
    points,
)
from askew.knowledge.rules.shorthand import change, moves, still

THEME = Theme("what a change changes")

HEAD = ("tram", "nod")
STANDING = ("fixed_jaw_lean", "fixed_jaw_flex", "jaw_lift", "bed_tilt_y", "jaw_plate_seat")
DRAWN_AFRESH = (
    "blank_taper",
    "reference_rock",
    "chip_behind_jaw",
    "chip_under_part",
    "wall_squeeze",
    "off_centre_push",
)

THEME.rule(
    "turned_same",
    change("turned", "same"),
    then=points(*STANDING) + against("blank_taper", "reference_rock"),
    because="Turned a quarter and cut again it is out by {after:length}, the same as before "
    "({before:length}): the fault is not in that face of the part.",
    basis=HOLDING,
)
THEME.rule(
    "turned_gone",
    change("turned", "gone"),
    then=points(*DRAWN_AFRESH) + against("fixed_jaw_lean", "jaw_lift"),
    because="Turned a quarter and cut again it falls from {before:length} to {after:length}: what "
    "belonged to the first grip or the first face has gone.",
    basis=HOLDING,
)
THEME.rule(
    "turned_over",
    change("turned", "over"),
    then=points("blank_taper", "reference_rock", "stress_bow"),
    because="Turned a quarter and cut again the error changes sign: it belongs to the part's own faces.",
    basis=HOLDING,
)
THEME.rule(
    "finer_gone",
    change("finer", "gone"),
    then=points(*HEAD) + against("jaw_lift", "fixed_jaw_lean", "off_centre_push"),
    because="With a small cutter in many passes it falls from {before:length} to {after:length}: the "
    "face now follows the slides, so the head was it.",
    basis=GEOMETRY,
)
THEME.rule(
    "finer_same",
    change("finer", "same", "same_size"),
    then=against(*HEAD),
    because="With a small cutter in many passes it is still {after:length}: such a face follows the "
    "slides, so the head is not it.",
    basis=GEOMETRY,
)
THEME.rule(
    "reversed_changes",
    change("reversed", "gone", "less", "more", "over"),
    then=points("gib_play_z", "gib_play_x", "gib_play_y"),
    because="The step goes from {before:length} to {after:length} when fed the other way: something "
    "gives with the direction of the cut.",
    basis=PRACTICE,
)
THEME.rule(
    "reversed_same",
    change("reversed", "same"),
    then=against("gib_play_z"),
    because="The step is {after:length} fed the other way as well: no slide gives with the direction "
    "of the cut.",
    basis=PRACTICE,
)
THEME.rule(
    "spring_pass_cuts",
    moves("spring_pass"),
    then=points("cutter_bend", "dull_edge", "part_deflect", "gib_play_z"),
    because="The same pass repeated takes off {value:length} more: something was pushed away and "
    "came back. Geometry does not do that.",
    basis=PRACTICE,
)
THEME.rule(
    "spring_pass_idle",
    still("spring_pass"),
    then=against("cutter_bend", "dull_edge", "part_deflect"),
    because="The same pass repeated takes nothing off: nothing was pushed away.",
    basis=PRACTICE,
)
THEME.rule(
    "mixed_change",
    Compared(pair=MATCH.pair, outcome="mixed", before=MATCH.before, after=MATCH.after, also=MATCH.also),
    then=conclude("note", "?pair"),
    because="It went from {before:length} to {after:length}, but more was changed between the two "
    "({also:name}), so the difference does not say which change did it.",
    basis=JUDGEMENT,
)
