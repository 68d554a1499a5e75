"""Proof: what a reading must come to once a fix is made, and what it means when it does or does not.

A fix that says nothing about the next cut cannot be wrong. Each one therefore predicts its proving readings
from the draws of what is believed, with the mended sources as a healthy machine has them, and the reading
that follows closes the case or reopens it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from askew.engine.physics.readings import FORMULAS, default_over, predict
from askew.engine.physics.scene import facts_of
from askew.engine.remedies.draws import Samples, count, having_fixed, shares
from askew.engine.remedies.result import Expect, RemedyError, finite, positive, span
from askew.engine.setup import Setup
from askew.engine.units import Habit, format_length
from askew.knowledge.load import load

Array = NDArray[np.float64]
Outcome = Literal["closed", "reopened"]

# The part of a predicted change that must be seen for the fix to count as having worked (judgement).
_HARDLY = 0.3


@dataclass(frozen=True, slots=True)
class Proof:
    """What one reading must come to.

    Attributes:
        reading: A reading id.
        low: Lower end of the 90% interval, scatter of the reading included, mm.
        mid: Its middle, mm.
        high: Upper end, mm.
        before: What it would read without the fix (middle), mm.
        over: Length it is taken over, mm; None where it has none.
        sources: What the fix mends.
        tolerance: Size that the reading may have, mm; None where nothing is asked of it.
    """

    reading: str
    low: float
    mid: float
    high: float
    before: float
    over: float | None
    sources: tuple[str, ...]
    tolerance: float | None = None


@dataclass(frozen=True, slots=True)
class Judgement:
    """What a proving reading means.

    Attributes:
        outcome: "closed" or "reopened".
        sentence: Why, in the person's units.
        as_predicted: The reading lay in the predicted interval.
        change: Share of the predicted change that was seen; None where next to none was predicted.
    """

    outcome: Outcome
    sentence: str
    as_predicted: bool
    change: float | None


def proofs(
    readings: Sequence[str],
    sources: Sequence[str],
    samples: Samples,
    setup: Setup,
    *,
    actions: Sequence[str] = (),
    tolerance: float | None = None,
    setup_after: Setup | None = None,
    left: Mapping[str, float] | None = None,
    share: float = 0.9,
    seed: int = 0,
) -> tuple[Proof, ...]:
    """Return what each reading must come to after a fix.

    Args:
        readings: Reading ids; those that are no numbers, or that the setup does not have, are left out.
        sources: What the fix mends: they become as on a healthy machine.
        samples: Draws of every source as now believed, mm or rad, each shape (n,).
        setup: The setup now.
        actions: What the fix amounts to (action ids). What they touch is taken to be left as on a healthy
            machine too, since the proof is of a fix that took.
        tolerance: Size that a complaint may have, mm.
        setup_after: The setup of the proving cut where the fix changes it.
        left: One standard deviation of what the fix leaves of a source, mm or rad, where it is not a healthy
            machine's: a head that is set to what the part needs and no truer.
        share: Chance that the interval holds the reading if all is as believed.
        seed: Seed of the draws.
    """
    rng = np.random.default_rng(seed)
    touched = {source for action in actions for source in load().actions[action].redraws}
    after = having_fixed(samples, sorted(touched | set(sources)), setup, rng)
    for source, spread in (left or {}).items():
        after[source] = spread * rng.standard_normal(count(samples))
    later = setup_after or setup
    found = []
    for reading in readings:
        kind = load().readings.get(reading)
        if kind is None or reading not in FORMULAS:
            continue
        over = default_over(reading, facts_of(later)) if kind.over else None
        now = np.asarray(predict(reading, setup, samples))
        drawn: Mapping[str, Any] = shares(count(after), later, seed)
        then = np.asarray(predict(reading, later, after, changes=drawn))
        then = then + kind.scatter * rng.standard_normal(then.shape)
        then = np.abs(then) if kind.size_only else then
        low, mid, high = np.quantile(then, [0.5 - share / 2, 0.5, 0.5 + share / 2])
        found.append(
            Proof(
                reading, float(low), float(mid), float(high), float(np.median(now)), over, tuple(sources),
                tolerance if kind.complaint else None,
            )
        )  # fmt: skip
    return tuple(found)


def as_proof(expect: Expect) -> Proof:
    """Return what the arithmetic of a fix expects of a reading as a prediction that can be said and judged."""
    return Proof(expect.reading, expect.low, (expect.low + expect.high) / 2.0, expect.high, 0.0, expect.over, ())


def judge(proof: Proof, reading: float, habit: Habit = "mm", before: float | None = None) -> Judgement:
    """Return whether a proving reading closes the case.

    Within tolerance closes it, as predicted or not; without a tolerance the predicted interval decides. What
    reopens it says whether the fix did what it promised, since that is evidence in itself.

    Args:
        proof: What was predicted.
        reading: What was read, mm, sign as in the reading's definition.
        habit: The person's unit.
        before: The same reading as it was before the fix, mm; None: what the belief made of it.

    Raises:
        RemedyError: if a number is not finite.
    """
    finite("proving reading", reading)
    name = load().readings[proof.reading].name
    inside = proof.low <= reading <= proof.high
    start = proof.before if before is None else finite("reading before the fix", before)
    change = _seen(start, proof.mid, reading, (proof.high - proof.low) / 2.0)
    got = f"{_way(proof.reading, reading, habit)}; predicted was {in_words(proof, habit)}"
    if proof.tolerance is not None:
        positive("tolerance", proof.tolerance)
        good = abs(reading) <= proof.tolerance
    else:
        good = inside
    if good and inside:
        return Judgement("closed", f"Closed: the {name} reads {got}.", True, change)
    if good:
        tail = "The part is good, but the cause was not quite what was believed: check one more part."
        return Judgement("closed", f"Closed: the {name} reads {got}. {tail}", False, change)
    return Judgement(
        "reopened", f"Reopened: the {name} reads {got}. {_why(proof, inside, change)}", inside, change
    )


def in_words(proof: Proof, habit: Habit) -> str:
    """Return a predicted interval in the person's unit, each end with its direction."""
    plus, minus = _ways(proof.reading)
    # the least that is shown: half a thousandth of a millimetre, a twentieth of a thou
    low, high = (0.0 if abs(end) < 5e-4 else end for end in (proof.low, proof.high))
    if not plus:
        return span(max(low, 0.0), max(high, 0.0), habit)
    if low < 0.0 < high:
        ends = [format_length(abs(end), habit) for end in (low, high)]
        return f"{ends[0]} ({minus}) to {ends[1]} ({plus})"
    near, far = sorted((abs(low), abs(high)))
    return f"{span(near, far, habit)} ({plus if high > 0.0 else minus})"


def _way(reading: str, value: float, habit: Habit) -> str:
    plus, minus = _ways(reading)
    size = format_length(abs(value), habit)
    return f"{size} ({plus if value > 0.0 else minus})" if plus and abs(value) >= 5e-4 else size


def _ways(reading: str) -> tuple[str, str]:
    """Return the words for plus and minus, short; empty where a reading has a size only."""
    kind = load().readings[reading]
    if kind.size_only or kind.plus == kind.minus:
        return "", ""
    return kind.plus.split(" (", maxsplit=1)[0], kind.minus.split(" (", maxsplit=1)[0]


def _why(proof: Proof, inside: bool, change: float | None) -> str:
    mended = _names(proof.sources)
    if inside:
        return f"The fix did what it could; what is left comes from something other than {mended}."
    if change is not None and change < _HARDLY:
        return f"It hardly moved, so {mended} was not the cause, or the fix did not take."
    if change is not None and change > 1.0 + (1.0 - _HARDLY):
        return f"It went well past the mark: the fix to {mended} was overdone."
    return f"It moved, but not as far as predicted: {mended} is not the whole cause."


def _seen(start: float, goal: float, reading: float, scatter: float) -> float | None:
    """Return the share of the predicted change that was seen, or None where it drowns in the scatter."""
    wanted = goal - start
    return (reading - start) / wanted if abs(wanted) > scatter else None


def _names(sources: Sequence[str]) -> str:
    names = [load().sources[source].short for source in sources]
    if not names:
        raise RemedyError("A proof needs to know what the fix mends.")
    return names[0] if len(names) == 1 else ", ".join(names[:-1]) + " and " + names[-1]
