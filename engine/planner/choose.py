"""The next check, and when to stop.

A check is worth what it is expected to tell about the cause, a minute. Looking further costs minutes; when the
cause is settled, or nothing left would tell enough to change what to do, it is time to act.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from askew.engine.belief.assemble import Term, scatter_of
from askew.engine.planner.available import available, minutes_of, speaks_for
from askew.engine.planner.outlook import Outlook, filled
from askew.engine.suspects import mixture_quantiles
from askew.knowledge.load import load

COST_OF_WRONG = 600.0
"""Minutes that acting on the wrong cause costs: the wrong fix, another cut, and starting again. Judgement."""
OVERHEAD = 1.5
"""Minutes that turning to any check takes, so that a free look is not infinitely good."""


@dataclass(frozen=True)
class Scored:
    """A check with what it is expected to tell (nats), its minutes, its worth and what it saves.

    Attributes:
        id: Check id.
        gain: Expected information about the cause, nats.
        minutes: What it costs with the machine as it stands.
        worth: Nats a minute, less for what it disturbs; checks are ranked by this.
        saves: Minutes that acting after it is expected to save over acting now, less its own.
    """

    id: str
    gain: float
    minutes: float
    worth: float
    saves: float


@dataclass(frozen=True)
class Choice:
    """The plan at this moment.

    Attributes:
        best: The next check, or None where none is worth it.
        ranked: All checks that can be made, the best first.
        settled: Probability of the leading cause.
        label: The leading cause, as source ids.
    """

    best: Scored | None
    ranked: tuple[Scored, ...]
    settled: float
    label: tuple[str, ...]


def choose(outlook: Outlook) -> Choice:
    """Return the next check by expected information about the cause per minute."""
    ids = available(outlook.case)
    outlook.prepare([term for id_ in ids for term in outlook.terms_of(id_)])
    explanations = outlook.explanations
    top = int(np.argmax(explanations.chance))
    settled = float(explanations.chance[top])
    scored = (_scored(id_, outlook, settled) for id_ in ids)
    ranked = tuple(sorted(scored, key=lambda s: (s.saves <= 0.0, -s.worth, s.minutes, s.id)))
    best = ranked[0] if ranked and ranked[0].saves > 0.0 else None
    return Choice(best, ranked, settled, explanations.labels[top])


def _scored(id_: str, outlook: Outlook, settled: float) -> Scored:
    check = load().checks[id_]
    minutes = minutes_of(id_, outlook.case)
    gain = outlook.gain(id_)
    worth = gain * (1.0 - 0.5 * check.risk) / (minutes + OVERHEAD)
    share = gain / outlook.open if outlook.open > 0.0 else 0.0
    return Scored(id_, gain, minutes, worth, share * (1.0 - settled) * COST_OF_WRONG - minutes)


@dataclass(frozen=True)
class Expectation:
    """What a suspect predicts that a reading will be: 90% interval, mm."""

    source: str
    reading: str
    low: float
    high: float


def expectations(outlook: Outlook, check_id: str, suspects: tuple[str, ...]) -> list[Expectation]:
    """Return what each of the leading suspects predicts for the readings of a check.

    A suspect's prediction is that of the explanations in which it is the largest contributor.
    """
    check = load().checks[check_id]
    found: list[Expectation] = []
    explanations = outlook.explanations
    for id_ in check.gives:
        if id_ not in load().readings:
            continue
        situation = filled(outlook.case, speaks_for(id_, check, outlook.case))
        mean, variance = outlook.row(Term(id_, None, situation, None))
        scatter = scatter_of(id_, None, outlook.case.setup.instruments)
        for source in suspects:
            mine = np.array([bool(label) and label[0] == source for label in explanations.labels])
            weight = np.where(mine[explanations.of], explanations.weight, 0.0)
            if weight.sum() <= 1e-9:
                continue
            keep = weight > 0.0
            sd = np.sqrt(variance[keep] + scatter**2)
            low, high = mixture_quantiles(weight[keep], mean[keep], sd, (0.05, 0.95))
            if load().readings[id_].size_only:
                low, high = (
                    (0.0, max(abs(low), abs(high))) if low < 0.0 < high else sorted((abs(low), abs(high)))
                )
            found.append(Expectation(source, id_, low, high))
    return found


def runner_up(choice: Choice) -> Scored | None:
    """Return the check that came second, if any."""
    return choice.ranked[1] if len(choice.ranked) > 1 else None
