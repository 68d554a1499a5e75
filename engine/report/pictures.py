"""The drawings of a report, as SVG: how belief moved, and the face.

Each is drawn for a wide page and again for a phone, with the same size of letter.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from askew.engine.phrases import chance_words
from askew.engine.report import svg
from askew.engine.report.face import Array, Profile
from askew.engine.report.rows import BeliefLine
from askew.engine.units import Habit, format_length, format_span

WIDE, NARROW = 720.0, 340.0
LETTER = 6.6
"""Width of an average letter at the size the drawings use, px."""


def belief(lines: Sequence[BeliefLine], width: float) -> str:
    """Return the chance of each suspect after every step; empty where there is no step."""
    steps = len(lines[0].chances) if lines else 0
    if steps == 0:
        return ""
    wide = width > 500
    names = [_cut(line.name, 26 if wide else 16) for line in lines]
    label = max(len(name) for name in names) * LETTER + 46
    left, right, top, bottom = 46.0, width - label, 12.0, 236.0
    x = [left + 8 + (right - left - 16) * (i / (steps - 1) if steps > 1 else 0.5) for i in range(steps)]

    def y(chance: float) -> float:
        return bottom - (bottom - top) * chance

    body = [_grid(left, right, y)]
    every = max(1, -(-steps // max(1, int((right - left) / 22))))
    for i in range(0, steps, every):
        body.append(svg.text(x[i], bottom + 17, str(i + 1), class_="tick", text_anchor="middle"))
    body.append(svg.text((left + right) / 2, bottom + 36, "step", class_="tick", text_anchor="middle"))
    ends = svg.spread_out([y(line.chances[-1]) for line in lines], 17.0, top, bottom)
    for k, (line, name, end) in enumerate(zip(lines, names, ends, strict=True)):
        points = [(x[i], y(chance)) for i, chance in enumerate(line.chances)]
        body.append(svg.path(points, class_=f"curve c{k}"))
        body += [svg.marker(k, px, py, class_=f"mark m{k}") for px, py in points]
        body.append(svg.line(x[-1] + 6, points[-1][1], right + 4, end, class_="leader"))
        body.append(svg.marker(k, right + 11, end, class_=f"mark m{k}"))
        body.append(svg.text(right + 20, end + 4, f"{name} {chance_words(line.chances[-1])}", class_="label"))
    said = "; ".join(f"{line.name} ends at {chance_words(line.chances[-1])}" for line in lines)
    return svg.picture(width, bottom + 44, "".join(body), f"Chance of trouble after each step: {said}.")


def _grid(left: float, right: float, y: Callable[[float], float]) -> str:
    parts: list[str] = []
    for chance in (0.0, 0.25, 0.5, 0.75, 1.0):
        parts.append(svg.line(left, y(chance), right, y(chance), class_="axis" if chance == 0 else "grid"))
        if chance in (0.0, 0.5, 1.0):
            parts.append(
                svg.text(left - 6, y(chance) + 4, f"{chance * 100:.0f}%", class_="tick", text_anchor="end")
            )
    return "".join(parts)


def face(profile: Profile, width: float, habit: Habit) -> str:
    """Return the face seen along the feed, heights drawn many times larger, with a scale."""
    left, right, top, drawn = 14.0, width - 14.0, 34.0, 150.0
    size = profile.height or 1e-4
    scale = drawn / size
    lines = [line for line in (profile.predicted, profile.measured) if line is not None]
    highest = max(float(np.max(line)) for line in [*lines, np.zeros(1)])
    across = float(profile.places[-1] - profile.places[0])
    flat = (right - left - 96) / across

    def at(places: Array, heights: Array) -> list[tuple[float, float]]:
        x0 = (left + right - 56) / 2
        return [(x0 + p * flat, top + (highest - h) * scale) for p, h in zip(places, heights, strict=True)]

    floor = top + drawn + 58.0
    ends = profile.places[[0, -1]]
    true = at(ends, np.zeros(2))
    outline = at(profile.places, lines[-1])
    block = [*outline, (outline[-1][0], floor), (outline[0][0], floor)]
    body = [
        svg.path(block, closed=True, class_="metal"),
        svg.line(*true[0], *true[1], class_="true"),
    ]
    if profile.predicted is not None:
        body.append(svg.path(at(profile.places, profile.predicted), class_="curve c0"))
    if profile.measured is not None:
        body.append(svg.path(at(profile.places, profile.measured), class_="curve c1 dashed"))
    body.append(svg.text(outline[0][0], floor + 18, profile.left, class_="tick", text_anchor="middle"))
    body.append(svg.text(outline[-1][0], floor + 18, profile.right, class_="tick", text_anchor="middle"))
    middle = (outline[0][0] + outline[-1][0]) / 2
    body.append(
        svg.text(
            middle, floor + 18, format_span(round(across, 1), habit), class_="tick", text_anchor="middle"
        )
    )
    body.append(_scale_bar(right - 40, top, scale, drawn, habit))
    body.append(_legend(profile, left, width))
    times = scale / flat
    title = f"The face seen along the feed, heights drawn {times:.0f} times larger than widths."
    return svg.picture(width, floor + 28, "".join(body), title)


def enlargement(profile: Profile, width: float) -> float:
    """Return how many times larger than widths the heights are drawn."""
    across = float(profile.places[-1] - profile.places[0])
    return 150.0 / (profile.height or 1e-4) / ((width - 28 - 96) / across)


def _scale_bar(x: float, top: float, scale: float, drawn: float, habit: Habit) -> str:
    unit = 0.0254 if habit == "in" else 1.0
    length = svg.nice(drawn / scale / unit) * unit
    low, high = top + drawn, top + drawn - length * scale
    ticks = [svg.line(x - 4, y, x + 4, y, class_="scale") for y in (low, high)]
    name = format_length(length, habit)
    return "".join(
        [
            svg.line(x, low, x, high, class_="scale"),
            *ticks,
            svg.text(x, low + 16, name, class_="tick", text_anchor="middle"),
        ]
    )


def _legend(profile: Profile, left: float, width: float) -> str:
    items = [("true", "square to the reference face")]
    if profile.measured is not None:
        items.insert(0, ("curve c1 dashed", "measured"))
    if profile.predicted is not None:
        items.insert(0, ("curve c0", "predicted"))
    if width <= 500:
        items = [(style, name.replace("square to the reference face", "true face")) for style, name in items]
    parts, x = [], left
    for style, name in items:
        parts.append(svg.line(x, 14, x + 26, 14, class_=style))
        parts.append(svg.text(x + 32, 18, name, class_="label"))
        x += 32 + len(name) * LETTER + 18
    return "".join(parts)


def _cut(name: str, most: int) -> str:
    return name if len(name) <= most else name[: most - 1].rstrip() + "\u2026"
