"""The leading explanations of the complaint, and what any reading would be under each of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from askew.engine.belief.assemble import Assembled
from askew.engine.belief.carrying import Block, of_bases
from askew.engine.belief.columns import column_of
from askew.engine.belief.gaussian import project
from askew.engine.belief.items import Term
from askew.engine.belief.posterior import Posterior, projected
from askew.engine.belief.problem import Array, Mask
from askew.engine.belief.shares import shares_of
from askew.engine.case import Case, Situation
from askew.engine.observations import Reading
from askew.engine.planner.available import speaks_for
from askew.knowledge.load import load

LEADING = 110
"""Explanations looked at, the likeliest first."""
DOUBTED = 0.15
"""Probability of having been taken wrongly from which a reading may be worth taking again."""
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


class Outlook:
    """The leading explanations, and predictions under each."""

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

    @cached_property
    def _held(self) -> Mask:
        """Which explanations hold which column, the padding of the sets last, (columns + 1, h)."""
        return np.concatenate([block.held for block in self.blocks], axis=1)

    def holds(self, sources: Sequence[str], situation: Situation) -> Mask:
        """Return which explanations have one of some sources in trouble, in a situation, (h,)."""
        position = self.assembled.position
        wanted = [position[c] for s in sources if (c := column_of(s, situation)) in position]
        return np.asarray(self._held[wanted].any(axis=0))

    def situation(self, id_: str, check_id: str) -> Situation:
        """Return the situation that a reading or sign of a check will speak for, gaps filled."""
        key = (id_, check_id)
        if key not in self._situations:
            spoken = speaks_for(id_, load().checks[check_id], self.case)
            self._situations[key] = self.case.modelled(spoken)
        return self._situations[key]


def complaint_term(case: Case) -> Term | None:
    """Return the complaint as a term, or None before there is one."""
    complaint = case.complaint
    if complaint is None:
        return None
    id_ = complaint.fact.id
    situation = case.modelled(complaint.situation)
    if id_ == "face_out_of_square" and situation.setup.gripped_face == "moving":
        id_ = "other_corner"
    return Term(id_, None, situation, complaint.fact.over)  # type: ignore[union-attr]


def complaint_size(case: Case) -> float | None:
    """Return the size of the complaint, mm, or None where there is no number yet."""
    complaint = case.complaint
    value = complaint.fact.value if complaint is not None else None  # type: ignore[union-attr]
    return abs(value) if value is not None else None
