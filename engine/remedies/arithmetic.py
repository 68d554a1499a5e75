"""The reckoning behind each `arithmetic` that the remedies of the knowledge base name.

One short function a name: from what is known of the case to a worked `Fix`. What the person has not told
(where the head pivots, how far the bolts are from the hinge) is taken at a usual value, and said.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from askew.engine.physics.frame import Frame
from askew.engine.physics.workholding import Contact
from askew.engine.remedies.draws import Samples, usual
from askew.engine.remedies.head_need import Axis, Need, head_need
from askew.engine.remedies.hollow_work import hollow_work
from askew.engine.remedies.measuring_fixes import cooling_wait, cosine, square_reversal
from askew.engine.remedies.plan import Tolerances, plan
from askew.engine.remedies.plan_words import asked_line, plan_lines, plan_parts
from askew.engine.remedies.result import Cost, Fix
from askew.engine.remedies.settle import (
    how_warm,
    lighter_cut,
    relieve_stress,
    shorten_cutter,
    swing_vise,
    take_up_slack,
    warm_spindle,
)
from askew.engine.remedies.shims import PLACES, shim
from askew.engine.remedies.slip import (
    HELD_DEPTH,
    cutting_force,
    margin,
    material_of,
    usual_force,
    usual_screw,
)
from askew.engine.remedies.squaring_block import Block, squaring_block
from askew.engine.remedies.tram import Head, Round, tram
from askew.engine.remedies.ways import Tool, tools_on_hand
from askew.engine.remedies.workholding import Cause, clamp_force, jaw_lift
from askew.engine.setup import Setup, machine_of, resolve
from askew.engine.units import Habit, format_length, format_span

# Where a head turns and where a joint hinges when nobody says, mm (common practice, no source).
TRAM_ARM = {"bench_mill": 120.0, "knee_mill": 200.0, "bed_mill": 250.0}
NOD_ARM = {"bench_mill": 150.0, "knee_mill": 250.0, "bed_mill": 300.0}
NOD_PIVOT = {"bench_mill": 180.0, "knee_mill": 220.0, "bed_mill": 350.0}
HINGE = {"head": 180.0, "column": 240.0, "vise": 140.0}
_USUAL_DRAWS = 400
_TALK_DRAWS = 200


@dataclass(frozen=True, slots=True)
class Case:
    """What the arithmetic of a remedy has to go on.

    Attributes:
        source: The cause, a source id.
        mid: Its size, mm or rad.
        setup: The setup in force.
        habit: The person's unit.
        samples: Draws of every source as now believed, or None.
        rounds: Rounds of adjusting the head made so far.
        holds: What of the face is to be held: squareness, flatness, parallelism or step.
    """

    source: str
    mid: float
    setup: Setup
    habit: Habit
    samples: Samples | None
    rounds: Sequence[Round]
    holds: str = "squareness"

    @property
    def facts(self) -> Mapping[str, Any]:
        """Every fact of the setup, gaps filled."""
        return resolve(self.setup)

    @property
    def tolerance(self) -> float:
        """How far out the part may be, mm."""
        return float(self.facts["tolerance"])

    def draws(self) -> Samples:
        """Return what is believed, or a usual machine and grip where there is no belief."""
        return self.samples if self.samples is not None else usual(_USUAL_DRAWS, self.setup)

    def contact(self) -> Contact:
        """Return what is at the moving jaw."""
        return self.facts["moving_jaw_contact"]  # type: ignore[no-any-return]

    def tool(self, depth: float = HELD_DEPTH) -> Tool:
        """Return the cutter in use, at a depth of cut, mm."""
        kind = self.facts["cutter_kind"]
        known = kind if kind in ("end_mill", "face_mill", "shell_mill", "fly_cutter") else "end_mill"
        return Tool(self.facts["cutter_diameter"], known, depth=depth)


def handy(mm: float, habit: Habit) -> float:
    """Return a length that nobody told as an inch person would: whole inches, below 4 quarters, below 1 eighths."""
    if habit != "in":
        return mm
    step = 25.4 * (1.0 if mm > 3.75 * 25.4 else 0.25 if mm >= 25.4 else 0.125)
    return max(round(mm / step), 1) * step


def plain(case: Case) -> Fix:
    """No arithmetic: the steps of the remedy stand as they are."""
    del case
    return Fix("", (), Cost(0.0))


def _tram(case: Case) -> Fix:
    machine = machine_of(case.setup)
    return _head(case, "x", Head(handy(TRAM_ARM[machine], case.habit), 0.0))


def _nod(case: Case) -> Fix:
    machine = machine_of(case.setup)
    return _head(case, "y", Head(handy(NOD_ARM[machine], case.habit), handy(NOD_PIVOT[machine], case.habit)))


def _head(case: Case, axis: Axis, head: Head) -> Fix:
    sweep = case.facts["sweep_diameter"]
    slide = {"x": "table_slope", "y": "saddle_slope"}[axis]
    goal = float(np.median(case.samples[slide])) if case.samples is not None else 0.0
    rounds = list(case.rounds)
    if case.source == "adjustment_creep" and not rounds:
        rounds = [Round(0.0, case.mid * sweep)]
    need = head_need(
        axis, case.setup, squareness=case.tolerance, flatness=case.tolerance, step=case.tolerance
    )
    if case.source == "adjustment_creep":
        # A head that moves is the trouble, whatever the part allows: leave a third of the move at most.
        need = Need(min(need.slope, max(abs(case.mid), 1e-6) / 3.0), need.limits)
        reading = case.mid * sweep
    else:
        reading = _sweep(case, axis, sweep, goal)
    fix = tram(axis, reading, sweep, need=need, rounds=rounds, head=head, goal=goal, habit=case.habit)
    where = (
        f"Tapped {format_span(head.arm, case.habit)} above the pivot"
        + (f", which lies {format_span(head.pivot, case.habit)} behind the spindle" if head.pivot else "")
        + f", swept over {format_span(sweep, case.habit)}. Movements scale with the distance."
    )
    return _taking(fix, where)


def _sweep(case: Case, axis: Axis, sweep: float, goal: float) -> float:
    """Return what a sweep would read now, mm: from the draws, else from the one source."""
    if case.samples is None:
        return (case.mid + goal) * sweep
    lean = {"x": "lean_side", "y": "lean_fore"}[axis]
    tilt = {"x": "tram", "y": "nod"}[axis]
    return float(np.median(case.samples[tilt] - case.samples[lean])) * sweep


def _shim(case: Case) -> Fix:
    if case.source == "vise_skew":
        return swing_vise(case.mid, case.facts["jaw_width"], habit=case.habit)
    place = PLACES.get(case.source)
    if place is None:
        return plain(case)
    distance = 0.7 * case.facts["jaw_height"] if place.joint == "jaw" else handy(HINGE[place.joint], case.habit)
    over = {"head": "sweep_diameter", "column": "travel", "vise": "bed_length", "jaw": "jaw_height"}[
        place.joint
    ]
    fix = shim(
        case.source, case.mid, distance, over=case.facts[over], on_hand=case.setup.leaves or None, habit=case.habit
    )
    where = (
        f"{format_span(distance, case.habit)} from the shim to the far edge of the joint. "
        "Thickness scales with it."
    )
    return _taking(fix, where)


def _clamp_force(case: Case) -> Fix:
    cutting = cutting_force(case.tool(), case.setup)
    now = usual_force(case.setup)
    return clamp_force(cutting, usual_screw(case.setup), contact=case.contact(), now=now, habit=case.habit)


def _jaw_lift(case: Case) -> Fix:
    depth = case.facts["part_depth"]
    causes: dict[str, tuple[Cause, float]] = {
        "jaw_lift": ("jaw_lift", case.mid),
        "off_centre_push": ("off_centre_push", case.mid),
        "blank_taper": ("blank_taper", 0.5 * case.mid * depth),
        "fixed_jaw_flex": ("fixed_jaw_flex", case.mid * depth),
    }
    if case.source not in causes:
        return plain(case)
    cause, rise = causes[case.source]
    hold = margin(usual_force(case.setup), cutting_force(case.tool(), case.setup), case.contact())
    return jaw_lift(
        cause,
        rise,
        depth,
        case.facts["part_height"],
        contact=case.contact(),
        margin_now=hold,
        habit=case.habit,
    )


def _hollow_work(case: Case) -> Fix:
    cutting = cutting_force(case.tool(), case.setup)
    now, screw, made_of = usual_force(case.setup), usual_screw(case.setup), material_of(case.setup)
    wall = case.facts["wall"]
    if not wall:
        # The section is not known, but a squeeze grows in proportion to the force that made it.
        bears = now * min(0.5 * case.tolerance / max(abs(case.mid), 1e-9), 1.0)
        fix = clamp_force(cutting, screw, contact=case.contact(), now=now, allowed=bears, habit=case.habit)
        what = "The part is solid" if wall == 0 else "The wall is not known"
        told = f"{what}: the allowed force is in proportion to the squeeze that was seen."
        return _taking(fix, told)
    along = case.facts["part_along" if case.facts["feed_axis"] == "x" else "part_across"]
    frame = Frame.from_outside(
        case.facts["part_depth"], case.facts["part_height"], wall, along, made_of.modulus, made_of.poisson
    )
    return hollow_work(
        frame, case.tolerance, cutting, screw, contact=case.contact(), now=now, habit=case.habit
    )


def _square_reversal(case: Case) -> Fix:
    over = case.facts["square_blade"]
    return square_reversal(case.mid * over, case.mid * over, over, habit=case.habit)


def _cosine(case: Case) -> Fix:
    fixes = [cosine(1.0, degrees, habit=case.habit) for degrees in (10.0, 30.0, 60.0)]
    table = ", ".join(
        f"{degrees} deg {fix.numbers['factor']:.2f}" for degrees, fix in zip((10, 30, 60), fixes, strict=True)
    )
    return Fix(
        "set the indicator properly",
        (
            f"Multiply what a lever reads by the cosine of its finger's angle to the surface: {table}.",
            *fixes[0].steps[1:],
        ),
        Cost(4.0),
        {f"factor_{d}": f.numbers["factor"] for d, f in zip((10, 30, 60), fixes, strict=True)},
        shows=(
            f"The readings should then repeat; {format_length(abs(case.mid), case.habit)} was laid to it.",
        ),
    )  # fmt: skip


def _cooling(case: Case) -> Fix:
    if case.source == "spindle_growth":
        return warm_spindle(case.mid, case.tolerance, habit=case.habit)
    made_of, facts = material_of(case.setup), case.facts
    sides = (facts["part_across"], facts["part_along"], facts["part_height"])
    warmer = max(how_warm(case.mid, made_of.expansion, max(sides)), 2.0)
    return cooling_wait(made_of, sides, warmer=warmer, tolerance=case.tolerance, habit=case.habit)


def _squaring_block(case: Case) -> Fix:
    facts = case.facts
    thickness, width, length = sorted((facts["part_across"], facts["part_along"], facts["part_height"]))
    return squaring_block(
        Block(thickness, width, length), case.draws(), case.setup, tolerance=case.tolerance, habit=case.habit
    )


def _plan(case: Case) -> Fix:
    facts = case.facts
    if case.source in ("backlash_x", "backlash_y", "backlash_z"):
        return take_up_slack(case.mid, case.source[-1], habit=case.habit)
    if case.source == "cutter_bend":
        return shorten_cutter(case.mid, facts["cutter_stickout"], case.tolerance, habit=case.habit)
    if case.source == "part_deflect":
        return lighter_cut(case.mid, case.tolerance, habit=case.habit)
    if case.source == "axis_skew":
        # A jaw set off by the same slope makes the ends square; the sides then follow the jaw.
        return swing_vise(-case.mid, facts["jaw_width"], habit=case.habit)
    tools = tools_on_hand(case.setup) or _usual_tools(case)
    # A talk cannot wait a second: fewer draws, and the corrections are left to the command.
    draws = {source: values[:_TALK_DRAWS] for source, values in case.draws().items()}
    answer = plan(
        draws,
        case.setup,
        Tolerances(**{case.holds: case.tolerance}),
        tools,
        faces=("one",),
        corrections=False,
        most=3,
    )
    best = answer.holding[0] if answer.holding else answer.nearest
    return Fix(
        "cut it within tolerance as the machine stands",
        plan_lines(answer, case.habit, corrections=False),
        Cost(best.minutes, "", ("grip", "cutter")),
        {"minutes": best.minutes, "together": best.together},
        parts=plan_parts(answer, case.habit, corrections=False),
        assumed=(asked_line(answer, case.habit),),
    )


def _usual_tools(case: Case) -> list[Tool]:
    """Return the cutter in use, a small end mill and one twice as large."""
    small = Tool(case.facts["small_cutter_diameter"], "end_mill")
    return list(dict.fromkeys((case.tool(0.25), small, Tool(2.0 * small.diameter, "end_mill"))))


def _stress(case: Case) -> Fix:
    return relieve_stress(case.mid, 2.0, 0.25, habit=case.habit)


def _taking(fix: Fix, assumed: str) -> Fix:
    """Return a fix with a sentence on what nobody told."""
    return replace(fix, assumed=(*fix.assumed, assumed))


ARITHMETIC: Mapping[str, Callable[[Case], Fix]] = {
    "none": plain,
    "tram": _tram,
    "nod": _nod,
    "shim": _shim,
    "clamp_force": _clamp_force,
    "jaw_lift": _jaw_lift,
    "hollow_work": _hollow_work,
    "square_reversal": _square_reversal,
    "cosine": _cosine,
    "cooling": _cooling,
    "squaring_block": _squaring_block,
    "plan": _plan,
    "stress": _stress,
}
"""The reckoning behind each `arithmetic` of the knowledge base."""
