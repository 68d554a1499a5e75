"""The cutter, its holder and the spindle: what grows along the cut, marks, rubs or plays."""

from __future__ import annotations

from askew.knowledge.experta_port import OR
from askew.knowledge.rules.book import PRACTICE, Theme, against, points
from askew.knowledge.rules.shorthand import moves, no, reads, still, yes

THEME = Theme("cutter, holder and spindle")

THEME.rule(
    "grows_along",
    OR(yes("grows_along_cut"), reads("depth_drift", "plus")),
    then=points("tool_pullout", "spindle_growth", "part_slip"),
    because="It gets deeper along the cut: the cutter comes out of its holder, the spindle grows, or "
    "the part creeps up.",
    basis=PRACTICE,
)
THEME.rule(
    "even_along",
    OR(no("grows_along_cut"), still("depth_drift")),
    then=against("tool_pullout", "spindle_growth"),
    because="It is no deeper at the end of the cut than at its start.",
    basis=PRACTICE,
)
THEME.rule(
    "worse_cold",
    yes("worse_when_cold"),
    then=points("spindle_growth"),
    because="It is worse on the first parts of the day, while the spindle is still warming up.",
    basis=PRACTICE,
)
THEME.rule(
    "worse_warm",
    yes("worse_when_warm"),
    then=points("heat_growth", "spindle_growth"),
    because="It is worse when everything is warm: heat in the part or the spindle has a hand in it.",
    basis=PRACTICE,
)
THEME.rule(
    "mark_moved",
    yes("witness_mark_moved"),
    then=points("tool_pullout"),
    because="The line across tool and holder no longer meets: the tool turned in its holder.",
    basis=PRACTICE,
)
THEME.rule(
    "stickout_grew",
    reads("holder_mark", "plus"),
    then=points("tool_pullout+"),
    because="The cutter has come out of its holder by {value:length}.",
    basis=PRACTICE,
)
THEME.rule(
    "stickout_same",
    still("holder_mark"),
    then=against("tool_pullout"),
    because="The cutter sticks out as far as before the cut.",
    basis=PRACTICE,
)
THEME.rule(
    "one_tooth",
    yes("one_tooth_cutting"),
    then=points("uneven_teeth", "spindle_play"),
    because="One line a turn, or one insert marked more than the others: a single tooth does the cutting.",
    basis=PRACTICE,
)
THEME.rule(
    "all_teeth",
    no("one_tooth_cutting"),
    then=against("uneven_teeth"),
    because="The teeth mark the face evenly.",
    basis=PRACTICE,
)
THEME.rule(
    "rubs",
    yes("rubbing"),
    then=points("dull_edge", "cutter_bend"),
    because="It squeals, smears or rubs: the edge pushes the work away instead of cutting.",
    basis=PRACTICE,
)
THEME.rule(
    "cuts_cleanly",
    no("rubbing"),
    then=against("dull_edge"),
    because="It cuts cleanly, without squeal or smear.",
    basis=PRACTICE,
)
THEME.rule(
    "runs_out",
    moves("runout"),
    then=points("uneven_teeth", "spindle_play"),
    because="The taper or tool runs out by {value:length}.",
    basis=PRACTICE,
)
THEME.rule(
    "spindle_gives",
    moves("spindle_push_pull"),
    then=points("spindle_play"),
    because="The spindle gives by {value:length} when pushed and pulled by hand.",
    basis=PRACTICE,
)
THEME.rule(
    "spindle_firm",
    still("spindle_push_pull"),
    then=against("spindle_play"),
    because="The spindle does not give when pushed and pulled by hand.",
    basis=PRACTICE,
)
