"""The bow of a part whose stressed skin is cut away.

The stress in a bar balances over its section. Take a layer off and the rest bends until it balances again.
Beam theory: the part is long against its thickness and the stress runs along it (layer removal; Treuting
and Read, Journal of Applied Physics 22, 1951, from memory). For a wide plate stressed both ways use E/(1 -
nu). Lengths mm, stresses N/mm^2, plus tension.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from askew.engine.physics.envelope import Array
from askew.engine.physics.limits import positive

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(4)
_PANELS = 200  # real skins change within hundredths of the thickness


def curvature_after_cut(modulus: float, thickness: float, cut: float, stress: float) -> float:
    """Return the curvature after a skin of even stress is cut from the top, 1/mm; plus: the middle goes up.

    6*stress*cut*h / (E*(h - cut)^3): the layer's force, `stress*cut`, acted half the thickness `h` away
    from the middle of what is left. Tension taken off the top lets the top grow: the middle rises.

    Args:
        modulus: Young's modulus, N/mm^2.
        thickness: Before the cut, mm.
        cut: Thickness of the layer, mm.
        stress: In the layer, N/mm^2, plus tension.
    """
    positive("modulus", modulus, "N/mm^2")
    positive("thickness", thickness)
    positive("depth of cut", cut, high=0.95 * thickness)
    return 6 * stress * cut * thickness / (modulus * (thickness - cut) ** 3)


def bow_after_cut(modulus: float, length: float, thickness: float, cut: float, stress: float) -> float:
    """Return how far the middle stands above the ends after the cut, mm (minus: below): curvature * L^2/8."""
    positive("length", length)
    return curvature_after_cut(modulus, thickness, cut, stress) * length**2 / 8


def bow_of_profile(
    modulus: float,
    length: float,
    thickness: float,
    cut: float,
    stress: Callable[[Array], Array],
    both_sides: bool = False,
) -> float:
    """Return the bow for any run of stress through the thickness, mm, middle over ends.

    Args:
        modulus: Young's modulus, N/mm^2.
        length: mm.
        thickness: Before the cut, mm.
        cut: Depth of the layer taken off the top, mm.
        stress: Stress at a depth below the top, N/mm^2; is made to balance first (its mean force and
            moment are taken off, since a free part has none).
        both_sides: Take the same layer off the bottom as well.
    """
    positive("length", length)
    positive("modulus", modulus, "N/mm^2")
    positive("thickness", thickness)
    positive("depth of cut", cut, high=(0.475 if both_sides else 0.95) * thickness)

    def moments(low: float, high: float, middle: float) -> tuple[float, float]:
        edges = np.linspace(low, high, _PANELS + 1)
        wide = (edges[1:] - edges[:-1])[:, None]
        depth = edges[:-1, None] + wide * (_NODES + 1) / 2
        weight = _WEIGHTS * wide / 2
        values = np.asarray(stress(depth.ravel()), dtype=float).reshape(depth.shape)
        return float((weight * values).sum()), float((weight * values * (middle - depth)).sum())

    _, turn = moments(0.0, thickness, thickness / 2)
    bottom = thickness - cut if both_sides else thickness
    rest = bottom - cut
    _, left = moments(cut, bottom, (cut + bottom) / 2)
    # A mean stress gives no moment about the middle of what is left; an even gradient gives its share.
    left -= turn * (rest / thickness) ** 3
    # What is left bends until its moment is gone: tension on top draws the ends up.
    return -12 * left / (modulus * rest**3) * length**2 / 8
