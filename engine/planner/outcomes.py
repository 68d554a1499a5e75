"""What the outcomes of checks are likely to be under each of the leading explanations, and what they would tell.

Many checks are looked at at once, each turn: what is the same for all of their readings is one step over all.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

import numpy as np
from scipy.special import ndtr

from askew.engine.belief.items import LENGTHS, Term, limits_of, scatter_of
from askew.engine.belief.problem import Array
from askew.engine.case import Situation
from askew.engine.planner.information import informations, jointly, merged
from askew.engine.planner.outlook import Outlook
from askew.knowledge.load import load
from askew.knowledge.schema import Evidence, SignKind

BINS = 11
EDGES = np.linspace(0.02, 0.98, BINS - 1)
SECOND = 3
"""Ranges of the second reading of a check that are told apart."""
MEANS_NOTHING = 0.15
"""Chance of an answer that has no meaning given, beside the others before they are made to sum to one."""

Asked = tuple[str, str]
"""A reading or a sign, and the check that gives it."""


def densities(outlook: Outlook, check_ids: Sequence[str]) -> list[Array]:
    """Return the probability of each outcome of some checks under each explanation, (h, outcomes) each.

    Of a check that gives several readings or signs the two that tell most are taken together, the second coarsely;
    more of them would tell mostly the same again.
    """
    checks = load().checks
    asked = [(id_, check_id) for check_id in check_ids for id_ in checks[check_id].gives]
    parts = dict(zip(asked, _parts(outlook, asked), strict=True))
    told = dict(zip(asked, _told(outlook, list(parts.values())), strict=True))
    found = []
    for check_id in check_ids:
        mine = [(id_, check_id) for id_ in checks[check_id].gives]
        first, *others = (parts[each] for each in sorted(mine, key=told.__getitem__, reverse=True))
        found.append(jointly(first, merged(others[0], SECOND)) if others else first)
    return found


def gains(outlook: Outlook, check_ids: Sequence[str]) -> Array:
    """Return how much each of some checks is expected to tell about the cause, nats, (checks,)."""
    return _told(outlook, densities(outlook, check_ids))


def supports(outlook: Outlook, check_ids: Sequence[str], cause: str) -> Array:
    """Return how much each of some checks is expected to speak for a cause, where that is the true one, nats."""
    explanations = outlook.explanations
    mine = np.array([label[:1] == (cause,) for label in explanations.labels])[explanations.of]
    weight = explanations.weight
    if not (weight[mine] > 0.0).any():
        return gains(outlook, check_ids)
    asked = [(id_, check_id) for check_id in check_ids for id_ in load().checks[check_id].gives]
    total = dict.fromkeys(check_ids, 0.0)
    for (_, check_id), density in zip(asked, _parts(outlook, asked), strict=True):
        if_true = weight[mine] @ density[mine] / weight[mine].sum()
        ratio = np.maximum(if_true, 1e-12) / np.maximum(weight @ density, 1e-12)
        total[check_id] += float(np.sum(if_true * np.log(ratio)))
    return np.array([total[check_id] for check_id in check_ids])


def _told(outlook: Outlook, parts: Sequence[Array]) -> Array:
    explanations = outlook.explanations
    return informations(explanations.membership, explanations.chance, parts)


def _parts(outlook: Outlook, asked: Sequence[Asked]) -> list[Array]:
    """Return the probability of each outcome of readings and signs under each explanation, (h, outcomes) each."""
    known = load()
    situations = {each: outlook.situation(*each) for each in asked}
    readings = [each for each in asked if each[0] in known.readings]
    signs = [each for each in asked if each[0] in known.signs]
    terms = [Term(each[0], None, situations[each], None) for each in readings]
    meant = [(m, situations[each]) for each in signs for m in _meanings(known.signs[each[0]])]
    ranges = [pair for pair in meant if not pair[0].troubled]
    outlook.prepare([*terms, *(_term(*pair) for pair in ranges)])
    found = dict(zip(readings, _of_readings(outlook, readings, terms), strict=True))
    in_range = iter(_in_ranges(outlook, ranges))
    chances = (next(in_range) if not m.troubled else _if_held(outlook, m, s) for m, s in meant)
    found.update((each, _of_sign(known.signs[each[0]], chances, outlook.explanations.weight.size)) for each in signs)
    return [found[each] for each in asked]


def _rows(outlook: Outlook, terms: Sequence[Term]) -> tuple[Array, Array]:
    """Return means and variances of terms, (terms, h) each."""
    rows = [outlook.row(term) for term in terms]
    shape = len(terms), outlook.explanations.weight.size
    return np.array([r[0] for r in rows]).reshape(shape), np.array([r[1] for r in rows]).reshape(shape)


def _of_readings(outlook: Outlook, asked: Sequence[Asked], terms: Sequence[Term]) -> Array:
    """Return the probability of each of a few ranges of some readings under each explanation, (readings, h, bins)."""
    known, bench = load(), outlook.case.setup.instruments
    mean, variance = _rows(outlook, terms)
    scatter = np.array([[scatter_of(id_, None, bench) * known.checks[check].blur] for id_, check in asked])
    sd = np.sqrt(variance + scatter.reshape(-1, 1) ** 2 + (LENGTHS * mean) ** 2)
    size_only = np.array([[known.readings[id_].size_only] for id_, _ in asked], dtype=bool).reshape(-1, 1)
    mean = np.where(size_only, np.abs(mean), mean)
    spots = np.sort(np.concatenate([mean - 1.3 * sd, mean, mean + 1.3 * sd], axis=1), axis=1)
    edges = spots[:, (EDGES * (spots.shape[1] - 1)).astype(int)]  # so that every range is likely under something
    below = np.empty((*mean.shape, BINS + 1))
    below[:, :, 0], below[:, :, -1] = 0.0, 1.0
    below[:, :, 1:-1] = ndtr((edges[:, None, :] - mean[:, :, None]) / sd[:, :, None])
    # Rounding may leave a little less than nothing.
    return np.asarray(np.maximum(below[:, :, 1:] - below[:, :, :-1], 0.0))


def _of_sign(kind: SignKind, chances: Iterator[Array], explanations: int) -> Array:
    """Return the probability of each answer to a sign under each explanation, (h, answers).

    Args:
        kind: The sign.
        chances: That of each of its `_meanings` under each explanation, in their order, (h,); they are taken off it.
        explanations: How many explanations there are.
    """
    answers = _answers(kind)
    each = []
    for answer in answers:
        meanings = kind.evidence.get(answer, [])
        chance = np.full(explanations, 1.0 if meanings else MEANS_NOTHING)
        for _ in meanings:
            chance = chance * next(chances)
        each.append(chance)
    chance = np.array(each).T
    told = chance / chance.sum(axis=1, keepdims=True)
    return np.asarray((1.0 - kind.misread) * told + kind.misread / len(answers))


def _in_ranges(outlook: Outlook, ranges: Sequence[tuple[Evidence, Situation]]) -> Array:
    """Return the chance that what some meanings speak of lies where they say, under each explanation, (ranges, h)."""
    limits = [(*limits_of(meaning), meaning.blur) for meaning, _ in ranges]
    low, high = (np.array([one[i] for one in limits]).reshape(-1, 1) for i in (0, 1))
    outside = np.array([one[2] for one in limits], dtype=bool).reshape(-1, 1)
    blur = np.array([b if b is not None else 0.3 * _size(lo, hi) for lo, hi, _, b in limits]).reshape(-1, 1)
    mean, variance = _rows(outlook, [_term(*pair) for pair in ranges])
    sd = np.sqrt(variance + blur**2)
    inside = ndtr((high - mean) / sd) - ndtr((low - mean) / sd)
    return np.asarray(np.clip(np.where(outside, 1.0 - inside, inside), 1e-6, 1.0))


def _size(low: float, high: float) -> float:
    return max(abs(v) for v in (low, high) if np.isfinite(v))


def _if_held(outlook: Outlook, meaning: Evidence, situation: Situation) -> Array:
    """Return the chance of a meaning that points at a set of sources, under each explanation, (h,)."""
    return np.where(outlook.holds(meaning.troubled, situation), meaning.hit, meaning.false_alarm)


def _answers(kind: SignKind) -> list[str]:
    """Return the answers to predict: places and no where there are places, else yes and no."""
    return [*kind.places, "no"] if kind.places else ["yes", "no"]


def _meanings(kind: SignKind) -> Iterable[Evidence]:
    """Yield what the answers that are predicted stand for, answer after answer."""
    return (meaning for answer in _answers(kind) for meaning in kind.evidence.get(answer, []))


def _term(meaning: Evidence, situation: Situation) -> Term:
    return Term(meaning.reading, meaning.source, situation)
