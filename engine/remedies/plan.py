"""Living with it: the ways of cutting that hold the tolerances on the machine as it is now believed to be.

Draws of the machine, vise and part are pushed through the forward model for each way of cutting; the share
of draws in which a tolerance is met is its probability. A way holds when all tolerances together are met
with the chance asked for. Of those that hold, the quickest comes first.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, fields
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from askew.engine.physics.limits import PhysicsError
from askew.engine.remedies.cutface import part_face
from askew.engine.remedies.draws import Samples, fresh, having_done, having_fixed, in_play
from askew.engine.remedies.result import RemedyError, positive
from askew.engine.remedies.slip import grip_margin
from askew.engine.remedies.ways import Faces, Hold, Tool, Way, contact_now, ways
from askew.engine.setup import Setup
from askew.knowledge.load import load
from askew.knowledge.schema import Remedy

Array = NDArray[np.float64]

SURE = 0.90
SLIP_MARGIN = 2.0
# Finishing both sides in turn lets a stressed part bow between the cuts, so that little is left (judgement).
_BOW_LEFT = 0.25
# Paper or soft sheet over the whole jaw spreads the push: it rolls the part less than a bar does (judgement).
_SPREAD_ODDS = 0.3
_CLAMPED = ("wall_squeeze", "jaw_lift", "fixed_jaw_flex")
_TRIED_WITH_A_FIX = 10


@dataclass(frozen=True, slots=True)
class Tolerances:
    """What the drawing asks of the cut face, widths of zones in mm (ISO 1101); None: not asked.

    Attributes:
        flatness: Of the face itself.
        squareness: To the reference face (perpendicularity), over the cut face.
        parallelism: To the bottom face.
        step: Largest step that may be felt between passes; no geometrical tolerance, but what people ask.
    """

    flatness: float | None = None
    squareness: float | None = None
    parallelism: float | None = None
    step: float | None = None

    def asked(self) -> dict[str, float]:
        """Return the tolerances that are asked for.

        Raises:
            RemedyError: if none is, or one is not positive.
        """
        found = {
            f.name: positive(f"{f.name} tolerance", getattr(self, f.name))
            for f in fields(self)
            if getattr(self, f.name) is not None
        }
        if not found:
            raise RemedyError("A plan needs a tolerance: flatness, squareness, parallelism or step.")
        return found


@dataclass(frozen=True, slots=True)
class Outlook:
    """What one way of cutting promises.

    Attributes:
        way: The way.
        minutes: Its time for one part.
        chances: Probability that each tolerance is met.
        together: Probability that all are.
        reach: The size of each zone that nine parts in ten stay under, mm.
        slip: How many times over the grip holds against the cut.
    """

    way: Way
    minutes: float
    chances: Mapping[str, float]
    together: float
    reach: Mapping[str, float]
    slip: float


@dataclass(frozen=True, slots=True)
class Correction:
    """The cheapest correction of the machine that lets a faster way hold.

    Attributes:
        remedies: One remedy id, or two where no single one is enough.
        minutes: What they take together, once.
        outlook: The way that then holds.
    """

    remedies: tuple[str, ...]
    minutes: float
    outlook: Outlook


@dataclass(frozen=True, slots=True)
class Plan:
    """The answer.

    Attributes:
        asked: The tolerances, mm.
        sure: The chance asked for.
        holding: Ways that hold, quickest first; empty: none holds.
        nearest: The way with the best chance of all tolerances together.
        limits: The tolerance that fails most often in the nearest way; empty where it is met.
        blame: The sources whose absence would help it most, with the gain in chance, largest first.
        correction: The cheapest machine correction that lets a faster way (or any) hold, if there is one.
        tried: How many ways were tried.
    """

    asked: Mapping[str, float]
    sure: float
    holding: tuple[Outlook, ...]
    nearest: Outlook
    limits: str
    blame: tuple[tuple[str, float], ...]
    correction: Correction | None
    tried: int


def plan(
    samples: Samples,
    setup: Setup,
    tolerances: Tolerances,
    tools: Sequence[Tool],
    holds: Sequence[Hold] | None = None,
    *,
    faces: Sequence[Faces] = ("one", "both in turn"),
    sure: float = SURE,
    most: int = 5,
    usual_force: float | None = None,
    corrections: bool = True,
    seed: int = 0,
) -> Plan:
    """Return the ways that hold the tolerances, quickest first, and what would make a quicker one hold.

    Args:
        samples: Draws of every source as it is now believed, mm or rad, each shape (n,).
        setup: The part, the machine and the grip.
        tolerances: What is asked.
        tools: Cutters on hand.
        holds: Grips to consider; None: the present one, a lighter one and paper.
        faces: Which face orders to consider.
        sure: Chance with which all tolerances together must be met.
        most: How many holding ways to return.
        usual_force: Clamp force when the vise is tightened as usual, N; None: usual for the machine.
        corrections: Look for the machine correction that would let a faster way hold (the slowest part).
        seed: Seed of the draws for what each new grip starts afresh.

    Raises:
        RemedyError: for no tolerance, no cutter, or nothing that can cut this face.
    """
    asked = tolerances.asked()
    if not 0.0 < sure < 1.0:
        raise RemedyError("The chance asked for must lie between 0 and 1.")
    offered = sorted(
        _gripping(ways(setup, tools, holds or _usual_holds(setup), faces), setup, usual_force),
        key=lambda pair: pair[1].minutes(setup),
    )
    if not offered:
        raise RemedyError(
            "No cutter on hand covers this face with a grip that holds twice the cutting force: "
            "take a smaller cutter, a lighter cut or more force."
        )
    table = _Table(samples, setup, asked, seed)
    tried = [found for slip, way in offered if (found := table.outlook(way, slip)) is not None]
    if not tried:
        raise RemedyError("No cutter on hand can cover this face: name a larger one or allow more passes.")
    holding = tuple(found for found in tried if found.together >= sure)
    nearest = max(tried, key=lambda found: (found.together, -found.minutes))
    first = holding[0] if holding else None
    limits = "" if first else min(nearest.chances, key=lambda name: nearest.chances[name])
    faster = [found for found in tried if first is None or found.minutes < first.minutes]
    blame = table.blame(first or nearest)
    return Plan(
        asked,
        sure,
        holding[:most],
        nearest,
        limits,
        blame[:3],
        _correction(table, faster, [source for source, _ in blame], sure) if corrections else None,
        len(tried),
    )


class _Table:
    """One set of draws, the same for every way, so that ways are compared and not their luck."""

    def __init__(self, samples: Samples, setup: Setup, asked: Mapping[str, float], seed: int) -> None:
        self.samples, self.setup, self.asked, self.seed = samples, setup, asked, seed

    def fixed(self, sources: Sequence[str]) -> _Table:
        rng = np.random.default_rng([self.seed, 1])
        return _Table(having_fixed(self.samples, sources, self.setup, rng), self.setup, self.asked, self.seed)

    def zones(self, way: Way, without: str | None = None) -> dict[str, Array]:
        setup = way.setup(self.setup)
        draws = draws_for(way, self.samples, self.setup, self.seed)
        if without is not None:
            draws[without] = np.zeros_like(draws[without])
        face = part_face(draws, setup, both_ways=not way.one_way)
        return {name: face.zone(name) for name in self.asked}

    def outlook(self, way: Way, slip: float) -> Outlook | None:
        try:
            zones = self.zones(way)
        except PhysicsError:  # the cutter leaves part of the face uncut: no such way
            return None
        met = {name: zones[name] <= limit for name, limit in self.asked.items()}
        return Outlook(
            way,
            way.minutes(self.setup),
            {name: float(hit.mean()) for name, hit in met.items()},
            float(np.logical_and.reduce(list(met.values())).mean()),
            {name: float(np.quantile(zone, 0.9)) for name, zone in zones.items()},
            slip,
        )

    def blame(self, outlook: Outlook) -> tuple[tuple[str, float], ...]:
        """Return the sources whose absence would help a way most, with the gain in chance, largest first."""
        gains = []
        for source in load().sources:
            zones = self.zones(outlook.way, without=source)
            hit = np.logical_and.reduce([zones[name] <= limit for name, limit in self.asked.items()])
            gains.append((source, float(hit.mean()) - outlook.together))
        return tuple(sorted((pair for pair in gains if pair[1] > 0.005), key=lambda pair: -pair[1]))


def draws_for(way: Way, samples: Samples, setup: Setup, seed: int = 0) -> dict[str, Array]:
    """Return the draws as they will be when a way of cutting is carried out on a fresh, clean grip.

    Args:
        way: The way.
        samples: Draws as now believed.
        setup: The setup now.
        seed: Seed of what is started afresh; equal seeds give equal fresh draws.
    """
    rng = np.random.default_rng([seed, 0])
    after = having_done(samples, ("regripped", "cleaned", "cutter_changed"), setup, rng)
    after["jaw_rack"] = samples["jaw_rack"]
    n = after["off_centre_push"].size
    new = way.setup(setup)
    if way.hold.contact != contact_now(setup):
        odds = _SPREAD_ODDS if way.hold.contact in ("paper", "soft") else 1.0
        after["off_centre_push"] = fresh("off_centre_push", n, new, rng, odds)
    for source in after:
        if not in_play(source, new):
            after[source] = np.zeros(n)
    for source in _CLAMPED:
        after[source] = after[source] * way.hold.force
    if way.faces == "both in turn":
        after["stress_bow"] = after["stress_bow"] * _BOW_LEFT
    return after


def _usual_holds(setup: Setup) -> list[Hold]:
    now = contact_now(setup)
    here = now if now in ("plain", "bar", "paper", "soft") else "plain"
    holds = [Hold(here, 1.0), Hold(here, 0.5), Hold("plain", 1.0), Hold("paper", 0.5)]  # type: ignore[arg-type]
    return list(dict.fromkeys(holds))


def _gripping(offered: Iterator[Way], setup: Setup, usual: float | None) -> Iterator[tuple[float, Way]]:
    """Yield the ways whose grip holds the cut with the margin, with that margin."""
    for way in offered:
        margin = grip_margin(way.tool, way.hold, way.setup(setup), usual)
        if margin >= SLIP_MARGIN:
            yield margin, way


def _correction(
    table: _Table, faster: Sequence[Outlook], blamed: Sequence[str], sure: float
) -> Correction | None:
    """Return the cheapest remedy, or pair of those that mend what is blamed, with which a faster way holds.

    The quickest and the nearest ways are tried with each.
    """
    if not faster:
        return None
    quickest = list(faster[:_TRIED_WITH_A_FIX])
    nearest = sorted(faster, key=lambda found: -found.together)[:_TRIED_WITH_A_FIX]
    candidates = sorted({id(found): found for found in quickest + nearest}.values(), key=lambda o: o.minutes)
    mending = {id_: kind for id_, kind in load().remedies.items() if _mends_the_machine(kind)}
    guilty = [id_ for id_, kind in mending.items() if set(kind.serves) & set(blamed[:6])]
    for some in ([(id_,) for id_ in mending], list(combinations(guilty, 2))):
        for remedies in sorted(some, key=lambda ids: (sum(mending[id_].minutes for id_ in ids), ids)):
            mended = table.fixed([source for id_ in remedies for source in mending[id_].serves])
            for candidate in candidates:
                found = mended.outlook(candidate.way, candidate.slip)
                if found is not None and found.together >= sure:
                    return Correction(remedies, sum(mending[id_].minutes for id_ in remedies), found)
    return None


def _mends_the_machine(kind: Remedy) -> bool:
    groups = {load().sources[source].group for source in kind.serves}
    return kind.kind == "fix" and groups <= {"machine", "vise"}
