"""Cautions, where they belong."""

from __future__ import annotations

from askew.knowledge.experta_port import MATCH, one_of
from askew.knowledge.facts import Compared, Done, Numbers, Proposed, Wants, Warns
from askew.knowledge.rules.book import PRACTICE, Theme, conclude
from askew.knowledge.rules.shorthand import known

THEME = Theme("cautions")

CUTS = one_of("recut", "cross_cut", "fine_cut", "turned_part", "feed_reversed")

THEME.rule(
    "goes_with",
    Warns(item=MATCH.item, caution=MATCH.caution),
    then=conclude("caution", "?caution"),
    because="It goes with {item:name}.",
    basis=PRACTICE,
)
THEME.rule(
    "cut_is_a_cut",
    Wants(check=MATCH.check, action=CUTS),
    then=conclude("caution", "clamp_for_cut", "eye_protection", "no_gloves", "no_rings"),
    because="{check:name} is a cut like any other.",
    basis=PRACTICE,
)
THEME.rule(
    "swing_of_fly_cutter",
    Wants(action=CUTS),
    known("cutter_kind", "fly_cutter", "face_mill"),
    then=conclude("caution", "fly_cutter_swing"),
    because="A wide cutter is in, and its swing has to clear vise, part and clamps.",
    basis=PRACTICE,
)
THEME.rule(
    "climb_on_slack_screw",
    known("milling_sense", "climb"),
    Numbers(source=one_of("backlash_x", "backlash_y", name="source"), standing="likely"),
    then=conclude("caution", "no_climb_on_slack"),
    because="It was climb milling, and {source:name} is likely.",
    basis=PRACTICE,
)
THEME.rule(
    "climb_that_snatched",
    known("milling_sense", "climb"),
    Compared(pair="reversed", outcome=one_of("gone", "less", "over")),
    then=conclude("caution", "no_climb_on_slack"),
    because="It was climb milling, and the step changed when the feed was reversed.",
    basis=PRACTICE,
)
THEME.rule(
    "packing_costs_grip",
    known("moving_jaw_contact", "paper", "soft", "ball"),
    Wants(action=CUTS),
    then=conclude("caution", "less_grip"),
    because="What is at the moving jaw costs grip.",
    basis=PRACTICE,
)
THEME.rule(
    "no_bar_costs_grip",
    Done(action="bar_removed", holds=True),
    Wants(action=CUTS),
    then=conclude("caution", "less_grip"),
    because="Without the bar a rough blank may be held at two corners only.",
    basis=PRACTICE,
)
THEME.rule(
    "head_can_swing",
    Proposed(remedy=MATCH.remedy, source=one_of("tram", "nod", "adjustment_creep")),
    then=conclude("caution", "support_head"),
    because="{remedy:name} slackens the head's bolts.",
    basis=PRACTICE,
)
THEME.rule(
    "head_can_drop",
    Proposed(remedy=MATCH.remedy, source=one_of("lean_side", "lean_fore")),
    known("machine", "bench_mill"),
    then=conclude("caution", "block_head_first"),
    because="{remedy:name} may reach the bolts of the column.",
    basis=PRACTICE,
)
THEME.rule(
    "not_for_everyone",
    Proposed(remedy=MATCH.remedy, source=one_of("spindle_play", "spindle_growth", "table_droop")),
    then=conclude("caution", "qualified_person"),
    because="{remedy:name} may reach what the machine's manual reserves.",
    basis=PRACTICE,
)
