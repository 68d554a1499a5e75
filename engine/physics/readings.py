"""What each reading should be, given the sources of error and the setup: the forward model.

One short function a reading, in mm over `over` mm, plus as `knowledge/readings.toml` says. The same functions
give the exact value (`predict`) and, evaluated on the identity, the Jacobian (`jacobian`).

Three derived quantities that nobody enters as a number serve the signs: `heel` (how far the trailing edge
stands low over the cutter's diameter), `seat_gap` (how far the part stands off the jaw at the top) and
`bed_gap` (how far it stands off the bed at the front).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from askew.engine.physics.face import droop_hollow, sagitta
from askew.engine.physics.scene import Number, Scene, facts_of
from askew.engine.setup import Setup
from askew.knowledge.load import load

Formula = Callable[[Scene, float], Number]
FORMULAS: dict[str, Formula] = {}


def reading(*ids: str) -> Callable[[Formula], Formula]:
    """Register a formula for one or more reading ids."""

    def register(formula: Formula) -> Formula:
        FORMULAS.update(dict.fromkeys(ids, formula))
        return formula

    return register


def predict(
    reading_id: str,
    setup: Setup,
    sources: Mapping[str, float | Number],
    over: float | None = None,
    senses: Mapping[str, int] | None = None,
    changes: Mapping[str, float] | None = None,
) -> Number:
    """Return what a reading should be, mm over `over` mm.

    Args:
        reading_id: A reading of the knowledge, or heel, seat_gap, bed_gap.
        setup: The setup in force; gaps are filled with typical values.
        sources: Sizes by source id, mm or rad, numbers or arrays of one shape; what is left out is zero.
        over: Length the reading is taken over, mm; by default the one it is defined over.
        senses: Fixed signs of the absolute values; by default the true ones.
        changes: Numbers of the setup to change (see `scene.parameters`).

    Raises:
        KeyError: No formula has that id.
    """
    facts = facts_of(setup, changes)
    shape = np.broadcast_shapes(*(np.shape(value) for value in sources.values())) if sources else ()
    full = {id_: np.asarray(sources.get(id_, 0.0)) * np.ones(shape) for id_ in load().sources}
    return evaluate(reading_id, Scene(facts, full, senses or {}), over)


def evaluate(reading_id: str, scene: Scene, over: float | None = None) -> Number:
    """Return the value of a formula in a scene, mm; leaves the scene's `limits` for fixed senses."""
    length = over if over is not None else default_over(reading_id, scene.facts)
    return FORMULAS[reading_id](scene, length)


def default_over(reading_id: str, facts: Mapping[str, Any]) -> float:
    """Return the length a reading is defined over, mm; 1 where it has none."""
    kind = load().readings.get(reading_id)
    if kind is None or kind.over is None:
        return 1.0
    return float(facts[kind.over])


# --- the cut face ------------------------------------------------------------------------------------


@reading("face_out_of_square", "turned_error", "fine_cutter_error")
def out_of_square(s: Scene, over: float) -> Number:
    """Corner between cut face and reference face, plus: open. Each has its own setup and instances."""
    measured = s["dirt_at_check"] + s["heat_growth"] + s["indicator_error"]
    return -over * s.tip + over * s["square_error"] + measured


@reading("other_corner")
def other_corner(s: Scene, over: float) -> Number:
    """The corner at the moving-jaw side, plus: open."""
    return over * (s.tip - s["blank_taper"] + s["square_error"]) + s["dirt_at_check"]


@reading("face_out_of_square_clamped")
def out_of_square_clamped(s: Scene, over: float) -> Number:
    """Indicator up the reference face while clamped, plus: top leans back."""
    return over * (s.roll - s.v_y) + s["indicator_error"]


@reading("face_out_of_parallel_across")
def out_of_parallel_across(s: Scene, over: float) -> Number:
    """Thickness at the back against the front (feed along Y: right against left)."""
    return _thickness(s, over, along_y=s.facts["feed_axis"] == "x")


@reading("face_out_of_parallel_along")
def out_of_parallel_along(s: Scene, over: float) -> Number:
    """Thickness at the right against the left (feed along Y: back against front)."""
    return _thickness(s, over, along_y=s.facts["feed_axis"] == "y")


def _thickness(s: Scene, over: float, along_y: bool) -> Number:
    slope = s.tip if along_y else s.rise_x - s["bed_tilt_x"]
    return over * slope + s["heat_growth"]


@reading("hollow_across")
def hollow_across(s: Scene, over: float) -> Number:
    """Middle against ends across the feed, plus: hollow."""
    f = s.facts
    face = s.arch(f["feed_axis"], over) + s.size("squeeze_share") * s["wall_squeeze"]
    bent = face - s["stress_bow"] - s["part_deflect"]
    if f["passes"] > 1:
        bent = bent + s.stepped(f["feed_axis"], over) + s.size("slip_beside_middle") * s["part_slip"]
    # one pass in and out leaves the table where it stands, so that its droop does not show
    return bent + _droop(s, over) if f["feed_axis"] == "y" and f["passes"] > 1 else bent


@reading("hollow_along")
def hollow_along(s: Scene, over: float) -> Number:
    """Middle against ends along the feed, plus: hollow."""
    f = s.facts
    bent = s.size("squeeze_along") * s["wall_squeeze"] - s.size("bow_along") * (
        s["stress_bow"] + s["part_deflect"]
    )
    return bent + _droop(s, over) if f["feed_axis"] == "x" else bent


def _droop(s: Scene, over: float) -> Number:
    return s["table_droop"] * droop_hollow(1.0, over, load().machines[s.facts["machine"]].travel_x)


@reading("ridge")
def ridge(s: Scene, _over: float) -> Number:
    """Smooth ridge where two passes meet, at its highest (neither pass lower than the other)."""
    f = s.facts
    spacing = min(_spacing(s), s.size("cutter_diameter"))
    axis = f["feed_axis"]
    return s.absolute(f"p_{axis}", s.tilts(axis)[0]) * sagitta(s.size("cutter_diameter") / 2.0, spacing)


@reading("step")
def step(s: Scene, _over: float) -> Number:
    """True step at a joint, back minus front (feed along Y: right minus left)."""
    return s.joint(s.facts["feed_axis"], _spacing(s), _moved(s))


@reading("reversed_step")
def reversed_step(s: Scene, _over: float) -> Number:
    """The step after feeding the other way: what was lost motion changes."""
    f = s.facts
    slack = s.size("slack_either_way") * (s["backlash_z"] + s[f"backlash_{f['feed_axis']}"])
    return s.joint(f["feed_axis"], _spacing(s), _moved(s) + slack)


def _spacing(s: Scene) -> float:
    """Distance between the passes; who speaks of a joint made more than one pass, even if nobody said so."""
    f = s.facts
    return float(f["pass_spacing"] or 0.75 * s.size("cutter_diameter"))


def _moved(s: Scene) -> Number:
    """How much higher the back (right) pass ran than the front (left) one at one joint, mm."""
    f = s.facts
    joints = max(int(f["passes"]) - 1, 1)
    once = s.size("slip_at_once")
    slipped = (once + (1.0 - once) / joints) * s["part_slip"]
    return (
        -s.later_is_back * ((s["spindle_growth"] + s["tool_pullout"]) / joints + slipped)
        + s.size("slack_either_way") * s["gib_play_z"]
        + s.size("slack_either_way") * s["stress_bow"]
    )


@reading("cross_feed_hollow")
def cross_feed_hollow(s: Scene, _over: float) -> Number:
    """Hollow across of the face cut again along the other axis; the setup is that of the new cut."""
    return hollow_across(s, s.facts["part_across"])


@reading("cross_feed_step")
def cross_feed_step(s: Scene, _over: float) -> Number:
    """Step of the face cut again along the other axis."""
    return s.joint(s.facts["feed_axis"], _spacing(s), _moved(s))


@reading("depth_drift")
def depth_drift(s: Scene, _over: float) -> Number:
    """Floor deeper at the end of the cut than at its start."""
    return s.drift


@reading("wall_taper")
def wall_taper(s: Scene, over: float) -> Number:
    """Foot of a side-milled wall proud of its top. Fed along X no tram shows, fed along Y no nod."""
    f = s.facts
    side = f["wall_side"] or ("front" if f["feed_axis"] == "x" else "right")
    lean = s.t_y + s.roll if side in ("front", "back") else s.t_x - s["bed_tilt_x"]
    outward = -1.0 if side in ("front", "left") else 1.0
    bend = s.size("conventional_bend") if f["milling_sense"] == "conventional" else 1.0
    return over * outward * lean + bend * s["cutter_bend"] + s["dull_edge"]


@reading("hole_lean_x")
def hole_lean_x(s: Scene, over: float) -> Number:
    """Lean of a hole to the right over its depth."""
    return over * (s.v_x + s["bed_tilt_x"]) + _wander(s)


@reading("hole_lean_y")
def hole_lean_y(s: Scene, over: float) -> Number:
    """Lean of a hole to the back over its depth."""
    return over * (s.v_y - s.roll) + _wander(s)


def _wander(s: Scene) -> Number:
    return s["drill_wander"] if s.facts["hole_made_by"] in (None, "drilled") else 0.0 * s["drill_wander"]


@reading("end_out_of_square_plan")
def end_out_of_square(s: Scene, over: float) -> Number:
    """Right end cut along Y against the side on the fixed jaw, plus: open."""
    return over * (s["vise_skew"] - s["axis_skew"] + s["square_error"]) + s["dirt_at_check"]


@reading("spring_pass")
def spring_pass(s: Scene, _over: float) -> Number:
    """Metal removed by repeating the pass."""
    return s["cutter_bend"] + s["dull_edge"] + s["part_deflect"] + 0.5 * s["gib_play_z"]


@reading("twist")
def twist(s: Scene, _over: float) -> Number:
    """Front left and back right high: clamps that pulled them down leave them high on release."""
    return s["clamp_bend"] + s.size("slack_either_way") * s["stress_bow"]


# --- spindle, slides and vise ------------------------------------------------------------------------


@reading("sweep_x")
def sweep_x(s: Scene, over: float) -> Number:
    """Cutter plane at the right minus the left, over the circle's diameter."""
    return over * s.t_x + s.size("slack_either_way") * s["gib_play_z"] + s["indicator_error"]


@reading("sweep_y")
def sweep_y(s: Scene, over: float) -> Number:
    """Cutter plane at the back minus the front, over the circle's diameter."""
    return over * s.t_y + s.size("slack_either_way") * s["gib_play_z"] + s["indicator_error"]


@reading("sweep_shift_x")
def sweep_shift_x(s: Scene, over: float) -> Number:
    """Change between two sweeps, side to side."""
    return over * s["adjustment_creep"] + s.size("slack_either_way") * s["gib_play_z"]


@reading("sweep_shift_y")
def sweep_shift_y(s: Scene, over: float) -> Number:
    """Change between two sweeps, front to back; the head may creep either way there."""
    creep = s.size("slack_either_way") * s["adjustment_creep"]
    return over * creep + s.size("slack_either_way") * s["gib_play_z"]


@reading("lock_shift")
def lock_shift(s: Scene, _over: float) -> Number:
    """Movement when a slide is locked."""
    return s["gib_play_z"]


@reading("square_travel_x")
def square_travel_x(s: Scene, over: float) -> Number:
    """Drift to the right along a standing square."""
    return over * (s.v_x + s.size("square_either_way") * s["square_error"])


@reading("square_travel_y")
def square_travel_y(s: Scene, over: float) -> Number:
    """Drift to the back along a standing square."""
    return over * (s.v_y + s.size("square_either_way") * s["square_error"])


@reading("table_run_x")
def table_run_x(s: Scene, over: float) -> Number:
    """Surface met at the right end minus the left."""
    return -over * s["table_slope"] + s["indicator_error"]


@reading("table_run_y")
def table_run_y(s: Scene, over: float) -> Number:
    """Surface met at the back end minus the front."""
    return -over * s["saddle_slope"] + s["indicator_error"]


@reading("vise_bed_x")
def vise_bed_x(s: Scene, over: float) -> Number:
    """The vise bed under a still indicator, right minus left."""
    return over * (s["bed_tilt_x"] - s["table_slope"])


@reading("vise_bed_y")
def vise_bed_y(s: Scene, over: float) -> Number:
    """The vise bed under a still indicator, back minus front."""
    return over * (s["bed_tilt_y"] - s["saddle_slope"])


@reading("fixed_jaw_travel")
def fixed_jaw_travel(s: Scene, over: float) -> Number:
    """Indicator up the fixed jaw: jaw, bed and vertical travel together."""
    return over * (s.jaw - s["bed_tilt_y"] - s.v_y)


@reading("fixed_jaw_square")
def fixed_jaw_square(s: Scene, over: float) -> Number:
    """A square on the vise bed against the fixed jaw."""
    return over * (s.jaw + s["square_error"])


@reading("jaw_run")
def jaw_run(s: Scene, over: float) -> Number:
    """Indicator along the fixed jaw."""
    return over * s["vise_skew"]


@reading("axes_square")
def axes_square(s: Scene, over: float) -> Number:
    """The Y travel along a square set to the X travel, plus: going back drifts right."""
    return over * (s["axis_skew"] + s.size("square_either_way") * s["square_error"])


@reading("parallels_height")
def parallels_height(s: Scene, _over: float) -> Number:
    """Height of the front parallel over the back one."""
    return s["parallels_uneven"]


@reading("push_pull_x")
def push_pull_x(s: Scene, _over: float) -> Number:
    """Play of the table."""
    return s["gib_play_x"]


@reading("push_pull_y")
def push_pull_y(s: Scene, _over: float) -> Number:
    """Play of the saddle."""
    return s["gib_play_y"]


@reading("push_pull_z")
def push_pull_z(s: Scene, _over: float) -> Number:
    """Play of head, quill or knee."""
    return s["gib_play_z"]


@reading("backlash_check_x")
def backlash_check_x(s: Scene, _over: float) -> Number:
    """Lost motion of the X screw."""
    return s["backlash_x"]


@reading("backlash_check_y")
def backlash_check_y(s: Scene, _over: float) -> Number:
    """Lost motion of the Y screw."""
    return s["backlash_y"]


@reading("backlash_check_z")
def backlash_check_z(s: Scene, _over: float) -> Number:
    """Lost motion of the vertical screw."""
    return s["backlash_z"]


@reading("spindle_push_pull")
def spindle_push_pull(s: Scene, _over: float) -> Number:
    """Play of the spindle."""
    return s["spindle_play"]


@reading("runout")
def runout(s: Scene, _over: float) -> Number:
    """Total indicator reading at taper or tool."""
    return s["uneven_teeth"] + s["spindle_play"]


# --- grip --------------------------------------------------------------------------------------------


@reading("clamp_rise", "clamp_rise_plain")
def clamp_rise(s: Scene, _over: float) -> Number:
    """Rise of the front top edge while tightening; without the bar it has its own setup and instances."""
    return s.push + s["wall_squeeze"] + s.flex * s.size("part_depth")


@reading("clamp_wall")
def clamp_wall(s: Scene, _over: float) -> Number:
    """Movement of a wall of the part while tightening, in proportion to the squeeze."""
    return s.size("wall_share") * s["wall_squeeze"]


@reading("clamp_jaw_flex")
def clamp_jaw_flex(s: Scene, over: float) -> Number:
    """The fixed jaw moving back while tightening, at height `over`."""
    return over * s["fixed_jaw_flex"]


@reading("release_change")
def release_change(s: Scene, _over: float) -> Number:
    """Fall of the front edge against the back edge when the vise is opened."""
    return s["wall_squeeze"] + s.push + s.flex * s.size("part_depth")


@reading("release_bow")
def release_bow(s: Scene, _over: float) -> Number:
    """Rise of the middle when the vise is opened: a squeezed face falls, a stressed one may rise."""
    return s["stress_bow"] - s.size("squeeze_share") * s["wall_squeeze"]


@reading("block_out_of_square")
def block_out_of_square(s: Scene, over: float) -> Number:
    """A trusted block gripped the same way, indicator up it: its own roll, true and rigid as it is."""
    none = 0.0 * s.t_x
    block = replace(
        s,
        facts={**s.facts, "part_depth": s.facts["block_depth"], "taper_share": 0.0},
        sources={**s.sources, "reference_rock": none, "blank_taper": none},
    )
    return over * (block.roll - s.v_y) + s["indicator_error"]


# --- part, tool and gauge ----------------------------------------------------------------------------


@reading("blank_thickness")
def blank_thickness(s: Scene, over: float) -> Number:
    """Caliper across the grip, top minus bottom."""
    return over * s["blank_taper"]


@reading("square_flip")
def square_flip(s: Scene, over: float) -> Number:
    """The square against itself turned round: twice its own error."""
    return 2.0 * over * s["square_error"]


@reading("cooled_change")
def cooled_change(s: Scene, _over: float) -> Number:
    """Change of the complaint on cooling: what the heat had added goes."""
    return -s["heat_growth"]


@reading("holder_mark")
def holder_mark(s: Scene, _over: float) -> Number:
    """Stick-out measured against a witness line."""
    return s["tool_pullout"]


# --- quantities that only signs speak of -------------------------------------------------------------


@reading("heel")
def heel(s: Scene, _over: float) -> Number:
    """How far the trailing edge stands low over the cutter's diameter when feeding right (back), mm."""
    return s.tilts(s.facts["feed_axis"])[0] * s.size("cutter_diameter")


@reading("seat_gap")
def seat_gap(s: Scene, _over: float) -> Number:
    """How far the part stands off the fixed jaw at the top of the jaw, mm."""
    taper = s.size("taper_share") * s["blank_taper"] * s.size("grip_height")
    return s["chip_behind_jaw"] + s["reference_rock"] + taper


@reading("bed_gap")
def bed_gap(s: Scene, _over: float) -> Number:
    """How far the part stands off the bed or the front parallel, mm."""
    lifted = s.size("part_depth") * (s.jaw_roll + s["bed_tilt_y"])
    share = s.size("seat_share")
    return share * lifted + (1.0 - share) * (s["chip_under_part"] + s.push)
