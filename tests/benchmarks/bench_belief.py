"""Our inference beside general Bayesian-network packages on the same network, in one run.

Run: pip install 'askew[outside]' && python tests/benchmarks/bench_belief.py
A package that is not there is passed over and said so. The agreed figures stand in tests/outside/test_network.py.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "outside"))

from network_case import CAUSES, FALSE_ALARM, FINDINGS, HIT, OF, PRIOR, SEEN, ours


def by_pyagrum() -> np.ndarray:
    """Return the same by pyAgrum's lazy propagation."""
    import pyagrum as gum

    net = gum.BayesNet()
    causes = [net.add(gum.LabelizedVariable(f"c{i}", "", 2)) for i in range(CAUSES)]
    found = [net.add(gum.LabelizedVariable(f"f{j}", "", 2)) for j in range(FINDINGS)]
    for j, of in enumerate(OF):
        for c in of:
            net.addArc(causes[c], found[j])
    for i, p in enumerate(PRIOR):
        net.cpt(causes[i]).fillWith([1.0 - p, p])
    for j in range(FINDINGS):
        table = net.cpt(found[j])
        step = gum.Instantiation(table)
        while not step.end():
            held = any(step.val(net.variable(causes[c])) for c in OF[j])
            yes = HIT[j] if held else FALSE_ALARM[j]
            table.set(step, yes if step.val(net.variable(found[j])) else 1.0 - yes)
            step.inc()
    engine = gum.LazyPropagation(net)
    engine.setEvidence({f"f{j}": int(SEEN[j]) for j in range(FINDINGS)})
    engine.makeInference()
    return np.array([engine.posterior(f"c{i}")[1] for i in range(CAUSES)])


def by_pgmpy() -> np.ndarray:
    """Return the same by pgmpy's variable elimination."""
    from pgmpy.factors.discrete import TabularCPD
    from pgmpy.inference import VariableElimination
    from pgmpy.models import DiscreteBayesianNetwork

    net = DiscreteBayesianNetwork([(f"c{c}", f"f{j}") for j, of in enumerate(OF) for c in of])
    cpds = [TabularCPD(f"c{i}", 2, [[1.0 - p], [p]]) for i, p in enumerate(PRIOR)]
    for j, of in enumerate(OF):
        yes = [HIT[j] if state else FALSE_ALARM[j] for state in range(2 ** len(of))]
        table = [[1.0 - y for y in yes], yes]
        cpds.append(TabularCPD(f"f{j}", 2, table, [f"c{c}" for c in of], [2] * len(of)))
    net.add_nodes_from([f"c{i}" for i in range(CAUSES)])
    net.add_cpds(*cpds)
    engine = VariableElimination(net)
    seen = {f"f{j}": int(SEEN[j]) for j in range(FINDINGS)}
    return np.array(
        [engine.query([f"c{i}"], evidence=seen, show_progress=False).values[1] for i in range(CAUSES)]
    )


def timed(work: Callable[[], np.ndarray], times: int) -> tuple[np.ndarray, float]:
    """Return the answer and the best time of a few, s."""
    best, answer = np.inf, np.zeros(0)
    for _ in range(times):
        start = time.perf_counter()
        answer = work()
        best = min(best, time.perf_counter() - start)
    return answer, float(best)


def main() -> None:
    """Print answers, differences and ratios of times."""
    mine, took = timed(ours, 20)
    print("ours", np.round(mine, 9).tolist(), f"{1e3 * took:.2f} ms")
    for name, work in (("pyAgrum", by_pyagrum), ("pgmpy", by_pgmpy)):
        try:
            theirs, time_taken = timed(work, 3)
        except ImportError:
            print(f"{name}: not installed, passed over")
            continue
        worst = float(np.abs(theirs - mine).max())
        print(
            f"{name}: largest difference {worst:.1e}, {1e3 * time_taken:.1f} ms, {time_taken / took:.0f} times ours"
        )


if __name__ == "__main__":
    main()
