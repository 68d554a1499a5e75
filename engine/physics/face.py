"""What a tilted cutter leaves on a face: the closed forms.

A cutting circle of diameter D, tilted and carried along the slide, leaves the lower envelope of its rim. All
tilts here are slopes of the cutter plane against the *slide that carries the feed* (plus: rises to the
right or to the back); lengths are mm. "Across" runs across the feed: towards the back for feed along X, to
the right for feed along Y. The forms are plain geometry of chords and hold for small slopes (below about
0.01, where slope and angle differ by less than 1 part in 10,000).

`surface.simulate_face` builds the whole surface; the two agree where the closed form says it holds.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Literal

import numpy as np

from askew.engine.physics.envelope import Array, Passes, pass_centres
from askew.engine.physics.limits import PhysicsError, between, number, positive

Heel = Literal["right", "left", "back", "front", "both"]

# A heel that clears the work by less than this still touches it: the cut surface springs back about so far
# behind the edge (common practice, no source).
HEEL_CLEARANCE = 0.002


def sagitta(radius: float, chord: float) -> float:
    """Return the height of a circular arc over its chord, mm: R - sqrt(R^2 - c^2/4), without cancellation.

    Raises:
        PhysicsError: if the chord is longer than the circle is wide.
    """
    positive("radius", radius)
    between("chord", chord, 0.0, 2.0 * radius)
    quarter = chord * chord / 4.0
    return quarter / (radius + math.sqrt(max(radius * radius - quarter, 0.0)))


def hollow(tilt: float, diameter: float, width: float) -> float:
    """Return how far the middle of a face cut in one centred pass lies below its sides, mm, never negative.

    Args:
        tilt: Slope of the cutter plane along the feed (its sign does not matter).
        diameter: Cutter diameter, mm.
        width: Width of the face across the feed, mm.

    Raises:
        PhysicsError: if the face is wider than the cutter or a size is not positive.

    Source: sagitta of a chord; exact.
    """
    number("tilt", tilt)
    _covers(diameter, width, 0.0)
    return abs(tilt) * sagitta(diameter / 2.0, width)


def chord_slope(tilt_feed: float, diameter: float, width: float, offset: float) -> float:
    """Return the slope across that one pass off the middle leaves, taken from side to side of the face.

    Plus rises towards the back (feed along X). It is the chord of the hollow: the side away from the
    cutter's middle comes out higher.

    Args:
        tilt_feed: Slope of the cutter plane along the feed; only its size matters.
        diameter: Cutter diameter, mm.
        width: Width of the face, mm.
        offset: The cutter's middle against the middle of the face, mm, plus towards the back.

    Raises:
        PhysicsError: if the cutter does not reach over both sides.
    """
    _covers(diameter, width, offset)
    radius, half = diameter / 2.0, width / 2.0
    near = math.sqrt(max(radius**2 - (half - abs(offset)) ** 2, 0.0))
    far = math.sqrt(max(radius**2 - (half + abs(offset)) ** 2, 0.0))
    return -math.copysign(1.0, offset) * abs(tilt_feed) * (near - far) / width


@lru_cache(maxsize=4096)
def envelope_slope_share(
    diameter: float, width: float, passes: int, spacing: float, overrun: bool, offset: float = 0.0
) -> float:
    """Return the fraction of the cutter's tilt across the feed that is left as least-squares slope across.

    1 in a single pass (the face follows the cutter), near 0 where many passes run on past both sides (the
    face follows the slide); the slope across is then `slide + share * p_cross`. Exact for a cutter that is
    not tilted along the feed; a tilt along the feed as large as the one across moves the joints a little.

    Args:
        diameter: Cutter diameter, mm.
        width: Width of the face across the feed, mm.
        passes: Number of passes that cover the face.
        spacing: Distance between passes, mm.
        overrun: The passes go on until the cutter has left both sides.
        offset: All passes moved towards the back by this much, mm.
    """
    centres = pass_centres(diameter, width, passes, spacing, overrun, offset)
    if centres.size == 1:
        return 1.0
    return _unit_passes(centres, diameter, width, cross=1.0).slope()


@lru_cache(maxsize=4096)
def hollow_share(
    diameter: float, width: float, passes: int, spacing: float, overrun: bool, offset: float = 0.0
) -> float:
    """Return the hollow across per unit of |tilt along the feed|, mm.

    Middle against ends in one pass; of several passes the least-squares parabola, since a straight edge or
    an indicator averages over their scallops. Exact where the cutter is not tilted across the feed.
    """
    centres = pass_centres(diameter, width, passes, spacing, overrun, offset)
    row = _unit_passes(centres, diameter, width, feed=1.0)
    if centres.size > 1:
        return row.hollow()
    front, middle, back = row.profile(np.array([-width / 2.0, 0.0, width / 2.0]))
    return float((front + back) / 2.0 - middle)


def dead_zone(tilt_feed: float, diameter: float, spacing: float) -> float:
    """Return the largest height difference of two passes that still meet in a smooth ridge, mm."""
    between("distance between passes", spacing, 0.0, positive("cutter diameter", diameter))
    return abs(tilt_feed) * math.sqrt(max(diameter * spacing - spacing * spacing, 0.0))


def joint_delta(tilt_cross: float, spacing: float, rise: float = 0.0) -> float:
    """Return the height difference of two neighbouring passes at one place, back minus front, mm.

    Args:
        tilt_cross: Slope of the cutter plane against the slide across the feed.
        spacing: Distance between the passes, mm.
        rise: How much higher the back pass ran than the front one, mm (growth, slip, pull-out).
    """
    return rise - tilt_cross * spacing


def step(delta: float, tilt_feed: float, diameter: float, spacing: float) -> float:
    """Return the true step at the joint of two passes, back side minus front side, mm; 0 for a smooth ridge.

    Args:
        delta: Height difference of the passes at one place, back minus front, from `joint_delta`, mm.
        tilt_feed: Slope of the cutter plane along the feed; only its size matters.
        diameter: Cutter diameter, mm.
        spacing: Distance between the passes, mm.

    Holds for two passes, and for a row of any number that all differ by the same `delta`; with one pass in a
    row moved and the spacing below the cutter's radius the dead zone is wider (the next passes reach in).
    """
    left = abs(number("height difference", delta)) - dead_zone(tilt_feed, diameter, spacing)
    return math.copysign(left, delta) if left > 0.0 else 0.0


def joint_position(delta: float, tilt_feed: float, diameter: float, spacing: float) -> float:
    """Return where two passes meet, from midway between them, plus towards the back, mm.

    A true step lies at the rim of the lower pass; a smooth ridge between that and midway.
    """
    rim = (diameter - spacing) / 2.0
    if delta == 0.0:
        return 0.0
    if abs(delta) >= dead_zone(tilt_feed, diameter, spacing):
        return math.copysign(rim, delta)
    q, h, radius = delta / abs(tilt_feed), spacing / 2.0, diameter / 2.0
    square = (radius**2 - h**2 - q**2 / 4.0) * q**2 / (q**2 + 4.0 * h**2)
    return math.copysign(math.sqrt(max(square, 0.0)), delta)


def ridge(tilt_feed: float, diameter: float, spacing: float, delta: float = 0.0) -> float:
    """Return how high the smooth ridge between two passes stands over the hollow next to it, mm.

    At most |p_feed| * (R - sqrt(R^2 - s^2/4)), which is its height where neither pass is lower; 0 where the
    passes meet in a true step.
    """
    if abs(delta) >= dead_zone(tilt_feed, diameter, spacing):
        return 0.0
    from_middle = spacing / 2.0 - abs(joint_position(delta, tilt_feed, diameter, spacing))
    return abs(tilt_feed) * sagitta(diameter / 2.0, min(2.0 * abs(from_middle), diameter))


def teeth(tilt_cross: float, tilt_feed: float, diameter: float, spacing: float) -> float:
    """Return the height from valley to crest of the teeth that a long row of equal passes leaves, mm.

    |p_cross| * s for a cutter that is level along the feed; the scallop |p_feed| * (R - sqrt(R^2 - s^2/4))
    for one that is level across.
    """
    between("distance between passes", spacing, 0.0, positive("cutter diameter", diameter))
    radius, cross, feed = diameter / 2.0, abs(tilt_cross), abs(tilt_feed)
    if spacing == 0.0 or (cross == 0.0 and feed == 0.0):
        return 0.0
    # With the plane rising to the back each pass keeps the strip whose front end is its joint with the next.
    first = joint_position(-cross * spacing, feed, diameter, spacing) - spacing / 2.0

    def height(v: float) -> float:
        drop = v * v / (radius + math.sqrt(max(radius**2 - v * v, 0.0)))
        return cross * v + feed * drop

    lowest = min(max(-radius * cross / math.hypot(cross, feed), first), first + spacing)
    return max(height(first), height(first + spacing)) - height(lowest)


def drift_pair(centres: Array, radius: float, delta: float, width: float) -> int | None:
    """Return after which pass (index) a height difference shows nearest the middle of the face, or None.

    A joint lies at the rim of the lower pass: of the front one where `delta` (back minus front) is plus. None
    where no joint falls on the face, because the lower pass covers it all.
    """
    if centres.size < 2:
        return None
    joints = centres[:-1] + radius if delta >= 0.0 else centres[1:] - radius
    nearest = int(np.argmin(np.abs(joints)))
    return nearest if abs(joints[nearest]) < width / 2.0 * (1.0 - 1e-12) else None


@lru_cache(maxsize=4096)
def drift_lean(
    diameter: float,
    width: float,
    passes: int,
    spacing: float,
    overrun: bool,
    offset: float = 0.0,
    steadily: bool = False,
) -> float:
    """Return the least-squares slope across per mm that the back passes ran above the front ones, 1/mm.

    Args:
        diameter: Cutter diameter, mm.
        width: Width of the face across the feed, mm.
        passes: Number of passes that cover the face.
        spacing: Distance between passes, mm.
        overrun: The passes go on until the cutter has left both sides.
        offset: All passes moved towards the back by this much, mm.
        steadily: False: the whole change happened once, at the joint nearest the middle of the face, where it
            does most (1.5/width at the middle). True: it grew evenly over the passes (about 1/width for many;
            the same as once for two).

    The caller gives the sign: what makes *later* passes deeper lowers the back with passes from front to
    back. 0 for a single pass, or where one pass covers the face. Exact for a cutter that is not tilted.
    """
    row = _drifted(diameter, width, passes, spacing, overrun, offset, steadily)
    return row.slope() if row is not None else 0.0


@lru_cache(maxsize=4096)
def drift_hollow(row: tuple[float, float, int, float, bool]) -> float:
    """Return the hollow across (plus) or crown that is left per mm by which the passes differ in depth, evenly grown.

    The deeper pass takes what two passes share, so that the steps do not lie evenly about the middle of the face,
    whichever side is deeper. 0 for a single pass.

    Args:
        row: Diameter, width, passes, spacing and overrun as for `drift_lean`.
    """
    drifted = _drifted(*row, 0.0, steadily=True)
    return drifted.hollow() if drifted is not None else 0.0


@lru_cache(maxsize=4096)
def teeth_hollow(row: tuple[float, float, int, float, bool]) -> float:
    """Return the size of the hollow or crown across that the teeth of a tilt across leave, mm per unit slope.

    The teeth lie unevenly about the middle of the face. `row` as for `drift_hollow`; 0 for a single pass.
    """
    diameter, width, passes, spacing, overrun = row
    centres = pass_centres(diameter, width, passes, spacing, overrun, 0.0)
    return abs(_unit_passes(centres, diameter, width, cross=1.0).hollow()) if centres.size > 1 else 0.0


def _drifted(
    diameter: float, width: float, passes: int, spacing: float, overrun: bool, offset: float, steadily: bool
) -> Passes | None:
    """Return passes of which the back ones run 1 mm above the front ones; None where one pass covers the face."""
    centres = pass_centres(diameter, width, passes, spacing, overrun, offset)
    if centres.size == 1:
        return None
    if steadily:
        rises = steady_rise(centres.size, passes)
    else:
        pair = drift_pair(centres, diameter / 2.0, 1.0, width)
        if pair is None:
            return None
        rises = np.where(np.arange(centres.size) > pair, 1.0, 0.0)
    return Passes(centres, diameter / 2.0, width, np.zeros(centres.size), 0.0, rises)


def steady_rise(laid: int, passes: int) -> Array:
    """Return rises from 0 (front) to 1 (back) that grow evenly over the passes that count.

    Args:
        laid: How many passes were laid, with those that only run on past the sides.
        passes: How many cover the face; the ones beyond keep 0 and 1.
    """
    if passes < 2:
        return np.zeros(laid)
    rises: Array = np.clip((np.arange(laid) - (laid - passes) / 2) / (passes - 1), 0.0, 1.0)
    return rises


def droop_hollow(droop: float, length: float, travel: float) -> float:
    """Return the hollow along X over `length` from a table that droops by `droop` over `travel`, mm.

    `droop * (length/travel)^2`: the ways are taken as an even curve. Minus (worn ways that let the table
    rock) leaves the face crowned.
    """
    positive("table travel", travel)
    positive("length of the face", length)
    return number("table droop", droop) * (length / travel) ** 2


def heel_sense(tilt_feed: float, diameter: float, feed_axis: Literal["x", "y"] = "x") -> Heel:
    """Return on which feed sense (of the cutter over the work) the trailing edge cuts a second set of arcs.

    The trailing edge is the low one when the cutter plane rises in the direction of feed. "both" where the
    heel clears the work by less than `HEEL_CLEARANCE`: equal cross-hatch, the mark of a square head.
    """
    positive("cutter diameter", diameter)
    if abs(number("tilt", tilt_feed)) * diameter < HEEL_CLEARANCE:
        return "both"
    if feed_axis == "x":
        return "right" if tilt_feed > 0 else "left"
    return "back" if tilt_feed > 0 else "front"


def _covers(diameter: float, width: float, offset: float) -> None:
    positive("cutter diameter", diameter)
    positive("width of the face", width)
    needed = width + 2.0 * abs(number("cutter offset", offset))
    if needed > diameter * (1.0 + 1e-12):
        raise PhysicsError(
            f"The cutter diameter must be at least {needed:.4g} mm to cover a face {width:g} mm wide in one "
            f"pass{f' {abs(offset):g} mm off its middle' if offset else ''}, not {diameter:g}."
        )


def _unit_passes(
    centres: Array, diameter: float, width: float, cross: float = 0.0, feed: float = 0.0
) -> Passes:
    n = centres.size
    return Passes(centres, diameter / 2.0, width, np.full(n, cross), feed, np.zeros(n))
