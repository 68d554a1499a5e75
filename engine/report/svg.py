"""Just enough SVG to draw a report: elements as escaped text, scales, ticks.

Colours are CSS classes, so that the page decides between light, dark and paper.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from xml.sax.saxutils import escape, quoteattr

Value = str | float


def element(name: str, content: str = "", /, **attributes: Value) -> str:
    """Return one element; `content` is SVG already. In names "_" stands for "-", and `class_` for class."""
    parts = [f"<{name}"]
    for key, value in attributes.items():
        text = number(value) if isinstance(value, int | float) else value
        parts.append(f" {key.rstrip('_').replace('_', '-')}={quoteattr(text)}")
    return "".join(parts) + (f">{content}</{name}>" if content else "/>")


def text(x: float, y: float, words: str, **attributes: Value) -> str:
    """Return a line of text with its baseline at (x, y)."""
    return element("text", escape(words), x=x, y=y, **attributes)


def line(x1: float, y1: float, x2: float, y2: float, **attributes: Value) -> str:
    """Return a straight line."""
    return element("line", x1=x1, y1=y1, x2=x2, y2=y2, **attributes)


def path(points: Sequence[tuple[float, float]], closed: bool = False, **attributes: Value) -> str:
    """Return a polyline through the points."""
    steps = " ".join(f"{'M' if i == 0 else 'L'}{number(x)} {number(y)}" for i, (x, y) in enumerate(points))
    return element("path", d=steps + (" Z" if closed else ""), **attributes)


def marker(kind: int, x: float, y: float, **attributes: Value) -> str:
    """Return one of five small shapes, so that lines can be told apart without colour."""
    r = 4.0
    if kind % 5 == 0:
        return element("circle", cx=x, cy=y, r=r - 0.3, **attributes)
    if kind % 5 == 1:
        return element("rect", x=x - 3.4, y=y - 3.4, width=6.8, height=6.8, **attributes)
    corners = {
        2: [(x, y - r - 0.6), (x + r, y + r - 0.8), (x - r, y + r - 0.8)],
        3: [(x, y - r - 0.8), (x + r + 0.4, y), (x, y + r + 0.8), (x - r - 0.4, y)],
        4: [(x, y + r + 0.6), (x + r, y - r + 0.8), (x - r, y - r + 0.8)],
    }[kind % 5]
    return path(corners, closed=True, **attributes)


def picture(width: float, height: float, body: str, title: str, class_: str = "") -> str:
    """Return a whole drawing with a title for those who cannot see it; scales down, never up."""
    return element(
        "svg",
        element("title", escape(title)) + body,
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {number(width)} {number(height)}",
        role="img",
        class_=f"drawing {class_}".strip(),
        style=f"max-width:{number(width)}px",
        aria_label=title,
    )


def number(value: float) -> str:
    """Return a coordinate with at most two places."""
    out = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if out == "-0" else out


def nice(size: float) -> float:
    """Return the largest of 1, 2, 5 times a power of ten that is not above `size` (> 0)."""
    power = 10.0 ** math.floor(math.log10(size))
    for step in (5.0, 2.0):
        if size >= step * power * (1 - 1e-9):
            return step * power
    return power


def spread_out(places: Sequence[float], gap: float, low: float, high: float) -> list[float]:
    """Return places moved as little as it takes to keep them `gap` apart within low to high, order kept."""
    order = sorted(range(len(places)), key=lambda i: places[i])
    out = list(places)
    below = low - gap
    for i in order:
        out[i] = max(out[i], below + gap)
        below = out[i]
    above = high + gap
    for i in reversed(order):
        out[i] = min(out[i], above - gap)
        above = out[i]
    return out
