"""A simulated face as an SVG drawing: a map of heights seen from above, and its profile across the feed."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

import numpy as np

from askew.engine.foresee import Foresight
from askew.engine.physics.envelope import Array
from askew.engine.setup import resolve

_LOW, _MIDDLE, _HIGH = (33, 102, 172), (247, 247, 247), (178, 24, 43)
_MAP, _GAP, _MARGIN = 360.0, 40.0, 60.0
_FONT = 'font-family="sans-serif" font-size="13"'


def face_svg(seen: Foresight, cells: int = 40) -> str:
    """Return a self-contained SVG drawing (no scripts, no fonts or files from elsewhere).

    Args:
        seen: What is to be drawn.
        cells: Patches along the longer side of the map.
    """
    surface = seen.surface
    x, y = surface.x, surface.y
    scale = _MAP / max(np.ptp(x), np.ptp(y))
    wide, tall = float(np.ptp(x) * scale), float(np.ptp(y) * scale)
    low, high = float(surface.z.min()), float(surface.z.max())
    parts = [_patches(x, y, surface.z, (wide, tall), cells)]
    parts.append(_frame(_MARGIN, _MARGIN, wide, tall))
    parts += [
        _text(_MARGIN + wide / 2, _MARGIN - 10, "back", "middle"),
        _text(_MARGIN + wide / 2, _MARGIN + tall + 20, "front", "middle"),
    ]
    below = _MARGIN + tall + _GAP
    parts += _scale(below, wide, low, high)
    axis = resolve(seen.setup)["feed_axis"]
    places, line = (y, surface.z[:, x.size // 2]) if axis == "x" else (x, surface.z[y.size // 2])
    ends = ("front", "back") if axis == "x" else ("left", "right")
    parts += _profile(below + 50, max(wide, 240.0), places, line, ends)
    size = (2 * _MARGIN + max(wide, 240.0), below + 250)
    title = "Face as cut, heights in mm"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{size[0]:.0f}" height="{size[1]:.0f}" '
        f'viewBox="0 0 {size[0]:.0f} {size[1]:.0f}" role="img" aria-label="{escape(title)}">\n'
        f"<title>{escape(title)}</title>\n"
        f"<desc>{escape(_described(seen))}</desc>\n"
        '<rect width="100%" height="100%" fill="white"/>\n' + "\n".join(parts) + "\n</svg>\n"
    )


def _described(seen: Foresight) -> str:
    face = seen.face
    return (
        f"Seen from above. Slope to the right {face.slope_right:.6f}, to the back {face.slope_back:.6f}; "
        f"hollow across {face.hollow_across:.4f} mm; step {face.step:.4f} mm; second arcs: {face.heel}."
    )


def _colour(share: float) -> str:
    """Blue low, white middle, red high: told apart with any colour sight, and by the printed scale."""
    a, b, t = (_LOW, _MIDDLE, 2 * share) if share < 0.5 else (_MIDDLE, _HIGH, 2 * share - 1)
    return "#" + "".join(f"{round(p + (q - p) * t):02x}" for p, q in zip(a, b, strict=True))


def _patches(x: Array, y: Array, z: Array, size: tuple[float, float], cells: int) -> str:
    span = max(float(np.ptp(z)), 1e-12)
    longest = max(size)
    nx, ny = (max(2, round(cells * s / longest)) for s in size)
    columns = np.linspace(0, x.size - 1, nx).round().astype(int)
    rows = np.linspace(0, y.size - 1, ny).round().astype(int)
    w, h = size[0] / nx, size[1] / ny
    drawn = []
    for r, j in enumerate(rows):
        for c, i in enumerate(columns):
            fill = _colour(float((z[j, i] - z.min()) / span) if np.ptp(z) > 1e-12 else 0.5)
            top = _MARGIN + size[1] - (r + 1) * h
            drawn.append(
                f'<rect x="{_MARGIN + c * w:.2f}" y="{top:.2f}" width="{w + 0.3:.2f}" '
                f'height="{h + 0.3:.2f}" fill="{fill}"/>'
            )
    return "\n".join(drawn)


def _frame(x: float, y: float, w: float, h: float) -> str:
    return f'<rect x="{x:.1f}" y="{y:.1f}" width="{w:.1f}" height="{h:.1f}" fill="none" stroke="black"/>'


def _text(x: float, y: float, text: str, anchor: str = "start") -> str:
    return f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" {_FONT}>{escape(text)}</text>'


def _scale(top: float, wide: float, low: float, high: float) -> Sequence[str]:
    steps = 20
    drawn = [
        f'<rect x="{_MARGIN + k * wide / steps:.2f}" y="{top:.1f}" width="{wide / steps + 0.3:.2f}" '
        f'height="12" fill="{_colour(k / (steps - 1))}"/>'
        for k in range(steps)
    ]
    return [
        *drawn,
        _text(_MARGIN, top + 28, f"{low:+.4f} mm"),
        _text(_MARGIN + wide, top + 28, f"{high:+.4f} mm", "end"),
    ]


def _profile(top: float, wide: float, places: Array, line: Array, ends: tuple[str, str]) -> Sequence[str]:
    tall, span = 110.0, max(float(np.ptp(line)), 1e-12)
    px = _MARGIN + (places - places[0]) / np.ptp(places) * wide
    py = top + tall - (line - line.min()) / span * tall
    if np.ptp(line) < 1e-12:
        py = np.full(px.size, top + tall / 2)
    points = " ".join(f"{a:.1f},{b:.1f}" for a, b in zip(px, py, strict=True))
    return [
        _frame(_MARGIN, top, wide, tall),
        f'<polyline points="{points}" fill="none" stroke="black" stroke-width="1.5"/>',
        _text(_MARGIN, top + tall + 18, ends[0]),
        _text(_MARGIN + wide, top + tall + 18, ends[1], "end"),
        _text(
            _MARGIN + wide / 2,
            top + tall + 36,
            f"across the feed: {float(np.ptp(line)):.4f} mm high",
            "middle",
        ),
    ]
