"""The material: a tapered blank, heat, and a face that is twisted."""

from __future__ import annotations

from askew.knowledge.rules.book import HOLDING, PRACTICE, Theme, against, points
from askew.knowledge.rules.shorthand import moves, reads, still

THEME = Theme("material")

for _side, _tilt in (("plus", "+"), ("minus", "-")):
    THEME.rule(
        f"blank_tapered_{_side}",
        reads("blank_thickness", _side),
        then=points(f"blank_taper{_tilt}"),
        because="The blank is thicker at one edge of the grip, by {value:length}: a plain jaw turns "
        "it until both seat.",
        basis=HOLDING,
    )
THEME.rule(
    "blank_parallel",
    still("blank_thickness"),
    then=against("blank_taper"),
    because="The blank measures the same at top and bottom of the grip.",
    basis=HOLDING,
)
THEME.rule(
    "cooling_changes_it",
    moves("cooled_change"),
    then=points("heat_growth"),
    because="It changed by {value:length} while cooling, so it was measured warm.",
    basis=PRACTICE,
)
THEME.rule(
    "cooling_changes_nothing",
    still("cooled_change"),
    then=against("heat_growth"),
    because="It is the same at room temperature.",
    basis=PRACTICE,
)
THEME.rule(
    "twisted",
    moves("twist"),
    then=points("clamp_bend", "stress_bow"),
    because="The face is twisted by {value:length} corner to corner: clamps pulled the work down, or "
    "it has bowed.",
    basis=HOLDING,
)
THEME.rule(
    "not_twisted",
    still("twist"),
    then=against("clamp_bend"),
    because="The face is not twisted, so no clamp pulled a corner down.",
    basis=HOLDING,
)
