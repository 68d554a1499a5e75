"""The next cut: how likely it is to be good once fixes are made, and what else had better be put right with them.

A cause explains the part that came out wrong; the next one is cut as things stand now. What has come in since, such
as a wall that a plain jaw presses, or an error that the cause happened to hide, is seen here before it is cut.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from askew.engine.belief.columns import in_play
from askew.engine.case import after_action
from askew.engine.mend import left_by
from askew.engine.observations import Reading
from askew.engine.physics.readings import FORMULAS, predict
from askew.engine.remedies.draws import Array, fresh, measuring, shares
from askew.engine.remedies.first import remedy_for
from askew.engine.setup import Setup
from askew.engine.standing import Standing
from askew.knowledge.load import load

DRAWS = 400
ENOUGH = 0.95
"""Chance of a good cut from which nothing more is put right beside the causes."""
GAIN_A_MINUTE = 0.002
"""What a further remedy must add to that chance for every minute it takes, to be worth the trouble."""
MOST = 3
LESSER, LESSER_SHARE = 0.03, 0.1
"""Probability and share of the complaint from which a lesser suspect is put right in the same go ..."""
QUICK = 10.0
"""... where its remedy takes no more minutes than this."""
IN_ONE_GO = frozenset({"regripped", "cleaned", "bar_removed"})
"""Actions that are made together once the vise is open."""
LEANING = frozenset({"face_out_of_square", "face_out_of_parallel_across", "wall_taper", "hole_lean_y"})
"""Complaints that come from a part that leans in the vise, so that a needle up its face sees them before the cut."""


@dataclass(frozen=True)
class NextCut:
    """What the next cut will be once some sources are put right.

    Attributes:
        chance: Probability that the part is then within `goal`.
        goal: How large the complaint may be, mm.
        also: Further sources to put right, the one that helps most first; `chance` has them in it.
        alone: The same probability without them.
        by_needle: The probability where a needle up the reference face is brought to within half of the goal
            before the cut; None where it does not see what came out wrong.
    """

    chance: float
    goal: float
    also: tuple[str, ...]
    alone: float
    by_needle: float | None


def next_cut(standing: Standing, sources: Sequence[str]) -> NextCut | None:
    """Return what the next cut will be once sources are put right; None where there is no number to go by.

    Before the verdict nothing is added to them: what else is out is then for the next check to say.

    Args:
        standing: Where the case stands.
        sources: The causes that are put right, each by its first remedy.
    """
    complaint = standing.case.complaint
    goal = standing.goal
    if goal is None or complaint is None or complaint.fact.id not in FORMULAS:
        return None
    over = complaint.fact.over if isinstance(complaint.fact, Reading) else None
    fixes = _Fixes(standing, complaint.fact.id, goal, over)
    chosen = list(sources)
    needled = fixes.chance(chosen, needle=True) if complaint.fact.id in LEANING else None
    seen = needled is not None and needled >= ENOUGH
    left = _mendable(standing, sources, QUICK if seen else np.inf) if standing.verdict is not None else {}
    chance = alone = fixes.chance(chosen)
    while left and chance < ENOUGH and len(chosen) < len(sources) + MOST:
        tried = {source: fixes.chance([*chosen, source]) for source in left}
        gain = {source: tried[source] - chance - GAIN_A_MINUTE * minutes for source, minutes in left.items()}
        best = max(left, key=gain.__getitem__)
        if gain[best] < 0.0:
            break
        chosen.append(best)
        del left[best]
        chance = tried[best]
    if needled is not None and len(chosen) > len(sources):
        needled = fixes.chance(chosen, needle=True)
    return NextCut(chance, goal, tuple(chosen[len(sources) :]), alone, needled)


def _mendable(standing: Standing, sources: Sequence[str], most: float) -> dict[str, float]:
    """Return what else can be put right for good without turning or cutting the part, with the minutes it takes.

    Args:
        standing: Where the case stands.
        sources: What is put right anyway.
        most: Minutes that a remedy may take: what a needle sees before the cut is not worth a bench job.
    """
    known = load()
    remedies = {
        id_: known.remedies[remedy_for(id_)]
        for id_, source in known.sources.items()
        if id_ not in sources
        and id_ != "unlisted"
        and id_ not in measuring()
        and in_play(source, standing.case.setup)
    }
    return {
        id_: remedy.minutes
        for id_, remedy in remedies.items()
        if remedy.kind == "fix" and remedy.minutes <= most and not {"turned_part", "recut"} & set(remedy.does)
    }


def alongside(standing: Standing, sources: Sequence[str], cut: NextCut | None = None) -> list[str]:
    """Return what else to put right in the same go: what the next cut needs, then lesser suspects that cost nothing.

    Args:
        standing: Where the case stands.
        sources: The causes that are being put right.
        cut: What `next_cut` makes of them, where that is known already.
    """
    known = load().remedies
    out = any(IN_ONE_GO & set(known[remedy_for(source)].does) for source in sources)
    cut = cut or next_cut(standing, sources)
    found = list(cut.also) if cut is not None else []
    for n in standing.numbers:
        if n.source in (*sources, *found, "unlisted") or n.probability < LESSER or n.share < LESSER_SHARE:
            continue
        remedy = known[remedy_for(n.source)]
        same_go = out and bool(remedy.does) and set(remedy.does) <= IN_ONE_GO
        measuring = load().sources[n.source].group == "measuring"
        if remedy.kind == "fix" and remedy.minutes <= QUICK and (same_go or measuring):
            found.append(n.source)
    return found[:MOST]


class _Fixes:
    """The complaint's prediction under any set of fixes, from one set of draws."""

    def __init__(self, standing: Standing, reading: str, goal: float, over: float | None) -> None:
        self.standing, self.reading, self.goal, self.over = standing, reading, goal, over
        self.samples = standing.samples(DRAWS)
        self.healthy: dict[str, Array] = {}

    def chance(self, sources: Sequence[str], *, needle: bool = False) -> float:
        """Return the probability that the part is within the goal once sources are put right.

        Args:
            sources: What is put right.
            needle: The part is seated again, or packed with a strip, until a needle up its reference face reads
                within half of the goal.
        """
        after, setup = self._after(sources)
        drawn: Mapping[str, Any] = shares(DRAWS, setup)
        if needle:
            after["bed_tilt_y"] = after["bed_tilt_y"] + self._packed(after, setup, drawn)
        value = np.asarray(predict(self.reading, setup, after, self.over, changes=drawn))
        return float(np.mean(np.abs(value) <= self.goal))

    def _packed(self, after: Mapping[str, Array], setup: Setup, drawn: Mapping[str, Any]) -> Array:
        """Return how far a part has to be turned under the needle, rad, as a bed that carries all of it tilts."""
        height = float(setup.value("part_height"))
        lean = np.asarray(predict("face_out_of_square_clamped", setup, after, height, changes=drawn)) / height
        allowed = 0.5 * self.goal / (self.over or height)
        return np.where(np.abs(lean) > allowed, lean, 0.0)

    def _after(self, sources: Sequence[str]) -> tuple[dict[str, Array], Setup]:
        known, now = load(), self.standing.case.now
        mended, left = set[str](), dict[str, float]()
        for source in sources:
            remedy = known.remedies[remedy_for(source)]
            for action in remedy.does:
                now = after_action(now, action)
                mended |= set(known.actions[action].redraws)
            if remedy.kind == "fix":
                mended.add(source)
                left |= left_by(remedy, [source], self.standing)
        # The part is judged as it is, not as it measures with a square that is out or dirt under it.
        healthy = {source: self._healthy(source) for source in mended | measuring()}
        worse = {source: spread * self._noise(source) for source, spread in left.items()}
        return {**self.samples, **healthy, **worse}, now.setup

    def _healthy(self, source: str) -> Array:
        """Return a source as a healthy machine has it: the same draws under whatever set of fixes it is asked for."""
        if source not in self.healthy:
            self.healthy[source] = fresh(source, DRAWS, self.standing.case.setup, _chance(source), 0.0)
        return self.healthy[source]

    def _noise(self, source: str) -> Array:
        return _chance(source).standard_normal(DRAWS)


def _chance(source: str) -> np.random.Generator:
    return np.random.default_rng(list(load().sources).index(source))
