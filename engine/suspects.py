"""What the numbers say of every source: probability, size, share of the complaint, what it would need to be."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import ndtri

from askew.engine.belief.assemble import Assembled
from askew.engine.belief.columns import column_of, in_play, prior_of, size_of
from askew.engine.belief.posterior import Posterior
from askew.engine.belief.problem import Array
from askew.engine.belief.quantiles import quantiles
from askew.engine.belief.shares import shares_of
from askew.engine.case import Case, Situation
from askew.engine.physics.linear import linear, signs_of, source_ids
from askew.engine.planner.outlook import complaint_size, complaint_term
from askew.knowledge.load import load

PLAUSIBLE = 0.995
"""Quantile that counts as the largest plausible size, either way."""
TELL_APART = 0.04
"""Share of the complaint times probability from which it matters that a suspect is told apart from another."""
PRIOR_REACH = 2.6
"""The same for a source that nothing speaks of yet, in standard deviations of its usual size in trouble."""


@dataclass(frozen=True)
class Numbers:
    """What is believed of one source. Sizes in its own unit, mm or rad.

    Attributes:
        source: Source id.
        probability: That it is in trouble.
        share: Signed fraction of the complaint that it makes if it is in trouble.
        expected: Signed fraction that it is expected to make, in trouble or of usual size: its entry in the error
            budget.
        mid: Median size if in trouble; `low`, `high` its 90% interval.
        needed: Size that alone would explain the complaint; None where no size would.
        plausible: Largest plausible size.
        reach: Largest plausible contribution to the complaint, mm.
        old: True where what it did to the complaint is history: it was changed since.
    """

    source: str
    probability: float
    share: float
    expected: float
    mid: float
    low: float
    high: float
    needed: float | None
    plausible: float
    reach: float
    old: bool = False

    @property
    def rank(self) -> float:
        """Share of the complaint times probability."""
        return abs(self.share) * self.probability


def numbers(assembled: Assembled, posterior: Posterior) -> tuple[Numbers, ...]:
    """Return the numbers of every source in play, the largest share times probability first."""
    case = assembled.case
    situation = case.modelled(case.complaint.situation if case.complaint else case.cut)
    effect = complaint_effect(case)
    size = complaint_size(case)
    known = load().sources
    made, expected = contributions(assembled, posterior)
    playing = [(i, id_) for i, id_ in enumerate(source_ids()) if in_play(known[id_], situation.setup)]
    places = (assembled.position.get(column_of(id_, situation)) for _, id_ in playing)
    ends = _ends(posterior, [place for place in places if place is not None])
    found = [
        _numbers_of(id_, assembled, posterior, situation, float(effect[i]), size, made, expected, ends)
        for i, id_ in playing
    ]
    return tuple(sorted(found, key=lambda n: (-n.rank, -n.probability, n.source)))


def contributions(assembled: Assembled, posterior: Posterior) -> tuple[Array, Array]:
    """Return what each column is expected to make of the complaint, mm: where it is in trouble, and at all, (columns,).

    Over the leading explanations, each with its own signs of absolute values and with what the readings say of
    the numbers of the setup that are not known.
    """
    size = len(assembled.columns)
    term = complaint_term(assembled.case)
    troubled, weight, total, all_weight = np.zeros(size), np.full(size, 1e-300), np.zeros(size), 1e-300
    if term is None:
        return troubled, total
    shares = shares_of(assembled, posterior.leading, term)
    for block, made in zip(posterior.leading, shares, strict=True):
        held = block.held[:size].T
        troubled += block.weight @ (held * made)
        weight += block.weight @ held
        total += block.weight @ made
        all_weight += float(block.weight.sum())
    return troubled / weight, total / all_weight


def complaint_effect(case: Case) -> Array:
    """Return mm of complaint per unit of each source, the largest over signs and unknown numbers, (sources,)."""
    term = complaint_term(case)
    if term is None or term.reading is None:
        return np.zeros(len(source_ids()))
    setup = term.situation.setup
    names = signs_of(term.reading, setup)
    best = np.zeros(len(source_ids()))
    for sense in (1, -1):
        row = linear(term.reading, setup, term.over, tuple((name, sense) for name in names))
        loose = np.sqrt(sum((s**2 for s in row.spread.values()), np.zeros(best.size)))
        strong = np.where(row.jacobian == 0.0, 2.0 * loose, row.jacobian)
        best = np.where(np.abs(strong) > np.abs(best), strong, best)
    best[source_ids().index("unlisted")] = 1.0
    return best


def _numbers_of(
    id_: str,
    assembled: Assembled,
    posterior: Posterior,
    situation: Situation,
    effect: float,
    complaint: float | None,
    made: Array,
    expected: Array,
    ends: Mapping[int, Array],
) -> Numbers:
    source = load().sources[id_]
    place = assembled.position.get(column_of(id_, situation))
    old = situation.instance(id_) != assembled.case.now.instance(id_)
    usual = size_of(source, situation.setup)
    if place is None:
        probability = prior_of(source, situation.setup, 1.0)
        mid, low, high, far = 0.0, -1.645 * usual.trouble, 1.645 * usual.trouble, PRIOR_REACH * usual.trouble
        if source.one_sided:
            mid, low = 0.6 * usual.trouble, 0.0
        contribution = overall = 0.0
    else:
        probability = float(min(max(posterior.trouble[place], 0.0), 1.0))
        least, low, mid, high, most = map(float, ends[place])
        far = max(abs(least), abs(most))
        contribution, overall = float(made[place]), float(expected[place])
    value = _signed_complaint(assembled.case)
    share, part = (contribution / value, overall / value) if value else (0.0, 0.0)
    needed = complaint / abs(effect) if complaint and abs(effect) > 1e-9 else None
    return Numbers(
        id_, probability, share, part, mid, low, high, needed, far, abs(effect) * far, old
    )


def _signed_complaint(case: Case) -> float | None:
    complaint = case.complaint
    value = complaint.fact.value if complaint is not None else None  # type: ignore[union-attr]
    return value or None


QUANTILES = (1.0 - PLAUSIBLE, 0.05, 0.5, 0.95, PLAUSIBLE)
DEVIATIONS = ndtri(QUANTILES)
"""Where they lie in a Gaussian, in standard deviations from its mean."""
MATTERS = 0.03
"""Probability of being in trouble from which the quantiles of a size are those of its mixture."""


def _ends(posterior: Posterior, places: Sequence[int]) -> dict[int, Array]:
    """Return the quantiles of the size of each of some columns, given that it is in trouble.

    Of those that hardly matter they are those of the Gaussian with the same moments.
    """
    sizes = {place: posterior.size_of(place) for place in places}
    matter = [place for place in places if posterior.trouble[place] > MATTERS]
    found = dict(zip(matter, quantiles([sizes[place] for place in matter], QUANTILES), strict=True))
    found.update((place, _roughly(*sizes[place])) for place in places if place not in found)
    return found


def _roughly(weights: Array, means: Array, sds: Array) -> Array:
    share = weights / weights.sum()
    mean = float(share @ means)
    sd = float(np.sqrt(share @ (sds**2 + means**2) - mean**2))
    return np.asarray(mean + DEVIATIONS * sd)


def together(assembled: Assembled, posterior: Posterior, among: tuple[Numbers, ...]) -> list[tuple[str, str]]:
    """Return pairs of suspects that no reading so far can tell apart: their rows are in proportion."""
    case = assembled.case
    situation = case.modelled(case.complaint.situation if case.complaint else case.cut)
    likely = [n.source for n in among if n.rank > TELL_APART][:6]
    base = posterior.blocks[0].base
    pairs = []
    for i, a in enumerate(likely):
        for b in likely[i + 1 :]:
            pa, pb = (assembled.position.get(column_of(s, situation)) for s in (a, b))
            if pa is None or pb is None:
                continue
            across = base.gram[pa, pb] ** 2
            if across > 0.999 * base.gram[pa, pa] * base.gram[pb, pb] > 0.0:
                pairs.append((a, b))
    return pairs
