"""The face that a way of cutting leaves on a part, for many draws of the sources at once.

The same geometry as `physics.surface` (lower envelope of tilted cutting circles carried along slides), laid
out as F(y) + G(x) for all draws together, with what the grip does to it: the roll of the part while it is
cut, and the spring when it is let go. Heights are against the part's own frame: against a
plane square to the reference face and parallel to the bottom.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from askew.engine.physics.envelope import pass_centres
from askew.engine.physics.face import steady_rise
from askew.engine.physics.scene import Scene, facts_of
from askew.engine.remedies.draws import Samples, count, measuring, shares
from askew.engine.remedies.zones import flat_zone, parallel_zone, square_zone
from askew.engine.setup import Setup
from askew.knowledge.load import load

Array = NDArray[np.float64]
_PLACES = 49


@dataclass(frozen=True, slots=True)
class PartFace:
    """The cut face of the part, let go, for every draw.

    Attributes:
        x: Places left to right, mm.
        y: Places front to back, mm.
        to_back: F(y), mm, shape (n, len(y)), against square to the reference face.
        to_right: G(x), mm, shape (n, len(x)), against parallel to the bottom.
        twist: Front left and back right corners above the other two, mm, shape (n,).
        step: Largest true step between neighbouring passes, mm, never negative, shape (n,).
    """

    x: Array
    y: Array
    to_back: Array
    to_right: Array
    twist: Array
    step: Array

    def zone(self, tolerance: str) -> Array:
        """Return what is to be held against a tolerance, for every draw, mm, shape (n,).

        Args:
            tolerance: flatness, squareness or parallelism (widths of zones, ISO 1101), or step.

        Raises:
            KeyError: if there is no such tolerance.
        """
        if tolerance == "flatness":
            return flat_zone(self.to_back, self.to_right, self.y, self.x, self.twist)
        if tolerance == "squareness":
            return square_zone(self.to_back, self.to_right, self.y, self.x, self.twist)
        if tolerance == "parallelism":
            return parallel_zone(self.to_back, self.to_right, self.y, self.x, self.twist)
        return {"step": self.step}[tolerance]


def part_scene(samples: Samples, setup: Setup, seed: int = 0) -> Scene:
    """Return the situation of the part itself: all sources but those of the measuring.

    Args:
        samples: Draws of the sources, mm or rad, each shape (n,); missing ones are nil.
        setup: The cut and the grip.
        seed: Seed of the shares that no setup fact gives.
    """
    n = count(samples)
    full = {
        source: np.zeros(n) if source in measuring() else np.asarray(samples.get(source, np.zeros(n)))
        for source in load().sources
    }
    return Scene(facts_of(setup) | shares(n, setup, seed), full)


def part_face(samples: Samples, setup: Setup, both_ways: bool = False, seed: int = 0) -> PartFace:
    """Return the face that a cut leaves on the part.

    Args:
        samples: Draws of the sources, mm or rad, each shape (n,).
        setup: The cut and the grip.
        both_ways: Passes alternate in sense, so that play of the vertical slide lifts every other one.
        seed: Seed of the shares that no setup fact gives (how the part seats, what of a squeeze stays).

    Raises:
        PhysicsError: if the passes leave part of the face uncut.
    """
    scene = part_scene(samples, setup, seed)
    f = scene.facts
    v = np.linspace(-f["part_across"] / 2, f["part_across"] / 2, _PLACES)
    u = np.linspace(-f["part_along"] / 2, f["part_along"] / 2, 9)
    across, step = _across(scene, v, both_ways)
    along = _along(scene, u)
    across, along = _let_go(scene, across, along, v / f["part_across"], u / f["part_along"])
    y, to_back, x, to_right = (v, across, u, along) if f["feed_axis"] == "x" else (u, along, v, across)
    to_back = to_back + (scene.roll + scene.squeeze)[:, None] * y
    to_right = to_right - scene["bed_tilt_x"][:, None] * x
    return PartFace(x, y, to_back, to_right, scene["clamp_bend"], step)


def _across(scene: Scene, v: Array, both_ways: bool) -> tuple[Array, Array]:
    """Return the profile across the feed, shape (n, len(v)), and the largest true step, shape (n,)."""
    f = scene.facts
    axis = f["feed_axis"]
    feed, cross, _, slide = scene.tilts(axis)
    passes, spacing = f["passes"], f["pass_spacing"] or 0.0
    diameter = f["cutter_diameter"]
    # Only a single pass can be off the middle of the face: a row is laid evenly about it.
    offset = f["cutter_offset"] if passes == 1 else 0.0
    centres = pass_centres(diameter, f["part_across"], passes, spacing, f["overrun"], offset)
    rises, leans = _heights(scene, centres, cross, both_ways)
    z = np.full((feed.size, v.size), np.inf)
    radius, steep = diameter / 2.0, np.abs(feed)[:, None]
    for i, centre in enumerate(centres):
        near = np.flatnonzero(np.abs(v - centre) <= radius * (1.0 + 1e-12))
        w = v[near] - centre
        arc = np.sqrt(np.maximum(radius**2 - w * w, 0.0)) - radius
        z[:, near] = np.minimum(z[:, near], rises[:, i : i + 1] + leans[:, i : i + 1] * w - steep * arc)
    step = _steps(centres, rises, leans, np.abs(feed), diameter, f["part_across"])
    return z + slide[:, None] * v, step


def _heights(scene: Scene, centres: Array, cross: Array, both_ways: bool) -> tuple[Array, Array]:
    """Return the height and the slope across of each pass, shapes (n, passes)."""
    f = scene.facts
    passes = f["passes"]
    rises = np.zeros((cross.size, centres.size))
    leans = np.repeat(cross[:, None], centres.size, axis=1)
    if centres.size > 1:
        grown = steady_rise(centres.size, passes)
        turn = grown if scene.later_is_back > 0 else 1.0 - grown
        rises -= scene.drift[:, None] * turn
    if both_ways and centres.size > 1:
        rises += scene["gib_play_z"][:, None] * (np.arange(centres.size) % 2)
    if f["feed_axis"] == "y":
        # The table rocks along its curve: a pass at x meets it higher, and leaning by its slope there.
        k = _curvature(scene)[:, None]
        rises, leans = rises + k * centres**2, leans + 2.0 * k * centres
    return rises, leans


def _steps(
    centres: Array, rises: Array, leans: Array, feed: Array, diameter: float, width: float
) -> Array:
    """Return the largest true step of every draw, mm.

    The surface jumps only at the rim of a pass that is the lowest there: by what the others stand above it.
    """
    radius = diameter / 2.0
    largest = np.zeros(feed.size)
    for i, centre in enumerate(centres):
        for side in (-radius, radius):
            place = centre + side
            near = np.flatnonzero(np.abs(place - centres) <= radius * (1.0 + 1e-12))
            near = near[near != i]
            if abs(place) >= width / 2.0 * (1.0 - 1e-12) or near.size == 0:
                continue
            v = place - centres[near]
            arcs = np.sqrt(np.maximum(radius**2 - v * v, 0.0))
            others = (rises[:, near] + leans[:, near] * v - feed[:, None] * arcs).min(axis=1)
            largest = np.maximum(largest, others - (rises[:, i] + leans[:, i] * side))
    return largest


def _along(scene: Scene, u: Array) -> Array:
    f = scene.facts
    slide = scene.tilts(f["feed_axis"])[2]
    heights = slide[:, None] * u
    if f["feed_axis"] == "x":
        heights = heights + _curvature(scene)[:, None] * u * u
    if f["passes"] == 1:
        # What grows or creeps during a single pass leaves its end deeper.
        heights = heights - scene.drift[:, None] * (u / f["part_along"])
    return np.asarray(heights)


def _let_go(scene: Scene, across: Array, along: Array, v: Array, u: Array) -> tuple[Array, Array]:
    """Add what springs back on release and what bows: parabolas, plus hollow, over the whole face."""
    f: Any = scene.facts
    bowed = scene["stress_bow"] + scene["part_deflect"]
    hollow_across = f["squeeze_share"] * scene["wall_squeeze"] - bowed
    hollow_along = f["squeeze_along"] * scene["wall_squeeze"] - f["bow_along"] * bowed
    return across + 4.0 * hollow_across[:, None] * v * v, along + 4.0 * hollow_along[:, None] * u * u


def _curvature(scene: Scene) -> Array:
    travel = load().machines[scene.facts["machine"]].travel_x
    return np.asarray(4.0 * scene["table_droop"] / travel**2)
