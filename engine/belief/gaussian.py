"""Closed-form evidence of every set of troubled columns, and what each set says of sizes and of further rows.

With everything healthy the readings have covariance C0. A troubled column adds (trouble - healthy) times the
outer product of its row vector, so the evidence of a set needs only a small matrix over its members (matrix
determinant lemma and Woodbury identity; e.g. Hager, Updating the inverse of a matrix, SIAM Review 31, 1989).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from askew.engine.belief.hypotheses import Index, cholesky, inverted, whiten
from askew.engine.belief.problem import Array, Columns, Mask, Problem, Rows

LOG_2PI = float(np.log(2.0 * np.pi))


@dataclass(frozen=True)
class Base:
    """The healthy model of a problem, solved once: everything that the sets share.

    Columns are laid out as [jacobian | spread, way after way | nothing]: number `c` is a column, `s + c` its first
    spread, and the last, all zero, pads the sets.
    """

    problem: Problem

    @property
    def ways(self) -> int:
        """How many further columns the spread of each column has."""
        return int(self.problem.rows.spread.shape[1]) // max(self.problem.columns.size, 1)

    @property
    def nothing(self) -> int:
        """The lane that is all zero."""
        return (1 + self.ways) * self.problem.columns.size

    @cached_property
    def _spreads(self) -> Mask:
        """Which lanes are a spread that matters, (lanes,)."""
        size = self.problem.columns.size
        return np.concatenate([np.zeros(size, bool), self.problem.rows.spread.any(axis=0), [False]])

    @cached_property
    def lanes(self) -> Array:
        """All columns as vectors over the readings, (n, lanes)."""
        rows = self.problem.rows
        n = rows.jacobian.shape[0]
        return np.hstack([rows.jacobian, rows.spread, np.zeros((n, 1))])

    @cached_property
    def extra(self) -> Array:
        """Variance that each lane adds when its column is in trouble, (lanes,)."""
        columns = self.problem.columns
        plain = np.maximum(columns.trouble - columns.healthy, 1e-300)
        second = np.maximum(plain + columns.mean**2, 1e-300)
        return np.concatenate([plain, *[second] * self.ways, [1.0]])

    @cached_property
    def mean(self) -> Array:
        """Mean of each lane when its column is in trouble, (lanes,)."""
        columns = self.problem.columns
        return np.concatenate([columns.mean, np.zeros(self.ways * columns.size + 1)])

    @cached_property
    def _half(self) -> Array:
        """Cholesky factor of C0, (n, n)."""
        rows, healthy = self.problem.rows, self.problem.columns.healthy
        covariance = _shared(rows, rows, healthy)
        covariance[np.diag_indices_from(covariance)] += self.problem.noise
        return np.asarray(np.linalg.cholesky(covariance), dtype=np.float64)

    def whitened(self, vectors: Array) -> Array:
        """Return vectors over the readings in units of C0, (n, ...)."""
        if not self.problem.values.size:
            return vectors
        return np.asarray(np.linalg.solve(self._half, vectors), dtype=np.float64)

    @cached_property
    def _white(self) -> tuple[Array, Array]:
        return self.whitened(self.lanes), self.whitened(self.problem.values)

    @cached_property
    def gram(self) -> Array:
        """J' C0^-1 J over the lanes, (lanes, lanes)."""
        white, _ = self._white
        return white.T @ white

    @cached_property
    def pull(self) -> Array:
        """J' C0^-1 r over the lanes, (lanes,)."""
        white, values = self._white
        return white.T @ values

    @cached_property
    def log_evidence(self) -> float:
        """Log evidence with everything healthy."""
        _, values = self._white
        n = self.problem.values.size
        log_det = 2.0 * float(np.log(np.diag(self._half)).sum()) if n else 0.0
        return -0.5 * (float(values @ values) + log_det + n * LOG_2PI)

    def lanes_of(self, sets: Index) -> Index:
        """Return the lanes of each set: its columns, then their spreads where any spread matters, (k, h)."""
        s = self.problem.columns.size
        lanes = [self._padded(sets)]
        for way in range(1, 1 + self.ways):
            if self._spreads[way * s : (way + 1) * s].any():
                lanes.append(np.where(sets == s, self.nothing, sets + way * s))
        return np.vstack(lanes)

    def score(self, sets: Index) -> Array:
        """Return the log evidence of each set, (h,). Exact for numeric rows.

        Args:
            sets: Column numbers, (most, h), padded with the number of columns.
        """
        if not self._spreads.any():
            return self._score(self._padded(sets), sets.shape[0])
        lanes = self.lanes_of(sets)
        most = sets.shape[0]
        loose = np.where(self._spreads[lanes[most:]], lanes[most:], self.nothing)
        count = (loose != self.nothing).sum(axis=0)
        total = np.empty(sets.shape[1])
        for members in np.unique(count):
            these = count == members
            widened = np.sort(loose[:, these], axis=0)[:members]
            total[these] = self._score(np.vstack([lanes[:most, these], widened]), most)
        return total

    def _padded(self, sets: Index) -> Index:
        """Columns as lanes; the padding is the last lane, all zero."""
        return np.where(sets == self.problem.columns.size, self.nothing, sets)

    @cached_property
    def _scaled(self) -> tuple[Array, Array, Array]:
        """Gram matrix (flat), pull and mean of the lanes in units of what each adds when its column is in trouble."""
        scale = np.sqrt(self.extra)
        return (scale[:, None] * self.gram * scale).ravel(), scale * self.pull, self.mean / scale

    def _gathered(self, lanes: Index) -> tuple[list[list[Array]], list[Array]]:
        """Return the lower triangles of the scaled Gram matrices of sets given as lanes, (k, h), with their pulls."""
        gram, pull, _ = self._scaled
        rows = lanes * (self.nothing + 1)
        entries = [[gram[row + lane] for lane in lanes[: i + 1]] for i, row in enumerate(rows)]
        return entries, [pull.take(lane) for lane in lanes]

    def _score(self, lanes: Index, most: int) -> Array:
        """Log evidence of sets given as lanes, (k, h), of which only the first `most` have a mean."""
        k = lanes.shape[0]
        entries, pull = self._gathered(lanes)
        mean = self._scaled[2]
        quadratic = np.zeros(lanes.shape[1])
        if mean.any():
            means = [mean.take(lane) for lane in lanes[:most]]
            shifts = [
                sum((entries[max(i, j)][min(i, j)] * means[j] for j in range(most)), np.zeros(1))
                for i in range(k)
            ]
            for i in range(most):
                quadratic += means[i] * (shifts[i] - 2.0 * pull[i])
            pull = [pull[i] - shifts[i] for i in range(k)]
        for i in range(k):
            entries[i][i] = entries[i][i] + 1.0
        lower = cholesky(entries)
        diagonal = np.ones(lanes.shape[1])
        for i, white in enumerate(whiten(lower, pull)):
            quadratic -= white * white
            diagonal = diagonal * lower[i][i]
        return np.asarray(self.log_evidence - 0.5 * quadratic - np.log(diagonal))

    def amplitudes(self, sets: Index) -> tuple[Array, Array]:
        """Return mean (h, k) and covariance (h, k, k) of the lanes of each set, given the numeric rows."""
        lanes = self.lanes_of(sets)
        k, h = lanes.shape
        entries, pull = self._gathered(lanes)
        mean = self._scaled[2]
        means = [mean.take(lane) for lane in lanes]
        if mean.any():
            pull = [pull[i] - sum(entries[max(i, j)][min(i, j)] * means[j] for j in range(k)) for i in range(k)]
        for i in range(k):
            entries[i][i] = entries[i][i] + 1.0
        inverse = inverted(cholesky(entries))
        scale = np.sqrt(self.extra)[lanes]
        middle, covariance = np.empty((h, k)), np.empty((h, k, k))
        for i in range(k):
            shift = sum((inverse[max(i, j)][min(i, j)] * pull[j] for j in range(k)), np.zeros(1))
            middle[:, i] = scale[i] * (means[i] + shift)
            for j in range(i + 1):
                covariance[:, i, j] = covariance[:, j, i] = scale[i] * scale[j] * inverse[i][j]
        return middle, covariance


@dataclass(frozen=True)
class Projection:
    """Further linear rows under the posterior: row = `bias` + `gain` @ amplitudes + healthy remainder.

    Attributes:
        bias: What the readings say of each row with everything healthy, (m,).
        gain: Effect of each lane on each row, beyond what the readings absorb, (m, lanes).
        rest: Covariance of the healthy remainder, (m, m).
    """

    bias: Array
    gain: Array
    rest: Array


def project(base: Base, rows: Rows) -> Projection:
    """Return how further rows depend on the amplitudes of the lanes, given the numeric rows."""
    columns: Columns = base.problem.columns
    rows = rows.of_ways(base.ways)
    own = np.hstack([rows.jacobian, rows.spread, np.zeros((rows.jacobian.shape[0], 1))])
    healthy = columns.healthy
    prior = _shared(rows, rows, healthy)
    if not base.problem.values.size:
        return Projection(np.zeros(own.shape[0]), own, prior)
    seen = base.problem.rows
    cross = _shared(seen, rows, healthy)
    white = base.whitened(cross)
    lanes, values = base._white
    return Projection(white.T @ values, own - white.T @ lanes, prior - white.T @ white)


def _shared(a: Rows, b: Rows, healthy: Array) -> Array:
    """Return the covariance of rows with rows from all that is healthy or settled, (n, m)."""
    ways = a.spread.shape[1] // max(healthy.size, 1)
    both: Array = (a.jacobian * healthy) @ b.jacobian.T + (a.spread * np.tile(healthy, ways)) @ b.spread.T
    return both if a.past is None or b.past is None else both + a.past @ b.past.T
