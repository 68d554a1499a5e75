"""What a joint does when its bolts are tightened, learned from the rounds made so far.

Each round leaves one move: the sweep after tightening minus the sweep before it. The next move is predicted
by a normal model with unknown mean and scatter and a weak prior centred on no move at all, so that one round
is half believed and many are believed.

Source: the conjugate normal model with unknown mean and variance; Gelman et al., Bayesian Data Analysis, 3rd
edition, section 3.3 (from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from askew.engine.remedies.result import finite, positive

# One round's worth of "it does not move", and four rounds' worth of the usual scatter (judgement).
PRIOR_ROUNDS = 1.0
PRIOR_SCATTER_ROUNDS = 4.0
# How much a head shifts on tightening when nothing is known of it, as a slope: 0.02 mm over 300 mm
# (common practice, no source).
USUAL_SCATTER = 0.02 / 300.0


@dataclass(frozen=True, slots=True)
class Move:
    """The predicted next move on tightening.

    Attributes:
        mid: Its expected size; the unit of the moves that went in.
        scale: Scale of its Student t distribution.
        freedom: Degrees of freedom of that distribution.
        rounds: Rounds it rests on.
    """

    mid: float
    scale: float
    freedom: float
    rounds: int

    def interval(self, share: float = 0.9) -> tuple[float, float]:
        """Return the central interval that holds the next move with chance `share`."""
        from scipy.special import stdtrit  # noqa: PLC0415  scipy is slow to load and only this needs it

        half = float(stdtrit(self.freedom, 0.5 + share / 2.0)) * self.scale
        return self.mid - half, self.mid + half

    def chance_within(self, low: float, high: float) -> float:
        """Return the chance that the next move lies from `low` to `high`."""
        from scipy.special import stdtr  # noqa: PLC0415  scipy is slow to load and only this needs it

        upper = float(stdtr(self.freedom, (high - self.mid) / self.scale))
        return upper - float(stdtr(self.freedom, (low - self.mid) / self.scale))


def next_move(moves: Sequence[float], usual_scatter: float = USUAL_SCATTER) -> Move:
    """Return the prediction of the next move from the earlier ones (any one unit).

    Args:
        moves: What each earlier tightening did, oldest first.
        usual_scatter: One standard deviation when nothing is known, in the same unit.

    Raises:
        RemedyError: if a move is not finite or the scatter is not positive.
    """
    seen = [finite("move on tightening", m) for m in moves]
    usual = positive("usual scatter", usual_scatter)
    n = len(seen)
    mean = math.fsum(seen) / n if n else 0.0
    within = math.fsum((m - mean) ** 2 for m in seen)
    weight = PRIOR_ROUNDS + n
    freedom = PRIOR_SCATTER_ROUNDS + n
    total = PRIOR_SCATTER_ROUNDS * usual**2 + within + PRIOR_ROUNDS * n / weight * mean**2
    return Move(n * mean / weight, math.sqrt(total / freedom * (1.0 + 1.0 / weight)), freedom, n)
