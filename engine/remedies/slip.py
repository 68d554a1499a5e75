"""Whether the grip holds the cut: clamp force and friction against the cutting force.

Forces from `physics.cutter` (Kienzle) and `physics.workholding` (Coulomb friction at both jaws).
"""

from __future__ import annotations

import math

from askew.engine.physics.cutter import Cut, specific_force
from askew.engine.physics.materials import Material, material
from askew.engine.physics.workholding import FRICTION, Contact, Screw
from askew.engine.remedies.result import positive
from askew.engine.remedies.ways import Hold, Tool
from askew.engine.setup import Setup, machine_of, resolve

# Clamp force of a vise tightened firmly by its own handle, N (common practice, no source).
USUAL_FORCE = {"bench_mill": 8_000.0, "knee_mill": 20_000.0, "bed_mill": 25_000.0}
# A vise screw of each size: mean diameter and lead, mm (common practice, no source).
USUAL_SCREW = {
    "bench_mill": Screw(mean_diameter=14.0, lead=3.0, collar_diameter=20.0),
    "knee_mill": Screw(mean_diameter=22.0, lead=5.0, collar_diameter=32.0),
    "bed_mill": Screw(mean_diameter=24.0, lead=5.0, collar_diameter=35.0),
}
SLIP_MARGIN = 2.0
# Worn edges and hard spots push harder than the table says (judgement).
_RESERVE = 1.5
# Below this share of the usual force a vise is not closed but merely touching (judgement).
LEAST_SHARE = 0.25
# Depth that a part has to be held for when nobody says, mm: a light roughing cut (judgement).
HELD_DEPTH = 1.0


def material_of(setup: Setup) -> Material:
    """Return what the part is made of; mild steel where nothing was said."""
    return material(resolve(setup)["material"] or "mild_steel")


def cutting_force(tool: Tool, setup: Setup) -> float:
    """Return the largest sideways force of a cut, N: every tooth that can be in the cut, at its mean chip.

    Args:
        tool: The cutter, with its depth of cut.
        setup: The cut in force: width across the feed, passes and their spacing, material.
    """
    facts = resolve(setup)
    width = facts["part_across"] if facts["passes"] == 1 else facts["pass_spacing"]
    cut = Cut(tool.diameter, tool.edges, tool.tooth_feed, tool.depth, min(width, tool.diameter))
    made_of = material_of(setup)
    one_tooth = specific_force(made_of, cut.chip) * cut.axial * cut.chip
    biting = max(1, math.ceil(cut.teeth * cut.arc / (2.0 * math.pi)))
    return _RESERVE * one_tooth * biting


def usual_force(setup: Setup) -> float:
    """Return the clamp force when the vise is tightened as usual, N."""
    return USUAL_FORCE[machine_of(setup)]


def usual_screw(setup: Setup) -> Screw:
    """Return a vise screw of the usual size for the machine."""
    return USUAL_SCREW[machine_of(setup)]


def margin(force: float, cutting: float, contact: Contact) -> float:
    """Return how many times over the grip holds a cut along the jaws: 2 * mu * force / cutting force.

    Raises:
        RemedyError: if a force is not positive.
    """
    return 2.0 * FRICTION[contact] * positive("clamp force", force) / positive("cutting force", cutting)


def force_needed(cutting: float, contact: Contact, wanted: float = SLIP_MARGIN) -> float:
    """Return the clamp force that holds a cut `wanted` times over, N.

    Raises:
        RemedyError: if the cutting force or the margin is not positive.
    """
    return positive("slip margin", wanted) * positive("cutting force", cutting) / (2.0 * FRICTION[contact])


def grip_margin(tool: Tool, hold: Hold, setup: Setup, usual: float | None = None) -> float:
    """Return how many times over a grip holds a cut.

    Args:
        tool: The cutter.
        hold: The grip: contact, and force as a share of the usual one.
        setup: The cut in force.
        usual: The usual clamp force, N; None: by the machine.
    """
    force = hold.force * (usual if usual is not None else usual_force(setup))
    return margin(force, cutting_force(tool, setup), hold.contact)
