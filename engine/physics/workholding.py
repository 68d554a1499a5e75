"""The grip of a vise: how hard it holds, how far its jaws give, and when the part slips or rolls.

Forces N, torques N*mm, lengths mm, stiffness by Young's modulus in N/mm^2.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from askew.engine.physics.limits import PhysicsError, between, positive

Contact = Literal["plain", "bar", "ball", "paper", "soft"]


@dataclass(frozen=True, slots=True)
class Screw:
    """A vise screw.

    Attributes:
        mean_diameter: Mean (pitch) diameter of the thread, mm.
        lead: Advance in one turn, mm.
        friction: Coefficient of friction in the thread.
        collar_diameter: Mean diameter of the thrust collar, mm.
        collar_friction: Coefficient of friction at the collar (a ball thrust bearing: about 0.005).
        half_angle: Half the thread angle, rad: 0 square, 0.253 Acme (14.5 deg), 0.2618 trapezoidal (15 deg).
    """

    mean_diameter: float
    lead: float
    friction: float = 0.12
    collar_diameter: float = 0.0
    collar_friction: float = 0.12
    half_angle: float = 0.0

    def __post_init__(self) -> None:
        """Refuse screws that no vise has."""
        positive("mean diameter of the screw", self.mean_diameter, high=500)
        positive("lead of the screw", self.lead, high=math.pi * self.mean_diameter)
        between("thread friction", self.friction, 0.0, 1.0, "")
        between("collar diameter", self.collar_diameter, 0.0, 1000.0)
        between("collar friction", self.collar_friction, 0.0, 1.0, "")
        between("half angle of the thread", self.half_angle, 0.0, 0.8, "rad")


def torque_for(screw: Screw, force: float) -> float:
    """Return the torque that tightens to a clamp force, N*mm.

    The power-screw equation with collar (Shigley's Mechanical Engineering Design, chapter on screws): T =
    F*dm/2 * (l + pi*f'*dm)/(pi*dm - f'*l) + F*fc*dc/2, with f' = f/cos(half angle) for a sloping flank.
    """
    positive("clamp force", force, "N")
    return force * (_thread_arm(screw, +1) + screw.collar_friction * screw.collar_diameter / 2)


def torque_to_loosen(screw: Screw, force: float) -> float:
    """Return the torque that loosens from a clamp force, N*mm; minus if the screw runs back by itself."""
    positive("clamp force", force, "N")
    return force * (_thread_arm(screw, -1) + screw.collar_friction * screw.collar_diameter / 2)


def force_from(screw: Screw, torque: float) -> float:
    """Return the clamp force that a handle torque gives, N."""
    positive("torque", torque, "N*mm")
    return torque / torque_for(screw, 1.0)


def efficiency(screw: Screw) -> float:
    """Return what part of the work at the handle goes into the clamp: F*l/(2*pi*T)."""
    return screw.lead / (2 * math.pi * torque_for(screw, 1.0))


def _thread_arm(screw: Screw, sense: int) -> float:
    d, lead = screw.mean_diameter, screw.lead
    f = screw.friction / math.cos(screw.half_angle)
    under = math.pi * d - sense * f * lead
    if under <= 0:
        raise PhysicsError(
            f"The lead of the screw must be less than {math.pi * d / f:.3g} mm, or it jams; it is {lead:g}."
        )
    return d / 2 * (math.pi * f * d + sense * lead) / under


@dataclass(frozen=True, slots=True)
class Jaw:
    """A fixed jaw as a short cantilever out of the vise body.

    Attributes:
        height: Height over the vise bed, mm.
        thickness: Thickness front to back at its root, mm.
        width: Length of the jaw along X, mm.
        modulus: Young's modulus, N/mm^2 (grey iron about 110,000, steel 206,000).
        root: Compliance of body and bolts, as a tilt for a moment at the root, rad/(N*mm).
        poisson: Poisson's ratio, for the shear of so short a beam.
    """

    height: float
    thickness: float
    width: float
    modulus: float = 110_000.0
    root: float = 0.0
    poisson: float = 0.26

    def __post_init__(self) -> None:
        """Refuse jaws of no size."""
        for name in ("height", "thickness", "width"):
            positive(f"{name} of the jaw", getattr(self, name), high=2000)
        positive("modulus", self.modulus, "N/mm^2")
        between("compliance of the root", self.root, 0.0, 1e-3, "rad/(N*mm)")
        between("Poisson's ratio", self.poisson, 0.0, 0.5, "")


def jaw_deflection(jaw: Jaw, force: float, at: float, where: float | None = None) -> float:
    """Return how far the fixed jaw moves back under the clamp, mm.

    Short cantilever with shear (Timoshenko beam, shear factor 10(1+nu)/(12+11nu) after Cowper 1966) on an
    elastic root.

    Args:
        jaw: The jaw.
        force: Clamp force, N.
        at: Height at which the force comes, mm over the bed.
        where: Height at which the movement is wanted, mm; None: at the force.
    """
    positive("clamp force", force, "N")
    between("height of the push", at, 0.0, jaw.height)
    z = between("height", at if where is None else where, 0.0, jaw.height)
    inertia = jaw.width * jaw.thickness**3 / 12
    low = min(z, at)
    bending = force * low**2 * (3 * at - low) / (6 * jaw.modulus * inertia)
    if z > at:
        bending += force * at**2 / (2 * jaw.modulus * inertia) * (z - at)
    factor = 10 * (1 + jaw.poisson) / (12 + 11 * jaw.poisson)
    shear_modulus = jaw.modulus / (2 * (1 + jaw.poisson))
    shear = force * low / (factor * shear_modulus * jaw.width * jaw.thickness)
    return bending + shear + jaw.root * force * at * z


def jaw_lean(jaw: Jaw, force: float, at: float, grip: float) -> float:
    """Return the slope that the fixed jaw leans back by over the gripped height, plus: top back.

    Args:
        jaw: The jaw.
        force: Clamp force, N.
        at: Height at which the force comes, mm.
        grip: Height of the part inside the jaws, mm: the part leans as the chord over it.
    """
    positive("grip height", grip, high=jaw.height)
    return (jaw_deflection(jaw, force, at, grip) - jaw_deflection(jaw, force, at, 0.0)) / grip


@dataclass(frozen=True, slots=True)
class Slide:
    """The moving jaw on its ways.

    Attributes:
        length: Length of its bearing on the ways, mm.
        clearance: Clearance of its hold-down, mm.
        screw_height: Height of the screw's line over the bed, mm (minus: below it, as usual).
        pull_down: Share of the clamp force that the jaw is pulled down with (a jaw of the pull-down kind:
            its wedge, about 0.3 to 0.7; 0 for a plain jaw).
    """

    length: float
    clearance: float
    screw_height: float
    pull_down: float = 0.0


def jaw_tips(slide: Slide, push: float) -> bool:
    """Say whether the moving jaw takes up its clearance: the push is higher than the pull-down can hold.

    The push at height `push` over the bed and the screw's line make a couple that lifts the jaw's front
    foot; a pull-down at half the length of the bearing works against it.
    """
    between("height of the push", push, 0.0, 2000.0)
    positive("length of the moving jaw's bearing", slide.length)
    return push - slide.screw_height > slide.pull_down * slide.length / 2


def moving_jaw_lift(slide: Slide, push: float) -> float:
    """Return how far the moving jaw's face rises as it tightens, mm.

    The jaw turns about its far foot by clearance/length; its face, at the near end, rises by the
    clearance, and the point at height `push` also leans back by push*clearance/length.
    """
    between("clearance of the moving jaw", slide.clearance, 0.0, 5.0)
    return slide.clearance if jaw_tips(slide, push) else 0.0


GRIP_OF: dict[Contact, float] = {"plain": 1.0, "bar": 0.0, "ball": 0.0, "paper": 1.0, "soft": 1.0}
"""Share of the part's height over which the moving jaw can shift its resultant: a line contact cannot."""

FRICTION: dict[Contact, float] = {"plain": 0.15, "bar": 0.15, "ball": 0.15, "paper": 0.25, "soft": 0.25}
"""Coefficient of friction at each jaw, steel on metal lightly oiled, paper or soft sheet between. Common
practice, no source."""


@dataclass(frozen=True, slots=True)
class Grip:
    """A part between the jaws.

    Attributes:
        force: Clamp force, N.
        depth: Depth of the part between the jaws, mm.
        low, high: The height over the bed that the fixed jaw holds, mm.
        push: Height of the middle of the push from the moving jaw, mm.
        contact: What is at the moving jaw.
        push_width: Height of the contact at the moving jaw, mm (0 for a bar or a ball).
        weight: Weight of the part, N.
        friction: Coefficient at each jaw; None: by the contact.
    """

    force: float
    depth: float
    low: float
    high: float
    push: float
    contact: Contact = "plain"
    push_width: float = 0.0
    weight: float = 0.0
    friction: float | None = None

    def __post_init__(self) -> None:
        """Refuse grips that hold nothing."""
        positive("clamp force", self.force, "N")
        positive("depth of the part", self.depth)
        positive("height inside the jaws", self.high - self.low)
        between("height of the push", self.push, 0.0, 5000.0)
        between("height of the contact", self.push_width, 0.0, 5000.0)

    @property
    def mu(self) -> float:
        """Coefficient of friction at each jaw."""
        return (
            FRICTION[self.contact] if self.friction is None else between("friction", self.friction, 0, 2, "")
        )


def mismatch(grip: Grip) -> float:
    """Return how far the push is above (plus) or below (minus) anything the fixed jaw can answer with, mm.

    The reaction can shift to any height the fixed jaw holds, and the push within its contact; 0 where they
    can line up. A bar or ball cannot shift.
    """
    half = grip.push_width / 2 * GRIP_OF[grip.contact]
    if grip.push - half > grip.high:
        return grip.push - half - grip.high
    if grip.push + half < grip.low:
        return grip.push + half - grip.low
    return 0.0


def rolls(grip: Grip) -> bool:
    """Say whether the grip turns the part out of its seat: friction and weight cannot hold the couple.

    The couple is force times `mismatch`. Friction at the front face (force*mu at the depth) and the weight
    (at half of it) hold against a push that is too high; the bed holds against one that is too low.
    """
    off = mismatch(grip)
    if off <= 0:
        return False
    return grip.force * off > (grip.force * grip.mu + grip.weight / 2) * grip.depth


def front_lift(grip: Grip, stiffness: float) -> float:
    """Return how far the front edge rises as the fixed jaw's contact presses unevenly, mm.

    With the push off the middle of what the fixed jaw holds by `e`, the pressure there varies over the
    height and the part turns by force*e / (k*h^3/12), k the stiffness of the contact.

    Args:
        grip: The grip.
        stiffness: Force for each mm of approach and each mm of height at the fixed jaw, N/mm^2 (a clean
            jaw of 150 mm: about 20,000; with paper: 2,000; common practice, no source).
    """
    positive("stiffness of the contact", stiffness, "N/mm^2")
    held = grip.high - grip.low
    off = min(max(grip.push - (grip.low + grip.high) / 2, -held / 2), held / 2)
    turn = 12 * grip.force * off / (stiffness * held**3)
    return turn * grip.depth


def slip_margin(grip: Grip, cutting: float, lift: float = 0.0) -> float:
    """Return how many times over friction holds the part against the cut: below 1 it slips, ask for 2.

    Args:
        grip: The grip; friction works at both jaws, so it holds 2*mu*force.
        cutting: Cutting force along the jaws, N.
        lift: Cutting force that lifts the part, N (the weight helps against it).
    """
    between("cutting force", cutting, 0.0, 1e7, "N")
    lifting = max(lift - grip.weight, 0.0)
    pull = math.hypot(cutting, lifting)
    return math.inf if pull == 0 else 2 * grip.mu * grip.force / pull


def seat_is_jaw(grip_height: float, depth: float) -> float:
    """Return how far the part follows the fixed jaw: 1 from half its depth, 0 from a fifth (judgement)."""
    positive("grip height", grip_height)
    positive("depth of the part", depth)
    return min(max((grip_height / depth - 0.2) / 0.3, 0.0), 1.0)
