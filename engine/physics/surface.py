"""The whole surface that a face cut leaves, on a grid, and what a person reads from it.

Geometry only: a rigid rim of given diameter, tilted against the table, carried along slides that may run
up or down hill, in one or several passes which may differ in height. The rim is taken as complete (the
feed per tooth is small against the diameter). Tilts are small slopes. Coordinates are those of the
machine: x right, y back, z up, with the origin at the middle of the face.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from askew.engine.physics.envelope import Array, Passes, pass_centres
from askew.engine.physics.face import drift_pair, heel_sense, joint_delta, joint_position, ridge, steady_rise
from askew.engine.physics.limits import PhysicsError, number, positive

Axis = Literal["x", "y"]
Sense = Literal["right", "left", "back", "front", "both"]
Order = Literal["front_to_back", "back_to_front", "left_to_right", "right_to_left"]

_PLUS = {"x": "right", "y": "back"}
_MINUS = {"x": "left", "y": "front"}


@dataclass(frozen=True, slots=True)
class FaceCut:
    """How a face is cut and what is out of true while it is.

    Attributes:
        diameter: Cutter diameter, mm.
        across: Width of the face across the feed, mm.
        along: Length of the face along the feed, mm.
        passes: How many passes cover the face.
        spacing: Distance between passes, mm.
        offset: Passes moved off the middle across the feed, mm, plus towards back (right for feed along Y).
        overrun: Several passes go on until the cutter has left both sides.
        feed_axis: "x" or "y".
        feed_sense: Which way the cutter moves over the work; "both": every other pass the other way, the
            first to the right (back).
        order: Which pass comes first.
        tilt_x, tilt_y: Slope of the cutter plane against the table, plus rising right, back.
        slide_x, slide_y: Slope that the slides give the cut, plus rising right, back.
        droop: Sag at the middle of the X travel over `travel`, mm; plus leaves a hollow along X.
        travel: The X travel that `droop` is over, mm.
        droop_y: The same for the Y slide.
        travel_y: The Y travel that `droop_y` is over, mm.
        rise: How much higher the last pass runs than the first, mm, growing evenly from pass to pass. Minus
            for what makes later passes deeper (growth, pull-out).
        once: The rise happens at once, at the joint nearest the middle, in place of evenly.
        rises: Height of each pass on the face from front to back (left to right), mm, in place of `rise`;
            only without overrun, so that each pass has its number.
        lost_motion: Passes fed to the left (front) run this much higher than the others, mm.
        stops: Where the cutter's middle stops past the end of the face, mm (minus: before the end); None: it
            runs right off.
    """

    diameter: float
    across: float
    along: float
    passes: int = 1
    spacing: float = 0.0
    offset: float = 0.0
    overrun: bool = True
    feed_axis: Axis = "x"
    feed_sense: Sense = "both"
    order: Order = "front_to_back"
    tilt_x: float = 0.0
    tilt_y: float = 0.0
    slide_x: float = 0.0
    slide_y: float = 0.0
    droop: float = 0.0
    travel: float = 500.0
    droop_y: float = 0.0
    travel_y: float = 300.0
    rise: float = 0.0
    once: bool = False
    rises: tuple[float, ...] | None = None
    lost_motion: float = 0.0
    stops: float | None = None


@dataclass(frozen=True, slots=True)
class Joint:
    """A true step on the face.

    Attributes:
        position: Where, mm from the middle of the face, plus towards the back (right).
        step: Height of the back (right) side minus the front (left) side, mm.
    """

    position: float
    step: float


@dataclass(frozen=True, slots=True)
class FaceReadings:
    """What a person reads from the cut face itself, free of scatter.

    Attributes:
        slope_right: Slope of the face to the right, against the table.
        slope_back: Slope of the face to the back.
        hollow_across: Ends minus middle across the feed, mm.
        hollow_along: Ends minus middle along the feed, mm.
        step: True step at the joint nearest the middle, back (right) minus front (left), mm.
        ridge: Height of the smooth ridge there, mm.
        teeth: From the lowest to the highest place across the feed after slope is taken off, mm.
        joints: All true steps on the face, front to back.
        heel: Sense of feed on which the trailing edge cut again: one of the four, "both" or "none".
    """

    slope_right: float
    slope_back: float
    hollow_across: float
    hollow_along: float
    step: float
    ridge: float
    teeth: float
    joints: tuple[Joint, ...]
    heel: Sense | Literal["none"]

    def named(self, height: float, across: float, along: float, feed_axis: Axis) -> dict[str, float]:
        """Return the readings under their ids, mm: the part that the cut face itself contributes.

        Args:
            height: Height of the reference face that the squareness is taken over, mm.
            across: Width of the face across the feed, mm.
            along: Length along the feed, mm.
            feed_axis: "x" or "y".
        """
        to_back = feed_axis == "x"
        return {
            "face_out_of_square": -height * self.slope_back,
            "face_out_of_parallel_across": across * (self.slope_back if to_back else self.slope_right),
            "face_out_of_parallel_along": along * (self.slope_right if to_back else self.slope_back),
            "hollow_across": self.hollow_across,
            "hollow_along": self.hollow_along,
            "step": self.step,
            "ridge": self.ridge,
        }


@dataclass(frozen=True, slots=True)
class FaceSurface:
    """A simulated face.

    Attributes:
        x: Places to the right, mm, shape (nx,).
        y: Places to the back, mm, shape (ny,).
        z: Heights, mm, shape (ny, nx): z[j, i] stands at y[j], x[i]. Zero at the middle of the face.
        readings: What a person reads from it.
    """

    x: Array
    y: Array
    z: Array
    readings: FaceReadings


def simulate_face(cut: FaceCut, nx: int = 61, ny: int = 61) -> FaceSurface:
    """Return the surface that `cut` leaves and the readings a person would take from it.

    Args:
        cut: The cutter, the passes and what is out of true.
        nx: Number of grid places along x.
        ny: Number of grid places along y.

    Raises:
        PhysicsError: for impossible sizes, or where part of the face stays uncut.
    """
    row, senses = lay_passes(cut)
    along_x = cut.feed_axis == "x"
    u = np.linspace(-cut.along / 2, cut.along / 2, nx if along_x else ny)
    v = np.linspace(-cut.across / 2, cut.across / 2, ny if along_x else nx)
    bend, _ = _curvatures(cut)
    slide_along, slide_across = (cut.slide_x, cut.slide_y) if along_x else (cut.slide_y, cut.slide_x)
    rim = row.profile(v)[:, None] if cut.stops is None else _stopped(cut, cut.stops, row, senses, u, v)
    z = rim + slide_across * v[:, None] + (slide_along * u + bend * u * u)[None, :]
    readings = _read(cut, row, senses, slide_along, slide_across, bend, (u, v, z))
    z = z - _middle(_middle(z))
    return FaceSurface(u, v, z, readings) if along_x else FaceSurface(v, u, z.T.copy(), readings)


def lay_passes(cut: FaceCut) -> tuple[Passes, Array]:
    """Return the passes of a cut in its own frame, and the sense of each (+1 right or back, -1 the other)."""
    _check(cut)
    centres = pass_centres(cut.diameter, cut.across, cut.passes, cut.spacing, cut.overrun, cut.offset)
    n = centres.size
    along_x = cut.feed_axis == "x"
    feed = (cut.tilt_x - cut.slide_x) if along_x else (cut.tilt_y - cut.slide_y)
    across = (cut.tilt_y - cut.slide_y) if along_x else (cut.tilt_x - cut.slide_x)
    forward = cut.order in ("front_to_back", "left_to_right")
    turn = np.arange(n) if forward else np.arange(n)[::-1]
    if cut.feed_sense == "both":
        senses = np.where(turn % 2 == 0, 1.0, -1.0)
    else:
        senses = np.full(n, 1.0 if cut.feed_sense == _PLUS[cut.feed_axis] else -1.0)
    rises = np.where(senses < 0, cut.lost_motion, 0.0)
    if cut.rises is not None:
        rises = rises + np.asarray(cut.rises, dtype=float)
    elif cut.rise and not cut.once:
        rises = rises + (cut.rise if forward else -cut.rise) * steady_rise(n, cut.passes)
    elif cut.rise:
        back_over_front = cut.rise if forward else -cut.rise
        delta = joint_delta(across, cut.spacing, back_over_front)
        pair = drift_pair(centres, cut.diameter / 2, delta, cut.across)
        if pair is None:
            pair = n // 2 - 1
        rises = rises + np.where(np.arange(n) > pair, back_over_front, 0.0)
    cross = np.full(n, across)
    _, bend = _curvatures(cut)
    # The table rocks along its curve, so a pass meets it higher and leaning by the curve's slope there.
    rises, cross = rises + bend * centres**2, cross + 2 * bend * centres
    return Passes(centres, cut.diameter / 2, cut.across, cross, feed, rises), senses


def _check(cut: FaceCut) -> None:
    positive("length of the face", cut.along)
    for name, value in (
        ("tilt to the right", cut.tilt_x),
        ("tilt to the back", cut.tilt_y),
        ("table slope", cut.slide_x),
        ("saddle slope", cut.slide_y),
    ):
        if abs(number(name, value)) > 0.1:
            raise PhysicsError(f"The {name} must be a slope from -0.1 to 0.1, not {value:g}.")
    for name, value in (
        ("rise", cut.rise),
        ("lost motion", cut.lost_motion),
        ("table droop", cut.droop),
        ("saddle droop", cut.droop_y),
    ):
        number(name, value)
    positive("table travel", cut.travel)
    positive("saddle travel", cut.travel_y)
    if cut.feed_sense not in (_PLUS[cut.feed_axis], _MINUS[cut.feed_axis], "both"):
        raise PhysicsError(
            f"The feed sense along {cut.feed_axis.upper()} must be {_PLUS[cut.feed_axis]}, "
            f"{_MINUS[cut.feed_axis]} or both, not {cut.feed_sense}."
        )
    if cut.rises is not None:
        extended = cut.overrun and cut.passes > 1
        if extended or len(cut.rises) != cut.passes:
            raise PhysicsError("The rises must be one number for each pass, given without overrun.")


def _curvatures(cut: FaceCut) -> tuple[float, float]:
    """Return k of the curve k*s^2 that the slides give the cut, along and across the feed, 1/mm."""
    x, y = 4.0 * cut.droop / cut.travel**2, 4.0 * cut.droop_y / cut.travel_y**2
    return (x, y) if cut.feed_axis == "x" else (y, x)


def _stopped(cut: FaceCut, stops: float, row: Passes, senses: Array, u: Array, v: Array) -> Array:
    """Return the rim's surface (len(v), len(u)) when the cutter stops before it has run off the end."""
    end = cut.along / 2 + stops
    z = np.full((v.size, u.size), np.inf)
    tilted = row.feed
    for centre, rise, cross, sense in zip(row.centres, row.rises, row.cross, senses, strict=True):
        near = np.flatnonzero(np.abs(v - centre) <= row.radius * (1 + 1e-13))
        if near.size == 0:
            continue
        w = v[near] - centre
        root = np.sqrt(np.maximum(row.radius**2 - w * w, 0.0))[:, None]
        level = (rise + cross * w)[:, None]
        # Along the direction of travel the leading rim is at +root; it rises by feed*sense*root there.
        travelled = sense * u[None, :]
        leading = np.where(travelled <= end + root, level + tilted * sense * root, np.inf)
        trailing = np.where(travelled <= end - root, level - tilted * sense * root, np.inf)
        z[near] = np.minimum(z[near], np.minimum(leading, trailing))
    if not np.isfinite(z).all():
        raise PhysicsError(
            "The cutter must stop late enough that its leading edge has left the face; "
            f"{stops:g} mm past the end leaves part of it uncut."
        )
    return z


def _read(
    cut: FaceCut,
    row: Passes,
    senses: Array,
    slide_along: float,
    slide_across: float,
    bend: float,
    grid: tuple[Array, Array, Array],
) -> FaceReadings:
    """Return the readings: exact from the passes, or from the grid if the cutter stopped on the face."""
    half, single = cut.across / 2, row.centres.size == 1
    ends = row.profile(np.array([-half, 0.0, half]))
    if cut.stops is not None:
        u, v, z = grid
        across, along = least_squares_slope(v, z.mean(axis=1)), least_squares_slope(u, z.mean(axis=0))
        hollow_across = middle_below_ends(_middle(z.T))
        hollow_along = middle_below_ends(_middle(z))
    else:
        # In one pass a square or a stylus rests on the two sides; over many it averages their teeth.
        own = float(ends[2] - ends[0]) / cut.across if single else row.slope()
        across, along = slide_across + own, slide_along
        hollow_across = float((ends[0] + ends[2]) / 2 - ends[1]) if single else row.hollow()
        hollow_along = bend * cut.along**2 / 4
    joints = _joints(row)
    step, ridged = _middle_joint(cut, row)
    right, back = (along, across) if cut.feed_axis == "x" else (across, along)
    flat = row.profile(np.linspace(-half, half, 2001))
    places = np.linspace(-half, half, 2001)
    level = flat - least_squares_slope(places, flat) * places
    return FaceReadings(
        slope_right=right,
        slope_back=back,
        hollow_across=hollow_across,
        hollow_along=hollow_along,
        step=step,
        ridge=ridged,
        teeth=float(np.ptp(level)),
        joints=joints,
        heel=_heel(cut, row, senses),
    )


def _joints(row: Passes) -> tuple[Joint, ...]:
    breaks, owner = row.pieces()
    places = breaks[1:-1]
    jumps = row.alone(owner[1:], places) - row.alone(owner[:-1], places)
    # What is left of a smooth crossing by rounding is no step.
    least = 1e-9 * row.radius * (abs(row.feed) + float(np.abs(row.cross).max())) + 1e-12
    return tuple(
        Joint(float(at), float(jump)) for at, jump in zip(places, jumps, strict=True) if abs(jump) > least
    )


def _middle_joint(cut: FaceCut, row: Passes) -> tuple[float, float]:
    """Return the true step and the smooth ridge where the passes meet nearest the middle of the face."""
    if row.centres.size == 1:
        return 0.0, 0.0
    joints = _joints(row)
    if joints:
        return min(joints, key=lambda j: (abs(j.position), j.position)).step, 0.0
    middles = (row.centres[1:] + row.centres[:-1]) / 2
    pair = int(np.argmin(np.abs(middles)))
    delta = joint_delta(float(row.cross[pair]), cut.spacing, float(row.rises[pair + 1] - row.rises[pair]))
    if not row.feed:
        return 0.0, 0.0
    at = middles[pair] + joint_position(delta, row.feed, cut.diameter, cut.spacing)
    if abs(at) >= cut.across / 2:
        return 0.0, 0.0
    return 0.0, ridge(row.feed, cut.diameter, cut.spacing, delta)


def _heel(cut: FaceCut, row: Passes, senses: Array) -> Sense | Literal["none"]:
    able = heel_sense(row.feed, cut.diameter, cut.feed_axis)
    fed = {_PLUS[cut.feed_axis] if s > 0 else _MINUS[cut.feed_axis] for s in senses}
    if cut.stops is not None and cut.along + cut.stops < row.radius:
        return "none"  # the trailing edge never came onto the face
    if able == "both":
        return "both" if len(fed) == 2 else fed.pop()  # type: ignore[return-value]
    return able if able in fed else "none"


def least_squares_slope(places: Array, heights: Array) -> float:
    """Return the least-squares slope of heights over places (same unit), plus rising."""
    centred = places - places.mean()
    return float(centred @ heights / (centred @ centred))


def middle_below_ends(line: Array) -> float:
    """Return how far the middle of a line of heights lies below the mean of its two ends."""
    return float((line[0] + line[-1]) / 2 - _middle(line))


def _middle(rows: Array) -> Array:
    """Return the row (or value) at the middle; of an even number the mean of the two nearest it."""
    low, high = (rows.shape[0] - 1) // 2, rows.shape[0] // 2
    result: Array = (rows[low] + rows[high]) / 2
    return result
