"""Cutting force and bent cutters."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from askew.engine.physics import cutter
from askew.engine.physics.limits import PhysicsError
from askew.engine.physics.materials import material, materials

STEEL = material("mild_steel")
CUT = cutter.Cut(diameter=12, teeth=4, feed=0.05, axial=20, radial=0.5)


def test_the_specific_force_is_the_tables_at_one_millimetre_and_rises_for_thin_chips() -> None:
    assert cutter.specific_force(STEEL, 1.0) == STEEL.kc
    assert cutter.specific_force(STEEL, 0.1) == pytest.approx(1350 * 10**0.21)
    assert cutter.specific_force(STEEL, 1e-4) == cutter.specific_force(STEEL, 0.005)


def test_mean_chip_of_a_full_slot() -> None:
    slot = cutter.Cut(10, 2, 0.1, 5, 10)
    assert slot.arc == pytest.approx(math.pi)
    assert slot.chip == pytest.approx(0.1 * 2 / math.pi)


@given(st.floats(0.5, 50))
def test_force_goes_with_the_axial_depth(axial: float) -> None:
    deep = cutter.Cut(12, 4, 0.05, axial, 0.5)
    assert cutter.tangential_force(STEEL, deep) == pytest.approx(
        axial / 20 * cutter.tangential_force(STEEL, CUT)
    )


def test_every_material_cuts_with_a_force_of_sensible_size() -> None:
    for id_ in materials():
        assert 1 < cutter.side_force(material(id_), CUT) < 300


def test_a_plain_bar_is_a_cantilever() -> None:
    bar = cutter.Tool((cutter.Step(60, 10),))
    inertia = math.pi * 10**4 / 64
    assert cutter.deflection(bar, 100, 60, 60) == pytest.approx(100 * 60**3 / 3 / cutter.STEEL / inertia)


@given(st.floats(1, 60), st.floats(1, 60))
def test_reciprocity(a: float, b: float) -> None:
    tool = cutter.end_mill(10, 25, 60)
    assert cutter.deflection(tool, 50, a, b) == pytest.approx(cutter.deflection(tool, 50, b, a), rel=1e-9)


@given(st.floats(20, 100), st.floats(1.05, 2))
def test_a_longer_cutter_bends_with_the_cube(length: float, k: float) -> None:
    short, long = (cutter.Tool((cutter.Step(s, 10),)) for s in (length, k * length))
    ratio = cutter.deflection(long, 10, k * length, k * length) / cutter.deflection(short, 10, length, length)
    assert ratio == pytest.approx(k**3, rel=1e-9)


def test_splitting_a_step_changes_nothing() -> None:
    one = cutter.Tool((cutter.Step(60, 10),))
    three = cutter.Tool((cutter.Step(10, 10), cutter.Step(20, 10), cutter.Step(30, 10)))
    assert cutter.deflection(three, 50, 55, 60) == pytest.approx(cutter.deflection(one, 50, 55, 60))


def test_climb_leaves_the_foot_proud_and_conventional_pulls_in() -> None:
    tool = cutter.end_mill(12, 30, 50)
    climb = cutter.wall_left(tool, 80, 20, 12)
    other = cutter.wall_left(tool, 80, 20, 12, "conventional")
    assert climb.foot > climb.top > 0
    assert climb.taper == pytest.approx(-other.taper)
    assert climb.floor > 0
    loose = cutter.wall_left(cutter.end_mill(12, 30, 50, play=0.01), 80, 20, 12)
    assert loose.foot == pytest.approx(climb.foot + 0.01)
    assert loose.taper == pytest.approx(climb.taper)
    tipping = cutter.Tool(tool.steps, play=0.01, play_length=25)
    assert cutter.wall_left(tipping, 80, 20, 12).taper > climb.taper
    assert cutter.wall_left(tool, 0, 20, 12).foot == 0.0


def test_carbide_and_a_stiffer_shank_bend_less() -> None:
    steel = cutter.wall_left(cutter.end_mill(6, 20, 40), 30, 12, 6).taper
    carbide = cutter.wall_left(cutter.end_mill(6, 20, 40, modulus=cutter.CARBIDE), 30, 12, 6).taper
    thick = cutter.wall_left(cutter.end_mill(6, 20, 40, shank=12), 30, 12, 6).taper
    assert carbide == pytest.approx(steel * cutter.STEEL / cutter.CARBIDE)
    assert thick < steel


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: cutter.Cut(12, 0, 0.05, 20, 1), "number of teeth must be from 1"),
        (lambda: cutter.Cut(12, 4, 0.05, 20, 13), "radial depth of cut must be more than 0 and at most 12"),
        (lambda: cutter.Tool(()), "at least one length"),
        (lambda: cutter.end_mill(10, 50, 40), "fluted length must be more than 0 and at most 40"),
        (lambda: cutter.wall_left(cutter.end_mill(10, 20, 40), 10, 50, 10), "wall height must be more"),
        (lambda: cutter.deflection(cutter.end_mill(10, 20, 40), 10, 41, 40), "place of the force"),
        (lambda: material("unobtainium"), "material must be one of aluminium"),
    ],
)
def test_impossible_tools_are_refused(call, words: str) -> None:
    with pytest.raises(PhysicsError, match=words):
        call()
