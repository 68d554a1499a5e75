"""Grip, cutter, heat and stress against handbook examples and independent solvers."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest

from askew.engine.physics import cutter, heat, stress
from askew.engine.physics import workholding as hold
from askew.engine.physics.materials import material


def relative(ours: float, theirs: float, reference: str) -> float:
    """Print and return the relative difference."""
    difference = abs(ours - theirs) / abs(theirs)
    print(f"{reference}: relative difference {difference:.1e}")
    return difference


def test_power_screw_worked_example() -> None:
    """Shigley's Mechanical Engineering Design, example 8-1: square double thread, collar 40 mm."""
    screw = hold.Screw(mean_diameter=30, lead=8, friction=0.08, collar_diameter=40, collar_friction=0.08)
    # The book prints 26.18 and 9.77 N m and an efficiency of 0.311, rounded to the last digit.
    assert relative(hold.torque_for(screw, 6400) / 1000, 26.18, "Shigley 8-1, raise") < 2e-4
    assert relative(hold.torque_to_loosen(screw, 6400) / 1000, 9.77, "Shigley 8-1, lower") < 5e-4
    assert hold.efficiency(screw) == pytest.approx(0.311, abs=5e-4)


def test_stepped_cantilever_against_a_frame_package() -> None:
    """PyNiteFEA (MIT): three steps, a force short of the tip, deflections at tip and between."""
    from Pynite import FEModel3D

    steps = (cutter.Step(15, 20), cutter.Step(25, 12), cutter.Step(22, 9.6, cutter.CARBIDE))
    tool = cutter.Tool(steps)
    model = FEModel3D()
    ends = np.cumsum([0.0] + [s.length for s in steps])
    force_at, between = 50.0, 30.0
    places = sorted({*ends.tolist(), force_at, between})
    for i, x in enumerate(places):
        model.add_node(f"n{i}", x, 0, 0)
    model.def_support("n0", True, True, True, True, True, True)
    for i, (a, b) in enumerate(pairwise(places)):
        k = int(np.searchsorted(ends, (a + b) / 2)) - 1
        inertia = math.pi * steps[k].diameter ** 4 / 64
        model.add_material(f"m{i}", steps[k].modulus, steps[k].modulus / 2.6, 0.3, 0.0)
        model.add_section(f"s{i}", 1e3, inertia, inertia, inertia)
        model.add_member(f"b{i}", f"n{i}", f"n{i + 1}", f"m{i}", f"s{i}")
    model.add_node_load(f"n{places.index(force_at)}", "FY", 300.0)
    model.analyze_linear()
    for x in (between, force_at, tool.stickout):
        theirs = model.nodes[f"n{places.index(x)}"].DY["Combo 1"]
        ours = cutter.deflection(tool, 300.0, force_at, x)
        assert relative(ours, theirs, f"PyNiteFEA, stepped cutter at {x:g} mm") < 1e-9


def test_the_force_table_is_the_published_one() -> None:
    """Specific cutting forces of VDI 3323 material groups, as printed in tool makers' catalogues."""
    printed = {
        "aluminium": (800, 0.25), "cast_iron": (1350, 0.28), "mild_steel": (1350, 0.21),
        "alloy_steel": (1775, 0.24), "stainless": (2150, 0.20), "brass": (700, 0.27), "copper": (700, 0.27),
    }  # fmt: skip
    for name, (kc, mc) in printed.items():
        assert (material(name).kc, material(name).mc) == (kc, mc)


def test_moduli_and_expansions_of_handbooks() -> None:
    """6061-T6: Aluminum Association. Grey iron grade 250: EN 1561 (modulus from memory)."""
    aluminium, iron = material("aluminium"), material("cast_iron")
    assert (aluminium.modulus, aluminium.poisson, aluminium.expansion) == (68_900, 0.33, 23.6e-6)
    assert 103_000 <= iron.modulus <= 118_000
    assert iron.expansion == 10.5e-6
    # One metre of aluminium grows 0.236 mm in ten kelvin.
    assert heat.expansion(aluminium, 1000, 10) == pytest.approx(0.236)


def test_cooling_against_an_ode_solver() -> None:
    """scipy.integrate.solve_ivp on m c dT/dt = -h A (T - room)."""
    from scipy.integrate import solve_ivp

    part = material("cast_iron")
    sides = (80.0, 60.0, 40.0)
    cool = heat.cooling_of_block(part, sides, heat.FILM["moving_air"])
    a, b, c = (s / 1000 for s in sides)
    mass, area = part.density * a * b * c, 2 * (a * b + b * c + c * a)

    def rate(_: float, t: np.ndarray) -> np.ndarray:
        return -heat.FILM["moving_air"] * area * (t - 20.0) / (mass * part.heat_capacity)

    def arrived(_: float, t: np.ndarray) -> float:
        return float(t[0] - 20.5)

    arrived.terminal = True  # type: ignore[attr-defined]
    done = solve_ivp(rate, (0, 1e5), [55.0], events=arrived, rtol=1e-10, atol=1e-12, method="DOP853")
    ours = heat.time_to_cool(cool, 55.0, 20.0, 0.5)
    assert relative(ours, float(done.t_events[0][0]), "solve_ivp, lumped cooling") < 1e-8


def test_a_small_biot_number_is_what_makes_it_one_temperature() -> None:
    """scipy's ODE solver on a slab in 60 layers: under a Biot number of 0.1 the middle lags by under 5%."""
    from scipy.integrate import solve_ivp

    part, half, film = material("stainless"), 0.004, 300.0
    biot = film * half / part.conductivity
    assert biot < heat.LUMPED
    n = 60
    dx = half / n

    def rate(_: float, t: np.ndarray) -> np.ndarray:
        flow = np.diff(t) * part.conductivity / dx
        flow = np.concatenate(([0.0], flow, [-film * t[-1] / (1 + film * dx / 2 / part.conductivity)]))
        return np.diff(flow) / (dx * part.density * part.heat_capacity)

    constant = part.density * part.heat_capacity * half / film
    done = solve_ivp(rate, (0, constant), np.ones(n), method="BDF", rtol=1e-7, atol=1e-9)
    lumped = heat.cooling(part, 2 * half * 1e9, 2e6, film)
    assert lumped.constant == pytest.approx(constant)
    assert abs(float(done.y[:, -1].mean()) - math.exp(-1)) < 0.05 * math.exp(-1)


def test_layer_removal_against_a_beam_model() -> None:
    """PyNiteFEA (MIT): what is left of the bar, bent by the end moments that the removed skin balanced."""
    from Pynite import FEModel3D

    modulus, length, thick, cut, skin, wide = 70_000.0, 300.0, 20.0, 1.5, -40.0, 25.0
    rest = thick - cut
    inertia = wide * rest**3 / 12
    model = FEModel3D()
    model.add_material("m", modulus, modulus / 2.6, 0.3, 0.0)
    model.add_section("s", wide * rest, inertia, inertia, inertia)
    for name, x in (("a", 0.0), ("c", length / 2), ("b", length)):
        model.add_node(name, x, 0, 0)
    model.add_member("ac", "a", "c", "m", "s")
    model.add_member("cb", "c", "b", "m", "s")
    model.def_support("a", True, True, True, True, True, False)
    model.def_support("b", False, True, True, True, True, False)
    moment = skin * cut * wide * thick / 2
    model.add_node_load("a", "MZ", moment)
    model.add_node_load("b", "MZ", -moment)
    model.analyze_linear()
    theirs = model.nodes["c"].DY["Combo 1"]
    ours = stress.bow_after_cut(modulus, length, thick, cut, skin)
    assert relative(ours, theirs, "PyNiteFEA, bow of a stripped bar") < 1e-9


def test_layer_removal_against_fibres() -> None:
    """A bar of 40,000 fibres with a known run of stress, brought to balance by least squares."""
    modulus, length, thick, cut = 206_000.0, 400.0, 12.0, 0.8

    def skin(depth: np.ndarray) -> np.ndarray:
        return np.asarray(-120 * np.exp(-depth / 0.6) - 60 * np.exp(-(thick - depth) / 0.9))

    n = 40_000
    depth = (np.arange(n) + 0.5) / n * thick
    s = skin(depth)
    level = np.polynomial.polynomial.polyval(depth, np.polynomial.polynomial.polyfit(depth, s, 1))
    balanced = s - level
    kept = depth > cut
    # Strain that sets force and moment of the rest to nought: the least-squares line of minus the stress.
    _, turn = np.polynomial.polynomial.polyfit(depth[kept], -balanced[kept], 1)
    theirs = turn / modulus * -1 * length**2 / 8
    ours = stress.bow_of_profile(modulus, length, thick, cut, skin)
    assert relative(ours, theirs, "fibre model, bow of any stress") < 1e-4
