"""Shimming a joint: how thick, under which edge, and what it costs.

A joint with a shim under its bolt line turns about its far edge. Source: a wedge; thickness = slope times the
distance from the shim to that edge (small slopes).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from askew.engine.remedies.leaves import METRIC_SET, MOST_LEAVES, THOU_SET, Stack, choose_leaves
from askew.engine.remedies.result import Cost, Disturbed, Expect, Fix, RemedyError, angle, finite, positive
from askew.engine.units import Habit, format_length, format_slope, format_span
from askew.knowledge.load import load

Joint = Literal["head", "column", "vise", "jaw"]

# Below this a shim costs more stiffness than it gives truth (common practice, no source).
NOT_WORTH = 0.03 / 300.0
_FEW_LEAVES = 2


@dataclass(frozen=True, slots=True)
class Place:
    """Where a shim for one source goes.

    Attributes:
        joint: The joint that is opened.
        plus: The edge to shim when the source is plus.
        minus: The edge to shim when it is minus.
        minutes: Time at the machine (common practice, no source).
        disturbs: What is void afterwards.
    """

    joint: Joint
    plus: str
    minus: str
    minutes: float
    disturbs: tuple[Disturbed, ...]


# A column that leans back is lifted at the back; a head whose nose points back is pushed out at the bottom.
PLACES: Mapping[str, Place] = {
    "nod": Place("head", "bottom bolts of the head joint", "top bolts of the head joint", 60, ("head",)),
    "lean_fore": Place("column", "back bolts of the column", "front bolts of the column", 120,
                       ("column", "head")),
    "lean_side": Place("column", "right bolts of the column", "left bolts of the column", 120,
                       ("column", "head")),
    "bed_tilt_y": Place("vise", "front edge of the vise", "back edge of the vise", 25, ("vise", "grip")),
    "bed_tilt_x": Place("vise", "left end of the vise", "right end of the vise", 25, ("vise", "grip")),
    "fixed_jaw_lean": Place("jaw", "top of the fixed jaw plate, behind it",
                            "bottom of the fixed jaw plate, behind it", 15, ("vise", "grip")),
    "jaw_plate_seat": Place("jaw", "top of the fixed jaw plate, behind it",
                            "bottom of the fixed jaw plate, behind it", 15, ("vise", "grip")),
}  # fmt: skip
_READINGS = {
    "nod": "sweep_y", "lean_fore": "square_travel_y", "lean_side": "square_travel_x",
    "bed_tilt_y": "vise_bed_y", "bed_tilt_x": "vise_bed_x",
    "fixed_jaw_lean": "fixed_jaw_square", "jaw_plate_seat": "fixed_jaw_square",
}  # fmt: skip
_CAUTIONS: Mapping[Joint, tuple[str, ...]] = {
    "head": ("isolate_power", "support_head", "heavy_lift"),
    "column": ("isolate_power", "block_head_first", "heavy_lift", "qualified_person"),
    "vise": ("heavy_lift",),
    "jaw": ("clamp_for_cut",),
}


def shim(
    source: str,
    slope: float,
    distance: float,
    *,
    over: float,
    on_hand: Iterable[float] | Mapping[float, int] | None = None,
    need: float | None = None,
    most: int = MOST_LEAVES,
    habit: Habit = "mm",
) -> Fix:
    """Return the shim that takes a slope out of a joint.

    Args:
        source: nod, lean_fore, lean_side, bed_tilt_x, bed_tilt_y, fixed_jaw_lean or jaw_plate_seat.
        slope: Its size, rad, sign as the source's.
        distance: From the shim (bolt line) to the edge about which the joint turns, mm.
        over: Length that the proving reading is taken over, mm.
        on_hand: Leaves; None: the common set in thou for an inch person, else the metric one.
        need: Largest slope that may be left, rad; None: a tenth of the slope, at least 0.005 mm over 300.
        most: Largest number of leaves.
        habit: The person's unit.

    Raises:
        RemedyError: if the source is not one that a shim serves, or a length is not positive.
    """
    place = PLACES.get(source)
    if place is None:
        raise RemedyError(f"A shim does not serve {source[:60]!r}; it serves {', '.join(PLACES)}.")
    finite("slope", slope)
    positive("distance from the bolt line to the hinge edge", distance)
    positive("length of the proving reading", over)
    leaves = on_hand if on_hand is not None else (THOU_SET if habit == "in" else METRIC_SET)
    left_may = need if need is not None else max(0.1 * abs(slope), 0.005 / 300.0)
    stack = choose_leaves(abs(slope) * distance, leaves, close=left_may * distance, most=most)
    left = (stack.remainder / distance) * (1.0 if slope >= 0 else -1.0)
    rough = 0.002 / over  # a joint opened and closed again does not come back better than this (judgement)
    return Fix(
        title=f"shim the {place.joint}",
        steps=_steps(place, slope, distance, stack, over, habit),
        cost=Cost(place.minutes, _stiffness(stack, habit), place.disturbs),
        numbers={
            "thickness": abs(slope) * distance, "total": stack.total, "remainder": stack.remainder,
            "left": left, "leaves": float(len(stack.leaves)),
        },
        shows=_shows(source, left, habit),
        predicts=(_expect(source, left, rough, over),),
        cautions=_CAUTIONS[place.joint],
        warnings=_warnings(source, slope, stack, left_may, distance, habit),
    )  # fmt: skip


def _expect(source: str, left: float, rough: float, over: float) -> Expect:
    scatter = load().readings[_READINGS[source]].scatter / over
    reach = 1.645 * math.hypot(rough, scatter, left / 4.0)
    return Expect(_READINGS[source], (left - reach) * over, (left + reach) * over, over)


def _steps(
    place: Place, slope: float, distance: float, stack: Stack, over: float, habit: Habit
) -> tuple[str, ...]:
    edge = place.plus if slope >= 0 else place.minus
    thick = format_length(abs(slope) * distance, habit)
    if not stack.leaves:
        return (f"No shim: {thick} is wanted at the {edge}, less than the thinnest leaf would put right.",)
    made = " + ".join(format_length(v, habit) for v in stack.leaves)
    first = {
        "head": "Power off. Support the head, then slacken its joint bolts.",
        "column": "Power off. Lower the head and block it up from the table before a column bolt is touched.",
        "vise": "Take the vise up, clean and stone its foot and the table.",
        "jaw": "Take the fixed jaw plate off; clean and stone both faces.",
    }[place.joint]
    leaf = "one leaf" if len(stack.leaves) == 1 else f"{len(stack.leaves)} leaves"
    return (
        first,
        f"{format_slope(abs(slope), over, habit)} times {format_span(distance, habit)} from shim to hinge "
        "edge "
        f"is {thick}.",
        f"Put {made} ({leaf}) at the {edge}, cut to cover the whole pad round each bolt, no burrs.",
        "Bolt up crosswise to full torque and measure again: a joint never closes quite as it opened.",
    )


def _stiffness(stack: Stack, habit: Habit) -> str:
    if not stack.leaves:
        return "None."
    count = len(stack.leaves)
    return (
        f"{count + 1} contact faces in place of one, with {format_length(stack.total, habit)} of loose metal "
        f"between; expect more spring and chatter with each leaf."
    )


def _shows(source: str, left: float, habit: Habit) -> tuple[str, ...]:
    remainder = f"What is left is {format_slope(abs(left), 300.0 if habit == 'mm' else 304.8, habit)}."
    per = format_length(abs(left) * 100.0 if habit == "mm" else abs(left) * 101.6, habit)
    each = "every 100 mm" if habit == "mm" else "every 4 in"
    effect = {
        "nod": f"One wide pass leans the face by {per} for {each} front to back; many passes hardly at all.",
        "lean_fore": f"A bored hole or run-up leans by {per} for {each} of depth; the head's nod moves "
        "with it.",
        "lean_side": f"A bored hole or run-up leans by {per} for {each} of depth; the head's tram moves "
        "with it.",
        "bed_tilt_y": f"The face stays out of square by {per} for {each} of height.",
        "bed_tilt_x": f"The part comes out thicker at one end by {per} for {each} of length.",
        "fixed_jaw_lean": f"The face stays out of square by {per} for {each} of height.",
        "jaw_plate_seat": f"The face stays out of square by {per} for {each} of height.",
    }[source]
    return remainder, effect


def _warnings(
    source: str, slope: float, stack: Stack, left_may: float, distance: float, habit: Habit
) -> tuple[str, ...]:
    found = []
    over = 300.0 if habit == "mm" else 304.8
    if source in ("nod", "lean_fore", "lean_side") and abs(slope) < NOT_WORTH:
        found.append(
            f"Better not: {format_slope(abs(slope), over, habit)} is small, and the joint loses stiffness "
            "for good. "
            "Work round it (more passes with a smaller cutter, or the other feed axis)."
        )
    if len(stack.leaves) > _FEW_LEAVES:
        found.append("More than two leaves make a springy joint: cut or grind one leaf to size instead.")
    if stack.leaves and abs(stack.remainder) > left_may * distance * (1 + 1e-9):
        found.append(
            f"The leaves on hand come no nearer than {format_length(abs(stack.remainder), habit)}: "
            f"{angle(stack.remainder / distance)} stays."
        )
    if source in ("lean_fore", "lean_side"):
        found.append(
            "Not for worn ways or a slack gib: those change along the travel, and a shim only moves the "
            "error. "
            "Sweep and set the head again afterwards."
        )
    if source in ("bed_tilt_x", "bed_tilt_y"):
        found.append("Look for dirt and burrs under the vise first: a clean foot often needs no shim.")
    return tuple(found)
