"""The cut face in profile, as predicted from the causes and as measured.

Seen along the feed: for feed along X from the right end of the table, front at the left and the fixed jaw at
the right; for feed along Y from the front. Heights are mm above the line that is square to the reference
face, zero at the middle of the face.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from askew.engine.physics.limits import PhysicsError
from askew.engine.physics.surface import FaceCut, simulate_face
from askew.engine.setup import Setup, resolve

Array = NDArray[np.float64]
PLACES = 241
"""Places across the face at which a profile is drawn; odd, so that the middle is one of them."""


@dataclass(frozen=True, slots=True)
class Profile:
    """A face seen along the feed.

    Attributes:
        places: mm from the middle of the face, left to right of the picture, shape (n,).
        predicted: Heights in mm, shape (n,), or None.
        measured: Heights in mm, shape (n,), or None.
        left: Name of the left side ("front" or "left").
        right: Name of the right side.
        drawn: Which measured readings the measured line is made of, by id.
    """

    places: Array
    predicted: Array | None
    measured: Array | None
    left: str
    right: str
    drawn: tuple[str, ...]

    @property
    def height(self) -> float:
        """From the lowest to the highest place of both lines and of the true face, mm."""
        lines = [line for line in (self.predicted, self.measured) if line is not None]
        both = np.concatenate([*lines, [0.0]])
        return float(both.max() - both.min())


def profile(
    setup: Setup,
    sizes: Mapping[str, float],
    predicted: Mapping[str, float],
    measured: Mapping[str, float],
) -> Profile | None:
    """Return the profile of a case's face; None where neither line can be drawn.

    Args:
        setup: The setup in which it was cut.
        sizes: Size of every source that is believed not to be zero, mm or rad.
        predicted: Face readings that the sources make, mm by reading id.
        measured: Face readings that were measured, mm by reading id.
    """
    facts = resolve(setup)
    width = float(facts["part_across"])
    places = np.linspace(-width / 2.0, width / 2.0, PLACES)
    lean = _lean(predicted, facts)
    first = _levelled(_cut(setup, sizes), places, lean, predicted.get("hollow_across")) if sizes else None
    second = _from_readings(places, measured, facts)
    if first is None and second is None:
        return None
    sides = ("front", "back") if facts["feed_axis"] == "x" else ("left", "right")
    drawn = tuple(id_ for id_ in DRAWN if id_ in measured)
    return Profile(places, first, second, *sides, drawn)


DRAWN = ("face_out_of_square", "face_out_of_parallel_across", "hollow_across", "step")


def _lean(readings: Mapping[str, float], facts: Mapping[str, Any]) -> float | None:
    """Return the slope across that the readings give, plus rising to the right of the picture."""
    # An open corner lets the face fall away from the reference face at the back, for feed along X.
    if "face_out_of_square" in readings and facts["feed_axis"] == "x":
        return -readings["face_out_of_square"] / float(facts["part_height"])
    if "face_out_of_parallel_across" in readings:
        return readings["face_out_of_parallel_across"] / float(facts["part_across"])
    return None


def _cut(setup: Setup, sizes: Mapping[str, float]) -> FaceCut:
    f = resolve(setup)

    def size(id_: str) -> float:
        return float(sizes.get(id_, 0.0))

    order = f["pass_order"]
    if (f["feed_axis"] == "x") != (order in ("front_to_back", "back_to_front")):
        order = "front_to_back" if f["feed_axis"] == "x" else "left_to_right"
    return FaceCut(
        diameter=f["cutter_diameter"],
        across=f["part_across"],
        along=f["part_along"],
        passes=f["passes"],
        spacing=min(f["pass_spacing"] or 0.0, f["cutter_diameter"]),
        offset=f["cutter_offset"],
        overrun=bool(f["overrun"]),
        feed_axis=f["feed_axis"],
        order=order,
        tilt_x=size("tram") - size("lean_side"),
        tilt_y=size("nod") - size("lean_fore"),
        slide_x=size("table_slope"),
        slide_y=size("saddle_slope"),
        rise=-(size("spindle_growth") + size("tool_pullout") + size("part_slip")) if f["passes"] > 1 else 0.0,
    )


def _levelled(cut: FaceCut, places: Array, lean: float | None, hollow: float | None) -> Array | None:
    """Return the simulated profile, its slope and hollow brought to the predicted readings."""
    try:
        surface = simulate_face(cut, nx=PLACES, ny=PLACES)
    except PhysicsError:
        return None
    middle = PLACES // 2
    line = surface.z[:, middle] if cut.feed_axis == "x" else surface.z[middle, :]
    own = surface.readings
    slope = own.slope_back if cut.feed_axis == "x" else own.slope_right
    half = cut.across / 2.0
    if lean is not None:
        line = line + (lean - slope) * places
    if hollow is not None:
        line = line + (hollow - own.hollow_across) * (places / half) ** 2
    out: Array = line - line[middle]
    return out


def _from_readings(places: Array, measured: Mapping[str, float], facts: Mapping[str, Any]) -> Array | None:
    """Return the simplest face that has the measured readings: a straight lean, an even hollow, one step."""
    lean = _lean(measured, facts)
    if lean is None and "hollow_across" not in measured and "step" not in measured:
        return None
    half = places[-1]
    line = (lean or 0.0) * places + measured.get("hollow_across", 0.0) * (places / half) ** 2
    if "step" in measured:
        line = line + measured["step"] * _teeth(places, facts)
    out: Array = line - line[PLACES // 2]
    return out


def _teeth(places: Array, facts: Mapping[str, Any]) -> Array:
    """Return a row of teeth of height 1, one a pass: up at each joint towards the right, falling between.

    The joints are drawn evenly, a spacing apart about the middle of the face.
    """
    spacing = float(facts["pass_spacing"] or 0.0) or float(places[-1])
    turn = places / spacing + (0.5 if facts["passes"] % 2 else 0.0)
    out: Array = np.floor(turn + 1e-9) - turn
    return out
