"""Cutting force, and how far a slender cutter is pushed off the wall it mills.

Force: Kienzle's specific cutting force, kc = kc1.1 * h^-mc (Kienzle, VDI-Z 94, 1952, from memory), with
the mean chip thickness over the arc of engagement. Bending: Euler-Bernoulli cantilever of steps, each of
even stiffness. Forces N, lengths mm, moduli N/mm^2.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from askew.engine.physics.limits import PhysicsError, between, positive
from askew.engine.physics.materials import Material

STEEL, CARBIDE = 210_000.0, 580_000.0
"""Young's modulus of high-speed steel and of cemented carbide, N/mm^2; from memory."""

FLUTED = 0.8
"""A fluted length bends like a round bar of about 0.8 of its diameter (Kops and Vo, Annals of the CIRP 39,
1990; from memory)."""

PUSH_OFF = 0.4
"""Force off the wall beside the tangential force; 0.3 to 0.5, common practice, no source."""

# Under this chip thickness the edge rubs, and Kienzle's law is not meant for it.
_THINNEST = 0.005


@dataclass(frozen=True, slots=True)
class Cut:
    """An engagement of a cutter.

    Attributes:
        diameter: Cutter diameter, mm.
        teeth: Number of teeth.
        feed: Feed of each tooth, mm.
        axial: Axial depth of cut, mm (for a wall: its height).
        radial: Radial depth of cut, mm.
    """

    diameter: float
    teeth: int
    feed: float
    axial: float
    radial: float

    def __post_init__(self) -> None:
        """Refuse cuts that no cutter makes."""
        positive("cutter diameter", self.diameter, high=1000)
        if not 1 <= self.teeth <= 100:
            raise PhysicsError(f"The number of teeth must be from 1 to 100, not {self.teeth}.")
        positive("feed of each tooth", self.feed, high=5)
        positive("axial depth of cut", self.axial, high=1000)
        positive("radial depth of cut", self.radial, high=self.diameter)

    @property
    def arc(self) -> float:
        """Angle of engagement, rad."""
        return math.acos(1 - 2 * self.radial / self.diameter)

    @property
    def chip(self) -> float:
        """Mean chip thickness over the arc, mm: feed * (1 - cos(arc))/arc."""
        return self.feed * 2 * self.radial / self.diameter / self.arc


def specific_force(material: Material, chip: float) -> float:
    """Return the specific cutting force for a chip thickness in mm, N/mm^2.

    Held at its value for 0.005 mm below that: thinner chips are rubbed, not cut.
    """
    positive("chip thickness", chip, high=10)
    return material.kc * math.pow(max(chip, _THINNEST), -material.mc)


def tangential_force(material: Material, cut: Cut) -> float:
    """Return the mean tangential force of all teeth in the cut, N."""
    in_cut = cut.teeth * cut.arc / (2 * math.pi)
    return specific_force(material, cut.chip) * cut.axial * cut.chip * in_cut


def side_force(material: Material, cut: Cut, share: float = PUSH_OFF) -> float:
    """Return the force that pushes the cutter off the wall, N."""
    return between("share of the push-off force", share, 0.0, 2.0, "") * tangential_force(material, cut)


@dataclass(frozen=True, slots=True)
class Step:
    """One even length of a cutter or its holder.

    Attributes:
        length: mm.
        diameter: Diameter that bends, mm; for a fluted length the equivalent one (`FLUTED` times the
            cutter's).
        modulus: N/mm^2.
    """

    length: float
    diameter: float
    modulus: float = STEEL

    @property
    def stiffness(self) -> float:
        """Bending stiffness E*I, N*mm^2."""
        return self.modulus * math.pi * self.diameter**4 / 64


@dataclass(frozen=True, slots=True)
class Tool:
    """A cutter in its holder, as steps from the holder's face to the tip.

    Attributes:
        steps: From the holder outwards.
        play: Slack of the holder or spindle at its face, mm (to either side); all of it is taken up.
        play_length: Length over which the slack also lets the tool tip, mm; 0: it only shifts.
        holder: Compliance of holder and spindle at the holder's face, mm/N.
    """

    steps: tuple[Step, ...]
    play: float = 0.0
    play_length: float = 0.0
    holder: float = 0.0

    def __post_init__(self) -> None:
        """Refuse tools of no size."""
        if not self.steps:
            raise PhysicsError("The tool must have at least one length that sticks out.")
        for step in self.steps:
            positive("length of the tool", step.length, high=2000)
            positive("diameter of the tool", step.diameter, high=1000)
            positive("modulus", step.modulus, "N/mm^2")
        between("holder play", self.play, 0.0, 5.0)
        between("length of the play", self.play_length, 0.0, 1000.0)
        between("compliance of the holder", self.holder, 0.0, 1.0, "mm/N")

    @property
    def stickout(self) -> float:
        """Length out of the holder, mm."""
        return sum(step.length for step in self.steps)


def end_mill(
    diameter: float,
    flute: float,
    stickout: float,
    shank: float | None = None,
    modulus: float = STEEL,
    play: float = 0.0,
) -> Tool:
    """Return an end mill: shank (same diameter unless said) out of the holder, then the fluted length."""
    positive("cutter diameter", diameter, high=1000)
    positive("stick-out", stickout, high=2000)
    positive("fluted length", flute, high=stickout)
    fluted = Step(flute, FLUTED * diameter, modulus)
    plain = stickout - flute
    steps = (Step(plain, shank or diameter, modulus), fluted) if plain > 0 else (fluted,)
    return Tool(steps, play)


def deflection(tool: Tool, force: float, at: float, where: float) -> float:
    """Return how far the tool moves sideways, mm.

    Args:
        tool: The tool.
        force: Side force, N.
        at: Distance of the force from the holder's face, mm.
        where: Distance of the wanted place from the holder's face, mm.

    By virtual work: the integral of (at - s)(where - s)/(E*I) up to the nearer of the two, piece by piece.
    """
    a = between("place of the force", at, 0.0, tool.stickout)
    x = between("wanted place", where, 0.0, tool.stickout)
    total, start = 0.0, 0.0
    for step in tool.steps:
        end = min(start + step.length, a, x)
        if end <= start:
            break
        total += (_product(a, x, end) - _product(a, x, start)) / step.stiffness
        start += step.length
    slack = 0.0
    if tool.play and force:
        tip = x / tool.play_length if tool.play_length else 0.0
        slack = math.copysign(tool.play * (1 + tip), force)
    return force * (total + tool.holder) + slack


def _product(a: float, x: float, s: float) -> float:
    """Antiderivative of (a - s)(x - s)."""
    return a * x * s - (a + x) * s * s / 2 + s**3 / 3


@dataclass(frozen=True, slots=True)
class Wall:
    """What a bent cutter leaves.

    Attributes:
        taper: How far the foot stands proud of the top, mm (climb milling; minus when the cutter is pulled
            in).
        foot: How far the foot stands off where it should be, mm.
        top: The same at the top of the wall.
        floor: How much deeper the floor is cut at the wall's far side than at the wall, mm: the tip leans.
    """

    taper: float
    foot: float
    top: float
    floor: float


def wall_left(
    tool: Tool,
    force: float,
    height: float,
    diameter: float,
    sense: Literal["climb", "conventional"] = "climb",
) -> Wall:
    """Return the wall that a side force leaves, the force taken at the middle of the wall's height.

    Args:
        tool: The tool.
        force: Size of the side force, N.
        height: Height of the wall, mm, at the end of the tool.
        diameter: Cutter diameter, mm.
        sense: "climb" pushes the cutter off the wall; "conventional" pulls it in, by the same force.
    """
    between("side force", force, 0.0, 1e6, "N")
    positive("wall height", height, high=tool.stickout)
    push = force if sense == "climb" else -force
    end = tool.stickout
    foot, top = (deflection(tool, push, end - height / 2, place) for place in (end, end - height))
    lean = (foot - top) / height
    return Wall(taper=foot - top, foot=foot, top=top, floor=lean * diameter)
