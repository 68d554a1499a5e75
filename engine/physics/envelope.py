"""The lower envelope that several passes of one cutter leave across a face, integrated exactly.

Across the feed each pass leaves `rise + cross*v - |feed|*sqrt(R^2 - v^2)` where `v` is the distance from the
middle of the pass and `R` the cutter's radius: the projection of a tilted circle that is carried right over
the work. What stays is the lowest of all passes at each place. The coordinate across is called `y` here,
zero at the middle of the face; it is X of the machine when the feed is along Y.

All integrals are closed forms piece by piece, so slopes carry no error of a grid.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from askew.engine.physics.limits import PhysicsError, between, number, positive

Array = NDArray[np.float64]

MOST_PASSES = 4000
# Enough places to see which pass is lowest; the change-overs between them are then found exactly.
_SAMPLES = 720


def pass_centres(
    diameter: float, width: float, passes: int, spacing: float, overrun: bool, offset: float = 0.0
) -> Array:
    """Return where the middle of each pass runs across the face, mm, ascending (front to back).

    Args:
        diameter: Cutter diameter, mm.
        width: Width of the face across the feed, mm.
        passes: How many passes cover the face, laid evenly about its middle plus `offset`.
        spacing: Distance between neighbouring passes, mm; not used for a single pass.
        overrun: With two or more passes, go on at the same spacing until the cutter has left both sides. A
            single pass stays single.
        offset: The whole set moved towards the back, mm.

    Raises:
        PhysicsError: if a size is impossible or the passes leave part of the face uncut.
    """
    positive("cutter diameter", diameter)
    positive("width of the face", width)
    number("cutter offset", offset)
    if passes < 1 or passes > MOST_PASSES:
        raise PhysicsError(f"The number of passes must be from 1 to {MOST_PASSES}, not {passes}.")
    if passes > 1:
        between("distance between passes", spacing, 1e-6 * diameter, diameter)
    half, radius = width / 2.0, diameter / 2.0
    reach = (passes - 1) * (spacing if passes > 1 else 0.0) / 2.0
    if overrun and passes > 1:
        more = max(0, math.ceil((half + radius + abs(offset) - reach) / spacing))
        if passes + 2 * more > MOST_PASSES:
            raise PhysicsError(
                f"The distance between passes must be at least {(width + diameter) / MOST_PASSES:.2g} mm "
                f"for this face, not {spacing:g}."
            )
        passes, reach = passes + 2 * more, reach + more * spacing
    if half + abs(offset) > (reach + radius) * (1.0 + 1e-12):
        needed = 2.0 * (half + abs(offset) - reach)
        raise PhysicsError(
            f"The cutter diameter must be at least {needed:.4g} mm to cover a face {width:g} mm wide "
            f"this way, not {diameter:g}."
        )
    return np.asarray(offset + np.linspace(-reach, reach, passes) if passes > 1 else [offset], dtype=float)


@dataclass(frozen=True, slots=True)
class Passes:
    """A set of passes over one face.

    Attributes:
        centres: Where each pass runs, mm, ascending, shape (n,).
        radius: Cutter radius, mm.
        width: Width of the face, mm; it lies from -width/2 to width/2.
        cross: Slope of the cutter plane across the feed in each pass, plus rising with y, shape (n,).
        feed: Tilt of the cutter plane against the slide along the feed; only its size matters.
        rises: Height of each pass, mm, plus up, shape (n,).
    """

    centres: Array
    radius: float
    width: float
    cross: Array
    feed: float
    rises: Array

    def heights(self, y: Array) -> Array:
        """Return the height each pass would leave at `y`, mm, (n, len(y)); inf where it does not reach."""
        v = np.asarray(y, dtype=float)[None, :] - self.centres[:, None]
        left = self.radius**2 * (1.0 + 1e-13) - v * v
        z = self.rises[:, None] + self.cross[:, None] * v
        if self.feed:
            z = z - abs(self.feed) * np.sqrt(np.maximum(left, 0.0))
        return np.where(left < 0.0, np.inf, z)

    def profile(self, y: Array) -> Array:
        """Return the height of what stays at each place `y`, mm, shape (len(y),)."""
        result: Array = self.heights(y).min(axis=0)
        return result

    def _lowest(self, y: Array) -> NDArray[np.intp]:
        """Return which pass is lowest at each place, the first of equals, looking only at those that reach it."""
        reach = self.radius * (1.0 + 1e-12)
        first = np.searchsorted(self.centres, y - reach)
        most = max(1, int((np.searchsorted(self.centres, y + reach, side="right") - first).max()))
        if most >= self.centres.size:
            return np.asarray(self.heights(y).argmin(axis=0))
        i = np.minimum(first + np.arange(most)[:, None], self.centres.size - 1)
        v = y - self.centres[i]
        left = self.radius**2 * (1.0 + 1e-13) - v * v
        z = self.rises[i] + self.cross[i] * v
        if self.feed:
            z = z - abs(self.feed) * np.sqrt(np.maximum(left, 0.0))
        lowest = np.where(left < 0.0, np.inf, z).argmin(axis=0)
        return np.asarray(i[lowest, np.arange(y.size)])

    def alone(self, i: NDArray[np.intp], y: Array) -> Array:
        """Return the height that pass `i[k]` leaves at `y[k]` by itself, mm; at its rim beyond its reach."""
        v = y - self.centres[i]
        root = np.sqrt(np.maximum(self.radius**2 - v * v, 0.0))
        result: Array = self.rises[i] + self.cross[i] * v - abs(self.feed) * root
        return result

    def pieces(self) -> tuple[Array, NDArray[np.intp]]:
        """Return the breaks between pieces (m + 1,) and which pass each piece belongs to (m,)."""
        half = self.width / 2.0
        edges = np.concatenate((self.centres - self.radius, self.centres + self.radius))
        edges = edges[(edges > -half) & (edges < half)]
        cuts = np.unique(np.concatenate((np.linspace(-half, half, _SAMPLES + 1), edges)))
        cuts = cuts[np.concatenate(([True], np.diff(cuts) > 1e-12 * self.width))]
        cuts[-1] = half
        owner = self._lowest((cuts[1:] + cuts[:-1]) / 2.0)
        change = np.flatnonzero(owner[1:] != owner[:-1])
        low, high = (cuts[change] + cuts[change + 1]) / 2.0, (cuts[change + 1] + cuts[change + 2]) / 2.0
        before, after = owner[change], owner[change + 1]
        # A change at the rim of the pass that is lower there is a jump and stays where it is; any other is a
        # crossing, beside which a rim may lie within the same sample.
        here, near = cuts[change + 1], 1e-9 * self.radius
        ends = np.abs(here - self.centres[before] - self.radius) < near
        starts = np.abs(here - self.centres[after] + self.radius) < near
        climb = self.alone(after, here) - self.alone(before, here)
        jump = (ends & (climb >= 0)) | (starts & (climb <= 0))
        high, low = np.where(ends, here, high), np.where(starts, here, low)
        place = here.copy()
        if not jump.all():
            meet = ~jump
            place[meet] = self._crossing(before[meet], after[meet], low[meet], high[meet])
        return np.concatenate(([-half], place, [half])), np.append(before, owner[-1])

    def _crossing(self, before: NDArray[np.intp], after: NDArray[np.intp], low: Array, high: Array) -> Array:
        low, high = low.copy(), high.copy()
        for _ in range(50):
            middle = (low + high) / 2.0
            under = self.alone(before, middle) <= self.alone(after, middle)
            low, high = np.where(under, middle, low), np.where(under, high, middle)
        return (low + high) / 2.0

    def moments(self) -> tuple[float, float, float]:
        """Return the integrals of z, z*y and z*y^2 over the face (mm^2, mm^3, mm^4)."""
        breaks, owner = self.pieces()
        centre, rise, cross = self.centres[owner], self.rises[owner], self.cross[owner]
        # The height of a cutter's rim is taken from its middle, so that no large constant is integrated.
        total = np.zeros(3)
        for sign, edge in ((1.0, breaks[1:]), (-1.0, breaks[:-1])):
            v = edge - centre
            m = [
                rise * v ** (k + 1) / (k + 1) + cross * v ** (k + 2) / (k + 2) - abs(self.feed) * root
                for k, root in enumerate(_root_moments(v, self.radius))
            ]
            total += sign * np.array(
                [
                    m[0].sum(),
                    (m[1] + centre * m[0]).sum(),
                    (m[2] + 2 * centre * m[1] + centre**2 * m[0]).sum(),
                ]
            )
        return float(total[0]), float(total[1]), float(total[2])

    def slope(self) -> float:
        """Return the least-squares slope of the profile across the face, plus rising with y."""
        return 12.0 * self.moments()[1] / self.width**3

    def hollow(self) -> float:
        """Return how far the middle lies below the ends of the least-squares parabola, mm."""
        zero, _, two = self.moments()
        return 7.5 / self.width * (6.0 * two / self.width**2 - zero / 2.0)


def _root_moments(v: Array, radius: float) -> tuple[Array, Array, Array]:
    """Return the antiderivatives of v^k * (sqrt(R^2 - v^2) - R) for k = 0, 1, 2.

    The constant R is taken off so that shallow arcs lose no figures; a constant moves the whole face only.
    """
    v = np.clip(v, -radius, radius)
    root = np.sqrt(np.maximum(radius**2 - v * v, 0.0))
    area = (v * root + radius**2 * np.arcsin(v / radius)) / 2.0
    zero = area - radius * v
    one = -(root**3) / 3.0 - radius * v * v / 2.0
    two = -v * root**3 / 4.0 + radius**2 * area / 4.0 - radius * v**3 / 3.0
    return zero, one, two
