from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial import ConvexHull

from askew.engine.remedies.result import RemedyError
from askew.engine.remedies.zones import flat_zone, minimum_zone, parallel_zone, square_zone, straightness


def by_hull(points: np.ndarray) -> float:
    """Narrowest zone from the hull: one plane lies on a face, or each holds one of two edges of it."""
    hull = ConvexHull(points)
    normals = [eq[:3] / eq[2] for eq in hull.equations if abs(eq[2]) > 1e-9]
    edges = {tuple(sorted(pair)) for s in hull.simplices for pair in combinations(s, 2)}
    for (a, b), (c, d) in combinations(edges, 2):
        normal = np.cross(points[b] - points[a], points[d] - points[c])
        if abs(normal[2]) > 1e-9:
            normals.append(normal / normal[2])
    return min(float(np.ptp(points @ normal)) for normal in normals)


@pytest.mark.parametrize("seed", range(12))
def test_linear_programming_finds_what_the_hull_has(seed):
    rng = np.random.default_rng(seed)
    points = np.column_stack([rng.uniform(-50, 50, (14, 2)), rng.normal(0, 0.02, 14)])
    # The hull search works on any scale; heights are blown up so that its tolerances do not bite.
    scaled = points * [1, 1, 1000]
    zone, _ = minimum_zone(points[:, 0], points[:, 1], points[:, 2])
    assert 1000 * zone == pytest.approx(by_hull(scaled), rel=1e-6)


def test_a_plane_is_flat_however_it_lies():
    x, y = np.meshgrid(np.linspace(0, 90, 7), np.linspace(0, 60, 5))
    zone, (a, b, c) = minimum_zone(x, y, 0.01 * x - 0.002 * y + 3.0)
    assert zone == pytest.approx(0.0, abs=1e-9)
    assert (a, b, c) == (pytest.approx(0.01), pytest.approx(-0.002), pytest.approx(3.0))


def test_a_saddle_is_as_wide_as_its_corners_stand_apart():
    """Corners at +h, -h, +h, -h: no plane does better than 2h."""
    zone, _ = minimum_zone([0, 1, 1, 0], [0, 0, 1, 1], [0.01, -0.01, 0.01, -0.01])
    assert zone == pytest.approx(0.02)


def test_an_even_hollow_is_as_deep_as_its_sagitta():
    y = np.linspace(-30, 30, 61)
    assert straightness((1e-5 * y * y)[None, :] + 0.003 * y, y)[0] == pytest.approx(9e-3, rel=1e-6)


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10**6), st.integers(3, 25))
def test_straightness_is_the_narrowest_strip(seed, m):
    rng = np.random.default_rng(seed)
    places = np.sort(rng.uniform(-40, 40, m)) + np.arange(m) * 1e-3
    rows = rng.normal(0, 0.01, (3, m)).cumsum(axis=1)
    doubled = [
        minimum_zone(np.repeat(places, 2), np.tile([0.0, 1.0], m), np.repeat(row, 2))[0] for row in rows
    ]
    assert straightness(rows, places) == pytest.approx(doubled, rel=1e-6, abs=1e-12)


@pytest.mark.parametrize("seed", range(6))
def test_separable_faces_need_no_search(seed):
    """Flatness of F(y) + G(x) is the sum of two straightnesses: against the program over the whole grid."""
    rng = np.random.default_rng(seed)
    y, x = np.linspace(-30, 30, 13), np.linspace(-45, 45, 9)
    f, g = rng.normal(0, 0.01, 13), rng.normal(0, 0.01, 9)
    grid_x, grid_y = np.meshgrid(x, y)
    zone, _ = minimum_zone(grid_x, grid_y, f[:, None] + g[None, :])
    assert flat_zone(f[None], g[None], y, x)[0] == pytest.approx(zone, rel=1e-6)


@pytest.mark.parametrize("seed", range(8))
def test_a_twist_of_an_even_face_is_taken_exactly(seed):
    rng = np.random.default_rng(seed)
    y, x = np.linspace(-30, 30, 13), np.linspace(-45, 45, 9)
    f, g = 1e-5 * y * y * rng.uniform(-1, 1), 4e-6 * x * x * rng.uniform(-1, 1)
    f, g = f + 0.01 * y * rng.uniform(-1, 1), g + 0.01 * x * rng.uniform(-1, 1)
    twist = rng.uniform(-0.04, 0.04)
    grid_x, grid_y = np.meshgrid(x, y)
    zone, _ = minimum_zone(
        grid_x, grid_y, f[:, None] + g[None, :] + twist / 2 * (grid_x / 45) * (grid_y / 30)
    )
    assert flat_zone(f[None], g[None], y, x, np.array([twist]))[0] == pytest.approx(zone, rel=1e-6)


@pytest.mark.parametrize("seed", range(8))
def test_a_twist_of_any_face_is_never_taken_too_small(seed):
    rng = np.random.default_rng(seed)
    y, x = np.linspace(-30, 30, 9), np.linspace(-45, 45, 9)
    f, g = rng.normal(0, 0.01, 9), rng.normal(0, 0.01, 9)
    twist = rng.uniform(-0.02, 0.02)
    grid_x, grid_y = np.meshgrid(x, y)
    zone, _ = minimum_zone(
        grid_x, grid_y, f[:, None] + g[None, :] + twist / 2 * (grid_x / 45) * (grid_y / 30)
    )
    stated = flat_zone(f[None], g[None], y, x, np.array([twist]))[0]
    assert zone <= stated + 1e-12
    assert stated <= zone + abs(twist)


def test_zones_get_wider_the_less_the_planes_may_turn():
    rng = np.random.default_rng(1)
    y, x = np.linspace(-30, 30, 13), np.linspace(-45, 45, 9)
    f, g = rng.normal(0, 0.01, (50, 13)), rng.normal(0, 0.01, (50, 9))
    flat, square, parallel = flat_zone(f, g, y, x), square_zone(f, g, y, x), parallel_zone(f, g, y, x)
    assert (flat <= square + 1e-12).all()
    assert (square <= parallel + 1e-12).all()
    assert (flat < square).any()


@pytest.mark.parametrize(
    "points",
    [([0, 1], [0, 1], [0, 0]), ([0, 1, 2], [0, 1], [0, 0, 0]), ([0, 1, 2], [0, 1, 5], [0, np.nan, 0])],
)
def test_too_few_or_broken_points_are_refused(points):
    with pytest.raises(RemedyError):
        minimum_zone(*points)
