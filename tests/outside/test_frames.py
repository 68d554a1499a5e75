"""Squeezed hollow sections and stepped cutters against published formulas and a frame package.

Square frame under two opposite central loads, and under even pressure: standard results of the theory of
frames (found in any table of rigid frames, e.g. Roark's Formulas for Stress and Strain, chapter on curved
beams and rings; here recomputed with two frame solvers).
Unequal walls, pushes off the middle and partial pressure: PyNiteFEA (MIT), an elastic frame solver that
shares no code or method with ours (direct stiffness against the force method). Its walls are given a huge
area, since ours do not stretch.
"""

from __future__ import annotations

import pytest

from askew.engine.physics.frame import Frame, Push, Squeeze, squeeze

SIDE, WALL, MODULUS, FORCE = 50.0, 4.0, 69_000.0, 200.0
SQUARE = Frame(SIDE, SIDE, WALL, WALL, WALL, WALL, 1.0, MODULUS)


def worst(pairs: dict[str, tuple[float, float]], reference: str) -> float:
    """Print and return the largest relative difference of (ours, theirs)."""
    scale = max(abs(theirs) for _, theirs in pairs.values())
    differences = {k: abs(a - b) / max(abs(b), 1e-6 * scale) for k, (a, b) in pairs.items()}
    name = max(differences, key=lambda k: differences[k])
    print(f"{reference}: largest relative difference {differences[name]:.1e} ({name})")
    return differences[name]


def test_square_frame_with_opposite_central_loads() -> None:
    got = squeeze(SQUARE, FORCE, Push("line", SIDE / 2))
    ei = MODULUS * WALL**3 / 12
    pairs = {
        "loaded wall 5PL^3/384EI": (got.at_push, 5 * FORCE * SIDE**3 / (384 * ei)),
        "free wall PL^3/128EI": (got.top, FORCE * SIDE**3 / (128 * ei)),
        "corner PL/16": (got.corners[1], FORCE * SIDE / 16),
        "middle 3PL/16": (got.largest_moment, 3 * FORCE * SIDE / 16),
    }
    assert worst(pairs, "square frame, central loads") < 1e-9
    assert got.at_push == pytest.approx(0.88457, abs=5e-6)
    assert got.top == pytest.approx(0.53074, abs=5e-6)


def test_square_frame_with_even_pressure() -> None:
    got = squeeze(SQUARE, FORCE, Push("band", low=0, high=SIDE))
    ei, w = MODULUS * WALL**3 / 12, FORCE / SIDE
    pairs = {
        "corner wL^2/24": (got.corners[0], w * SIDE**2 / 24),
        "middle wL^2/12": (got.largest_moment, w * SIDE**2 / 12),
        "centre wL^4/128EI": (got.front, w * SIDE**4 / (128 * ei)),
        "bulge wL^4/192EI": (got.top, w * SIDE**4 / (192 * ei)),
    }
    assert worst(pairs, "square frame, even pressure") < 1e-9


def pynite(frame: Frame, force: float, push: Push, reaction: Push) -> dict[str, float]:
    """Solve the same ring by direct stiffness."""
    from Pynite import FEModel3D

    b, h = frame.depth, frame.height
    model = FEModel3D()
    model.add_material("m", frame.modulus, frame.modulus / 2.6, 0.3, 0.0)
    places = {
        "A": (0, 0), "B": (0, h), "C": (b, h), "D": (b, 0),
        "front": (0, h / 2), "top": (b / 2, h), "back": (b, h / 2), "bottom": (b / 2, 0),
        "push": (0, push.middle),
    }  # fmt: skip
    for name, (x, y) in places.items():
        if name == "push" and push.middle == h / 2:
            continue
        model.add_node(name, x, y, 0)
        model.def_support(name, name == "A", name == "A", True, True, True, False)
    model.def_support("D", False, True, True, True, True, False)
    walls = {"f": ("A", "B", frame.front), "t": ("B", "C", frame.top), "k": ("D", "C", frame.back)}
    walls["u"] = ("A", "D", frame.bottom)
    for name, (i, j, thick) in walls.items():
        inertia = frame.length * thick**3 / 12
        model.add_section(name, 1e5 * frame.length * thick, inertia, inertia, inertia)
        model.add_member(name, i, j, "m", name)
    for wall, sign, load in (("f", 1, push), ("k", -1, reaction)):
        if load.kind == "line":
            model.add_member_pt_load(wall, "FX", sign * force, load.at)
            continue
        wide = load.high - load.low
        off = push.middle - load.middle
        even, turn = force / wide, 6 * force * off / wide**2
        ends, low, high = (even - turn, even + turn), load.low, load.high
        if turn > even:  # contact only presses: a triangle that ends where the resultant demands
            low, ends = high - 3 * (high - push.middle), (0.0, 2 * force / (3 * (high - push.middle)))
        model.add_member_dist_load(wall, "FX", sign * ends[0], sign * ends[1], low, high)
    model.analyze_linear()

    def at(name: str) -> tuple[float, float]:
        node = model.nodes[name]
        return node.DX["Combo 1"], node.DY["Combo 1"]

    (ax, ay), (bx, by), (cx, cy), (dx, dy) = (at(n) for n in "ABCD")
    share = push.middle / h
    return {
        "front": at("front")[0] - (ax + bx) / 2,
        "back": (cx + dx) / 2 - at("back")[0],
        "top": at("top")[1] - (by + cy) / 2,
        "bottom": (ay + dy) / 2 - at("bottom")[1],
        "at_push": at("front" if push.middle == h / 2 else "push")[0] - ax * (1 - share) - bx * share,
        "front_rise": (-(cx - dx) / h - (cy - by) / b) * b,
        "corner": max(abs(model.members["t"].moment("Mz", 0)), 0.0),
    }


CASES = {
    "unequal walls, push off the middle": (
        Frame(60, 40, 4, 5, 3, 6, 80, 69_000), Push("line", 28), Push("line", 28)
    ),
    "tall and thin, partial pressure": (
        Frame(30, 90, 2, 2.5, 3, 2, 50, 205_000), Push("band", low=50, high=75), Push("band", low=20, high=80)
    ),
    "flat and wide, bar above the middle": (
        Frame(100, 30, 3, 3, 4, 2, 40, 110_000), Push("line", 18), Push("band", low=0, high=30)
    ),
    "full face": (
        Frame(60, 40, 4, 5, 3, 6, 80, 69_000), Push("band", low=0, high=40), Push("band", low=0, high=40)
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", list(CASES))
def test_rectangular_frames_against_a_frame_package(name: str) -> None:
    frame, push, reaction = CASES[name]
    ours: Squeeze = squeeze(frame, 800, push, reaction)
    theirs = pynite(frame, 800, push, reaction)
    pairs = {
        k: (abs(ours.corners[1]) if k == "corner" else float(getattr(ours, k)), v) for k, v in theirs.items()
    }
    assert worst(pairs, f"PyNiteFEA, {name}") < 1e-4
