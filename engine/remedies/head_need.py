"""How true the head has to be for one part: the tilt at which a tolerance is just used up.

Working to the part and not to zero saves rounds of tapping. Slopes are of the cutter plane against the slide
that carries the feed. The forms are those of `askew.engine.physics`; each is inverted where it is linear.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from askew.engine.physics import face
from askew.engine.physics.limits import PhysicsError
from askew.engine.setup import Setup, resolve

# The head may use this much of the tolerance; the vise, the part and the measuring want the rest (judgement).
HEAD_SHARE = 1.0 / 3.0

Axis = Literal["x", "y"]


@dataclass(frozen=True, slots=True)
class Need:
    """The largest tilt that a part allows.

    Attributes:
        slope: Largest size of the tilt, rad; infinite where nothing depends on it.
        limits: The reading that uses its share up first; empty where nothing does.
    """

    slope: float
    limits: str


def head_need(
    axis: Axis,
    setup: Setup,
    *,
    squareness: float | None = None,
    parallelism: float | None = None,
    flatness: float | None = None,
    step: float | None = None,
    share: float = HEAD_SHARE,
) -> Need:
    """Return how far the head may be out along one axis.

    Args:
        axis: "x" for tram, "y" for nod.
        setup: The cut in force.
        squareness: Width of the squareness zone over the cut face, mm; None: not asked for.
        parallelism: Width of the zone parallel to the bottom face, mm.
        flatness: Width of the flatness zone, mm.
        step: Largest step between passes, mm.
        share: The part of each tolerance that this tilt may use.
    """
    facts = resolve(setup)
    along_feed = facts["feed_axis"] == axis
    found: list[tuple[float, str]] = []

    def limit(tolerance: float | None, per_slope: float, reading: str) -> None:
        if tolerance is not None and per_slope > 0.0:
            found.append((share * tolerance / per_slope, reading))

    diameter, width, passes = facts["cutter_diameter"], facts["part_across"], facts["passes"]
    spacing = min(facts["pass_spacing"] or 0.0, diameter)
    if along_feed:
        limit(flatness, _hollow(diameter, width, passes, spacing, facts["overrun"]), "hollow_across")
        lean = _chord(diameter, width, facts["cutter_offset"]) if passes == 1 else 0.0
    else:
        limit(step, spacing if passes > 1 else 0.0, "step")
        limit(flatness, spacing if passes > 1 else 0.0, "step")
        lean = 1.0 if passes == 1 else _lean_share(diameter, width, passes, spacing, facts["overrun"])
    # Only a slope to the back puts the face out of square to the fixed jaw; one to the right does not.
    if facts["feed_axis"] == "x":
        limit(squareness, lean * width, "face_out_of_square")
    limit(parallelism, lean * width, "face_out_of_parallel_across")
    return Need(*min(found)) if found else Need(math.inf, "")


def _hollow(diameter: float, width: float, passes: int, spacing: float, overrun: bool) -> float:
    if passes == 1:
        return face.hollow(1.0, diameter, min(width, diameter))
    try:
        return abs(face.hollow_share(diameter, width, passes, spacing, overrun))
    except PhysicsError:  # the passes as told leave part of the face uncut
        return face.hollow(1.0, diameter, min(width, diameter))


def _chord(diameter: float, width: float, offset: float) -> float:
    covered = min(width, diameter - 2.0 * abs(offset))
    return abs(face.chord_slope(1.0, diameter, covered, offset)) if offset and covered > 0.0 else 0.0


def _lean_share(diameter: float, width: float, passes: int, spacing: float, overrun: bool) -> float:
    try:
        return abs(face.envelope_slope_share(diameter, width, passes, spacing, overrun))
    except PhysicsError:  # the passes as told leave part of the face uncut
        return 1.0
