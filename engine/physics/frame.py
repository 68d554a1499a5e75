"""A hollow part squeezed in the vise: a closed rectangular frame with unequal walls.

The section is seen along the jaws: the moving jaw pushes on the front wall, the fixed jaw holds the back
wall, and the top wall is the face to be cut. Walls bend as Euler-Bernoulli beams along their middle lines;
stretching and shear of the walls are left out, which is right to 2% for walls eight times as long as
thick and 6 to 8% at five times. Sizes are middle line to middle line.

Method: the ring is cut at one corner and closed again by three unknown forces (force method; any text on
structures, e.g. Timoshenko, Strength of Materials, part I). The moments are polynomials between loads, so
the integrals are exact.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

import numpy as np

from askew.engine.physics.envelope import Array
from askew.engine.physics.limits import PhysicsError, between, positive

_GAUSS, _WEIGHTS = np.polynomial.legendre.leggauss(5)
_PARTS = 8  # pieces of each wall between loads, for the shape that is returned


@dataclass(frozen=True, slots=True)
class Frame:
    """A hollow section, middle line to middle line.

    Attributes:
        depth: Distance between the middle lines of front and back wall, mm.
        height: Distance between the middle lines of bottom and top wall, mm.
        front, back, top, bottom: Thickness of the walls, mm.
        length: Length of the part along the jaws, mm.
        modulus: Young's modulus, N/mm^2.
        poisson: Poisson's ratio; used for a part long along the jaws, whose walls bend as plates (plane
            strain, E/(1 - nu^2)). Leave 0 for a short ring.
    """

    depth: float
    height: float
    front: float
    back: float
    top: float
    bottom: float
    length: float
    modulus: float
    poisson: float = 0.0

    def __post_init__(self) -> None:
        """Refuse walls and sizes that no hollow part has."""
        for name in ("depth", "height", "length"):
            positive(f"{name} of the hollow part", getattr(self, name))
        positive("modulus", self.modulus, "N/mm^2")
        between("Poisson's ratio", self.poisson, 0.0, 0.5, "")
        half = min(self.depth, self.height) / 2
        for name in ("front", "back", "top", "bottom"):
            thick = getattr(self, name)
            if not 0 < thick <= half * (1 + 1e-9):
                raise PhysicsError(
                    f"The {name} wall must be more than 0 and at most {half:g} mm thick (half the part), "
                    f"not {thick:g}."
                )

    @classmethod
    def from_outside(
        cls, depth: float, height: float, wall: float, length: float, modulus: float, poisson: float = 0.0
    ) -> Frame:
        """Return the frame of a tube of even wall from its outside sizes, mm."""
        positive("wall thickness", wall)
        if 2 * wall >= min(depth, height):
            raise PhysicsError(
                f"The wall must be thinner than half the part ({min(depth, height) / 2:g} mm), not {wall:g}."
            )
        if 3 * wall > min(depth, height):
            raise PhysicsError(
                f"The wall must be at most a third of the part ({min(depth, height) / 3:.4g} mm) to bend as "
                f"a wall, not {wall:g}; a thicker one is as good as solid."
            )
        return cls(depth - wall, height - wall, wall, wall, wall, wall, length, modulus, poisson)

    def stiffness(self, wall: float) -> float:
        """Return the bending stiffness E*I of a wall of that thickness, N*mm^2."""
        return self.modulus / (1 - self.poisson**2) * self.length * wall**3 / 12


@dataclass(frozen=True, slots=True)
class Push:
    """How the force comes onto a wall.

    Attributes:
        kind: "line" at height `at`, or "band" of even pressure from `low` to `high`.
        at: Height of a line (or a round bar) over the bottom wall's middle line, mm.
        low, high: Ends of a band, mm.
    """

    kind: Literal["line", "band"]
    at: float = 0.0
    low: float = 0.0
    high: float = 0.0

    @property
    def middle(self) -> float:
        """Height of the resultant, mm."""
        return self.at if self.kind == "line" else (self.low + self.high) / 2


@dataclass(frozen=True, slots=True)
class Squeeze:
    """What the push does. Lengths mm, moments N*mm, stresses N/mm^2.

    Attributes:
        front, back: How far the middle of that wall goes in, against its corners.
        top, bottom: How far the middle of that wall bulges out, against its corners.
        at_push: How far the front wall goes in where the push is (its resultant), against its corners.
        corners: Moments at front bottom, front top, back top, back bottom; plus: the outside is stretched.
        largest_moment: The largest moment anywhere, without sign.
        stress: The largest bending stress.
        front_rise: How far the front edge of the top rises against its back edge, with the back wall held
            square (the ring racks when push and reaction are at different heights).
        top_shape: Height of the top wall over its corners at evenly spaced places front to back.
    """

    front: float
    back: float
    top: float
    bottom: float
    at_push: float
    corners: tuple[float, float, float, float]
    largest_moment: float
    stress: float
    front_rise: float
    top_shape: Array


@dataclass(frozen=True, slots=True)
class _Load:
    """A linear pressure over part of a wall: `p0` at `low`, `p1` at `high` (N/mm); a line if low == high."""

    low: float
    high: float
    p0: float
    p1: float
    line: float = 0.0


def squeeze(frame: Frame, force: float, push: Push, reaction: Push | None = None) -> Squeeze:
    """Return how a hollow part yields to the clamp.

    Args:
        frame: The section.
        force: Clamp force, N.
        push: How the moving jaw pushes on the front wall.
        reaction: Where the fixed jaw can hold the back wall; None: the same way as the push. A band takes the
            push by a pressure that varies evenly over it, and lets go at one end if it must; a line must be
            at the height of the push.

    Raises:
        PhysicsError: for impossible sizes, or where the part would roll rather than be squeezed.
    """
    positive("clamp force", force, "N")
    held = reaction or push
    ahead = _spread(push, force, push.middle, frame.height, "push")
    behind = _spread(held, force, push.middle, frame.height, "reaction")
    ring = _Ring(frame, ahead, behind)
    return ring.result(push)


def allowed_force(
    frame: Frame,
    wanted: float,
    push: Push,
    reaction: Push | None = None,
    of: Literal["front", "top", "at_push", "front_rise"] = "top",
) -> float:
    """Return the clamp force that distorts the part by `wanted` mm, N (inf where it does not at all)."""
    positive("wanted distortion", wanted)
    one: float = abs(getattr(squeeze(frame, 1.0, push, reaction), of))
    return wanted / one if one > 1e-18 else float("inf")


def hollow_on_release(frame: Frame, force: float, push: Push, reaction: Push | None = None) -> float:
    """Return how hollow a top cut flat in the vise is when let go, mm (minus: crowned).

    The cut takes the bulge away and the wall springs back by it. The wall is taken as no thinner after the
    cut than before; for a heavy cut put in the thickness that is left.
    """
    return squeeze(frame, force, push, reaction).top


def thinner_top(frame: Frame, cut: float) -> Frame:
    """Return the frame after `cut` mm came off its top."""
    return replace(frame, top=frame.top - positive("depth of cut", cut, high=frame.top * 0.99))


def _spread(push: Push, force: float, centre: float, height: float, name: str) -> _Load:
    """Return the load of `force` on `push`'s contact whose resultant is at height `centre`."""
    if push.kind == "line":
        between(f"height of the {name}", push.at, 0.0, height)
        if abs(push.at - centre) > 1e-9 * height:
            raise PhysicsError(
                f"The {name} at {push.at:g} mm must meet the push at {centre:g} mm, or the part rolls."
            )
        return _Load(push.at, push.at, 0.0, 0.0, force)
    low, high = push.low, push.high
    between(f"lower end of the {name}", low, 0.0, height)
    between(f"upper end of the {name}", high, 0.0, height)
    positive(f"width of the {name}", high - low)
    wide = high - low
    off = centre - (low + high) / 2
    if abs(off) >= wide / 2:
        raise PhysicsError(
            f"The push must come between {low:g} and {high:g} mm, where the fixed jaw holds, or the part "
            f"rolls; it is at {centre:g}."
        )
    if abs(off) > wide / 6:  # contact can only press: the far end lets go
        wide = 3 * (wide / 2 - abs(off))
        low, high = (high - wide, high) if off > 0 else (low, low + wide)
        ends = (0.0, 2 * force / wide) if off > 0 else (2 * force / wide, 0.0)
    else:
        ends = (force / wide * (1 - 6 * off / wide), force / wide * (1 + 6 * off / wide))
    return _Load(low, high, *ends)


class _Ring:
    """The closed ring under its loads, walked front wall up, top, back wall down, bottom."""

    def __init__(self, frame: Frame, ahead: _Load, behind: _Load) -> None:
        self.frame, self.ahead, self.behind = frame, ahead, behind
        b, h = frame.depth, frame.height
        up = _stations(h, ahead)
        down = _stations(h, behind)[::-1]
        over = np.linspace(0.0, b, 2 * _PARTS + 1)
        y = np.concatenate((np.zeros(up.size), over[1:], np.full(down.size - 1, b), over[::-1][1:]))
        z = np.concatenate((up, np.full(over.size - 1, h), down[1:], np.zeros(over.size - 1)))
        walls = (up.size - 1, over.size - 1, down.size - 1, over.size - 1)
        self.corner = np.concatenate(([0], np.cumsum(walls)))
        thickness = np.repeat([frame.front, frame.top, frame.back, frame.bottom], walls)
        self.y, self.z, self.thickness = y, z, thickness
        part = np.hypot(np.diff(y), np.diff(z))
        t = (_GAUSS + 1) / 2
        self.gy, self.gz = (a[:-1, None] + np.diff(a)[:, None] * t for a in (y, z))
        wall = np.repeat([0, 1, 2, 3], walls)
        stiff = np.array([frame.stiffness(float(v)) for v in thickness])
        self.weight = part[:, None] * _WEIGHTS / 2 / stiff[:, None]
        passed = self._moment_of_loads(self.gz, wall[:, None])
        unit = np.stack([np.ones_like(self.gy), self.gy, self.gz])
        # The ring closes: no jump of rotation or displacement at the cut.
        a = np.einsum("kij,lij,ij->kl", unit, unit, self.weight)
        self.unknown = np.linalg.solve(a, -np.einsum("kij,ij,ij->k", unit, passed, self.weight))
        self.bend = (passed + np.einsum("k,kij->ij", self.unknown, unit)) * self.weight
        here = np.append(wall, 3)
        self.moment = self._moment_of_loads(z, here) + self.unknown @ np.stack([np.ones_like(y), y, z])

    def _moment_of_loads(self, z: Array, wall: Array) -> Array:
        """Return minus the moment, about each place, of the loads passed on the walk so far, N*mm."""
        ahead, behind = self.ahead, self.behind
        front = np.where(wall == 0, _turn_below(ahead, z), _turn_all(ahead, z))
        back = np.where(wall < 2, 0.0, np.where(wall == 2, -_turn_above(behind, z), -_turn_all(behind, z)))
        return np.asarray(-front - back, dtype=float)

    def shape(self) -> tuple[Array, Array]:
        """Return displacements (back, up) of the stations, mm, with the front bottom corner held."""
        turn = np.concatenate(([0.0], np.cumsum(self.bend.sum(axis=1))))
        by = np.concatenate(([0.0], np.cumsum((self.bend * self.gy).sum(axis=1))))
        bz = np.concatenate(([0.0], np.cumsum((self.bend * self.gz).sum(axis=1))))
        return -(self.z * turn - bz), self.y * turn - by

    def result(self, push: Push) -> Squeeze:
        uy, uz = self.shape()
        c = self.corner
        h, b = self.frame.height, self.frame.depth

        def against_corners(wall: int, u: Array, where: Array, at: float) -> float:
            one = slice(c[wall], c[wall + 1] + 1)
            places, moved = where[one], u[one]
            order = np.argsort(places)
            places, moved = places[order], moved[order]
            chord = moved[0] + (moved[-1] - moved[0]) * (at - places[0]) / (places[-1] - places[0])
            return float(np.interp(at, places, moved) - chord)

        top = slice(c[1], c[2] + 1)
        corners = [float(-self.moment[i]) for i in c]
        line = uz[top] - np.linspace(uz[c[1]], uz[c[2]], c[2] - c[1] + 1)
        tilt_top = (uz[c[2]] - uz[c[1]]) / b
        lean_back = -(uy[c[2]] - uy[c[3]]) / h
        stress = np.abs(self.moment[:-1]) * 6 / (self.frame.length * self.thickness**2)
        stress_end = np.abs(self.moment[1:]) * 6 / (self.frame.length * self.thickness**2)
        return Squeeze(
            front=against_corners(0, uy, self.z, h / 2),
            back=-against_corners(2, uy, self.z, h / 2),
            top=against_corners(1, uz, self.y, b / 2),
            bottom=-against_corners(3, uz, self.y, b / 2),
            at_push=against_corners(0, uy, self.z, push.middle),
            corners=(corners[0], corners[1], corners[2], corners[3]),
            largest_moment=float(np.abs(self.moment).max()),
            stress=float(max(stress.max(), stress_end.max())),
            front_rise=float((lean_back - tilt_top) * b),
            top_shape=np.asarray(line, dtype=float),
        )


def _stations(height: float, load: _Load) -> Array:
    """Return places up a wall, from 0 to height, with the ends of the load and its middle among them."""
    marks = np.unique([0.0, load.low, (load.low + load.high) / 2, load.high, height / 2, height])
    fine = [np.linspace(a, b, _PARTS + 1)[:-1] for a, b in pairwise(marks)]
    return np.append(np.concatenate(fine), height)


def _turn_all(load: _Load, z: Array) -> Array:
    """Return the moment of a whole load about height z: force times (z - height of the load), N*mm."""
    return _turn_below(load, z, whole=True)


def _turn_below(load: _Load, z: Array, whole: bool = False) -> Array:
    """Return the moment about height z of the part of the load below z (or the whole of it)."""
    if load.low == load.high:
        return load.line * (z - load.low if whole else np.maximum(z - load.low, 0.0))
    wide, rise = load.high - load.low, load.p1 - load.p0
    end = np.full_like(z, wide) if whole else np.clip(z - load.low, 0.0, wide)
    arm = z - load.low
    # integral over t from 0 to end of (p0 + rise*t/wide) * (arm - t)
    result: Array = load.p0 * (arm * end - end**2 / 2) + rise / wide * (arm * end**2 / 2 - end**3 / 3)
    return result


def _turn_above(load: _Load, z: Array) -> Array:
    """Return the moment about height z of the part of the load above z (minus or zero)."""
    return _turn_all(load, z) - _turn_below(load, z)
