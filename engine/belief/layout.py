"""Where rows over the sources go among the columns of the problem."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache

import numpy as np

from askew.engine.belief.columns import Column, column_of, in_play, prior_of, size_of
from askew.engine.belief.hypotheses import Index
from askew.engine.belief.items import Term
from askew.engine.belief.mixture import WAYS, Mixture, along
from askew.engine.belief.problem import Array, Rows
from askew.engine.belief.senses import SignKey, keys_of
from askew.engine.belief.settled import Past
from askew.engine.belief.term_rows import rows_of
from askew.engine.case import Evidence, Situation, measuring
from askew.engine.physics.linear import source_ids
from askew.engine.setup import Setup
from askew.knowledge.load import load

UNLISTED = "unlisted"
MIRROR = {"face_out_of_square": {"other_corner": -1.0}}
"""What is not listed shows on the complaint alone, and the other way round at the other corner of the same face."""
Parts = tuple[Array, dict[str, Array], list[Array]]
"""A row over the columns, its spread by unknown, and the rows that its signs ask to be positive."""


class Layout:
    """Places rows over the sources into the columns of a problem."""

    def __init__(
        self, columns: tuple[Column, ...], wilds: int, complaint: Evidence | None, past: Past | None = None
    ) -> None:
        """Number the columns; `wilds` stand-ins for readings follow them, then what is settled."""
        self.columns = columns
        self.past = past
        self.open = len(columns) + wilds
        gone = past.columns if past is not None else ()
        self.size = self.open + len(gone)
        self.position = {column: i for i, column in enumerate(columns)}
        self.position.update((column, self.open + i) for i, column in enumerate(gone))
        self.complaint = complaint
        self._places: dict[Situation, tuple[Index, Index]] = {}
        self._unseen: dict[Situation, Mapping[int, float]] = {}
        self._rows: dict[tuple[Term, tuple[int | None, ...]], Parts] = {}

    def row(self, term: Term, choice: dict[SignKey, int]) -> Parts:
        """Return a term's row, its spread by unknown, and the rows that its signs ask to be positive."""
        key = term, tuple(map(choice.get, keys_of(term)))
        if key not in self._rows:
            self._rows[key] = self._row(term, choice)
        return self._rows[key]

    def _row(self, term: Term, choice: dict[SignKey, int]) -> Parts:
        if term.source is not None:
            plain = np.zeros(self.size)
            where = self.position.get(column_of(term.source, term.situation))
            if where is not None:
                plain[where] = 1.0
            return plain, {}, []
        found = rows_of(term, tuple(map(choice.get, keys_of(term))))
        columns, which = self._where(term.situation)
        placed = np.zeros((len(found.rows), self.size))
        placed[:, columns] = found.rows[:, which]
        first = 1 + len(found.unknowns)
        self._unlisted(term, placed[0])
        return placed[0], dict(zip(found.unknowns, placed[1:first], strict=True)), list(placed[first:])

    def _where(self, situation: Situation) -> tuple[Index, Index]:
        """Return the columns of the sources in play in a situation, and which sources they are."""
        found = self._places.get(situation)
        if found is None:
            pairs = [
                (self.position[column], i)
                for i, source in _playing(situation.setup)
                if (column := column_of(source, situation)) in self.position
            ]
            columns, sources = zip(*pairs, strict=True) if pairs else ((), ())
            found = np.array(columns, dtype=np.intp), np.array(sources, dtype=np.intp)
            self._places[situation] = found
        return found

    def missing(self, term: Term, row: Array) -> float:
        """Return the variance that sources without a column add to a term: fresh instances, unseen ones.

        Args:
            term: The term.
            row: Its Jacobian over the sources.
        """
        unseen = self._variances(term.situation)
        return sum((float(row[i]) ** 2 * unseen[i] for i in np.flatnonzero(row).tolist() if i in unseen), 0.0)

    def _variances(self, situation: Situation) -> Mapping[int, float]:
        """Return the variance of each source in play in a situation that has no column, by its place in the rows."""
        found = self._unseen.get(situation)
        if found is None:
            setup = situation.setup
            found = {
                i: _variance(source, setup)
                for i, source in _playing(setup)
                if column_of(source, situation) not in self.position
            }
            self._unseen[situation] = found
        return found

    def _unlisted(self, term: Term, plain: Array) -> None:
        if self.complaint is None or Column(UNLISTED, 0) not in self.position:
            return
        id_ = self.complaint.fact.id
        share = 1.0 if term.reading == id_ else MIRROR.get(id_, {}).get(term.reading or "", 0.0)
        if share and _of_the_cut(term.situation) == _of_the_cut(self.complaint.situation):
            plain[self.position[Column(UNLISTED, 0)]] = share

    def rows(self, parts: Sequence[Parts], mixture: Mixture) -> Rows:
        """Stack rows; the spread of each column is gathered along the directions of its unknowns."""
        n = len(parts)
        jacobian = np.array([part[0] for part in parts]).reshape(n, self.size)
        spread = np.zeros((n, WAYS, self.size))
        for r, (_, by_unknown, _) in enumerate(parts):
            for c in {int(c) for row in by_unknown.values() for c in np.flatnonzero(row)}:
                entries = {key: float(row[c]) for key, row in by_unknown.items() if row[c] != 0.0}
                spread[r, :, c] = along(entries, mixture.get(c, ()))
        past = None
        if self.past is not None:
            past = self.past.rows(jacobian[:, self.open :], spread[:, :, self.open :])
        return Rows(jacobian[:, : self.open], spread[:, :, : self.open].reshape(n, WAYS * self.open), past)

    def usual(self, parts: Sequence[Parts]) -> Array:
        """Return what settled instances are expected to add to each row, (n,)."""
        if self.past is None:
            return np.zeros(len(parts))
        return np.array([part[0][self.open :] @ self.past.mean for part in parts]).reshape(len(parts))


@lru_cache(maxsize=256)
def _playing(setup: Setup) -> tuple[tuple[int, str], ...]:
    """Return the sources in play in a setup, with their places in the rows of the forward model."""
    known = load().sources
    return tuple((i, id_) for i, id_ in enumerate(source_ids()) if in_play(known[id_], setup))


def _variance(id_: str, setup: Setup) -> float:
    """Return the variance of a source of which nothing was read, in trouble or not."""
    source = load().sources[id_]
    size, prior = size_of(source, setup), prior_of(source, setup, 1.0)
    return prior * size.trouble**2 + (1.0 - prior) * size.healthy**2


def _of_the_cut(situation: Situation) -> tuple[tuple[str, int], ...]:
    """What was in force for the cut itself: the same cut measured once more is the same complaint."""
    return tuple(pair for pair in situation.instances if pair[0] not in measuring() and pair[1])
