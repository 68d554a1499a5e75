from __future__ import annotations

from itertools import combinations_with_replacement

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from askew.engine.remedies.leaves import METRIC_SET, THOU_SET, choose_leaves
from askew.engine.remedies.result import RemedyError

sizes = st.lists(st.integers(1, 60).map(lambda n: n / 100), min_size=1, max_size=6, unique=True)


def exhaustive(
    wanted: float, leaves: list[float], close: float, most: int, stock: dict[float, int]
) -> tuple[int, float]:
    """Return the leaf count and remainder that trying every stack finds best."""
    found: list[tuple[int, float]] = []
    for count in range(most + 1):
        for stack in combinations_with_replacement(sorted(leaves), count):
            if all(stack.count(leaf) <= stock[leaf] for leaf in leaves):
                found.append((count, abs(wanted - sum(stack))))
    near = [pair for pair in found if pair[1] <= close + 1e-9]
    if near:
        fewest = min(count for count, _ in near)
        return fewest, min(left for count, left in near if count == fewest)
    least = min(left for _, left in found)
    return min(count for count, left in found if left <= least + 1e-9), least


@settings(max_examples=150)
@given(
    sizes, st.integers(0, 200).map(lambda n: n / 100), st.sampled_from([0.001, 0.01, 0.03]), st.integers(1, 4)
)
def test_it_finds_what_trying_every_stack_finds(leaves, wanted, close, most):
    stack = choose_leaves(wanted, leaves, close=close, most=most)
    count, left = exhaustive(wanted, leaves, close, most, dict.fromkeys(leaves, most))
    assert len(stack.leaves) == count
    assert abs(stack.remainder) == pytest.approx(left, abs=1e-6)
    assert stack.total == pytest.approx(sum(stack.leaves))
    assert stack.remainder == pytest.approx(wanted - stack.total)
    assert set(stack.leaves) <= set(leaves)


@settings(max_examples=100)
@given(st.dictionaries(st.integers(1, 40).map(lambda n: n / 100), st.integers(0, 2), min_size=2, max_size=5),
       st.integers(0, 120).map(lambda n: n / 100))  # fmt: skip
def test_it_uses_no_more_than_there_are(stock, wanted):
    if not any(stock.values()):
        with pytest.raises(RemedyError):
            choose_leaves(wanted, stock, close=0.005)
        return
    stack = choose_leaves(wanted, stock, close=0.005, most=3)
    assert all(stack.leaves.count(leaf) <= stock[leaf] for leaf in stack.leaves)
    count, left = exhaustive(wanted, list(stock), 0.005, 3, stock)
    assert (len(stack.leaves), abs(stack.remainder)) == (count, pytest.approx(left, abs=1e-6))


def test_one_thick_leaf_beats_two_thin_ones():
    stack = choose_leaves(0.10, [0.05, 0.10], close=0.001)
    assert stack.leaves == (0.10,)


def test_a_worked_example_in_thou():
    """Seven thou from the common set: 5 + 2 (or 4 + 3, or 6 + 1); two leaves, nothing left."""
    stack = choose_leaves(7 * 0.0254, THOU_SET, close=0.0005)
    assert len(stack.leaves) == 2
    assert stack.total == pytest.approx(7 * 0.0254)


def test_nearly_is_near_enough_where_the_part_allows_it():
    assert len(choose_leaves(0.115, METRIC_SET, close=0.001).leaves) > 1
    assert choose_leaves(0.105, METRIC_SET, close=0.01).leaves == (0.10,)


def test_nothing_is_wanted_and_nothing_goes_in():
    assert choose_leaves(0.0, METRIC_SET, close=0.001).leaves == ()


def test_thinner_than_half_the_thinnest_leaf_is_left_out():
    assert choose_leaves(0.004, [0.02], close=0.001).leaves == ()


@pytest.mark.parametrize(
    ("wanted", "leaves", "close", "most"),
    [
        (-0.1, [0.1], 0.01, 3),
        (99.0, [0.1], 0.01, 3),
        (float("nan"), [0.1], 0.01, 3),
        (0.1, [], 0.01, 3),
        (0.1, [0.0], 0.01, 3),
        (0.1, [-0.1], 0.01, 3),
        (0.1, [0.1], 0.0, 3),
        (0.1, [0.1], 0.01, 0),
        (0.1, {0.1: -1}, 0.01, 3),
    ],
)
def test_impossible_shims_are_refused(wanted, leaves, close, most):
    with pytest.raises(RemedyError):
        choose_leaves(wanted, leaves, close=close, most=most)
