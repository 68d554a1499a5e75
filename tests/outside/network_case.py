"""One discretised network for our belief and for general Bayesian-network packages: ten causes, twelve findings.

A finding is seen with chance `hit` if any of its causes is in trouble, and with `false_alarm` if none is.
"""

from __future__ import annotations

import numpy as np

CAUSES, FINDINGS, PARENTS = 10, 12, 6
_rng = np.random.default_rng(20)
PRIOR = tuple(round(float(p), 3) for p in _rng.uniform(0.02, 0.25, CAUSES))
OF = tuple(
    tuple(sorted(int(c) for c in _rng.choice(CAUSES, PARENTS, replace=False))) for _ in range(FINDINGS)
)
HIT = tuple(round(float(p), 2) for p in _rng.uniform(0.6, 0.95, FINDINGS))
FALSE_ALARM = tuple(round(float(p), 2) for p in _rng.uniform(0.02, 0.2, FINDINGS))
SEEN = tuple(bool(s) for s in _rng.random(FINDINGS) < 0.5)


def ours() -> np.ndarray:
    """Return the probability of each cause by our own belief."""
    from askew.engine.belief.posterior import infer
    from askew.engine.belief.problem import Columns, Group, Problem, Rows, Soft

    columns = Columns(
        np.array(PRIOR), np.full(CAUSES, 1e-4), np.ones(CAUSES), np.zeros(CAUSES), np.zeros(CAUSES, bool)
    )
    empty, none = Rows(np.zeros((0, CAUSES)), np.zeros((0, CAUSES))), np.zeros(0)
    groups = tuple(
        Group(of, hit, false) if seen else Group(of, 1.0 - hit, 1.0 - false)
        for of, hit, false, seen in zip(OF, HIT, FALSE_ALARM, SEEN, strict=True)
    )
    soft = Soft(empty, none, none, none, none, np.zeros(0, bool))
    return infer([Problem(columns, empty, none, none, soft, groups)], CAUSES, most=CAUSES).trouble
