"""Published examples of diagnosis, run through our own belief and planner.

Each says where it is published. What our planner has no part in is the sources' own subject: its rule is
information a minute, which the last tests hold beside the optimum.
"""

from __future__ import annotations

from itertools import permutations, product

import numpy as np
import pytest

from askew.engine.belief.posterior import infer, predictions
from askew.engine.belief.problem import Array, Columns, Group, Problem
from askew.engine.planner import optimum as exact
from askew.engine.planner.information import entropy, information
from tests.outside.networks import LEAST, believed, no_ranges, rows, sets_of, signs_of, yes_or_no

# Polybox: J. de Kleer and B. C. Williams, Diagnosing multiple faults, Artificial Intelligence 32 (1987) 97-130.
# Three multipliers x = A*C, y = B*D, z = C*E and two adders F = x + y, G = y + z; with A 3, B 2, C 2, D 3, E 3 all
# of x, y, z should be 6 and F, G 12. Seen: F 10, G 12.
PARTS = ("M1", "M2", "M3", "A1", "A2")
M1, M2, M3, A1, A2 = range(5)
POINTS = {"x": (6.0, [M1]), "y": (6.0, [M2]), "z": (6.0, [M3]),
          "F": (12.0, [M1, M2, A1]), "G": (12.0, [M2, M3, A2])}  # fmt: skip
VALUES = 16
"""An output that nothing predicts has any of so many values."""
NOISE = 0.1


def through(point: str) -> list[float]:
    return [float(part in POINTS[point][1]) for part in range(5)]


def polybox(seen: dict[str, float]):
    """The box in numbers: a broken part adds anything at all to its own output. Our belief finds the conflicts."""
    wide = Columns(np.full(5, 0.01), np.full(5, 1e-6), np.full(5, 6.4**2), np.zeros(5), np.zeros(5, bool))
    off = np.array([value - POINTS[point][0] for point, value in seen.items()])
    noise = np.full(off.size, NOISE**2)
    return infer([Problem(wide, rows([through(p) for p in seen], 5), off, noise, no_ranges(5))], 5, most=5)


def named(sets) -> set[frozenset[str]]:
    return {frozenset(PARTS[i] for i in s) for s in sets}


def minimal(sets) -> set[frozenset[int]]:
    return {s for s in sets if not any(other < s for other in sets)}


def test_polybox_minimal_diagnoses() -> None:
    found = minimal([s for s, weight in sets_of(polybox({"F": 10.0, "G": 12.0})).items() if weight > 1e-9])
    assert named(found) == {frozenset(x) for x in (("A1",), ("M1",), ("A2", "M2"), ("M2", "M3"))}


def test_polybox_minimal_diagnoses_before_the_second_output() -> None:
    found = minimal([s for s, weight in sets_of(polybox({"F": 10.0})).items() if weight > 1e-9])
    assert named(found) == {frozenset([x]) for x in ("A1", "M1", "M2")}


# The published policy for what a set does not predict: each of the values alike. F is wrong only if one of M1, M2,
# A1 is broken, and then has one of 16 values. G = 12 was predicted from F if neither A2, M2 nor M3 is broken; it
# contradicts the set unless one of M1, M3, A1, A2 is broken.
F_WRONG = Group((M1, M2, A1), 1 / VALUES, LEAST)
G_RIGHT = (Group((M1, M3, A1, A2), 1.0, LEAST), Group((M2, M3, A2), 1 / VALUES, 1.0))


def polybox_signs(both: bool) -> dict[frozenset[int], float]:
    return sets_of(believed(yes_or_no([0.01] * 5), [F_WRONG, *(G_RIGHT if both else ())]))


@pytest.mark.parametrize(
    ("both", "parts", "chance"), [(False, (A1, M1, M2), 0.3234), (True, (A1, M1), 0.4962)]
)
def test_polybox_posterior_of_single_faults(both: bool, parts: tuple[int, ...], chance: float) -> None:
    found = polybox_signs(both)
    for part in parts:
        assert found[frozenset([part])] == pytest.approx(chance, abs=1e-4)


def predicted(seen: dict[str, float], point: str) -> dict[frozenset[int], Array]:
    """Chance of each value of a point under every set, from our predictions: one value, or any of them."""
    values = np.arange(VALUES, dtype=float)
    found: dict[frozenset[int], Array] = {}
    for block in polybox(seen).blocks:
        mean, variance = predictions(block, rows([through(point)], 5))
        for members, m, v in zip(block.sets.T, mean[:, 0], variance[:, 0], strict=True):
            known = v < (3 * NOISE) ** 2
            key = frozenset(int(i) for i in members if i != 5)
            at = np.abs(values - (POINTS[point][0] + m)) < 0.5
            found[key] = at.astype(float) if known else np.full(VALUES, 1 / VALUES)
    return found


def left_after(both: bool, point: str) -> float:
    """Expected entropy of the diagnosis after a probe, nats."""
    weights = polybox_signs(both)
    density = predicted({"F": 10.0, "G": 12.0} if both else {"F": 10.0}, point)
    sets = [s for s in weights if s in density]
    chance = np.array([weights[s] for s in sets])
    assert chance.sum() > 1 - 1e-4
    chance /= chance.sum()
    told = information(np.diag(chance), chance, np.array([density[s] for s in sets]))
    return entropy(chance) - told


@pytest.mark.parametrize(
    ("both", "expected"),
    [(True, {"x": 0.027, "y": 0.737, "z": 0.740}), (False, {"G": 0.548, "x": 0.602, "y": 0.602, "z": 1.216})],
)
def test_polybox_most_informative_probe(both: bool, expected: dict[str, float]) -> None:
    """The least entropy is expected after x once both outputs are seen, after G before that."""
    found = {point: left_after(both, point) for point in expected}
    assert found == pytest.approx(expected, abs=0.002)
    assert min(found, key=found.__getitem__) == next(iter(expected))


# Chest clinic: S. L. Lauritzen and D. J. Spiegelhalter, Local computations with probabilities on graphical structures,
# J. R. Stat. Soc. B 50 (1988) 157-194, with their tables.
ASIA, SMOKE, TUB, LUNG, BRONC = range(5)
TABLES = [
    ((ASIA, TUB), lambda a, t: (0.05 if a else 0.01) if t else (0.95 if a else 0.99)),
    ((SMOKE, LUNG), lambda s, x: (0.1 if s else 0.01) if x else (0.9 if s else 0.99)),
    ((SMOKE, BRONC), lambda s, b: (0.6 if s else 0.3) if b else (0.4 if s else 0.7)),
]


def xray(yes: bool):
    return (TUB, LUNG), lambda t, x: abs((0.98 if t or x else 0.05) - (not yes))


def dysp():
    return (TUB, LUNG, BRONC), lambda t, x, b: {(0, 0): 0.1, (1, 0): 0.7, (0, 1): 0.8, (1, 1): 0.9}[t or x, b]


def clinic(*findings, asia: float = 0.01):
    """Roots by their priors; every table, and what was found, as signs. The rest have even odds before them."""
    groups: list[Group] = []
    scale = 3 * np.log(2.0)
    for members, table in (*TABLES, *findings):
        signs, log = signs_of(members, table)
        groups += signs
        scale += log
    return believed(yes_or_no([asia, 0.5, 0.5, 0.5, 0.5]), groups, scale)


def either(posterior) -> float:
    return sum(w for s, w in sets_of(posterior).items() if s & {TUB, LUNG})


def test_chest_clinic_before_anything_is_found() -> None:
    found = clinic()
    assert found.trouble[[TUB, LUNG, BRONC]] == pytest.approx([0.0104, 0.055, 0.45], abs=1e-9)
    assert either(found) == pytest.approx(0.064828, abs=1e-6)
    assert found.log_evidence == pytest.approx(0.0, abs=1e-9)
    assert np.exp(clinic(xray(True)).log_evidence) == pytest.approx(0.11029, abs=1e-6)
    assert np.exp(clinic(dysp()).log_evidence) == pytest.approx(0.435971, abs=1e-6)


VISITED = 1.0 - 1e-9


def test_chest_clinic_visitor_with_dyspnoea() -> None:
    found = clinic(dysp(), asia=VISITED)
    expected = [0.62592, 0.087751, 0.099525, 0.811402]
    assert found.trouble[[SMOKE, TUB, LUNG, BRONC]] == pytest.approx(expected, abs=1e-6)
    assert either(found) == pytest.approx(0.1823, abs=1e-4)
    log_x = clinic(dysp(), xray(True), asia=VISITED).log_evidence - found.log_evidence
    assert np.exp(log_x) == pytest.approx(0.219539, abs=1e-6)


@pytest.mark.parametrize(
    ("seen", "expected"), [(True, [0.391712, 0.444271, 0.628822]), (False, [0.002249, 0.002550, 0.862761])]
)
def test_chest_clinic_with_the_x_ray_too(seen: bool, expected: list[float]) -> None:
    found = clinic(dysp(), xray(seen), asia=VISITED)
    assert found.trouble[[TUB, LUNG, BRONC]] == pytest.approx(expected, abs=1e-6)


# One fault, each step finds its own cause or not: the order of probability over cost is the best. D. Heckerman,
# J. S. Breese and K. Rommelse, Decision-theoretic troubleshooting, CACM 38 (3), 1995; the numbers are our own.


def looks(explanations: list[tuple[int, ...]], costs, after=None, ends=True) -> list[exact.Step]:
    """One step a cause: outcome 1 where it is at work."""
    after = after or {}
    held = [np.array([[i not in e, i in e] for e in explanations], dtype=float) for i in range(len(costs))]
    end = frozenset({1}) if ends else frozenset()
    return [exact.Step(c, d, end, after.get(i, ())) for i, (c, d) in enumerate(zip(costs, held, strict=True))]


def in_order(order):
    return lambda problem, weight, left: next(i for i in order if i in left)


def test_probability_over_cost_is_the_best_order() -> None:
    p, c = np.array([0.4, 0.3, 0.2, 0.1]), np.array([20.0, 5.0, 10.0, 1.0])
    problem = exact.Problem(p, np.arange(4), looks([(0,), (1,), (2,), (3,)], c), wrong=None)
    best = exact.optimum(problem)
    assert best == exact.Plan(pytest.approx(19.5), 3)
    by_rate = np.argsort(-p / c, kind="stable")
    assert list(by_rate) == [3, 1, 0, 2]
    assert exact.cost_of(in_order(by_rate), problem).minutes == pytest.approx(19.5)
    assert exact.cost_of(in_order(range(4)), problem).minutes == pytest.approx(26.1)


def test_chains_of_steps_are_taken_in_blocks() -> None:
    """Search with an order within chains: J. B. Kadane and H. A. Simon, Optimal strategies for a class of constrained
    sequential problems, Annals of Statistics 5 (1977); the rule from memory, the numbers our own."""
    p, c = (0.1, 0.8, 0.5, 0.3), (4.0, 2.0, 5.0, 2.0)
    sets = [tuple(i for i in range(4) if on[i]) for on in product((0, 1), repeat=4)]
    weight = np.array([np.prod([p[i] if i in s else 1 - p[i] for i in range(4)]) for s in sets])
    steps = looks(sets, c, {1: (0,), 3: (2,)})
    problem = exact.Problem(weight, np.arange(len(sets)), steps, wrong=None)
    assert exact.optimum(problem) == exact.Plan(pytest.approx(6.88), 0)
    assert exact.cost_of(in_order((0, 1, 2, 3)), problem).minutes == pytest.approx(6.88)
    allowed = [o for o in permutations(range(4)) if o.index(0) < o.index(1) and o.index(2) < o.index(3)]
    assert min(exact.cost_of(in_order(o), problem).minutes for o in allowed) == pytest.approx(6.88)
    for chain, rate in (((0, 1), 0.14138), ((2, 3), 0.10833)):
        alone = exact.Problem(weight, problem.causes, [
            exact.Step(steps[i].minutes, steps[i].density, steps[i].ends) for i in chain], wrong=None)  # fmt: skip
        finds = 1.0 - np.prod([1.0 - p[i] for i in chain])
        assert finds / exact.cost_of(in_order((0, 1)), alone).minutes == pytest.approx(rate, abs=5e-6)


# Twelve coins of which one is heavy or light: D. J. C. MacKay, Information Theory, Inference, and Learning
# Algorithms, Cambridge University Press 2003, exercise 4.1.
COINS = 12
ODD = [(coin, sense) for coin in range(COINS) for sense in (1, -1)]


def weighed(left: frozenset[int], right: frozenset[int]) -> Array:
    """Chance of left heavy, even, right heavy under each odd coin, (24, 3)."""
    side = [sense * ((coin in left) - (coin in right)) for coin, sense in ODD]
    return np.array([[s > 0, s == 0, s < 0] for s in side], dtype=float)


@pytest.mark.parametrize(
    ("each", "bits"), [(1, 0.8167), (2, 1.2516), (3, 1.5), (4, 1.585), (5, 1.4834), (6, 1.0)]
)
def test_information_of_the_first_weighing(each: int, bits: float) -> None:
    chance = np.full(len(ODD), 1 / len(ODD))
    density = weighed(frozenset(range(each)), frozenset(range(each, 2 * each)))
    assert information(np.diag(chance), chance, density) / np.log(2.0) == pytest.approx(bits, abs=5e-5)


def candidates(alive: set[int]) -> list[Array]:
    """Every weighing that differs: coins alike in what is still open of them are interchangeable."""
    kinds: dict[tuple[bool, ...], list[int]] = {}
    for coin in range(COINS):
        open_ = tuple(2 * coin + k in alive for k in range(2))
        kinds.setdefault(open_, []).append(coin)
    pools = list(kinds.values())
    splits = [[(a, b) for a in range(len(p) + 1) for b in range(len(p) + 1 - a)] for p in pools]
    found = []
    for choice in product(*splits):
        if sum(a for a, _ in choice) != sum(b for _, b in choice) or not any(a for a, _ in choice):
            continue
        left = frozenset(c for p, (a, _) in zip(pools, choice, strict=True) for c in p[:a])
        right = frozenset(c for p, (a, b) in zip(pools, choice, strict=True) for c in p[a : a + b])
        found.append(weighed(left, right))
    return found


def depth(alive: list[int]) -> int:
    """Weighings needed at worst, each time taking the one that tells most."""
    if len(alive) <= 1:
        return 0
    chance = np.zeros(len(ODD))
    chance[alive] = 1 / len(alive)
    tells = [(information(np.diag(chance), chance, d), i, d) for i, d in enumerate(candidates(set(alive)))]
    density = max(tells, key=lambda t: (round(t[0], 9), -t[1]))[2]
    return 1 + max(depth([i for i in alive if density[i, o]]) for o in range(3))


def test_three_weighings_solve_all_twenty_four() -> None:
    """And no fewer could: two have nine outcomes."""
    assert depth(list(range(len(ODD)))) == 3


# What a step tells a minute is a good rule and not the best one.


def test_information_a_minute_is_not_the_optimum() -> None:
    """Our own example, by exact dynamic programming."""
    p, c = np.array([0.5, 0.2, 0.2, 0.1]), (3.0, 2.0, 2.0, 3.0)
    problem = exact.Problem(p, np.arange(4), looks([(0,), (1,), (2,), (3,)], c, ends=False), wrong=np.inf)
    assert exact.cost_of(exact.information_rate, problem).minutes == pytest.approx(5.4)
    assert exact.optimum(problem).minutes == pytest.approx(4.6)


def test_information_a_minute_is_near_the_optimum_on_average() -> None:
    """Over random problems of our own: never better than the optimum, a few percent worse; single ones by half."""
    rng = np.random.default_rng(4)
    ratios = []
    for _ in range(60):
        p, c = rng.dirichlet(np.ones(4)), rng.integers(1, 5, 4).astype(float)
        steps = looks([(0,), (1,), (2,), (3,)], c, ends=False)
        problem = exact.Problem(p, np.arange(4), steps, wrong=np.inf)
        ratios.append(exact.cost_of(exact.information_rate, problem).minutes / exact.optimum(problem).minutes)
    assert min(ratios) >= 1.0 - 1e-12
    assert 1.0 < np.mean(ratios) < 1.05
    assert max(ratios) > 1.2  # so the rule is not the optimum
