"""From the case to the inference problem: rows, ranges, groups and the choices of sign.

Each reading becomes a row of its own situation's Jacobian over the source instances in force then. Absolute
values (the hollow left by a tilted cutter, a step beyond its dead zone, a number told without its direction)
are split by sign: one problem for each combination that matters, with the sign itself as a range.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TypeVar

import numpy as np

from askew.engine.belief.choices import RANGE_NOISE, choices_of, log_weight
from askew.engine.belief.columns import Column, column_of, in_play, table
from askew.engine.belief.items import (
    REPEATS,
    WILD_PRIOR,
    GroupItem,
    NumericItem,
    RangeItem,
    Term,
    faded,
    group_items,
    numeric_items,
    range_items,
    spoken_of,
)
from askew.engine.belief.layout import UNLISTED, Layout
from askew.engine.belief.mixture import Mixture, mixture_of
from askew.engine.belief.problem import Array, Columns, Group, Problem, Rows, Soft
from askew.engine.belief.senses import SignKey
from askew.engine.belief.settled import STAND_INS, Past, in_force, moments, settled
from askew.engine.case import Case
from askew.engine.physics.linear import linear, signs_of, source_ids
from askew.knowledge.load import load

Item = TypeVar("Item")


@dataclass(frozen=True)
class Assembled:
    """The problem of a case, ready for inference.

    Attributes:
        case: The case.
        columns: Source instances, in the order of the problem's columns.
        numbers: The numeric items, in the order of the rows; those of `doubted` come first.
        doubted: The numbers that have a stand-in for being taken wrongly.
        branches: A problem for each choice of signs.
        choices: For each branch, the sign of each absolute value.
        mixture: For each column, how its spread is made up of the unknown numbers of the setup.
        layout: Where rows over the sources go among the columns.
    """

    case: Case
    columns: tuple[Column, ...]
    numbers: tuple[NumericItem, ...]
    doubted: tuple[NumericItem, ...]
    branches: tuple[Problem, ...]
    choices: tuple[dict[SignKey, int], ...]
    mixture: Mixture
    layout: Layout

    @cached_property
    def position(self) -> dict[Column, int]:
        """Column number of each source instance."""
        return {column: i for i, column in enumerate(self.columns)}

    def choice_of(self, problem: Problem) -> dict[SignKey, int]:
        """Return the signs that one of the branches stands for."""
        return self.choices[next(i for i, branch in enumerate(self.branches) if branch is problem)]

    def doubts(self, trouble: Array, least: float) -> dict[str, float]:
        """Return the readings that were taken wrongly with more than a probability, by id, with theirs.

        Args:
            trouble: Probability that each column is in trouble, readings taken wrongly after the sources.
            least: The probability from which one is told.
        """
        pairs = zip(self.doubted, trouble[len(self.columns) :], strict=True)
        return {item.fact.id: min(float(p), 1.0) for item, p in pairs if p > least}

    def rows(self, terms: Sequence[Term], choice: dict[SignKey, int]) -> Rows:
        """Return further terms as rows over the columns, under a choice of signs.

        An absolute value that the choice does not fix is taken as its middle, nothing, with its spread.
        """
        return self.layout.rows([self.layout.row(term, choice) for term in terms], self.mixture)

    def fresh(self, term: Term) -> float:
        """Return the variance (mm2) that sources without a column add to a term."""
        if term.reading is None:
            return 0.0
        names = signs_of(term.reading, term.situation.setup)
        row = linear(term.reading, term.situation.setup, term.over, tuple((name, 1) for name in names))
        return self.layout.missing(term, row.jacobian)


def assemble(case: Case) -> Assembled:
    """Return the inference problem of a case."""
    told, ranges, groups = numeric_items(case), range_items(case), group_items(case)
    spoken = _active(case, [*(item.term for item in told), *(item.term for item in ranges)], groups)
    gone = settled(case, spoken)
    columns = tuple(column for column in spoken if column not in gone)
    past = _past(case, tuple(column for column in spoken if column in gone)) if gone else None
    ranges = [item for item in _few(ranges) if not gone & spoken_of(item.term)]
    held = [g for g in _few(groups) if not any(column_of(s, g.situation) in gone for s in g.sources)]
    doubted, others, settled_numbers = _parted(told, gone)
    current = (*doubted, *others)
    numbers = (*current, *settled_numbers)
    layout = Layout(columns, len(doubted), case.complaint, past)
    table_ = table(case, columns, np.array([item.wild for item in doubted]), WILD_PRIOR)
    terms = [(item.term, item.variance) for item in current] + [(item.term, RANGE_NOISE) for item in ranges]
    if gone:  # of a long day only the signs of the present are told apart
        present = in_force(case, columns)
        terms = [(term, noise) for term, noise in terms if spoken_of(term) <= present]
    choices = choices_of(layout, current, terms, table_.trouble)
    every = [item.term for item in numbers] + [item.term for item in ranges]
    mixture = mixture_of([layout.row(term, choices[0])[1] for term in every])
    position = layout.position
    members = tuple(
        Group(
            tuple(
                position[column_of(s, g.situation)]
                for s in g.sources
                if column_of(s, g.situation) in position
            ),
            g.hit,
            g.false_alarm,
        )
        for g in held
    )
    branches = tuple(_branch(layout, numbers, ranges, members, choice, mixture, table_) for choice in choices)
    return Assembled(case, columns, numbers, doubted, branches, choices, mixture, layout)


def _past(case: Case, columns: tuple[Column, ...]) -> Past:
    return Past(columns, *moments(table(case, columns, np.zeros(0), WILD_PRIOR)))


def _few(items: Sequence[Item]) -> list[Item]:
    """Return the items without more than a few of the same: the same look told again and again is one look."""
    count: dict[Item, int] = {}
    found: list[Item] = []
    for item in items:
        count[item] = count.get(item, 0) + 1
        if count[item] <= REPEATS:
            found.append(item)
    return found


def _parted(
    items: Sequence[NumericItem], gone: frozenset[Column]
) -> tuple[tuple[NumericItem, ...], tuple[NumericItem, ...], tuple[NumericItem, ...]]:
    """Return the numbers that are each suspected of being wrong, the others of the present, and the settled ones."""
    past = [item for item in items if gone & spoken_of(item.term)] if gone else []
    present = [item for item in items if item not in past] if past else list(items)
    latest = sorted((item.when for item in present), reverse=True)[:STAND_INS]
    doubted = tuple(item for item in present if item.when >= latest[-1])
    others = tuple(faded(item) for item in present if item.when < latest[-1])
    return doubted, others, tuple(faded(item) for item in past)


def _branch(
    layout: Layout,
    numbers: Sequence[NumericItem],
    ranges: Sequence[RangeItem],
    groups: tuple[Group, ...],
    choice: dict[SignKey, int],
    mixture: Mixture,
    table_: Columns,
) -> Problem:
    seen = [layout.row(item.term, choice) for item in numbers]
    told = [layout.row(item.term, choice) for item in ranges]
    limits = _distinct(
        limit for part in (*seen, *told) for limit in part[2] if not limit[layout.open :].any()
    )
    rows = layout.rows(seen, mixture)
    wild = np.arange(layout.open - len(layout.columns))
    rows.jacobian[wild, len(layout.columns) + wild] = 1.0
    values = np.array(
        [item.value * (choice.get(("told", i), 1) if item.unsigned else 1) for i, item in enumerate(numbers)]
    ) - layout.usual(seen)
    noise = np.array([item.variance for item in numbers])
    soft_rows = layout.rows([*((limit, {}, []) for limit in limits), *told], mixture)
    n = len(limits)
    soft = Soft(
        soft_rows,
        low=np.array([0.0] * n + [item.low for item in ranges]),
        high=np.array([np.inf] * n + [item.high for item in ranges]),
        blur=np.array([0.0] * n + [item.blur for item in ranges]),
        misread=np.array([0.0] * n + [item.misread for item in ranges]),
        outside=np.array([False] * n + [item.outside for item in ranges], dtype=bool),
    )
    return Problem(table_, rows, values, noise, soft, groups, log_weight(choice))


def _distinct(rows: Iterable[Array]) -> list[Array]:
    """Different limits only: the same sign serves many rows."""
    kept: dict[bytes, Array] = {}
    for row in rows:
        size = np.abs(row).max()
        if size > 0.0:
            kept.setdefault(np.round(row / size, 9).tobytes(), row)
    return list(kept.values())


def _active(case: Case, terms: Sequence[Term], groups: Sequence[GroupItem]) -> tuple[Column, ...]:
    """Return the source instances that anything observed speaks of, in a fixed order."""
    known = load().sources
    found: set[Column] = set().union(*(spoken_of(term) for term in terms))
    for group in groups:
        found |= {
            column_of(s, group.situation) for s in group.sources if in_play(known[s], group.situation.setup)
        }
    if case.complaint is not None:
        found.add(Column(UNLISTED, 0))
    order = {id_: i for i, id_ in enumerate(source_ids())}
    return tuple(sorted(found, key=lambda column: (order[column.source], column.instance)))
