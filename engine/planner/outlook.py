"""What each check would read under each of the leading explanations, and how much that tells about the cause."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.special import ndtr

from askew.engine.belief.assemble import Assembled
from askew.engine.belief.carrying import Block, of_bases
from askew.engine.belief.columns import column_of
from askew.engine.belief.gaussian import project
from askew.engine.belief.items import LENGTHS, Term, limits_of, scatter_of
from askew.engine.belief.posterior import Posterior, projected
from askew.engine.belief.problem import Array
from askew.engine.belief.shares import shares_of
from askew.engine.case import Case, Situation
from askew.engine.observations import Reading
from askew.engine.planner.available import speaks_for
from askew.engine.planner.information import entropy, information, jointly, merged
from askew.knowledge.load import load
from askew.knowledge.schema import SignKind

LEADING = 110
"""Explanations looked at, the likeliest first."""
BINS = 11
EDGES = np.linspace(0.02, 0.98, BINS - 1)
DOUBTED = 0.15
"""Probability of having been taken wrongly from which a reading may be worth taking again."""
SECOND = 3
"""Ranges of the second reading of a check that are told apart."""
CONTRIBUTES = 0.25
"""A source that makes this share of the complaint belongs to the cause, in trouble or of usual size."""

Label = tuple[str, ...]


@dataclass(frozen=True)
class Explanations:
    """The leading explanations of the complaint.

    Attributes:
        weight: Normalised, (h,).
        labels: The distinct causes, each a tuple of source ids, the largest contributor first.
        of: Which label each explanation has, (h,).
    """

    weight: Array
    labels: tuple[Label, ...]
    of: np.ndarray

    @cached_property
    def chance(self) -> Array:
        """Probability of each label, (labels,)."""
        return np.asarray(
            np.bincount(self.of, weights=self.weight, minlength=len(self.labels)), dtype=np.float64
        )

    @cached_property
    def leading(self) -> tuple[Label, float]:
        """The likeliest label, and its probability."""
        top = int(np.argmax(self.chance))
        return self.labels[top], float(self.chance[top])

    @cached_property
    def membership(self) -> Array:
        """One row a label, weight of its explanations, (labels, h)."""
        rows = np.zeros((len(self.labels), self.weight.size))
        rows[self.of, np.arange(self.weight.size)] = self.weight
        return rows


@dataclass(frozen=True)
class Item:
    """One outcome to predict: a reading, or a range or group that a sign's answer speaks of."""

    id: str
    term: Term


class Outlook:
    """Predictions of every candidate reading and sign under the leading explanations."""

    def __init__(self, assembled: Assembled, posterior: Posterior) -> None:
        """Pick the leading explanations and name their causes."""
        self.assembled = assembled
        self.case: Case = assembled.case
        self.blocks: tuple[Block, ...] = posterior.best(LEADING)
        self.doubted = frozenset(assembled.doubts(posterior.trouble, DOUBTED))
        self.explanations = self._explain()
        self._rows: dict[Term, tuple[Array, Array]] = {}
        self._situations: dict[tuple[str, str], Situation] = {}

    def prepare(self, terms: Sequence[Term]) -> None:
        """Predict many terms at once; `row` then finds them."""
        new = [term for term in dict.fromkeys(terms) if term not in self._rows]
        if not new:
            return
        assembled = self.assembled
        seen = of_bases(
            self.blocks,
            lambda base: project(base, assembled.rows(new, assembled.choice_of(base.problem))),
        )
        found = map(projected, self.blocks, seen)
        mean, variance = (np.concatenate(parts) for parts in zip(*found, strict=True))
        for i, term in enumerate(new):
            self._rows[term] = (mean[:, i], variance[:, i] + self.assembled.fresh(term))

    def row(self, term: Term) -> tuple[Array, Array]:
        """Return mean and variance (without the measuring's own scatter) of a term, (h,) each."""
        self.prepare([term])
        return self._rows[term]

    def _explain(self) -> Explanations:
        weight = np.concatenate([block.weight for block in self.blocks])
        labels: dict[Label, int] = {}
        of: list[int] = []
        for block, rows in zip(self.blocks, self._made(), strict=True):
            for held, made in zip(block.sets.T, rows, strict=True):
                of.append(labels.setdefault(self._label(held, made), len(labels)))
        return Explanations(weight / weight.sum(), tuple(labels), np.array(of, dtype=np.intp))

    def _made(self) -> list[Array]:
        """Return what each column makes of the complaint under each set, in its direction, mm; (h, columns) a block."""
        term = complaint_term(self.case)
        if term is None:
            return [np.ones((block.weight.size, len(self.assembled.columns))) for block in self.blocks]
        shares = shares_of(self.assembled, self.blocks, term)
        complaint = self.case.complaint
        fact = complaint.fact if complaint is not None else None
        directed = isinstance(fact, Reading) and fact.value is not None and fact.sign_known
        if directed and fact.value:  # type: ignore[union-attr]
            return [made * np.sign(fact.value) for made in shares]  # type: ignore[union-attr]
        return [np.abs(made) for made in shares]

    def _label(self, held: np.ndarray, made: Array) -> Label:
        """Name the cause: what makes a good part of the complaint, in trouble or of usual size."""
        value = complaint_size(self.case)
        if value is None:
            value = float(made[held[held < made.size]].max(initial=0.0))
        large = np.flatnonzero(made >= max(CONTRIBUTES * value, 1e-12))
        named = sorted((-float(made[c]), self.assembled.columns[c].source) for c in large)
        return tuple(dict.fromkeys(source for _, source in named))

    def information(self, density: Array) -> float:
        """Return the information about the cause in an outcome, nats.

        Args:
            density: Probability of each outcome under each explanation, (h, outcomes).
        """
        return information(self.explanations.membership, self.explanations.chance, density)

    def reading_density(self, id_: str, term: Term, blur: float = 1.0) -> Array:
        """Return the probability of each of a few ranges of a reading under each explanation, (h, bins)."""
        mean, variance = self.row(term)
        scatter = scatter_of(id_, term.over, self.case.setup.instruments) * blur
        sd = np.sqrt(variance + scatter**2 + (LENGTHS * mean) ** 2)
        if load().readings[id_].size_only:
            mean = np.abs(mean)
        spots = np.sort(np.concatenate([mean - 1.3 * sd, mean, mean + 1.3 * sd]))
        edges = spots[(EDGES * (spots.size - 1)).astype(int)]  # so that every range is likely under something
        below = np.empty((mean.size, BINS + 1))
        below[:, 0], below[:, -1] = 0.0, 1.0
        below[:, 1:-1] = ndtr((edges[None, :] - mean[:, None]) / sd[:, None])
        return np.maximum(below[:, 1:] - below[:, :-1], 0.0)  # rounding may leave a little less than nothing

    def sign_density(self, id_: str, situation: Situation) -> Array:
        """Return the probability of each answer to a sign under each explanation, (h, answers)."""
        kind = load().signs[id_]
        answers = answers_of(kind)
        chance = np.array([self._answer_chance(kind, answer, situation) for answer in answers]).T
        told = chance / chance.sum(axis=1, keepdims=True)
        return np.asarray((1.0 - kind.misread) * told + kind.misread / len(answers))

    def _answer_chance(self, kind: SignKind, answer: str, situation: Situation) -> Array:
        total = np.ones(self.explanations.weight.size)
        meanings = kind.evidence.get(answer, [])
        if not meanings:
            return 0.15 * total
        for meaning in meanings:
            if meaning.troubled:
                held = self._holds(meaning.troubled, situation)
                total = total * np.where(held, meaning.hit, meaning.false_alarm)
                continue
            low, high, outside = limits_of(meaning)
            mean, variance = self.row(Term(meaning.reading, meaning.source, situation))
            size = max(abs(v) for v in (low, high) if np.isfinite(v))
            sd = np.sqrt(variance + (meaning.blur if meaning.blur is not None else 0.3 * size) ** 2)
            inside = ndtr((high - mean) / sd) - ndtr((low - mean) / sd)
            total = total * np.clip(1.0 - inside if outside else inside, 1e-6, 1.0)
        return total

    def _holds(self, sources: Sequence[str], situation: Situation) -> Array:
        position = self.assembled.position
        wanted = [position[c] for s in sources if (c := column_of(s, situation)) in position]
        return np.concatenate([np.isin(block.sets, wanted).any(axis=0) for block in self.blocks])

    def situation(self, id_: str, check_id: str) -> Situation:
        """Return the situation that a reading or sign of a check will speak for, gaps filled."""
        key = (id_, check_id)
        if key not in self._situations:
            spoken = speaks_for(id_, load().checks[check_id], self.case)
            self._situations[key] = filled(self.case, spoken)
        return self._situations[key]

    def terms_of(self, check_id: str) -> list[Term]:
        """Return the terms that a check's readings and signs ask for."""
        check = load().checks[check_id]
        terms: list[Term] = []
        for id_ in check.gives:
            situation = self.situation(id_, check_id)
            if id_ in load().readings:
                terms.append(Term(id_, None, situation, None))
            else:
                terms += [
                    Term(m.reading, m.source, situation)
                    for meanings in load().signs[id_].evidence.values()
                    for m in meanings
                    if not m.troubled
                ]
        return terms

    def density(self, check_id: str) -> Array:
        """Return the probability of each outcome of a check under each explanation, (h, outcomes).

        Of a check that gives several readings or signs the two that tell most are taken together, the second coarsely;
        more of them would tell mostly the same again.
        """
        parts = sorted(
            (self._density(id_, check_id) for id_ in load().checks[check_id].gives),
            key=self.information,
            reverse=True,
        )
        if len(parts) == 1:
            return parts[0]
        return jointly(parts[0], merged(parts[1], SECOND))

    def _density(self, id_: str, check_id: str) -> Array:
        situation = self.situation(id_, check_id)
        if id_ in load().readings:
            return self.reading_density(id_, Term(id_, None, situation, None), load().checks[check_id].blur)
        return self.sign_density(id_, situation)

    def gain(self, check_id: str) -> float:
        """Return how much a check is expected to tell about the cause, nats."""
        return self.information(self.density(check_id))

    def support(self, check_id: str, cause: str) -> float:
        """Return how much a check is expected to speak for a cause, where that cause is the true one, nats."""
        mine = np.array([label[:1] == (cause,) for label in self.explanations.labels])[self.explanations.of]
        weight = self.explanations.weight
        if not (weight[mine] > 0.0).any():
            return self.gain(check_id)
        total = 0.0
        for id_ in load().checks[check_id].gives:
            density = self._density(id_, check_id)
            if_true = weight[mine] @ density[mine] / weight[mine].sum()
            total += float(
                np.sum(if_true * np.log(np.maximum(if_true, 1e-12) / np.maximum(weight @ density, 1e-12)))
            )
        return total

    @cached_property
    def open(self) -> float:
        """What is not known about the cause, nats."""
        return entropy(self.explanations.chance)


def answers_of(kind: SignKind) -> list[str]:
    """Return the answers to predict: places and no where there are places, else yes and no."""
    return [*kind.places, "no"] if kind.places else ["yes", "no"]


def filled(case: Case, situation: Situation) -> Situation:
    """Return a situation as the forward model wants it: gaps filled with what was told later."""
    return Situation(case.filled(situation.setup), situation.instances, ())


def complaint_term(case: Case) -> Term | None:
    """Return the complaint as a term, or None before there is one."""
    complaint = case.complaint
    if complaint is None:
        return None
    id_ = complaint.fact.id
    situation = filled(case, complaint.situation)
    if id_ == "face_out_of_square" and situation.setup.gripped_face == "moving":
        id_ = "other_corner"
    return Term(id_, None, situation, complaint.fact.over)  # type: ignore[union-attr]


def complaint_size(case: Case) -> float | None:
    """Return the size of the complaint, mm, or None where there is no number yet."""
    complaint = case.complaint
    value = complaint.fact.value if complaint is not None else None  # type: ignore[union-attr]
    return abs(value) if value is not None else None
