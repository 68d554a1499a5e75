"""Hollow and thin work in the vise: how much force it bears, and what to do where that is not enough.

The section is a closed frame (`physics.frame`); the force is the one at which the face bulges no further than
the tolerance allows, since a face cut flat while it bulges is hollow by as much when it is let go.
"""

from __future__ import annotations

from askew.engine.physics.frame import Frame, Push, allowed_force, hollow_on_release
from askew.engine.physics.workholding import FRICTION, Contact, Screw, torque_for
from askew.engine.remedies.result import Cost, Expect, Fix, newtons, positive, torque
from askew.engine.remedies.slip import SLIP_MARGIN, force_needed
from askew.engine.units import Habit, format_length, format_span

# A close plug takes nine tenths of the yield away (judgement).
PLUG_LEAVES = 0.1
# What of the tolerance the squeeze may use (judgement).
SHARE = 0.5


def hollow_work(
    frame: Frame,
    tolerance: float,
    cutting: float,
    screw: Screw,
    *,
    push: Push | None = None,
    contact: Contact = "plain",
    now: float | None = None,
    habit: Habit = "mm",
) -> Fix:
    """Return the clamp force that hollow work bears, the handle torque, and what to do beside.

    Args:
        frame: The section, as the vise sees it.
        tolerance: How hollow the cut face may be, mm.
        cutting: Cutting force along the jaws, N.
        screw: The vise screw.
        push: How the moving jaw pushes; None: over the whole front wall.
        contact: What is at the moving jaw.
        now: The force used so far, N; None where it is not known.
        habit: The person's unit.

    Raises:
        RemedyError: if a size is not positive.
        PhysicsError: if the section is no frame.
    """
    positive("tolerance", tolerance)
    pushed = push or Push("band", low=0.0, high=frame.height)
    bears = allowed_force(frame, SHARE * tolerance, pushed, of="top")
    near_edge = Push("band", low=0.0, high=0.25 * frame.height)
    at_floor = allowed_force(frame, SHARE * tolerance, near_edge, of="top")
    plugged = bears / PLUG_LEAVES
    needs = force_needed(cutting, contact)
    handle = torque_for(screw, min(bears, 1e7)) / 1000.0
    holds = 2.0 * FRICTION[contact] * bears / cutting
    steps = [
        f"Empty it bears {newtons(bears, habit)}: then the face bulges "
        f"{format_length(SHARE * tolerance, habit)}, "
        f"half of the {format_length(tolerance, habit)} it may be hollow. That is {torque(handle, habit)} "
        "at the handle.",
        f"The cut asks {newtons(needs, habit)} to be held {SLIP_MARGIN:g} times over.",
        _way(bears, at_floor, plugged, needs, habit),
        "Set a stop against the cut, and put the needle on a free wall while tightening.",
        "For the last pass ease the vise to a third and take a light cut.",
    ]
    hollow = hollow_on_release(frame, bears, pushed)
    numbers = {
        "bears": bears, "needs": needs, "torque": handle, "holds": holds, "at_floor": at_floor,
        "plugged": plugged, "hollow": hollow,
    }  # fmt: skip
    shows = [f"Let go, the face is hollow by {format_length(abs(hollow), habit)} at that force."]
    if now is not None:
        was = hollow_on_release(frame, positive("clamp force now", now), pushed)
        numbers["was"] = was
        shows.append(f"At {newtons(now, habit)} it was {format_length(abs(was), habit)}.")
    return Fix(
        title="hold the hollow part without bending it",
        steps=tuple(steps),
        cost=Cost(
            15.0 if bears < needs else 5.0,
            "A plug makes it stiffer; less force makes the grip weaker.",
            ("grip",),
        ),
        numbers=numbers,
        shows=tuple(shows),
        predicts=(Expect("hollow_across", -1.645 * 0.004, 2.0 * abs(hollow) + 1.645 * 0.004, frame.depth),),
        cautions=("less_grip", "clamp_for_cut"),
        warnings=(
            (f"At that force it holds only {holds:.1f} times over: fill it or cut lighter.",)
            if holds < SLIP_MARGIN
            else ()
        ),
    )


def _way(bears: float, at_floor: float, plugged: float, needs: float, habit: Habit) -> str:
    if bears >= needs:
        return "That is enough: no plug is needed."
    if at_floor >= needs:
        return (
            "Press on the lowest quarter of the walls, beside the floor: there it bears "
            f"{newtons(at_floor, habit)}, "
            "which is enough."
        )
    if plugged >= needs:
        return (
            "Fit a close plug or filler block where the jaws press: it then bears about "
            f"{newtons(plugged, habit)} "
            "(a close plug takes nine tenths of the yield away; judgement)."
        )
    return (
        "Neither place nor plug is enough: clamp along the stiff direction, at ribs or a closed end, or "
        "strap it "
        f"down on its floor; else cut with {100.0 * min(plugged / needs, 1.0):.0f}% of the depth."
    )


def section(
    depth: float, height: float, wall: float, length: float, modulus: float, poisson: float = 0.0
) -> Frame:
    """Return the frame of a tube of even wall from its outside sizes, mm; see `physics.frame.Frame`."""
    return Frame.from_outside(depth, height, wall, length, modulus, poisson)


def describe(frame: Frame, habit: Habit) -> str:
    """Return the section in words."""
    return (
        f"{format_span(frame.depth + frame.front, habit)} deep, "
        f"{format_span(frame.height + frame.top, habit)} tall, "
        f"{format_length(frame.top, habit)} wall"
    )
