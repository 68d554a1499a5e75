"""What really happens in a simulated shop: what a cut leaves, what a needle reads, what a person sees.

Written from the geometry itself and not from the linearised model that belief uses: the face is the surface
that the rim of the cutter leaves, a part seats on the jaw or on the bed and on nothing between, a share that
nobody knows is drawn once and stays, and heights turn into angles by their arc tangents. mm and rad.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from math import atan, tan
from typing import Any

import numpy as np

from askew.engine.physics.surface import FaceCut, FaceReadings, simulate_face
from askew.engine.setup import Setup
from askew.knowledge.load import load

Rng = np.random.Generator


def draw_luck(rng: Rng) -> dict[str, float]:
    """Return what nobody in the shop knows and nothing in the setup says; it stays until the part is gripped again."""
    return {
        "seat": float(rng.random()),
        "taper": float(rng.random()),
        "squeeze_across": float(rng.uniform(0.2, 1.0)),
        "squeeze_along": float(rng.uniform(-0.2, 0.8)),
        "wall": float(rng.uniform(0.1, 1.1)),
        "bow_along": float(rng.uniform(-0.2, 1.4)),
        "conventional": float(rng.uniform(-1.0, 0.5)),
        "square_way": float(rng.choice([-1.0, 1.0])),
        "slack": float(rng.uniform(-0.85, 0.85)),
    }


@dataclass(frozen=True)
class Moment:
    """Machine, vise, part and tool at a moment.

    Attributes:
        setup: The job as it really is; nothing unknown that matters.
        sizes: Size of every source, mm or rad.
        luck: See `draw_luck`.
        first_complaint: Reading on which something unlisted shows, or None after a new cut.
    """

    setup: Setup
    sizes: Mapping[str, float]
    luck: Mapping[str, float]
    first_complaint: str | None = None

    def __getitem__(self, source: str) -> float:
        """Return the size of a source."""
        return self.sizes[source]

    # --- slopes ----------------------------------------------------------------------------------------

    @property
    def plane_right(self) -> float:
        """Slope of the cutter plane against the table, rising right."""
        return tan(self["tram"]) - tan(self["lean_side"])

    @property
    def plane_back(self) -> float:
        """Slope of the cutter plane against the table, rising back."""
        return tan(self["nod"]) - tan(self["lean_fore"])

    @property
    def travel_right(self) -> float:
        """Lean of the vertical travel in use, top right."""
        return -self.plane_right if self.setup.vertical_travel == "quill" else self["lean_side"]

    @property
    def travel_back(self) -> float:
        """Lean of the vertical travel in use, top back."""
        return -self.plane_back if self.setup.vertical_travel == "quill" else self["lean_fore"]

    # --- grip ------------------------------------------------------------------------------------------

    @property
    def depth(self) -> float:
        """Size of the part front to back, between the jaws."""
        s = self.setup
        return float((s.part_across if s.feed_axis == "x" else s.part_along) or 60.0)

    def on_jaw(self, depth: float) -> bool:
        """Say whether a part of that depth follows the fixed jaw: surely from half its depth, never below a fifth."""
        ratio = float(self.setup.grip_height or 28.0) / depth
        return self.luck["seat"] < min(max((ratio - 0.2) / 0.3, 0.0), 1.0)

    @property
    def lift(self) -> float:
        """Rise of the front edge that the vise and the push make."""
        pushed = self["off_centre_push"] if self.setup.moving_jaw_contact != "plain" else 0.0
        return self["jaw_lift"] + pushed

    @property
    def jaw(self) -> float:
        """Lean of the fixed jaw, from the square of the bed."""
        return self["fixed_jaw_lean"] + self["jaw_plate_seat"]

    def roll(self, depth: float, taper: float, rock: float) -> float:
        """Return how far a gripped part is turned about X, front up.

        Args:
            depth: Its depth between the jaws.
            taper: Its own taper; rock: how its reference face stands off.
        """
        lifted = atan(self.lift / depth)
        if self.on_jaw(depth):
            share = 0.0 if self.setup.moving_jaw_contact in ("bar", "ball") else self.luck["taper"]
            stood_off = atan((self["chip_behind_jaw"] + rock) / float(self.setup.grip_height or 28.0))
            return self.jaw + self["fixed_jaw_flex"] - self["bed_tilt_y"] + lifted + stood_off + share * taper
        spacing = float(self.setup.value("parallel_spacing") or 0.7 * depth)
        under = atan(self["chip_under_part"] / depth) + atan(self["parallels_uneven"] / spacing)
        return -self["bed_tilt_y"] + lifted + under

    @property
    def part_roll(self) -> float:
        """Roll of the part."""
        return self.roll(self.depth, self["blank_taper"], self["reference_rock"])

    # --- cut -------------------------------------------------------------------------------------------

    @cached_property
    def face(self) -> FaceReadings:
        """What the cut left, before grip and material had their say."""
        s = self.setup
        deeper = self["tool_pullout"] + self["spindle_growth"] + self["part_slip"]
        many = (s.passes or 1) > 1
        cut = FaceCut(
            diameter=float(s.cutter_diameter or 60.0),
            across=float(s.part_across or 60.0),
            along=float(s.part_along or 90.0),
            passes=s.passes or 1,
            spacing=float(s.pass_spacing or 0.0),
            offset=float(s.cutter_offset or 0.0),
            overrun=s.overrun is not False,
            feed_axis="y" if s.feed_axis == "y" else "x",
            feed_sense="both",
            order=_order(s),
            tilt_x=_bounded(self.plane_right),
            tilt_y=_bounded(self.plane_back),
            slide_x=_bounded(self["table_slope"]),
            slide_y=_bounded(self["saddle_slope"]),
            droop=self["table_droop"],
            travel=load().machines[s.machine or "knee_mill"].travel_x,
            rise=-deeper if many else 0.0,
            once=abs(self["part_slip"]) > 0.5 * abs(deeper),
        )
        return simulate_face(cut, nx=3, ny=3).readings

    @property
    def tip(self) -> float:
        """Tilt of the cut face against the square of the reference face, back up."""
        return self.part_roll + atan(self["wall_squeeze"] / self.depth) + self.face.slope_back


def _order(setup: Setup) -> Any:
    usual = "front_to_back" if setup.feed_axis != "y" else "left_to_right"
    order = setup.pass_order or usual
    along_y = order in ("left_to_right", "right_to_left")
    return order if along_y == (setup.feed_axis == "y") else usual


def _bounded(slope: float) -> float:
    return float(np.clip(slope, -0.09, 0.09))


def measure(reading: str, at: Moment, over: float | None = None) -> float:
    """Return what a perfect instrument would read, mm.

    Args:
        reading: Reading id.
        at: The moment it speaks of.
        over: Length it is taken over, mm; None: the one it is defined over here.
    """
    kind = load().readings[reading]
    length = over if over is not None else float(at.setup.value(kind.over)) if kind.over else 1.0
    value = _MEASURE[reading](at, length)
    if at.first_complaint == reading:
        value += at["unlisted"]
    if at.first_complaint == "face_out_of_square" and reading == "other_corner":
        value -= at["unlisted"]
    return abs(value) if kind.size_only else value


def _face_square(m: Moment, h: float) -> float:
    return h * (m["square_error"] - tan(m.tip)) + m["dirt_at_check"] + m["heat_growth"] + m["indicator_error"]


def _other_corner(m: Moment, h: float) -> float:
    return h * (tan(m.tip) - m["blank_taper"] + m["square_error"]) + m["dirt_at_check"]


def _thickness(m: Moment, length: float, to_back: bool) -> float:
    slope = tan(m.tip) if to_back else m.face.slope_right - m["bed_tilt_x"]
    return length * slope + m["heat_growth"]


def _hollow(m: Moment, across: bool) -> float:
    if across:
        bent = m.luck["squeeze_across"] * m["wall_squeeze"] - m["stress_bow"] - m["part_deflect"]
        return m.face.hollow_across + bent
    bow = m.luck["bow_along"] * (m["stress_bow"] + m["part_deflect"])
    return m.face.hollow_along + m.luck["squeeze_along"] * m["wall_squeeze"] - bow


def _step(m: Moment, other_way: bool = False) -> float:
    moved = m.luck["slack"] * (m["gib_play_z"] + m["stress_bow"])
    if other_way:
        moved += m.luck["slack"] * (m["backlash_z"] + m[f"backlash_{m.setup.feed_axis}"])
    return m.face.step + moved if m.face.step or moved else 0.0


def _wall(m: Moment, height: float) -> float:
    side = m.setup.wall_side or "front"
    lean = m.plane_back + m.part_roll if side in ("front", "back") else m.plane_right - m["bed_tilt_x"]
    outward = -1.0 if side in ("front", "left") else 1.0
    bend = m.luck["conventional"] if m.setup.milling_sense == "conventional" else 1.0
    return height * outward * lean + bend * m["cutter_bend"] + m["dull_edge"]


def _hole(m: Moment, depth: float, back: bool) -> float:
    lean = m.travel_back - m.part_roll if back else m.travel_right + m["bed_tilt_x"]
    return depth * tan(lean) + (m["drill_wander"] if m.setup.hole_made_by in (None, "drilled") else 0.0)


def _block(m: Moment, z: float) -> float:
    return z * (m.roll(float(m.setup.block_depth or 50.0), 0.0, 0.0) - m.travel_back) + m["indicator_error"]


def _rise(m: Moment, _: float) -> float:
    leaned = m["fixed_jaw_flex"] * m.depth if m.on_jaw(m.depth) else 0.0
    return m.lift + m["wall_squeeze"] + leaned


def _sweep(m: Moment, span: float, slope: float) -> float:
    return span * slope + m.luck["slack"] * m["gib_play_z"] + m["indicator_error"]


_MEASURE: Mapping[str, Callable[[Moment, float], float]] = {
    "face_out_of_square": _face_square,
    "turned_error": _face_square,
    "fine_cutter_error": _face_square,
    "other_corner": _other_corner,
    "face_out_of_square_clamped": lambda m, z: z * (m.part_roll - m.travel_back) + m["indicator_error"],
    "face_out_of_parallel_across": lambda m, w: _thickness(m, w, m.setup.feed_axis != "y"),
    "face_out_of_parallel_along": lambda m, w: _thickness(m, w, m.setup.feed_axis == "y"),
    "hollow_across": lambda m, _: _hollow(m, across=True),
    "hollow_along": lambda m, _: _hollow(m, across=False),
    "ridge": lambda m, _: m.face.ridge,
    "step": lambda m, _: _step(m),
    "reversed_step": lambda m, _: _step(m, other_way=True),
    "cross_feed_hollow": lambda m, _: _hollow(m, across=True),
    "cross_feed_step": lambda m, _: _step(m),
    "depth_drift": lambda m, _: m["tool_pullout"] + m["spindle_growth"] + m["part_slip"],
    "wall_taper": _wall,
    "hole_lean_x": lambda m, d: _hole(m, d, back=False),
    "hole_lean_y": lambda m, d: _hole(m, d, back=True),
    "end_out_of_square_plan": lambda m, d: (
        d * (m["vise_skew"] - m["axis_skew"] + m["square_error"]) + m["dirt_at_check"]
    ),
    "spring_pass": lambda m, _: m["cutter_bend"] + m["dull_edge"] + m["part_deflect"] + 0.5 * m["gib_play_z"],
    "twist": lambda m, _: m["clamp_bend"] + m.luck["slack"] * m["stress_bow"],
    "sweep_x": lambda m, s: _sweep(m, s, m.plane_right),
    "sweep_y": lambda m, s: _sweep(m, s, m.plane_back),
    "sweep_shift_x": lambda m, s: s * m["adjustment_creep"] + m.luck["slack"] * m["gib_play_z"],
    "sweep_shift_y": lambda m, s: m.luck["slack"] * (s * m["adjustment_creep"] + m["gib_play_z"]),
    "lock_shift": lambda m, _: m["gib_play_z"],
    "square_travel_x": lambda m, z: z * (m.travel_right + m.luck["square_way"] * m["square_error"]),
    "square_travel_y": lambda m, z: z * (m.travel_back + m.luck["square_way"] * m["square_error"]),
    "table_run_x": lambda m, d: -d * m["table_slope"] + m["indicator_error"],
    "table_run_y": lambda m, d: -d * m["saddle_slope"] + m["indicator_error"],
    "vise_bed_x": lambda m, d: d * (m["bed_tilt_x"] - m["table_slope"]),
    "vise_bed_y": lambda m, d: d * (m["bed_tilt_y"] - m["saddle_slope"]),
    "fixed_jaw_travel": lambda m, z: z * (m.jaw - m["bed_tilt_y"] - m.travel_back),
    "fixed_jaw_square": lambda m, z: z * (m.jaw + m["square_error"]),
    "jaw_run": lambda m, d: d * m["vise_skew"],
    "axes_square": lambda m, d: d * (m["axis_skew"] + m.luck["square_way"] * m["square_error"]),
    "parallels_height": lambda m, _: m["parallels_uneven"],
    "push_pull_x": lambda m, _: m["gib_play_x"],
    "push_pull_y": lambda m, _: m["gib_play_y"],
    "push_pull_z": lambda m, _: m["gib_play_z"],
    "backlash_check_x": lambda m, _: m["backlash_x"],
    "backlash_check_y": lambda m, _: m["backlash_y"],
    "backlash_check_z": lambda m, _: m["backlash_z"],
    "spindle_push_pull": lambda m, _: m["spindle_play"],
    "runout": lambda m, _: m["uneven_teeth"] + m["spindle_play"],
    "clamp_rise": _rise,
    "clamp_rise_plain": _rise,
    "clamp_wall": lambda m, _: m.luck["wall"] * m["wall_squeeze"],
    "clamp_jaw_flex": lambda m, z: z * m["fixed_jaw_flex"],
    "release_change": _rise,
    "release_bow": lambda m, _: m["stress_bow"] - m.luck["squeeze_across"] * m["wall_squeeze"],
    "block_out_of_square": _block,
    "blank_thickness": lambda m, h: h * m["blank_taper"],
    "square_flip": lambda m, b: 2.0 * b * m["square_error"],
    "cooled_change": lambda m, _: -m["heat_growth"],
    "holder_mark": lambda m, _: m["tool_pullout"],
}


def gaps(at: Moment) -> tuple[float, float]:
    """Return how far the part stands off the fixed jaw at the top, and off the bed at the front, mm."""
    share = 0.0 if at.setup.moving_jaw_contact in ("bar", "ball") else at.luck["taper"]
    grip = float(at.setup.grip_height or 28.0)
    top = at["chip_behind_jaw"] + at["reference_rock"] + share * at["blank_taper"] * grip
    if at.on_jaw(at.depth):
        return top, at.depth * (at.part_roll + at["bed_tilt_y"])
    return top, at["chip_under_part"] + at.lift


def measured_now(cut: Moment, now: Moment) -> Moment:
    """Return the moment that a reading of the cut speaks of: the cut's own, measured as things are now."""
    known = load().sources
    measuring = {id_ for id_, source in known.items() if source.group == "measuring"} | {"heat_growth"}
    return replace(cut, sizes={**cut.sizes, **{id_: now.sizes[id_] for id_ in measuring}})
