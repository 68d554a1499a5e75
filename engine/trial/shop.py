"""A simulated shop: its machine, job, bench and people, and what is really wrong with it.

Drawn from a seed alone. Sizes come from heavier tails than belief assumes (Student's t with four degrees of
freedom), one to three sources are in trouble, and only shops in which somebody would complain are kept.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from askew.engine.belief.columns import in_play, prior_of, size_of
from askew.engine.setup import Setup
from askew.engine.trial.world import Moment, draw_luck, measure
from askew.knowledge.load import load

Rng = np.random.Generator

TAILS = 4.0
"""Degrees of freedom of the sizes of troubled sources."""
TROUBLED = {1: 0.6, 2: 0.3, 3: 0.1}
"""How many sources are in trouble, and how often."""
HOLLOW, SAYS_HOLLOW, SAYS_SOLID = 0.15, 0.7, 0.3
"""How often a part is hollow or thin, and how often that, or that it is not, is said before anybody asks."""
CHANCE_ON_BENCH = 0.85
ALWAYS = ("square", "feelers", "dial_indicator", "magnetic_base")
MAYBE = (
    "tenths_indicator",
    "lever_indicator",
    "cylinder_square",
    "straight_edge",
    "block",
    "parallels",
    "paper",
    "caliper",
    "micrometer",
    "surface_plate",
    "sweep_arm",
)

COMPLAINTS: Mapping[str, tuple[float, float]] = {
    # how often each is what a person comes with, and the size from which anybody complains, mm
    "face_out_of_square": (0.50, 0.05),
    "face_out_of_parallel_across": (0.10, 0.04),
    "hollow_across": (0.09, 0.02),
    "step": (0.09, 0.012),
    "wall_taper": (0.08, 0.04),
    "hole_lean_y": (0.07, 0.05),
    "end_out_of_square_plan": (0.07, 0.04),
}


@dataclass(frozen=True)
class Shop:
    """A shop with something wrong.

    Attributes:
        seed: What it was drawn from.
        complaint: Reading id of what came out wrong.
        value: Its true size, mm.
        moment: Machine, part, grip and measuring as they were for the cut.
        told: Setup facts that the person tells at the start.
        lengths: Lengths over which readings are taken here, mm, by setup key.
        troubled: Sources in trouble.
        made: What each source makes of the complaint, mm: what would go if it alone were put right.
    """

    seed: int
    complaint: str
    value: float
    moment: Moment
    told: Mapping[str, object]
    lengths: Mapping[str, float]
    troubled: frozenset[str]
    made: Mapping[str, float]

    @property
    def main(self) -> str:
        """The largest contributor."""
        sense = np.sign(self.value)
        return max(self.made, key=lambda source: self.made[source] * sense)

    @property
    def large(self) -> frozenset[str]:
        """Every source that makes more than a quarter of the complaint."""
        return frozenset(
            s for s, mm in self.made.items() if mm * np.sign(self.value) > 0.25 * abs(self.value)
        )


def draw_shop(seed: int) -> Shop:
    """Return the shop of a seed."""
    rng = np.random.default_rng((seed, 20))
    while True:
        ids = list(COMPLAINTS)
        complaint = str(rng.choice(ids, p=[COMPLAINTS[id_][0] for id_ in ids]))
        setup, told, lengths = _draw_job(complaint, rng)
        for _ in range(200):
            shop = _draw_trouble(seed, complaint, setup, told, lengths, rng)
            if shop is not None:
                return shop


def _draw_job(complaint: str, rng: Rng) -> tuple[Setup, dict[str, object], dict[str, float]]:
    diameter = float(rng.choice([50.0, 63.0, 80.0, 100.0]))
    several = complaint == "step" or rng.random() < 0.35
    machine = str(rng.choice(["knee_mill", "bench_mill", "bed_mill"], p=[0.5, 0.35, 0.15]))
    across = float(rng.uniform(1.1, 1.6) if several else rng.uniform(0.5, 0.9)) * diameter
    along, axis = float(rng.uniform(40, 120)), str(rng.choice(["x", "y"], p=[0.75, 0.25]))
    facts: dict[str, object] = {
        "machine": machine,
        "cutter_diameter": diameter,
        "cutter_kind": "face_mill",
        "feed_axis": axis,
        "part_across": round(across, 1),
        "part_along": round(along, 1),
        "part_height": round(float(rng.uniform(30, 90)), 1),
        "passes": 3 if several else 1,
        "moving_jaw_contact": str(rng.choice(["plain", "bar", "paper"], p=[0.62, 0.3, 0.08])),
        "vertical_travel": {"knee_mill": "knee", "bench_mill": "head", "bed_mill": "head"}[machine],
        "pass_order": "front_to_back" if axis == "x" else "left_to_right",
        "gripped_face": "fixed",
        "cutter_offset": 0.0,
        "leaned_on_purpose": False,
    }
    if several:
        facts |= {"pass_spacing": round(0.6 * diameter, 1), "overrun": True}
    facts["grip_height"] = round(float(rng.uniform(0.35, 0.6)) * float(str(facts["part_height"])), 1)
    if complaint == "wall_taper":
        side = ["front", "back"] if axis == "x" else ["left", "right"]
        facts |= {
            "wall_side": str(rng.choice(side)),
            "wall_height": 25.0,
            "milling_sense": str(rng.choice(["climb", "conventional"])),
        }
    if complaint == "hole_lean_y":
        facts |= {"hole_made_by": str(rng.choice(["drilled", "bored"])), "hole_depth": 40.0}
    hollow = rng.random() < HOLLOW
    facts["wall"] = round(float(rng.uniform(3, 10)), 1) if hollow else 0.0
    bench = [*ALWAYS, *(i for i in MAYBE if rng.random() < CHANCE_ON_BENCH)]
    lengths = _draw_lengths(rng)
    told = {**facts, "instruments": bench}
    if rng.random() < 0.3:  # not everybody has measured how deep it sat in the jaws
        del told["grip_height"]
    if rng.random() > (SAYS_HOLLOW if hollow else SAYS_SOLID):
        del told["wall"]
    setup = Setup(**{**facts, **lengths, "instruments": tuple(bench)})  # type: ignore[arg-type]
    return setup, told, lengths


def _draw_lengths(rng: Rng) -> dict[str, float]:
    usual = {
        "sweep_diameter": 220.0,
        "travel": 100.0,
        "run_x": 300.0,
        "run_y": 150.0,
        "jaw_width": 125.0,
        "jaw_height": 40.0,
        "bed_length": 100.0,
        "square_blade": 100.0,
        "block_travel": 45.0,
        "block_depth": 50.0,
    }
    return {key: round(float(mid * rng.uniform(0.85, 1.15)), 1) for key, mid in usual.items()}


def _draw_trouble(
    seed: int,
    complaint: str,
    setup: Setup,
    told: Mapping[str, object],
    lengths: Mapping[str, float],
    rng: Rng,
) -> Shop | None:
    """Return a shop, or None where nobody would complain of what came out."""
    known = load().sources
    ids = [id_ for id_, source in known.items() if in_play(source, setup)]
    sizes = {id_: healthy_size(id_, setup, rng) if id_ in ids else 0.0 for id_ in known}
    chance = np.array([prior_of(known[id_], setup, 1.0) for id_ in ids])
    count = int(rng.choice(list(TROUBLED), p=list(TROUBLED.values())))
    troubled = frozenset(map(str, rng.choice(ids, size=count, replace=False, p=chance / chance.sum())))
    for id_ in sorted(troubled):  # in an order of their own: that of a set changes from run to run
        sizes[id_] = troubled_size(id_, setup, rng)
    moment = Moment(setup, sizes, draw_luck(rng), complaint)
    value = measure(complaint, moment)
    if abs(value) < COMPLAINTS[complaint][1]:
        return None
    made = {id_: value - measure(complaint, replace(moment, sizes={**sizes, id_: 0.0})) for id_ in ids}
    made = {id_: mm for id_, mm in made.items() if abs(mm) > 1e-12}
    shop = Shop(seed, complaint, value, moment, told, lengths, troubled, made)
    # A complaint that usual small errors add up to has no cause to find.
    return shop if shop.main in troubled else None


def healthy_size(id_: str, setup: Setup, rng: Rng) -> float:
    """Return a size of a source that is not in trouble, mm or rad."""
    source = load().sources[id_]
    size = float(rng.normal()) * size_of(source, setup).healthy
    return abs(size) if source.one_sided else size


def troubled_size(id_: str, setup: Setup, rng: Rng) -> float:
    """Return a size of a source that is in trouble, mm or rad."""
    source = load().sources[id_]
    size = float(rng.standard_t(TAILS)) * size_of(source, setup).trouble
    return abs(size) if source.one_sided else size
