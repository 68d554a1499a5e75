"""Which readings of a machine are due for a look, and why: the drift against the tolerance, or plain age."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

import numpy as np

from askew.engine.record.machine import Entry, MachineRecord
from askew.engine.record.machine_drift import Drift, Series, scatter_of, years
from askew.engine.record.machine_memory import MachineMemory, response
from askew.knowledge.load import load
from askew.knowledge.upkeep import load_upkeep

Why = Literal["beyond", "drift", "age", "corrected"]
HORIZON_DAYS = 3 * 365
"""How far ahead anything is foretold."""
CHANCE = 0.2
"""Chance of being beyond the limit at which a look is due (judgement)."""
FADED = 0.5
"""Weight of the record below which a look is due: more likely than not something has moved it since."""

_HALF = 1.6448536269514722


@dataclass(frozen=True, slots=True)
class Allowed:
    """What is allowed of a reading: `limit` mm over `over` mm (None: not over a length)."""

    limit: float
    over: float | None = None

    @property
    def size(self) -> float:
        """As a slope, or mm."""
        return self.limit / (self.over or 1.0)


@dataclass(frozen=True, slots=True)
class Due:
    """How one kind of reading of a machine stands.

    Sizes are slopes, or mm for what is not taken over a length.

    Attributes:
        series: All of its readings.
        drift: How it drifts; None where that cannot be told.
        mean: What it is believed to be today; None straight after a correction that nobody measured.
        low: Lower end of its 90% interval; not below 0 for what only has a size.
        high: Upper end.
        allowed: What is allowed of it; None where nothing is usual and nobody said.
        chance: Chance that it is beyond that today, by what was read.
        day: When it is due for a look; today where it is due already; None: not within three years.
        why: What makes it due.
    """

    series: Series
    drift: Drift | None
    mean: float | None
    low: float | None
    high: float | None
    allowed: Allowed | None
    chance: float | None
    day: date | None
    why: Why | None


def series_of(entries: tuple[Entry, ...], machine: str) -> dict[str, Series]:
    """Return all readings by id, broken into pieces by the corrections that touch what they answer to."""
    known = load()
    found: dict[str, Series] = {}
    for id_ in dict.fromkeys(entry.id for entry in entries if entry.kind == "reading"):
        mine = [
            (place, entry)
            for place, entry in enumerate(entries)
            if entry.kind == "reading" and entry.id == id_
        ]
        touches = response(id_, machine, mine[-1][1].over)
        breaks = [
            (place, entry)
            for place, entry in enumerate(entries)
            if entry.kind == "correction"
            and entry.id in known.actions
            and touches.keys() & set(known.actions[entry.id].redraws)
        ]
        found[id_] = Series(
            reading=id_,
            times=np.array([years(entry, entries[0]) for _, entry in mine]),
            values=np.array([entry.size for _, entry in mine]),
            sds=np.array([scatter_of(entry, known) for _, entry in mine]),
            pieces=tuple(sum(at < place for at, _ in breaks) for place, _ in mine),
            over=mine[-1][1].over,
            corrected=tuple(years(entry, entries[0]) for _, entry in breaks),
            dates=tuple(entry.date for _, entry in mine),
        )
    return found


def allowed_of(reading: str, told: Mapping[str, Allowed] | None = None) -> Allowed | None:
    """Return what is allowed of a reading: as told, else what is usual, else None."""
    if told and reading in told:
        return told[reading]
    usual = load_upkeep().limits.get(reading)
    return Allowed(usual.limit, usual.over) if usual is not None else None


def due(record: MachineRecord, today: date, told: Mapping[str, Allowed] | None = None) -> list[Due]:
    """Return how every reading in the record stands on a day, what is due soonest first."""
    memory = MachineMemory(record, until=today)
    if not memory.entries:
        return []
    stands = [
        _stand(series, memory, today, told) for series in series_of(memory.entries, memory.machine).values()
    ]
    return sorted(stands, key=lambda one: (one.day or date.max, one.series.reading))


def _stand(series: Series, memory: MachineMemory, today: date, told: Mapping[str, Allowed] | None) -> Due:
    allowed, drift = allowed_of(series.reading, told), series.drift()
    now = memory.reading(series.reading, today, series.over)
    if now is None:
        return Due(series, drift, None, None, None, allowed, None, today, "corrected")

    def chance_on(day: date) -> float:
        then = memory.reading(series.reading, day, series.over)
        return beyond(then.mean, then.sd, allowed.size) if then and allowed else 0.0

    def weight_on(day: date) -> float:
        then = memory.reading(series.reading, day, series.over)
        return then.weight if then else 0.0

    chance = chance_on(today) if allowed else None
    drifted = _first_day(today, lambda day: chance_on(day) >= CHANCE)
    faded = _first_day(today, lambda day: weight_on(day) < FADED)
    day = min((d for d in (drifted, faded) if d is not None), default=None)
    why: Why | None = None
    if day is not None:
        why = "drift" if day == drifted else "age"
        if chance is not None and chance >= 0.5:
            why = "beyond"
    low, high = now.mean - _HALF * now.sd, now.mean + _HALF * now.sd
    if load().readings[series.reading].size_only:
        low, high = max(low, 0.0), max(high, 0.0)
    return Due(series, drift, now.mean, low, high, allowed, chance, day, why)


def _first_day(today: date, holds: Callable[[date], bool]) -> date | None:
    """Return the first day within the horizon on which something holds, to a day; None if it does not."""
    if holds(today):
        return today
    step = 30
    for ahead in range(step, HORIZON_DAYS + 1, step):
        if holds(today + timedelta(ahead)):
            low, high = ahead - step, ahead
            while high - low > 1:
                middle = (low + high) // 2
                low, high = (low, middle) if holds(today + timedelta(middle)) else (middle, high)
            return today + timedelta(high)
    return None


def beyond(mean: float, sd: float, limit: float) -> float:
    """Return the chance that the size of a Gaussian is beyond a limit."""
    root = sd * math.sqrt(2.0)
    return 0.5 * (math.erfc((limit - mean) / root) + math.erfc((limit + mean) / root))
