"""How well ways of saying fit the words that were said."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from askew.engine.language.words.lexicon import lexicon
from askew.engine.language.words.meanings import Way, weight_of


@lru_cache(maxsize=50_000)
def _heaviest(mask: int) -> float:
    return weight_of(mask, lexicon().weights)


def weigh(way: Way, mask: int) -> float:
    """Return how well a way of saying fits the words in `mask`; 0 if it does not.

    Args:
        way: The way of saying.
        mask: The bits of all that was said.

    Returns:
        The sum of the weights of what must be there, and less for what may.
    """
    if way.never & mask:
        return 0.0
    for term in way.must:  # most ways fail here: weighing is left until all is there
        if not term & mask:
            return 0.0
    total = 0.0
    for term in way.must:
        total += _heaviest(term & mask)
    for term in way.may:
        hit = term & mask
        if hit:
            total += 0.4 * _heaviest(hit)
    return total


def best(ways: Sequence[Way], mask: int) -> float:
    """Return the best fit among several ways."""
    return max((weigh(way, mask) for way in ways), default=0.0)
