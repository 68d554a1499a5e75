"""What an old record still says about a machine today: the priors of the next case.

Each source that keeps is a process in time. It starts, at the first entry and after every correction that
touches it, as a fresh draw from what is usual for such a machine; from there it drifts at a rate not known
beforehand and wanders like a random walk (`knowledge/upkeep.toml` says how fast). Readings are linear in the
sources by the forward model, so that all entries together give a Gaussian for any source at any day: a
Gaussian process regression (Rasmussen & Williams, Gaussian Processes for Machine Learning, 2006, equations
2.25-2.26). Old readings count less by the wander alone. Beside it stands the chance that nobody wrote down
what happened meanwhile: `weight`, which halves with every 0.69 of a life.

Slopes in rad, lengths in mm.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import cached_property, lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from askew.engine.physics.readings import predict
from askew.engine.record.machine import Entry, MachineRecord
from askew.engine.record.machine_drift import YEAR, scatter_of
from askew.engine.setup import Setup
from askew.knowledge.load import load
from askew.knowledge.upkeep import Keeping, load_upkeep

Array = NDArray[np.float64]
MOST = 400
"""Readings that enter, the latest first; older ones have nothing left to say."""
TOLD = 0.8
"""A source counts as known where its spread is below this share of what it was before (judgement) ..."""
MOVED = 0.25
"""... or its mean is further from the usual than this share of that spread (judgement)."""


class Belief(NamedTuple):
    """What the record says of a source on a day.

    Attributes:
        mean: Its size, mm or rad.
        sd: One standard deviation.
        weight: Chance that nothing has happened to it since that nobody wrote down, 0 to 1. The prior of a
            case is `weight` times this Gaussian and the rest what is usual for such a machine.
    """

    mean: float
    sd: float
    weight: float


@dataclass(frozen=True, slots=True)
class Usual:
    """What is usual for a source on such a machine before anything is read: mean, sd, and how it keeps.

    `trouble` is its sd where it is known to be in trouble.
    """

    mean: float
    sd: float
    trouble: float
    wander: float
    drift: float
    life: float


@lru_cache(maxsize=8)
def usual(machine: str) -> Mapping[str, Usual]:
    """Return the sources that keep from case to case on a kind of machine.

    A one-sided source is the size of a Gaussian (half-normal), any other one is centred on zero; both are
    healthy or in trouble with the chances of `knowledge/sources.toml`.
    """
    found: dict[str, Usual] = {}
    for id_, source in load().sources.items():
        keeping: Keeping | None = load_upkeep().keeping(id_, source.group)
        size = source.size.get(machine) or source.size.get("any")
        if keeping is None or size is None:
            continue
        square = (1.0 - size.prior) * size.healthy**2 + size.prior * size.trouble**2
        mean = 0.0
        if source.one_sided:
            mean = math.sqrt(2.0 / math.pi) * ((1.0 - size.prior) * size.healthy + size.prior * size.trouble)
        found[id_] = Usual(
            mean,
            math.sqrt(square - mean**2),
            size.trouble,
            keeping.wander * size.healthy,
            keeping.drift * size.healthy,
            keeping.life,
        )
    return found


@lru_cache(maxsize=1024)
def response(reading: str, machine: str, over: float | None) -> Mapping[str, float]:
    """Return how a reading (slope, or mm) answers to one mm or rad of every source it answers to."""
    setup = Setup(machine=machine)
    scale = over or 1.0
    base = float(predict(reading, setup, {}, over))
    found: dict[str, float] = {}
    for id_, source in load().sources.items():
        size = source.size.get(machine) or source.size.get("any")
        if size is not None and id_ != "unlisted":
            change = float(predict(reading, setup, {id_: size.healthy}, over)) - base
            if abs(change) > 1e-12 * size.healthy:
                found[id_] = change / size.healthy / scale
    return found


class MachineMemory:
    """What a machine's entries say of its sources and readings on any day."""

    def __init__(self, record: MachineRecord, until: date | None = None) -> None:
        """Read the entries of a record, those after `until` left out."""
        self.machine: str = record.machine
        self.entries = tuple(entry for entry in record.entries if until is None or entry.day <= until)
        self.usual = usual(self.machine)
        self._names = tuple(self.usual)
        self._start: date | None = self.entries[0].day if self.entries else None
        said = [(place, entry) for place, entry in enumerate(self.entries) if self._says(entry)]
        self._said = said[-MOST:]

    # ---- what is asked of it

    def source(self, id_: str, day: date) -> Belief | None:
        """Return what the record says of a source on a day, None where it says nothing."""
        if id_ not in self.usual:
            return None
        row = np.zeros(len(self._names))
        row[self._names.index(id_)] = 1.0
        latest = self._latest(id_, day)
        if latest is None:
            return None
        mean, sd = self._at(row, day)
        before = self._spread_before(row, day)
        if sd > TOLD * before and abs(mean - self.usual[id_].mean) < MOVED * before:
            return None
        return Belief(mean, sd, math.exp(-max(self._years(day) - latest, 0.0) / self.usual[id_].life))

    def sources(self, day: date) -> dict[str, Belief]:
        """Return what the record says of every source that it knows something of."""
        beliefs = ((id_, self.source(id_, day)) for id_ in self._names)
        return {id_: belief for id_, belief in beliefs if belief is not None}

    def reading(self, id_: str, day: date, over: float | None = None) -> Belief | None:
        """Return what a reading should be on a day (slope, or mm) without its own scatter; None if not known.

        Its weight is that of the source in it that keeps worst.
        """
        parts = {s: j for s, j in response(id_, self.machine, over).items() if s in self.usual}
        known = {s: self._latest(s, day) for s in parts}
        latest = [time for time in known.values() if time is not None]
        if not latest or not parts:
            return None
        row = np.array([parts.get(name, 0.0) for name in self._names])
        mean, sd = self._at(row, day)
        if sd > TOLD * self._spread_before(row, day):
            return None
        age = max(self._years(day) - max(latest), 0.0)
        life = min(self.usual[s].life for s in parts)
        return Belief(mean, sd, math.exp(-age / life))

    # ---- how the entries are seen

    def _says(self, entry: Entry) -> bool:
        """Say whether an entry speaks of a source that keeps; a verdict only if its case gave no reading."""
        if entry.kind == "reading":
            return any(s in self.usual for s in response(entry.id, self.machine, entry.over))
        if entry.kind != "verdict" or entry.id not in self.usual:
            return False
        # A verdict was drawn from the readings of its case, and must not be counted beside one that speaks of this
        # source alone. Where they only speak of a sum (head and column in a sweep) it knows how the sum divides.
        return not any(
            other.kind == "reading"
            and other.case == entry.case != ""
            and set(response(other.id, self.machine, other.over)) & set(self.usual) == {entry.id}
            for other in self.entries
        )

    def _response(self, entry: Entry) -> Mapping[str, float]:
        return {entry.id: 1.0} if entry.kind == "verdict" else response(entry.id, self.machine, entry.over)

    def _years(self, day: date) -> float:
        return (day - self._start).days / YEAR if self._start is not None else 0.0

    @cached_property
    def _breaks(self) -> dict[str, list[tuple[int, float]]]:
        """Place and time of the corrections that draw a source afresh."""
        found: dict[str, list[tuple[int, float]]] = {name: [] for name in self._names}
        for place, entry in enumerate(self.entries):
            if entry.kind == "correction" and entry.id in load().actions:
                for name in load().actions[entry.id].redraws:
                    if name in found:
                        found[name].append((place, self._years(entry.day)))
        return found

    def _piece(self, name: str, place: int) -> tuple[int, float]:
        """Return the number of the piece that a place lies in, and the time at which it began."""
        before = [time for at, time in self._breaks[name] if at < place]
        return len(before), (before[-1] if before else 0.0)

    def _place(self, day: date) -> int:
        return sum(entry.day <= day for entry in self.entries)

    def _latest(self, name: str, day: date) -> float | None:
        """Return the time of the last reading that speaks of a source as it is on a day."""
        place = self._place(day)
        piece = self._piece(name, place)[0]
        times = [
            self._years(entry.day)
            for at, entry in self._said
            if at < place and name in self._response(entry) and self._piece(name, at)[0] == piece
        ]
        return max(times, default=None)

    # ---- the Gaussian process

    @cached_property
    def _model(self) -> tuple[Array, Array, Array, Array, Array]:
        """Responses, pieces, times since the piece began, each (n, S); values and variances, each (n,)."""
        n, size = len(self._said), len(self._names)
        H, piece, since = np.zeros((n, size)), np.zeros((n, size)), np.zeros((n, size))
        y, noise = np.zeros(n), np.zeros(n)
        for i, (place, entry) in enumerate(self._said):
            y[i] = entry.size
            noise[i] = scatter_of(entry, load()) ** 2
            for name, share in self._response(entry).items():
                if name in self.usual:
                    H[i, self._names.index(name)] = share
                else:
                    size_ = load().sources[name].size
                    noise[i] += (share * (size_.get(self.machine) or size_["any"]).healthy) ** 2
            for k, name in enumerate(self._names):
                number, began = self._piece(name, place)
                piece[i, k], since[i, k] = number, self._years(entry.day) - began
        return H, piece, since, y, noise

    @cached_property
    def _means(self) -> Array:
        return np.array([self.usual[name].mean for name in self._names])

    @cached_property
    def _blamed(self) -> frozenset[tuple[int, int]]:
        """Source and piece of every verdict: there the source is known to have been in trouble."""
        found = set()
        for place, entry in enumerate(self.entries):
            if entry.kind == "verdict" and entry.id in self.usual:
                found.add((self._names.index(entry.id), self._piece(entry.id, place)[0]))
        return frozenset(found)

    def _sds(self, piece: Array) -> Array:
        """Standard deviations of the sources (S, n) before anything is read, by piece: larger where one was blamed."""
        usuals = [self.usual[name] for name in self._names]
        sds = np.repeat(np.array([[u.sd] for u in usuals]), piece.shape[0], axis=1)
        for k, number in self._blamed:
            sds[k, piece[:, k] == number] = usuals[k].trouble
        return sds

    def _kernel(self, piece: Array, since: Array, piece2: Array, since2: Array) -> Array:
        """Covariances of the sources (S, n, m) between two sets of times."""
        usuals = [self.usual[name] for name in self._names]
        wander, drift = (np.array([getattr(u, key) for u in usuals])[:, None, None] for key in ("wander", "drift"))
        start = self._sds(piece)[:, :, None] * self._sds(piece2)[:, None, :]
        a, b = since.T[:, :, None], since2.T[:, None, :]
        same = piece.T[:, :, None] == piece2.T[:, None, :]
        kernel: Array = same * (start + wander**2 * np.minimum(a, b)) + drift**2 * a * b
        return kernel

    @cached_property
    def _solved(self) -> tuple[Array, Array]:
        """Return the inverse covariance of the readings, and that times what they differ from the usual."""
        H, piece, since, y, noise = self._model
        kernel = self._kernel(piece, since, piece, since)
        covariance = np.einsum("ik,kij,jk->ij", H, kernel, H) + np.diag(noise)
        inverse = np.linalg.inv(covariance)
        return inverse, inverse @ (y - H @ self._means)

    def _now(self, day: date) -> tuple[Array, Array]:
        place, size = self._place(day), len(self._names)
        piece, since = np.zeros((1, size)), np.zeros((1, size))
        for k, name in enumerate(self._names):
            number, began = self._piece(name, place)
            piece[0, k], since[0, k] = number, max(self._years(day) - began, 0.0)
        return piece, since

    def _spread_before(self, row: Array, day: date) -> float:
        piece, since = self._now(day)
        own = self._kernel(piece, since, piece, since)[:, 0, 0]
        return math.sqrt(float(row**2 @ own))

    def _at(self, row: Array, day: date) -> tuple[float, float]:
        """Return mean and standard deviation of a combination of sources on a day."""
        H, piece, since, _, _ = self._model
        inverse, weighted = self._solved
        piece_now, since_now = self._now(day)
        cross = row @ (self._kernel(piece, since, piece_now, since_now)[:, :, 0] * H.T)
        own = self._spread_before(row, day) ** 2
        mean = float(row @ self._means + cross @ weighted)
        return mean, math.sqrt(max(own - float(cross @ inverse @ cross), 1e-4 * own))


def priors_of(record: MachineRecord, day: date) -> dict[str, Belief]:
    """Return what the next case on this machine starts from: source -> (mean, sd, weight).

    Only sources of which the record tells something are in it. The sizes of two sources that were only ever
    read together (head and column in a sweep) are uncertain together; what is given here is each for itself.
    """
    return MachineMemory(record, until=day).sources(day)
