"""The rule of choosing beside the best possible order of checks, worked out exactly on small problems.

Run: python tests/benchmarks/bench_planner.py [shops, default 60]
Expected minutes to the end, acting on the wrong cause included; ratios of the sums over all problems.
"""

from __future__ import annotations

import sys

import numpy as np

from askew.engine.trial.small import CAUSES, CHECKS, OUTCOMES, compare

FIRST = 60_000


def main(shops: int) -> None:
    """Print how far each rule is from the best order."""
    found = compare(range(FIRST, FIRST + shops))
    best = np.array([c.best for c in found])
    print(f"{shops} shops, the {CHECKS} best checks of {OUTCOMES} outcomes each, {CAUSES} remedies at most")
    print(f"the best possible order: {best.mean():.1f} min a problem, acting on the wrong cause included")
    rows = {"askew's rule": np.array([c.ours for c in found])}
    rows.update({name: np.array([c.others[name] for c in found]) for name in found[0].others})
    for name, minutes in rows.items():
        ratio = minutes / best
        print(f"{name:34} {minutes.sum() / best.sum():6.3f} times, worst {ratio.max():5.2f}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 60)
