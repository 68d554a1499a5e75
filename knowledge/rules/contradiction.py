"""Readings and signs that cannot all be right."""

from __future__ import annotations

from askew.knowledge.experta_port import MATCH, at_least
from askew.knowledge.facts import Doubt, Repeated
from askew.knowledge.rules.book import CUT_MODEL, GEOMETRY, JUDGEMENT, PRACTICE, Theme, conclude
from askew.knowledge.rules.shorthand import FEED_X, FEED_Y, ONE_PASS, moves, no, reads, still, told, yes

THEME = Theme("readings that contradict")

THEME.rule(
    "wild_reading",
    Doubt(reading=MATCH.reading, chance=at_least(0.35, "chance")),
    then=conclude("contradiction", "?reading"),
    because="The {reading:name} does not fit the other readings ({chance:percent} likely to be a "
    "misreading): take it again.",
    basis=CUT_MODEL,
)
THEME.rule(
    "differs_from_itself",
    Repeated(reading=MATCH.reading, first=MATCH.first, second=MATCH.second, outcome="differs"),
    then=conclude("contradiction", "?reading"),
    because="The {reading:name} was {first:signed} once and {second:signed} the next time with "
    "nothing changed between.",
    basis=PRACTICE,
)
for _along, _reading in (("", "hollow_across"), ("_along", "hollow_along")):
    _middle, _ends = f"light_in_middle{_along}", f"light_at_ends{_along}"
    THEME.rule(
        f"hollow_and_crowned{_along}",
        yes(_middle),
        yes(_ends),
        then=conclude("contradiction", _middle, _ends),
        because="A straight edge cannot show light in the middle and rock on the middle along the same line.",
        basis=GEOMETRY,
    )
    THEME.rule(
        f"light_but_crowned{_along}",
        yes(_middle),
        reads(_reading, "minus"),
        then=conclude("contradiction", _middle, _reading),
        because="Light in the middle says hollow, but the middle measured {value:length} high.",
        basis=GEOMETRY,
    )
    THEME.rule(
        f"rocks_but_hollow{_along}",
        yes(_ends),
        reads(_reading, "plus"),
        then=conclude("contradiction", _ends, _reading),
        because="The straight edge rocks on the middle, but the middle measured {value:length} low.",
        basis=GEOMETRY,
    )
THEME.rule(
    "felt_but_flat",
    yes("step_felt"),
    still("step"),
    then=conclude("contradiction", "step_felt", "step"),
    because="A fingernail catches at the joint, but the step measured only {value:length}.",
    basis=PRACTICE,
)
THEME.rule(
    "measured_but_not_felt",
    no("step_felt"),
    moves("step"),
    then=conclude("contradiction", "step_felt", "step"),
    because="The step measured {value:length}, which a fingernail feels, but none was felt.",
    basis=PRACTICE,
)
THEME.rule(
    "step_in_one_pass",
    yes("step_felt"),
    ONE_PASS,
    then=conclude("contradiction", "step_felt", "passes"),
    because="A step needs two passes side by side, and the face was said to be cut in one.",
    basis=GEOMETRY,
)
THEME.rule(
    "needle_moved_rise_nil",
    yes("needle_moves_on_tightening"),
    still("clamp_rise"),
    then=conclude("contradiction", "needle_moves_on_tightening", "clamp_rise"),
    because="The needle was said to move on tightening, but the rise measured only {value:length}.",
    basis=PRACTICE,
)
THEME.rule(
    "needle_still_rise_seen",
    no("needle_moves_on_tightening"),
    moves("clamp_rise"),
    then=conclude("contradiction", "needle_moves_on_tightening", "clamp_rise"),
    because="The needle was said to stay still on tightening, but the rise measured {value:length}.",
    basis=PRACTICE,
)
THEME.rule(
    "part_and_machine",
    yes("follows_part"),
    yes("stays_with_machine"),
    then=conclude("contradiction", "follows_part", "stays_with_machine"),
    because="One error cannot both go with the part and stay with the machine; there may be two of them.",
    basis=JUDGEMENT,
)
THEME.rule(
    "steady_and_unsteady",
    yes("comes_and_goes"),
    yes("stays_with_machine"),
    then=conclude("contradiction", "comes_and_goes", "stays_with_machine"),
    because="It was said to be the same on another part, and not the same twice: one of the two "
    "needs another look.",
    basis=JUDGEMENT,
)
THEME.rule(
    "springs_but_still",
    yes("springs_on_release"),
    still("release_change", spoken=False),
    still("release_bow", spoken=False),
    then=conclude("contradiction", "springs_on_release", "release_change", "release_bow"),
    because="The face was said to change when the vise was opened, but under the needle neither edge "
    "nor middle moved.",
    basis=PRACTICE,
)
for _sweep, _side, _heel, _feed in (
    ("sweep_x", "plus", "left", FEED_X),
    ("sweep_x", "minus", "right", FEED_X),
    ("sweep_y", "plus", "front", FEED_Y),
    ("sweep_y", "minus", "back", FEED_Y),
):
    THEME.rule(
        f"{_sweep}_{_side}_heel_{_heel}",
        reads(_sweep, _side),
        told("heel_marks", _heel),
        _feed,
        then=conclude("contradiction", _sweep, "heel_marks"),
        because=f"The sweep leans one way ({{value:signed}}) and the arcs feeding {_heel} say the "
        "other: one has the wrong sign, or the slide slopes more than the head leans.",
        basis=GEOMETRY,
    )
