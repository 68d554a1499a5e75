"""Small fixes of one formula each: vise swung true, cutter shortened, slack taken up, stress let go."""

from __future__ import annotations

import math

from askew.engine.physics.heat import REFERENCE
from askew.engine.remedies.result import Cost, Expect, Fix, RemedyError, finite, positive, side
from askew.engine.units import Habit, format_length, format_slope, format_span

# Half an hour to an hour; common practice, no source.
SPINDLE_CONSTANT = 40.0


def swing_vise(slope: float, jaw_width: float, *, bolt_span: float | None = None, habit: Habit = "mm") -> Fix:
    """Return which end of the vise to tap, and how far.

    Args:
        slope: Of the fixed jaw against the X travel, plus: right end nearer the front.
        jaw_width: Length that the indicator runs along, mm.
        bolt_span: From the bolt left snug to where the vise is tapped, mm; None: the jaw's width.
        habit: The person's unit.

    Raises:
        RemedyError: if a length is not positive.
    """
    finite("slope of the jaw", slope)
    positive("width of the jaws", jaw_width)
    arm = positive("distance to the tapping point", bolt_span if bolt_span is not None else jaw_width)
    end = side(slope, "right", "left")
    pivot = side(slope, "left", "right")
    return Fix(
        title="swing the vise true",
        steps=(
            f"Leave the {pivot} bolt snug, slacken the {end} one.",
            f"The jaw runs {format_slope(abs(slope), jaw_width, habit)} nearer the front at the {end}: tap "
            f"the {end} "
            f"end back by {format_length(abs(slope) * arm, habit)}, {format_span(arm, habit)} from the "
            "snug bolt.",
            "Tighten in turn with the needle on the jaw, run it once more end to end.",
        ),
        cost=Cost(10.0, "", ("vise", "grip")),
        numbers={"tap": slope * arm},
        shows=(
            "An end cut along Y comes square to the side by as much as the jaw was out, over its length.",
        ),
        predicts=(Expect("jaw_run", -0.01, 0.01, jaw_width),),
        cautions=("heavy_lift",),
    )


def shorten_cutter(taper: float, stickout: float | None, tolerance: float, *, habit: Habit = "mm") -> Fix:
    """Return how short the cutter must be held, or how much lighter the cut must be, for a taper.

    Bending goes with the force and with the cube of the stick-out (cantilever).

    Args:
        taper: Now, mm over the wall.
        stickout: Now, mm; None where it is not known.
        tolerance: Wanted, mm.
        habit: The person's unit.

    Raises:
        RemedyError: if the tolerance or the stick-out is not positive.
    """
    ratio = min(positive("tolerance", tolerance) / max(abs(finite("taper", taper)), 1e-9), 1.0)
    shorter = ratio ** (1.0 / 3.0)
    if stickout is None:
        hold = f"Hold the cutter at {100 * shorter:.0f}% of its stick-out: bending goes with the cube of it."
    else:
        length = positive("stick-out", stickout) * shorter
        hold = (
            f"Hold the cutter {format_span(length, habit)} long in place of "
            f"{format_span(stickout, habit)}: bending "
            "goes with the cube of it."
        )
    return Fix(
        title="hold the cutter shorter",
        steps=(
            hold,
            f"Or keep the length and finish at {100 * ratio:.0f}% of the side load (radial depth or feed).",
            "Run the last pass once more with nothing changed.",
        ),
        cost=Cost(8.0, "Shorter is stiffer.", ("cutter",)),
        numbers={"ratio": ratio, "shorter": shorter},
        shows=(f"The wall's taper comes down from {format_length(abs(taper), habit)} to about "
               f"{format_length(abs(taper) * ratio, habit)}.",),
        predicts=(Expect("wall_taper", -0.013, abs(taper) * ratio + 0.013),),
        cautions=("isolate_power", "sharp_burrs", "eye_protection"),
    )  # fmt: skip


def lighter_cut(deflection: float, tolerance: float, *, habit: Habit = "mm") -> Fix:
    """Return how much lighter to cut work that gives way, since it gives in proportion to the force.

    Raises:
        RemedyError: if the tolerance is not positive or the deflection not finite.
    """
    size = abs(finite("deflection", deflection))
    ratio = min(positive("tolerance", tolerance) / max(size, 1e-9), 1.0)
    return Fix(
        title="support the overhang, cut lighter",
        steps=(
            "Put a jack or packing under what hangs over, just touching, with the needle on top.",
            f"Finish at {100 * ratio:.0f}% of the depth: the work gives {format_length(size, habit)} now, "
            "in proportion "
            "to the force.",
            "Run the last pass once more with nothing changed.",
        ),
        cost=Cost(10.0, "A jack makes it stiffer.", ("grip",)),
        numbers={"ratio": ratio},
        shows=(
            f"The middle comes down from {format_length(size, habit)} proud to "
            f"{format_length(size * ratio, habit)}.",
        ),
        cautions=("clamp_for_cut", "eye_protection"),
    )


def take_up_slack(slack: float, axis: str, *, habit: Habit = "mm") -> Fix:
    """Return how far to back off before coming up to a position again.

    Raises:
        RemedyError: if the slack is not a finite number above zero.
    """
    size = positive("lost motion", abs(slack))
    back = 3.0 * size
    return Fix(
        title="come up to every size from the same side",
        steps=(
            f"The {axis.upper()} screw has {format_length(size, habit)} of lost motion: past a position, "
            "go back "
            f"{format_length(back, habit)} and come up again.",
            "Mill conventionally; on a climb cut the cutter snatches the table by the slack.",
            "Lock the slide that is not feeding.",
        ),
        cost=Cost(1.0),
        numbers={"slack": size, "back_off": back},
        shows=(f"Positions repeat; a change of side costs {format_length(size, habit)} no more.",),
        cautions=("no_climb_on_slack",),
    )


def relieve_stress(bow: float, roughed: float, finish: float, *, habit: Habit = "mm") -> Fix:
    """Return how much to leave for finishing so that a stressed part ends straight.

    The bow grows with the thickness of skin taken off one side (layer removal), so that a finishing cut on
    each side in turn moves it by the ratio of the cuts.

    Args:
        bow: Middle over ends now, mm.
        roughed: Thickness taken off, mm.
        finish: Thickness of the finishing cut, mm.
        habit: The person's unit.

    Raises:
        RemedyError: if a thickness is not positive.
    """
    size = abs(finite("bow", bow))
    ratio = min(positive("finishing cut", finish) / positive("thickness taken off", roughed), 1.0)
    leave = 1.5 * size + finish
    left = size * ratio
    return Fix(
        title="rough, rest, finish both sides in turn",
        steps=(
            f"Rough both sides equally and leave {format_length(leave, habit)} a side: one and a half "
            "times the bow, "
            "and the finishing cut.",
            "Take it out of the vise and let it rest, overnight where it matters.",
            "Shim it where it no longer lies flat; do not pull it down.",
            f"Finish both sides in turn, {format_length(finish, habit)} at a time: each such cut moves it "
            "by about "
            f"{format_length(left, habit)}.",
        ),
        cost=Cost(60.0, "", ("grip", "part")),
        numbers={"leave": leave, "left": left},
        shows=(
            f"What bow is left is about {format_length(left, habit)} in place of "
            f"{format_length(size, habit)}.",
        ),
        predicts=(Expect("hollow_across", -left - 0.007, left + 0.007),),
        cautions=("clamp_for_cut", "eye_protection", "sharp_burrs"),
    )


def warm_spindle(
    growth: float, tolerance: float, *, constant: float = SPINDLE_CONSTANT, habit: Habit = "mm"
) -> Fix:
    """Return how long to run the spindle before the passes that must match.

    It grows as 1 - exp(-t/constant) (lumped heating about the reference temperature of ISO 1); the wait ends
    when a tenth of the tolerance is left to grow.

    Raises:
        RemedyError: if a number is not positive.
    """
    size = max(abs(finite("spindle growth", growth)), 1e-9)
    left = 0.1 * positive("tolerance", tolerance)
    minutes = positive("time constant", constant) * max(math.log(size / left), 0.0)
    return Fix(
        title="warm the spindle up first",
        steps=(
            f"Run it at working speed for {max(minutes, 1.0):.0f} minutes: of {format_length(size, habit)} "
            f"{format_length(min(left, size), habit)} is then left to grow.",
            "Take all finishing passes one after the other, without a break; touch off again after one.",
        ),
        cost=Cost(minutes),
        numbers={"minutes": minutes, "left": min(left, size)},
        shows=("Later passes stay level with the first.",),
        predicts=(Expect("depth_drift", -0.013, left + 0.013),),
        cautions=("eye_protection", "no_gloves"),
        warnings=("The growth is already within a tenth of the tolerance.",) if minutes == 0.0 else (),
    )


def how_warm(growth: float, expansion: float, length: float) -> float:
    """Return by how many kelvin a part is warmer for its growth, mm over `length`, from 20 degrees (ISO 1).

    Raises:
        RemedyError: if the length or the expansion is not positive.
    """
    if positive("expansion", expansion) > 1e-3:
        raise RemedyError(f"An expansion of {expansion:g} 1/K is no solid's.")
    return min(abs(finite("growth", growth)) / (expansion * positive("length", length)), 300.0 - REFERENCE)
