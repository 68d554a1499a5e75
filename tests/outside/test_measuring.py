"""Measuring and uncertainty against the GUM, NIST and published grades."""

from __future__ import annotations

import math
from collections.abc import Mapping

import pytest

from askew.engine.physics import face, measuring, sweep
from askew.engine.physics.uncertainty import Input, combine, rectangular

# The data of the NIST Statistical Reference Dataset "Norris" (linear regression, lower difficulty): y, x.
NORRIS = """
0.1 0.2 338.8 337.4 118.1 118.2 888.0 884.6 9.2 10.1 228.1 226.5 668.5 666.3 998.5 996.3 449.1 448.6
778.9 777.0 559.2 558.2 0.3 0.4 0.1 0.6 778.1 775.5 668.8 666.9 339.3 338.0 448.9 447.5 10.8 11.6
557.7 556.0 228.3 228.1 998.0 995.8 888.8 887.6 119.6 120.2 0.3 0.3 0.6 0.3 557.6 556.8 339.3 339.1
888.0 887.2 998.5 999.0 778.9 779.0 10.2 11.1 117.6 118.3 228.9 229.2 668.4 669.1 449.2 448.9 0.2 0.5
"""


def worst(pairs: dict[str, tuple[float, float]], reference: str) -> float:
    """Print and return the largest relative difference of (ours, theirs)."""
    differences = {k: abs(a - b) / abs(b) for k, (a, b) in pairs.items()}
    name = max(differences, key=lambda k: differences[k])
    print(f"{reference}: largest relative difference {differences[name]:.1e} ({name})")
    return differences[name]


def test_straight_line_is_nists() -> None:
    """NIST StRD, Norris: certified slope, intercept and residual standard deviation."""
    numbers = [float(v) for v in NORRIS.split()]
    line = sweep.straight_line(numbers[1::2], numbers[0::2])
    pairs = {
        "slope": (line.slope, 1.00211681802045),
        "intercept": (line.intercept, -0.262323073774029),
        "residual": (line.residual, 0.884796396144373),
        "slope scatter": (line.slope_scatter, 0.429796848199937e-3),
    }
    assert worst(pairs, "NIST Norris") < 1e-11


def end_gauge(x: Mapping[str, float]) -> float:
    """JCGM 100:2008, H.1, equation H.3: length of an end gauge by comparison, mm."""
    return (
        x["ls"]
        + x["d"]
        - x["ls"] * (x["delta_alpha"] * (x["theta_mean"] + x["theta_swing"]) + x["alpha"] * x["delta_theta"])
    )


NM = 1e-6
END_GAUGE = {
    "ls": Input(50.000623, 25 * NM, 18, "calibration certificate"),
    "d": Input(
        215 * NM,
        math.sqrt(5.8**2 + 3.9**2 + 6.7**2) * NM,
        # 25.6 in the example, from 24, 5 and 8 degrees of freedom of its three parts
        (5.8**2 + 3.9**2 + 6.7**2) ** 2 / (5.8**4 / 24 + 3.9**4 / 5 + 6.7**4 / 8),
        "comparator",
    ),
    "delta_alpha": Input(0.0, 0.58e-6, 50, "half width 1e-6, known to 10%"),
    "delta_theta": Input(0.0, 0.029, 2, "half width 0.05, known to 50%"),
    "alpha": Input(11.5e-6, 1.2e-6, math.inf, "half width 2e-6"),
    "theta_mean": Input(-0.1, 0.2, math.inf, "mean of the bath"),
    "theta_swing": Input(0.0, 0.35, math.inf, "swing of the bath"),
}


def test_end_gauge_of_the_gum() -> None:
    """JCGM 100:2008, H.1: 50.000838 mm, 32 nm, 16 degrees of freedom, 93 nm at 99%."""
    budget = combine(end_gauge, END_GAUGE)
    assert budget.value == pytest.approx(50.000838, abs=5e-7)
    assert round(budget.uncertainty / NM) == 32
    assert math.floor(budget.freedom) == 16
    expanded, factor = budget.expanded(0.99)
    assert factor == pytest.approx(2.92, abs=5e-3)
    assert round(expanded / NM) == 93
    assert [row.name for row in budget.rows[:2]] == ["ls", "delta_theta"]


def test_second_order_terms_of_the_end_gauge() -> None:
    """JCGM 100:2008, H.1.7: the second-order terms bring the uncertainty from 32 to 34 nm."""
    budget = combine(end_gauge, END_GAUGE, second_order=True)
    assert round(budget.uncertainty / NM) == 34


def test_uncertainty_against_a_gum_package() -> None:
    """GTC (MIT), the GUM Tree Calculator, on the end gauge and on a sine that is strongly curved."""
    import GTC

    inputs = {k: GTC.ureal(v.value, v.uncertainty, v.freedom) for k, v in END_GAUGE.items()}
    theirs = end_gauge(inputs)
    ours = combine(end_gauge, END_GAUGE)
    pairs = {
        "value": (ours.value, GTC.value(theirs)),
        "uncertainty": (ours.uncertainty, GTC.uncertainty(theirs)),
        "freedom": (ours.freedom, GTC.dof(theirs)),
    }
    assert worst(pairs, "GTC, end gauge") < 1e-6

    angle, bar = GTC.ureal(0.6, 1e-3, 7), GTC.ureal(100.0, 2e-3, 12)
    height = bar * GTC.sin(angle)
    mine = combine(
        lambda x: x["bar"] * math.sin(x["angle"]),
        {"angle": Input(0.6, 1e-3, 7), "bar": Input(100.0, 2e-3, 12)},
    )
    pairs = {
        "uncertainty": (mine.uncertainty, GTC.uncertainty(height)),
        "freedom": (mine.freedom, GTC.dof(height)),
    }
    assert worst(pairs, "GTC, sine bar") < 1e-6


def test_rectangular_input_with_an_uncertain_half_width() -> None:
    """JCGM 100:2008, H.1.6: a half width known to 10% gives 50 degrees of freedom, to 50% gives 2."""
    u, freedom = rectangular(1e-6, 0.1)
    assert u == pytest.approx(0.58e-6, abs=5e-9)
    assert freedom == pytest.approx(50)
    assert rectangular(0.05, 0.5)[1] == pytest.approx(2)


def test_grades_of_squares_and_plates() -> None:
    """DIN 875-1 and DIN 876, micrometres."""
    table = {
        100: (3, 7, 15, 30),
        150: (4, 8, 18, 35),
        200: (4, 9, 20, 40),
        300: (5, 11, 25, 50),
        500: (7, 15, 35, 70),
    }
    for length, row in table.items():
        got = [1000 * measuring.square_grade(g, length) for g in ("00", "0", "1", "2")]
        assert got == pytest.approx(row)
    assert [1000 * measuring.plate_grade(g, 1000) for g in ("0", "I", "II", "III")] == pytest.approx(
        [8, 20, 40, 80]
    )


def test_lever_indicator_table() -> None:
    """Gauge makers' catalogues print the factor to two digits."""
    for degrees, factor in ((10, 0.98), (20, 0.94), (30, 0.87), (40, 0.77), (50, 0.64), (60, 0.50)):
        assert measuring.lever_true(1.0, math.radians(degrees)) == pytest.approx(factor, abs=0.005)


def test_healthy_spindle_squareness() -> None:
    """ISO 10791-2 and Schlesinger 0.02/300; ISO 1701-2 and ISO 1984-2 0.025/300; all from memory."""
    assert measuring.spindle_square_tolerance(300) == pytest.approx(0.02)
    assert measuring.spindle_square_tolerance(600, wide=True) == pytest.approx(0.05)
    # A machine just accepted hollows a 60 mm face under an 80 mm cutter by less than light can show.
    assert face.hollow(0.02 / 300, 80, 60) < measuring.LIGHT_GAP


def test_hollow_is_the_sagitta_of_a_chord() -> None:
    """Geometry of the circle: R - sqrt(R^2 - c^2/4), worked by hand."""
    pairs = {
        "D 100, w 80, 1e-4": (face.hollow(1e-4, 100, 80), 1e-4 * 20),
        "D 130, w 120, 5e-4": (face.hollow(5e-4, 130, 120), 5e-4 * 40),
        "D 63, w 50, 2e-4": (face.hollow(2e-4, 63, 50), 2e-4 * (31.5 - math.sqrt(31.5**2 - 25**2))),
    }
    assert worst(pairs, "sagitta of a chord") < 1e-12
    assert face.hollow(2e-4, 63, 50) == pytest.approx(2.467e-3, abs=5e-7)
    # The usual shortcut of the trade is a fifth low on the first.
    assert pytest.approx(0.8 * face.hollow(1e-4, 100, 80), rel=1e-3) == 1e-4 * 80**2 / (4 * 100)
