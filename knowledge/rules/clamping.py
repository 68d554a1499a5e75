"""Movement on clamping, and where the part seats."""

from __future__ import annotations

from askew.knowledge.experta_port import MATCH, NOT, OR
from askew.knowledge.facts import Known
from askew.knowledge.rules.book import HOLDING, PRACTICE, Theme, against, conclude, points
from askew.knowledge.rules.shorthand import change, known, moves, no, still, told, yes

THEME = Theme("movement on clamping")

RISES = OR(yes("needle_moves_on_tightening"), moves("clamp_rise"))
KEEPS_STILL = OR(no("needle_moves_on_tightening"), still("clamp_rise"))

THEME.rule(
    "rises_with_bar",
    RISES,
    Known(key="moving_jaw_contact", value="bar"),
    then=points("off_centre_push", "jaw_lift"),
    because="The part moves while the vise is tightened with a bar at the moving jaw: the bar pushes "
    "off centre and rolls it, or the jaw lifts.",
    basis=HOLDING,
)
THEME.rule(
    "rises_with_packing",
    RISES,
    known("moving_jaw_contact", "ball", "paper", "soft"),
    then=points("off_centre_push", "jaw_lift"),
    because="The part moves while the vise is tightened: what is at the moving jaw pushes off "
    "centre, or the jaw lifts.",
    basis=HOLDING,
)
THEME.rule(
    "rises_with_plain_jaw",
    RISES,
    known("moving_jaw_contact", "plain"),
    then=points("jaw_lift", "fixed_jaw_flex"),
    because="The part moves while a plain jaw is tightened: the moving jaw lifts, or the fixed jaw "
    "leans back.",
    basis=HOLDING,
)
THEME.rule(
    "rises",
    RISES,
    NOT(Known(key="moving_jaw_contact")),
    then=points("jaw_lift", "off_centre_push", "fixed_jaw_flex"),
    because="The part moves while the vise is tightened: it is lifted, rolled or squeezed by the grip.",
    basis=HOLDING,
)
THEME.rule(
    "thin_work_rises",
    RISES,
    Known(key="wall", value=MATCH.wall),
    NOT(Known(key="wall", value=0.0)),
    then=points("wall_squeeze"),
    because="The part moves while the vise is tightened, and its wall is only {wall:length}: it "
    "yields to the grip.",
    basis=HOLDING,
)
THEME.rule(
    "keeps_still",
    KEEPS_STILL,
    then=against("jaw_lift", "off_centre_push", "wall_squeeze"),
    because="The needle on the part stays still while the vise is tightened, so the grip neither "
    "lifts nor rolls it.",
    basis=HOLDING,
)
THEME.rule(
    "bar_was_it",
    change("bar", "gone", "less"),
    then=points("off_centre_push") + against("jaw_lift"),
    because="Without the bar the rise on tightening falls from {before:length} to {after:length}: "
    "the bar made it.",
    basis=HOLDING,
)
THEME.rule(
    "bar_was_not_it",
    change("bar", "same", "same_size", "more"),
    then=points("jaw_lift") + against("off_centre_push"),
    because="The rise on tightening is {after:length} without the bar as well ({before:length} with "
    "it): the jaw lifts by itself.",
    basis=HOLDING,
)
THEME.rule(
    "wall_moves",
    moves("clamp_wall"),
    then=points("wall_squeeze"),
    because="A wall of the part moves {value:length} while it is gripped: the work yields.",
    basis=HOLDING,
)
THEME.rule(
    "wall_keeps_still",
    still("clamp_wall"),
    then=against("wall_squeeze"),
    because="The wall of the part does not move while it is gripped.",
    basis=HOLDING,
)
THEME.rule(
    "jaw_gives",
    moves("clamp_jaw_flex"),
    then=points("fixed_jaw_flex"),
    because="The back of the fixed jaw moves {value:length} while the vise is tightened.",
    basis=HOLDING,
)
THEME.rule(
    "jaw_holds",
    still("clamp_jaw_flex"),
    then=against("fixed_jaw_flex"),
    because="The back of the fixed jaw stays where it is while the vise is tightened.",
    basis=HOLDING,
)
THEME.rule(
    "springs_open",
    OR(yes("springs_on_release"), moves("release_bow")),
    then=points("wall_squeeze", "stress_bow"),
    because="The face changed shape when the vise was opened: the grip or stresses in the skin had bent it.",
    basis=PRACTICE,
)
THEME.rule(
    "stays_on_release",
    no("springs_on_release"),
    then=against("wall_squeeze"),
    because="The face did not change when the vise was opened, so the grip had not bent it.",
    basis=PRACTICE,
)
THEME.rule(
    "falls_on_release",
    moves("release_change"),
    then=points("jaw_lift", "off_centre_push", "wall_squeeze", "fixed_jaw_flex"),
    because="The front edge moves {value:length} when the vise is opened: the grip held it there.",
    basis=HOLDING,
)
THEME.rule(
    "nothing_on_release",
    still("release_change"),
    then=against("jaw_lift", "off_centre_push", "wall_squeeze"),
    because="The front edge stays where it is when the vise is opened: the grip had not lifted it.",
    basis=HOLDING,
)
THEME.rule(
    "block_stands_true",
    still("block_out_of_square"),
    then=against("jaw_lift", "fixed_jaw_lean", "fixed_jaw_flex", "jaw_plate_seat"),
    because="A trusted block gripped the same way stands true, so jaw, lift and flex are not it.",
    basis=HOLDING,
)
THEME.rule(
    "block_leans",
    moves("block_out_of_square"),
    then=points(
        "jaw_lift", "fixed_jaw_lean", "fixed_jaw_flex", "jaw_plate_seat", "chip_behind_jaw", "bed_tilt_y"
    ),
    because="A trusted block gripped the same way leans by {value:length}: the holding does it, not "
    "the part.",
    basis=HOLDING,
)
THEME.rule(
    "leans_while_clamped",
    moves("face_out_of_square_clamped"),
    then=points(
        "jaw_lift", "off_centre_push", "fixed_jaw_lean", "fixed_jaw_flex", "chip_behind_jaw",
    "chip_under_part",
        "reference_rock", "blank_taper", "bed_tilt_y", "lean_fore", "nod",
    ),
    because="The reference face leans by {value:length} while it is still clamped: the part is not "
    "held upright, or the vertical travel leans.",
    basis=HOLDING,
)  # fmt: skip
THEME.rule(
    "upright_while_clamped",
    still("face_out_of_square_clamped"),
    then=against("jaw_lift", "off_centre_push", "chip_behind_jaw", "reference_rock", "fixed_jaw_lean"),
    because="The reference face stands upright while it is clamped, so the grip has not rolled the part.",
    basis=HOLDING,
)

for _place, _suspects, _where in (
    ("bottom", points("chip_behind_jaw+", "reference_rock+", "blank_taper"), "low down"),
    ("top", points("chip_behind_jaw-", "reference_rock-", "blank_taper"), "at the top"),
    ("left", points("jaw_rack"), "at the left end"),
    ("right", points("jaw_rack"), "at the right end"),
):
    THEME.rule(
        f"ink_{_place}",
        told("ink_print", _place),
        then=_suspects,
        because=f"The ink printed only {_where}: the face does not lie flat on the fixed jaw.",
        basis=PRACTICE,
    )
THEME.rule(
    "ink_all",
    told("ink_print", "all"),
    then=against("chip_behind_jaw", "reference_rock", "jaw_rack"),
    because="The ink printed all over: the face lies flat on the fixed jaw.",
    basis=PRACTICE,
)
THEME.rule(
    "paper_at_jaw",
    told("paper_pulls_out", "top", "bottom"),
    then=points("chip_behind_jaw", "reference_rock", "blank_taper"),
    because="A paper strip at the jaw pulls out: contact is lost there.",
    basis=PRACTICE,
)
THEME.rule(
    "paper_at_bed",
    told("paper_pulls_out", "front"),
    then=points("jaw_lift", "off_centre_push", "chip_under_part"),
    because="The paper strip under the front of the part pulls out: the front has come up.",
    basis=PRACTICE,
)
THEME.rule(
    "paper_holds",
    no("paper_pulls_out"),
    then=against("reference_rock", "chip_under_part"),
    because="All the paper strips are held, so the part bears on jaw and bed.",
    basis=PRACTICE,
)
THEME.rule(
    "parallels_loose",
    told("parallel_loose", "both"),
    then=points("jaw_lift", "off_centre_push"),
    because="Both parallels slide after tightening: the grip has carried the part up.",
    basis=PRACTICE,
)
THEME.rule(
    "back_parallel_loose",
    told("parallel_loose", "back"),
    then=points("parallels_uneven", "chip_under_part", "fixed_jaw_lean"),
    because="The back parallel slides after tightening: the part is held up elsewhere.",
    basis=PRACTICE,
)
THEME.rule(
    "front_parallel_loose",
    told("parallel_loose", "front"),
    then=conclude("note", "parallel_loose"),
    because="A loose front parallel alone is ordinary and says little.",
    basis=PRACTICE,
)
for _place, _suspect, _where in (
    ("behind_jaw", "chip_behind_jaw", "between the part and the fixed jaw"),
    ("under_part", "chip_under_part", "under the part"),
    ("under_square", "dirt_at_check", "under the square"),
    ("under_vise", "bed_tilt_y", "under the vise"),
):
    THEME.rule(
        f"chip_{_place}",
        told("chip_found", _place),
        then=points(_suspect),
        because=f"A chip, burr or dirt was found {_where}, where it tips what rests on it.",
        basis=PRACTICE,
    )
THEME.rule(
    "no_chip",
    no("chip_found"),
    then=against("chip_behind_jaw", "chip_under_part"),
    because="Somebody looked for chips, burrs and dirt and found none.",
    basis=PRACTICE,
)
THEME.rule(
    "part_shifted",
    yes("part_moved"),
    then=points("part_slip"),
    because="The part shifted in the vise.",
    basis=PRACTICE,
)
THEME.rule(
    "part_kept_place",
    no("part_moved"),
    then=against("part_slip"),
    because="The part did not shift in the vise.",
    basis=PRACTICE,
)
