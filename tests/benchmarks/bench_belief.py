"""Our inference beside general Bayesian-network packages on the same problems, in one run.

One is a network of yes and no, where the answers agree to rounding. The other is a diagnosis with sizes, which a
package can only take in steps: what our closed form is for.

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

import sized_case
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


def sized_by_pyagrum(count: int) -> np.ndarray:
    """Return the probability of trouble of each source, sizes in so many steps, by pyAgrum's lazy propagation."""
    import pyagrum as gum

    net, (middles, chances) = gum.BayesNet(), sized_case.steps(count)
    trouble = [net.add(gum.LabelizedVariable(f"t{i}", "", 2)) for i in range(sized_case.SOURCES)]
    size = [net.add(gum.LabelizedVariable(f"x{i}", "", count)) for i in range(sized_case.SOURCES)]
    for i, p in enumerate(sized_case.PRIOR):
        net.addArc(trouble[i], size[i])
        net.cpt(trouble[i]).fillWith([1.0 - p, p])
        net.cpt(size[i])[:] = chances
    for j, of in enumerate(sized_case.OF):
        read = net.add(gum.LabelizedVariable(f"r{j}", "", 2))
        for i in of:
            net.addArc(size[i], read)
        fits = sized_case.likelihood(j, middles)
        table = np.stack([1.0 - fits, fits], axis=-1)
        names = [*(f"x{i}" for i in of), f"r{j}"]
        order = [names.index(name) for name in net.cpt(read).names[::-1]]
        net.cpt(read)[:] = np.ascontiguousarray(table.transpose(order))
    engine = gum.LazyPropagation(net)
    engine.setEvidence({f"r{j}": 1 for j in range(len(sized_case.OF))})
    engine.makeInference()
    return np.array([engine.posterior(f"t{i}")[1] for i in range(sized_case.SOURCES)])


def sized_by_pgmpy(count: int) -> np.ndarray:
    """Return the same by pgmpy's variable elimination."""
    from pgmpy.factors.discrete import TabularCPD
    from pgmpy.inference import VariableElimination
    from pgmpy.models import DiscreteBayesianNetwork

    middles, chances = sized_case.steps(count)
    arcs = [(f"t{i}", f"x{i}") for i in range(sized_case.SOURCES)]
    net = DiscreteBayesianNetwork([*arcs, *((f"x{i}", f"r{j}") for j, of in enumerate(sized_case.OF) for i in of)])
    cpds = []
    for i, p in enumerate(sized_case.PRIOR):
        cpds.append(TabularCPD(f"t{i}", 2, [[1.0 - p], [p]]))
        cpds.append(TabularCPD(f"x{i}", count, chances.T.tolist(), [f"t{i}"], [2]))
    for j, of in enumerate(sized_case.OF):
        fits = sized_case.likelihood(j, middles).ravel()
        cpds.append(TabularCPD(f"r{j}", 2, [1.0 - fits, fits], [f"x{i}" for i in of], [count] * 3))
    net.add_cpds(*cpds)
    engine = VariableElimination(net)
    seen = {f"r{j}": 1 for j in range(len(sized_case.OF))}
    return np.array(
        [engine.query([f"t{i}"], evidence=seen, show_progress=False).values[1] for i in range(sized_case.SOURCES)]
    )


def timed(work: Callable[[], np.ndarray], times: int) -> tuple[np.ndarray, float]:
    """Return the answer and the best time of a few, s."""
    best, answer = np.inf, np.zeros(0)
    for _ in range(times):
        start = time.perf_counter()
        answer = work()
        best = min(best, time.perf_counter() - start)
    return answer, float(best)


def beside(mine: np.ndarray, took: float, name: str, work: Callable[[], np.ndarray], times: int = 3) -> None:
    """Print a package's largest difference from our answer, and its time beside ours."""
    try:
        theirs, time_taken = timed(work, times)
    except ImportError:
        print(f"{name}: not installed, passed over")
        return
    worst = float(np.abs(theirs - mine).max())
    print(f"{name}: largest difference {worst:.1e}, {1e3 * time_taken:.1f} ms, {time_taken / took:.0f} times ours")


def main() -> None:
    """Print answers, differences and ratios of times."""
    mine, took = timed(ours, 20)
    print("yes and no:", np.round(mine, 9).tolist(), f"{1e3 * took:.2f} ms")
    beside(mine, took, "pyAgrum", by_pyagrum)
    beside(mine, took, "pgmpy", by_pgmpy)
    mine, took = timed(sized_case.ours, 20)
    print("with sizes:", np.round(mine, 6).tolist(), f"{1e3 * took:.2f} ms")
    for count in (21, 41, 81, 121):
        beside(mine, took, f"pyAgrum, {count} steps", lambda count=count: sized_by_pyagrum(count), 2)
    for count in (21, 41):
        beside(mine, took, f"pgmpy, {count} steps", lambda count=count: sized_by_pgmpy(count), 1)


if __name__ == "__main__":
    main()
