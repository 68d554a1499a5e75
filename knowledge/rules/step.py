"""A true step between passes against a smooth ridge."""

from __future__ import annotations

from askew.knowledge.experta_port import OR
from askew.knowledge.rules.book import GEOMETRY, PRACTICE, Theme, against, points
from askew.knowledge.rules.shorthand import FEED_X, FEED_Y, MANY_PASSES, known, moves, no, reads, still, told

THEME = Theme("true step against smooth ridge")

# A true step is minus the tilt across the feed times the spacing, so the higher side says which way it tilts.
for _side, _answer, _feed, _suspects, _tilt in (
    ("plus", "back", FEED_X, points("nod-", "lean_fore+", "saddle_slope+"), "front to back"),
    ("minus", "front", FEED_X, points("nod+", "lean_fore-", "saddle_slope-"), "front to back"),
    ("plus", "right", FEED_Y, points("tram-", "lean_side+", "table_slope+"), "side to side"),
    ("minus", "left", FEED_Y, points("tram+", "lean_side-", "table_slope-"), "side to side"),
):
    THEME.rule(
        f"step_{_answer}_high",
        OR(told("step_felt", _answer), reads("step", _side)),
        _feed,
        then=_suspects,
        because=f"A true step at the joint with the {_answer} side higher: the cutter plane is out "
        f"{_tilt}, across the feed, or something moved between the passes.",
        basis=GEOMETRY,
    )

# What creeps down while cutting makes the later pass the lower one.
for _order, _side, _answer in (
    ("front_to_back", "minus", "front"),
    ("back_to_front", "plus", "back"),
    ("left_to_right", "minus", "left"),
    ("right_to_left", "plus", "right"),
):
    THEME.rule(
        f"step_later_lower_{_order}",
        OR(told("step_felt", _answer), reads("step", _side)),
        known("pass_order", _order),
        then=points("tool_pullout+", "spindle_growth+", "gib_play_z"),
        because="The later pass is the lower one: the cutter came out, the spindle grew or the head "
        "sank between them.",
        basis=GEOMETRY,
    )

THEME.rule(
    "step_felt_moved",
    OR(told("step_felt", "yes", "back", "front", "left", "right"), moves("step")),
    MANY_PASSES,
    then=points("part_slip", "gib_play_z"),
    because="A fingernail feels only a true step, and a part or a slide that moved between passes "
    "leaves one.",
    basis=PRACTICE,
)
THEME.rule(
    "no_step",
    OR(no("step_felt"), still("step")),
    MANY_PASSES,
    then=against("part_slip", "tool_pullout", "spindle_growth"),
    because="No true step at the joint: nothing moved up or down between the passes.",
    basis=GEOMETRY,
)
for _axis, _feed, _suspect in (("x", FEED_X, "tram"), ("y", FEED_Y, "nod")):
    THEME.rule(
        f"ridge_without_step_{_axis}",
        moves("ridge"),
        OR(no("step_felt"), still("step", spoken=False)),
        _feed,
        then=points(_suspect),
        because="The passes meet in a smooth ridge of {value:length} without a step: the head is out "
        "along the feed.",
        basis=GEOMETRY,
    )
