"""Making up a shim from the leaves on hand with the fewest leaves.

Every leaf is a joint more, so fewest comes first and closest second. Exact: all sums with k leaves are kept
as the set bits of one integer, in steps of a ten-thousandth of a millimetre, and carried on leaf by leaf.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from askew.engine.remedies.result import RemedyError, finite, positive

_UNIT = 1e-4
_THICKEST = 25.0

# Sizes that shim packs and feeler sets commonly come in (common practice, no source).
THOU_SET: tuple[float, ...] = tuple(
    round(thou * 0.0254, 4) for thou in (1, 1.5, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 32)
)
METRIC_SET: tuple[float, ...] = (
    0.01, 0.02, 0.03, 0.04, 0.05, 0.06, 0.08, 0.10, 0.15, 0.20, 0.25, 0.30, 0.40, 0.50, 0.80, 1.00,
)  # fmt: skip
MOST_LEAVES = 4


@dataclass(frozen=True, slots=True)
class Stack:
    """Leaves that make up a thickness.

    Attributes:
        leaves: Their thicknesses, mm, thickest first; empty where no shim comes closest.
        total: Their sum, mm.
        remainder: Wanted minus total, mm.
    """

    leaves: tuple[float, ...]
    total: float
    remainder: float


def choose_leaves(
    wanted: float,
    on_hand: Iterable[float] | Mapping[float, int] = THOU_SET,
    *,
    close: float,
    most: int = MOST_LEAVES,
) -> Stack:
    """Return the fewest leaves within `close` of `wanted`; where none are, the closest stack there is.

    Ties go to the smaller remainder, then to the thicker leaves.

    Args:
        wanted: Thickness, mm, 0 to 25.
        on_hand: Leaf sizes, mm: as many of each as wanted, or a mapping from size to how many there are.
        close: How near is near enough, mm.
        most: Largest number of leaves.

    Raises:
        RemedyError: for a thickness out of range, no leaves at all, or sizes that are not positive.
    """
    finite("shim thickness", wanted)
    if not 0.0 <= wanted <= _THICKEST:
        raise RemedyError(f"A shim from 0 to {_THICKEST:g} mm is needed, not {wanted:g}.")
    positive("nearness", close)
    if not 1 <= most <= 12:
        raise RemedyError(f"The largest number of leaves must be from 1 to 12, not {most}.")
    items = _items(on_hand, most)
    reach = _tables(items, most, round((wanted + max(close, max(items) * _UNIT)) / _UNIT) + 1)
    final = reach[-1]
    near, goal = round(close / _UNIT), round(wanted / _UNIT)
    best = (goal, 0, 0)  # distance, leaves, sum: no leaf at all is always a stack
    for count in range(most + 1):
        total = _nearest(final[count], goal)
        if total is None:
            continue
        distance = abs(total - goal)
        if distance <= near:
            best = (distance, count, total)
            break
        if distance < best[0]:
            best = (distance, count, total)
    leaves = tuple(leaf * _UNIT for leaf in _walk_back(items, reach, best[1], best[2]))
    total_mm = best[2] * _UNIT
    return Stack(tuple(round(v, 4) for v in leaves), round(total_mm, 4), wanted - total_mm)


def _items(on_hand: Iterable[float] | Mapping[float, int], most: int) -> list[int]:
    """Return every leaf that may be used as a whole number of units, thinnest first."""
    stock = dict(on_hand) if isinstance(on_hand, Mapping) else dict.fromkeys(on_hand, most)
    items: list[int] = []
    for size, count in stock.items():
        positive("leaf thickness", size)
        if count < 0:
            raise RemedyError(f"There cannot be {count} leaves of {size:g} mm.")
        items += [round(size / _UNIT)] * min(count, most)
    if not items:
        raise RemedyError("There must be at least one shim leaf to choose from.")
    return sorted(items)


def _tables(items: list[int], most: int, limit: int) -> list[list[int]]:
    """Return, after each item, the reachable sums of every count of leaves as bits."""
    mask = (1 << (limit + 1)) - 1
    row = [1] + [0] * most
    tables = [row]
    for leaf in items:
        row = [row[0]] + [row[k] | (row[k - 1] << leaf) & mask for k in range(1, most + 1)]
        tables.append(row)
    return tables


def _nearest(bits: int, goal: int) -> int | None:
    """Return the set bit nearest to `goal` (the lower of two), or None."""
    if not bits:
        return None
    below = bits & ((1 << (goal + 1)) - 1)
    above = bits >> (goal + 1)
    low = below.bit_length() - 1 if below else None
    high = goal + 1 + ((above & -above).bit_length() - 1) if above else None
    if low is None or (high is not None and high - goal < goal - low):
        return high
    return low


def _walk_back(items: list[int], tables: list[list[int]], count: int, total: int) -> list[int]:
    """Return the leaves, thickest first, that reach `total` with `count` leaves."""
    leaves: list[int] = []
    for i in range(len(items), 0, -1):
        if count == 0:
            break
        leaf = items[i - 1]
        if total >= leaf and tables[i - 1][count - 1] >> (total - leaf) & 1:
            leaves.append(leaf)
            count, total = count - 1, total - leaf
    return leaves
