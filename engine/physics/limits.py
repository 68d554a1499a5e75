"""Refusing impossible sizes with one sentence that names the quantity and its sensible range."""

from __future__ import annotations

import math


class PhysicsError(ValueError):
    """A quantity has a size that no shop could have; the message is one sentence fit for a person."""


def number(name: str, value: float) -> float:
    """Return `value` as a finite float.

    Args:
        name: The quantity as a person calls it.
        value: Any real number.

    Raises:
        PhysicsError: if it is not a finite number.
    """
    result = float(value)
    if not math.isfinite(result):
        raise PhysicsError(f"The {name} must be a finite number, not {value}.")
    return result


def positive(name: str, value: float, unit: str = "mm", low: float = 0.0, high: float = math.inf) -> float:
    """Return `value` if it is above `low` (which itself is refused) and at most `high`.

    Raises:
        PhysicsError: otherwise, saying the range.
    """
    result = number(name, value)
    if not low < result <= high:
        top = "" if math.isinf(high) else f" and at most {high:g}"
        raise PhysicsError(
            f"The {name} must be more than {low:g}{top} {unit}".rstrip() + f", not {result:g}."
        )
    return result


def between(name: str, value: float, low: float, high: float, unit: str = "mm") -> float:
    """Return `value` if it lies in the closed range from `low` to `high`.

    Raises:
        PhysicsError: otherwise, saying the range.
    """
    result = number(name, value)
    if not low <= result <= high:
        raise PhysicsError(
            f"The {name} must be from {low:g} to {high:g} {unit}".rstrip() + f", not {result:g}."
        )
    return result
