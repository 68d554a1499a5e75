"""A simulated face in plain characters: a map of heights from above and its profile across the feed."""

from __future__ import annotations

from textwrap import wrap as fill

import numpy as np

from askew.engine.foresee import Foresight
from askew.engine.physics.envelope import Array
from askew.engine.setup import resolve

LEVELS = ".:-=+*#"
"""Characters from low to high; each covers an equal part of the height."""

FLAT = 5e-6
"""Below this height in mm a face is called flat: no shop can measure it."""

_LABEL = 10  # columns for the height beside the profile


def face_picture(seen: Foresight, width: int = 60) -> list[str]:
    """Return the drawing as lines of ASCII, none longer than `width` (40 or more)."""
    surface = seen.surface
    height = float(np.ptp(surface.z))
    if height < FLAT:
        return fill("The face comes out flat and level: there is nothing to draw.", width)
    across_is_y = resolve(seen.setup)["feed_axis"] == "x"
    if across_is_y:
        places, line, ends = surface.y, surface.z[:, surface.x.size // 2], ("front", "back")
    else:
        places, line, ends = surface.x, surface.z[surface.y.size // 2], ("left", "right")
    return [*_map(surface.x, surface.y, surface.z, width), "", *_profile(places, line, ends, width)]


def _map(x: Array, y: Array, z: Array, width: int) -> list[str]:
    columns = min(width - 8, 52)
    # A character is about twice as tall as wide.
    rows = int(np.clip(round(columns * np.ptp(y) / np.ptp(x) / 2), 4, 14))
    i = np.linspace(0, x.size - 1, columns).round().astype(int)
    j = np.linspace(y.size - 1, 0, rows).round().astype(int)
    low, high = float(z.min()), float(z.max())
    level = np.clip((z[np.ix_(j, i)] - low) / (high - low) * len(LEVELS), 0, len(LEVELS) - 1).astype(int)
    body = ["  |" + "".join(LEVELS[k] for k in row) + "|" for row in level]
    edge = "  +" + "-" * columns + "+"
    return [
        "Seen from above",
        "  " + "back".center(columns + 2).rstrip(),
        edge,
        *body,
        edge,
        "  left" + "front".center(columns - 7) + "right",
        *fill(f"{LEVELS[0]} low, {LEVELS[-1]} high: {high - low:.4f} mm in {len(LEVELS)} shades", width),
    ]


def _profile(places: Array, line: Array, ends: tuple[str, str], width: int) -> list[str]:
    columns, rows = min(width - _LABEL - 4, 48), 7
    here = np.interp(np.linspace(places[0], places[-1], columns), places, line)
    height = float(np.ptp(here))
    if height < FLAT:
        return ["Across the feed it is straight and level."]
    row = ((here - here.min()) / height * (rows - 1)).round().astype(int)
    lines = fill(f"Across the feed, {height:.4f} mm from lowest to highest", width)
    for r in range(rows - 1, -1, -1):
        label = {rows - 1: f"{height:.4f}", 0: "0.0000"}.get(r, "").rjust(_LABEL - 2)
        lines.append(f"{label}  |" + "".join("*" if k == r else " " for k in row).rstrip())
    lines.append(" " * _LABEL + "+" + "-" * columns)
    lines.append(" " * (_LABEL + 1) + ends[0] + ends[1].rjust(columns - len(ends[0])))
    return lines
