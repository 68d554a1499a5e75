"""Squaring a block on six faces: the order, what each face takes over, and how true the block will be.

Faces are numbered in the order of cutting: 1 and 4 the largest pair, 2 and 3 the long sides, 5 and 6 the
ends. All errors are slopes of a face in the block's own frame, in which face 1 is true by definition.

While a face is cut, the part rolls by `roll` and the cut rises to the back by `g`, so that the new face leans
against the one on the fixed jaw by `e = roll + g` (plus: rises towards the fixed jaw). The second of two
opposite faces inherits: seated on the jaw, both lean the same way against it and the thickness tapers by
e + e'; seated on the first of the two, the roll is the bed's and the thickness follows that alone.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from askew.engine.remedies.cutface import part_scene
from askew.engine.remedies.draws import Samples, count, fresh, having_done
from askew.engine.remedies.result import Cost, Fix, positive, span
from askew.engine.setup import Setup
from askew.engine.units import Habit, format_length, format_span

Array = NDArray[np.float64]

# Setting a block upright by a square: what a careful person leaves, mm over the blade (judgement).
_SET_UPRIGHT = 0.01
_MINUTES = 75.0


@dataclass(frozen=True, slots=True)
class Block:
    """Finished sizes of the block, mm.

    Attributes:
        thickness: Between faces 1 and 4.
        width: Between faces 2 and 3.
        length: Between the ends 5 and 6.
    """

    thickness: float
    width: float
    length: float

    def __post_init__(self) -> None:
        """Refuse a block of no size."""
        for name in ("thickness", "width", "length"):
            positive(name, getattr(self, name))


@dataclass(frozen=True, slots=True)
class Relation:
    """How true one face of the finished block will be to another.

    Attributes:
        face: The face cut.
        to: The face it is held against.
        kind: "square" or "parallel".
        over: Length it is measured over, mm.
        errors: Its error over that length in every draw, mm, shape (n,).
        inherits: What it takes over, in words.
    """

    face: int
    to: int
    kind: str
    over: float
    errors: Array
    inherits: str

    def interval(self, share: float = 0.9) -> tuple[float, float]:
        """Return the central interval that holds the error with chance `share`, mm."""
        low, high = np.quantile(self.errors, [0.5 - share / 2, 0.5 + share / 2])
        return float(low), float(high)

    def reach(self, share: float = 0.9) -> float:
        """Return the size that the error stays under with chance `share`, mm."""
        return float(np.quantile(np.abs(self.errors), share))


@dataclass(frozen=True, slots=True)
class _Grip:
    """One grip of the block: the slopes that the cut face comes out with, by draw, rad."""

    on_jaw: Array
    on_bed: Array
    seat: Array
    right: Array


def relations(block: Block, samples: Samples, setup: Setup, seed: int = 0) -> tuple[Relation, ...]:
    """Return how true every face of the finished block will be.

    Args:
        block: Its finished sizes.
        samples: Draws of machine and vise as now believed, mm or rad, each shape (n,).
        setup: The machine, the cutter and its passes.
        seed: Seed of what each grip starts afresh.
    """
    t, w, length = block.thickness, block.width, block.length

    def grip(step: int, depth: float, height: float, across: float, along: float, contact: str) -> _Grip:
        return _grip(samples, setup, seed, step, depth, height, across, along, contact)

    two = grip(2, t, w, t, length, "bar")
    three = grip(3, t, w, t, length, "plain")
    four = grip(4, w, t, w, length, "plain")
    five = grip(5, t, length, t, w, "plain")
    six = grip(6, t, length, t, w, "plain")
    # Face 1 on the jaw leads in cuts 2 and 5, whatever the block stands on is still raw.
    e2, e5 = two.on_jaw, five.on_jaw
    e3 = np.where(three.seat > 0.5, three.on_jaw, three.on_bed - e2)
    taper_23 = e2 + e3
    rng = np.random.default_rng([seed, 7])
    upright = samples["square_error"] + rng.normal(0.0, _SET_UPRIGHT, two.right.size) / length
    side_5 = five.right + upright
    e6 = np.where(six.seat > 0.5, six.on_jaw, six.on_bed - e5)
    # Cut 4: face 1 down, face 2 on the jaw. It is parallel to 1 as far as it sits on it.
    e4 = np.where(four.seat > 0.5, four.on_jaw + e2, four.on_bed)
    return (
        Relation(
            2, 1, "square", t, -e2 * t, "the fixed jaw, its flex and the cut; face 1 cannot be improved on"
        ),
        Relation(3, 1, "square", t, -e3 * t, "the jaw again, or face 2 where it sits on that"),
        Relation(
            3,
            2,
            "parallel",
            t,
            taper_23 * t,
            "face 2, twice over if it follows the jaw; bed and slide if it sits down",
        ),
        Relation(
            3,
            2,
            "parallel",
            length,
            three.right * length,
            "parallels, vise bed and X slide, along the length",
        ),
        Relation(
            4, 1, "parallel", w, e4 * w, "parallels, vise bed and the cut; face 2 where it follows the jaw"
        ),
        Relation(
            4, 1, "parallel", length, four.right * length, "parallels, vise bed and X slide, along the length"
        ),
        Relation(5, 1, "square", t, -e5 * t, "the fixed jaw and the cut, as face 2"),
        Relation(5, 2, "square", w, side_5 * w, "the square it was set upright by, its own error and all"),
        Relation(6, 5, "parallel", t, (e5 + e6) * t, "face 5; bed and slide where it sits down on it"),
        Relation(6, 5, "parallel", w, six.right * w, "vise bed and X slide"),
    )


def squaring_block(
    block: Block,
    samples: Samples,
    setup: Setup,
    *,
    tolerance: float | None = None,
    habit: Habit = "mm",
    seed: int = 0,
) -> Fix:
    """Return the order of the six faces, what each takes over and how true it will come out.

    Args:
        block: Its finished sizes.
        samples: Draws of machine and vise as now believed.
        setup: The machine, the cutter and its passes.
        tolerance: What is asked of squareness and parallelism, mm over each face; None: nothing.
        habit: The person's unit.
        seed: Seed of what each grip starts afresh.
    """
    found = relations(block, samples, setup, seed)
    shows = [_sentence(relation, tolerance, habit) for relation in found]
    worst = max(found, key=lambda r: r.reach())
    numbers = {f"{r.kind}_{r.face}_{r.to}_over_{r.over:g}": r.reach() for r in found}
    steps = (
        "Break the edges and brush the vise before every grip. The face against the fixed jaw is the one "
        "that "
        "the next face is made square to.",
        "Face 1: the largest, up, the truest raw side on the fixed jaw, paper or soft sheet at the moving "
        "jaw. "
        "Light cut, all over.",
        "Face 2: face 1 on the fixed jaw, a round bar at the moving jaw level with the middle of the grip. "
        "Raw face below on one parallel or packing.",
        "Check 2 against 1 with a square, both ways round, before going on: what is wrong here, the jaw "
        "puts into "
        "every face that follows.",
        "Face 3: face 1 on the fixed jaw again, face 2 down on parallels, tapped home, no bar once it sits. "
        "Thickness at four corners tells seat from jaw.",
        "Face 4: face 1 down on parallels, face 2 on the fixed jaw, tapped home until both parallels hold.",
        "Face 5: an end up, face 1 on the fixed jaw, face 2 set upright with a square from the bed.",
        "Face 6: turn end for end, face 5 down, face 1 on the fixed jaw, tapped home; bring it to length.",
    )
    warnings = []
    if tolerance is not None and worst.reach() > tolerance:
        warnings.append(
            f"On this machine and vise face {worst.face} to face {worst.to} may be out by "
            f"{format_length(worst.reach(), habit)}, more than the {format_length(tolerance, habit)} asked: "
            f"it takes over {worst.inherits}."
        )
    return Fix(
        title="square the block",
        steps=steps,
        cost=Cost(_MINUTES, "", ("grip", "part")),
        numbers=numbers,
        shows=tuple(shows),
        cautions=("clamp_for_cut", "eye_protection", "no_gloves", "sharp_burrs", "brush_chips"),
        warnings=tuple(warnings),
    )


def chance(found: tuple[Relation, ...], tolerance: float) -> float:
    """Return the probability that every relation of the block stays within a tolerance, mm."""
    met = np.logical_and.reduce([np.abs(r.errors) <= positive("tolerance", tolerance) for r in found])
    return float(met.mean())


def _grip(
    samples: Samples,
    setup: Setup,
    seed: int,
    step: int,
    depth: float,
    height: float,
    across: float,
    along: float,
    contact: str,
) -> _Grip:
    """Return what a fresh, clean grip does to the face cut in it (fed along X, face 1's side to the back)."""
    rng = np.random.default_rng([seed, 3, step])
    draws = having_done(samples, ("turned_part", "cleaned"), setup, rng)
    n = count(draws)
    # A machined face seats; the raw one opposite may taper until it has been cut.
    draws["reference_rock"] = fresh("reference_rock", n, setup, rng, 0.0)
    if contact == "bar":
        draws["blank_taper"] = np.zeros(n)
        with_bar = setup.having(moving_jaw_contact="bar")
        draws["off_centre_push"] = fresh("off_centre_push", n, with_bar, rng, 0.3)
    else:
        draws["off_centre_push"] = np.zeros(n)
        if step > 2:
            draws["blank_taper"] = fresh("blank_taper", n, setup, rng, 0.0)
    gripped = min(0.6 * height, 40.0)
    cut = setup.having(
        feed_axis="x", part_across=across, part_along=along, part_depth=depth, part_height=height,
        grip_height=gripped, moving_jaw_contact=contact, parallel_spacing=None,
    )  # fmt: skip
    scene = part_scene(draws, cut, seed + step)
    return _Grip(
        on_jaw=np.asarray(scene.jaw_roll + scene.squeeze + scene.rise_y),
        on_bed=np.asarray(scene.bed_roll + scene.squeeze + scene.rise_y),
        seat=np.asarray(scene.facts["seat_share"]),
        right=np.asarray(scene.rise_x - scene["bed_tilt_x"]),
    )


def _sentence(relation: Relation, tolerance: float | None, habit: Habit) -> str:
    low, high = relation.interval()
    over = format_span(relation.over, habit)
    verdict = ""
    if tolerance is not None:
        met = float((np.abs(relation.errors) <= tolerance).mean())
        verdict = f"; within tolerance {100.0 * met:.0f} times in 100"
    return (
        f"Face {relation.face} {relation.kind} to {relation.to} over {over}: "
        f"{span(low, high, habit)}{verdict}. "
        f"Takes over: {relation.inherits}."
    )
