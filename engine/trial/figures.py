"""What a trial comes to: how often right, how long it took, how honest the probabilities were."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np

from askew.engine.trial.aftercut import Followed
from askew.engine.trial.play import Played

BINS = 10


@dataclass(frozen=True)
class Figures:
    """A policy's figures over its shops. Fractions from 0 to 1, minutes.

    Attributes:
        policy: Who chose the checks.
        shops: How many.
        first: The largest contributor was ranked first; `within` is half the width of its 95% interval (Wilson).
        whole: Every contributor above a quarter of the complaint was named.
        minutes: Mean; `median` the median; `checks` the mean number of checks.
        cleared: The largest contributor was among the cleared.
        reliability: By tenth of the stated probability: mean stated, fraction true, how many.
        calibration: Expected calibration error over those bins (Naeini, Cooper & Hauskrecht, AAAI 2015).
        brier: Mean squared error of the stated probabilities (Brier, Monthly Weather Review 78, 1950).
        coverage: How often a 90% interval held the true size.
        wrong: Wrong verdicts by kind, "true cause, named first", the most frequent first.
        replay: Seeds of wrong verdicts.
    """

    policy: str
    shops: int
    first: float
    within: float
    whole: float
    minutes: float
    median: float
    checks: float
    cleared: float
    reliability: tuple[tuple[float, float, int], ...]
    calibration: float | None
    brier: float | None
    coverage: float | None
    wrong: tuple[tuple[str, int], ...]
    replay: tuple[int, ...]

    def row(self) -> dict[str, Any]:
        """Return it as a JSON object."""
        return asdict(self)


def figures(policy: str, shops: Sequence[Played]) -> Figures:
    """Return the figures of one policy's shops; there must be one at least."""
    mine = [p for p in shops if p.policy == policy]
    right = np.array([p.right for p in mine])
    stated = np.array([(p, float(true)) for shop in mine for _, p, true in shop.stated]).reshape(-1, 2)
    bins = reliability(stated[:, 0], stated[:, 1])
    inside = [low <= true <= high for shop in mine for _, true, low, high in shop.sizes]
    wrong = Counter(f"{p.main}, {p.first}" for p in mine if not p.right)
    minutes = np.array([p.minutes for p in mine])
    return Figures(
        policy=policy,
        shops=len(mine),
        first=float(right.mean()),
        within=wilson(int(right.sum()), len(mine)),
        whole=float(np.mean([p.whole for p in mine])),
        minutes=float(minutes.mean()),
        median=float(np.median(minutes)),
        checks=float(np.mean([len(p.checks) for p in mine])),
        cleared=float(np.mean([p.main in p.cleared for p in mine])),
        reliability=bins,
        calibration=sum(n * abs(said - true) for said, true, n in bins) / len(stated)
        if len(stated)
        else None,
        brier=float(np.mean((stated[:, 0] - stated[:, 1]) ** 2)) if len(stated) else None,
        coverage=float(np.mean(inside)) if inside else None,
        wrong=tuple(wrong.most_common(20)),
        replay=tuple(p.seed for p in mine if not p.right),
    )


@dataclass(frozen=True)
class Cuts:
    """How the cut after the advice comes out. Fractions from 0 to 1, minutes.

    Attributes:
        policy: Who chose the checks.
        shops: How many.
        good: The next cut was in tolerance; `within` is half the width of its 95% interval (Wilson).
        in_the_end: The last cut was, where a reopened case was gone on with.
        minutes: Mean of the checks before the first cut.
        missed: Seeds of shops whose next cut was out.
    """

    policy: str
    shops: int
    good: float
    within: float
    in_the_end: float
    minutes: float
    missed: tuple[int, ...]

    def row(self) -> dict[str, Any]:
        """Return it as a JSON object."""
        return asdict(self)


def cuts(policy: str, shops: Sequence[Followed]) -> Cuts:
    """Return how the cuts of one policy came out; there must be one shop at least."""
    mine = [shop for shop in shops if shop.policy == policy]
    good = sum(shop.good for shop in mine)
    return Cuts(
        policy=policy,
        shops=len(mine),
        good=good / len(mine),
        within=wilson(good, len(mine)),
        in_the_end=float(np.mean([shop.good_in_the_end for shop in mine])),
        minutes=float(np.mean([shop.minutes for shop in mine])),
        missed=tuple(shop.seed for shop in mine if not shop.good),
    )


def reliability(stated: np.ndarray, true: np.ndarray) -> tuple[tuple[float, float, int], ...]:
    """Return mean stated probability, fraction true and count of each tenth that holds any.

    Args:
        stated: Probabilities, (n,).
        true: 1 where it was so, else 0, (n,).
    """
    where = np.clip((stated * BINS).astype(int), 0, BINS - 1)
    return tuple(
        (float(stated[where == b].mean()), float(true[where == b].mean()), int((where == b).sum()))
        for b in range(BINS)
        if (where == b).any()
    )


def wilson(hits: int, n: int, z: float = 1.959964) -> float:
    """Return half the width of the 95% score interval of a fraction (Wilson, JASA 22, 1927)."""
    p = hits / n
    return float(z / (1 + z * z / n) * np.sqrt(p * (1 - p) / n + z * z / (4 * n * n)))
