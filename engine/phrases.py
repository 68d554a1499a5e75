"""The smallest pieces of a sentence that every screen and page needs, said the same everywhere."""

from __future__ import annotations

UNDER, OVER = 0.005, 0.995
"""A chance below and from which a whole percent would claim what is not known."""


def capital(text: str) -> str:
    """Return a text with a capital first letter."""
    return text[:1].upper() + text[1:]


def chance_words(chance: float) -> str:
    """Return a probability in whole percent, never as a certainty.

    Args:
        chance: From 0 to 1; rounding of the reckoning beside them is taken as 0 or 1.
    """
    if chance < UNDER:
        return "under 1%"
    return "over 99%" if chance >= OVER else f"{chance * 100:.0f}%"


def share_words(share: float) -> str:
    """Return a share of the error in whole percent: nought and the whole are said so, next to nothing is not nought.

    Args:
        share: 1 is the whole; negative where something takes away from it, above 1 where others do.
    """
    if 0.0 < abs(share) < UNDER:
        return "under 1%"
    return "over 99%" if OVER <= share < 1.0 else f"{share * 100:.0f}%"
