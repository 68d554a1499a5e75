"""Fixes of the grip: how hard to pull the handle, what goes at the moving jaw, how to keep the front down."""

from __future__ import annotations

import math
from typing import Literal

from askew.engine.physics.workholding import Contact, Grip, Screw, mismatch, rolls, torque_for
from askew.engine.remedies.result import Cost, Expect, Fix, finite, newtons, positive, torque
from askew.engine.remedies.slip import LEAST_SHARE, SLIP_MARGIN, force_needed, margin
from askew.engine.units import Habit, format_length, format_span

Cause = Literal["jaw_lift", "off_centre_push", "blank_taper", "fixed_jaw_flex"]


def clamp_force(
    cutting: float,
    screw: Screw,
    *,
    contact: Contact = "plain",
    now: float | None = None,
    allowed: float | None = None,
    wanted: float = SLIP_MARGIN,
    habit: Habit = "mm",
) -> Fix:
    """Return the least clamp force that holds the cut, and the handle torque that gives it.

    Args:
        cutting: Cutting force along the jaws, N.
        screw: The vise screw.
        contact: What is at the moving jaw.
        now: The force used so far, N; None where it is not known.
        allowed: The largest force that the work bears, N; None: no limit. Without one the force stays above a
            quarter of the usual, below which a vise merely touches.
        wanted: How many times over it shall hold.
        habit: The person's unit.

    Raises:
        RemedyError: if a force is not positive.
    """
    least = force_needed(cutting, contact, wanted)
    if now is not None:
        positive("clamp force now", now)
    enough = allowed is None or least <= positive("allowed clamp force", allowed)
    floor = LEAST_SHARE * now if now is not None and allowed is None else 0.0
    use = max(least, floor) if allowed is None else min(least, allowed)
    handle = torque_for(screw, use) / 1000.0
    steps = [
        f"The cut pushes with about {newtons(cutting, habit)}; to hold it {wanted:g} times over takes "
        f"{newtons(least, habit)} of clamp force.",
        f"Pull the handle to {torque(handle, habit)} for {newtons(use, habit)}: with a torque handle, or a "
        "spring "
        f"balance at {format_span(200.0 if habit == 'mm' else 203.2, habit)} from the screw pulling "
        f"{newtons(handle * 1000.0 / (200.0 if habit == 'mm' else 203.2), habit)}.",
        "Set a stop against the sideways push of the cut, and let the cut push towards the fixed jaw.",
    ]
    warnings = []
    if not enough:
        steps.insert(
            0,
            f"The work bears {newtons(use, habit)} and the cut asks {newtons(least, habit)}: take "
            f"{100.0 * use / least:.0f}% of the depth or feed, or fill the work first.",
        )
        warnings.append(f"At the force allowed it holds only {margin(use, cutting, contact):.1f} times over.")
    shows = ["Lift and jaw flex shrink in proportion to the force."]
    if now is not None:
        shows = [
            f"At {100.0 * use / now:.0f}% of the force, lift, jaw flex and squeeze are "
            f"{100.0 * use / now:.0f}% of what they were."
        ]
    return Fix(
        title="clamp with the force that is needed, no more",
        steps=tuple(steps),
        cost=Cost(3.0, "Less force is less damping: take lighter cuts.", ("grip",)),
        numbers={
            "least": least, "use": use, "torque": handle, "margin": margin(use, cutting, contact),
            "scale": use / now if now else math.nan,
        },
        shows=tuple(shows),
        cautions=("less_grip", "clamp_for_cut"),
        warnings=tuple(warnings),
    )  # fmt: skip


def jaw_lift(
    cause: Cause,
    rise: float,
    depth: float,
    height: float,
    *,
    grip: Grip | None = None,
    contact: Contact = "plain",
    margin_now: float | None = None,
    habit: Habit = "mm",
) -> Fix:
    """Return how to keep the front of the part down, and what that does to the corner.

    Args:
        cause: What lifts or rolls it: jaw_lift, off_centre_push, blank_taper or fixed_jaw_flex.
        rise: Rise of the front edge, mm (for jaw flex: flex times depth).
        depth: Depth of the part between the jaws, mm.
        height: Height that squareness is measured over, mm.
        grip: The grip, where its heights are known: says where the bar must go.
        contact: What is at the moving jaw now.
        margin_now: How many times over the grip holds the cut now; None where it is not known.
        habit: The person's unit.

    Raises:
        RemedyError: if a length is not positive.
    """
    finite("rise of the front edge", rise)
    positive("depth between the jaws", depth)
    positive("height", height)
    slope = rise / depth
    tipped = abs(slope) * height
    left = {"jaw_lift": 0.3, "off_centre_push": 0.1, "blank_taper": 0.05, "fixed_jaw_flex": 0.5}[cause]
    steps = (
        f"A front edge up by {format_length(rise, habit)} on a part {format_span(depth, habit)} deep is "
        f"{format_length(tipped, habit)} out of square over {format_span(height, habit)}.",
        *_STEPS[cause],
        *(_line_up(grip, habit) if grip is not None else ()),
        "Put the needle on the front top edge and tighten: it should stay where it was.",
    )
    high = max(left * abs(rise), 0.006) * 1.645
    warnings = []
    if cause in ("jaw_lift", "fixed_jaw_flex") and margin_now is not None and margin_now < 2.0 * SLIP_MARGIN:
        warnings.append(
            f"It holds {margin_now:.1f} times over now: half the force would hold only "
            f"{margin_now / 2.0:.1f} times; take lighter cuts."
        )
    return Fix(
        title="keep the front of the part down",
        steps=steps,
        cost=Cost(4.0, "A bar touches along one line only." if cause == "blank_taper" else "", ("grip",)),
        numbers={"slope": slope, "tipped": tipped, "left": left * tipped},
        shows=(
            f"The corner should come back by about {format_length((1.0 - left) * tipped, habit)} over "
            f"{format_span(height, habit)}.",
        ),
        predicts=(Expect("clamp_rise_plain" if contact == "plain" else "clamp_rise", -high, high),),
        cautions=("less_grip", "clamp_for_cut"),
        warnings=tuple(warnings),
    )


_STEPS: dict[Cause, tuple[str, ...]] = {
    "jaw_lift": (
        "Clean and oil the moving jaw's way; take up its hold-down where it has one.",
        "Snug, tap the part down until both parallels hold, then pull up with half the force; do not tap "
        "again.",
        "Push low: let the moving jaw bear on the lower half of the part, by paper or a strip along its "
        "lower edge.",
        "Grip it deeper, or put a wedge or a strap on the front where the jaw still climbs.",
    ),
    "off_centre_push": (
        "Take the bar, ball or packing away.",
        "Lay paper or soft sheet over the whole moving jaw instead, so that it pushes over its whole height.",
        "Where a bar is needed for a tapered blank, set it level with the middle of what the fixed jaw "
        "holds.",
    ),
    "blank_taper": (
        "Put a round bar along the moving jaw, level with the middle of what the fixed jaw holds, longer "
        "than "
        "the part.",
        "The reference face then lies flat on the fixed jaw whatever the other face does.",
    ),
    "fixed_jaw_flex": (
        "Grip lower: the jaw bends about as the cube of the height at which it is pushed.",
        "Pull up with half the force: half the force bends it half as much.",
        "Where nothing else will do, lean the plate forward by what the jaw gives, and say so on the vise.",
    ),
}


def _line_up(grip: Grip, habit: Habit) -> tuple[str, ...]:
    middle = (grip.low + grip.high) / 2.0
    off = mismatch(grip)
    low, high = format_span(grip.low, habit), format_span(grip.high, habit)
    here = f"The fixed jaw holds from {low} to {high} over the bed"
    if rolls(grip):
        return (
            f"{here}; the push comes {format_length(off, habit)} above that and rolls the part: move it "
            "down to "
            f"{format_span(middle, habit)}.",
        )
    return (f"{here}: the push belongs at {format_span(middle, habit)}, or a hair below.",)
