"""Expansion, cooling, and the bow of a stripped bar."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from askew.engine.physics import heat, stress
from askew.engine.physics.limits import PhysicsError
from askew.engine.physics.materials import material

ALU, STEEL = material("aluminium"), material("mild_steel")


def test_a_steel_gauge_on_a_steel_part_of_the_same_warmth_reads_true() -> None:
    assert heat.measured_growth(STEEL, STEEL, 100, 35, 35) == 0.0
    assert heat.measured_growth(ALU, STEEL, 100, 35, 35) == pytest.approx(100 * (23.6e-6 - 11.7e-6) * 15)


def test_minutes_of_cooling_are_those_of_the_shop() -> None:
    """A 60 mm cube from 40 to within 2 degrees: over an hour in air, a few minutes in coolant."""
    block = (60.0, 60.0, 60.0)
    minutes = {
        name: heat.time_to_cool(heat.cooling_of_block(ALU, block, film), 40, 20, 2) / 60
        for name, film in heat.FILM.items()
    }
    assert minutes["coolant"] < 3 < minutes["iron_plate"] < 30 < minutes["still_air"] < 120
    assert heat.cooling_of_block(ALU, block, 10).lumped
    assert not heat.cooling_of_block(material("plastic"), block, 500).lumped


@given(st.floats(21, 200), st.floats(0.01, 5))
def test_cooling_twice_as_far_takes_the_sum(start: float, left: float) -> None:
    cool = heat.Cooling(1000, 0.01, True)
    between = math.sqrt((start - 20) * left)
    if start - 20 > left:
        first = heat.time_to_cool(cool, start, 20, between)
        second = heat.time_to_cool(cool, 20 + between, 20, left)
        assert heat.time_to_cool(cool, start, 20, left) == pytest.approx(first + second, rel=1e-9, abs=1e-6)
    else:
        assert heat.time_to_cool(cool, start, 20, left) == 0.0


def test_a_gradient_bows_and_vanishes_with_it() -> None:
    assert heat.gradient_bow(STEEL, 200, 20, 5) == pytest.approx(11.7e-6 * 5 * 200**2 / 160)
    assert heat.gradient_bow(STEEL, 200, 20, 0) == 0.0


def test_a_spindle_grows_towards_its_steady_length() -> None:
    full = heat.expansion(STEEL, 250, 12)
    assert heat.growth_after(250, STEEL, 12, 2400, 0) == 0.0
    assert heat.growth_after(250, STEEL, 12, 2400, 2400) == pytest.approx(full * (1 - math.exp(-1)))
    assert heat.growth_after(250, STEEL, 12, 2400, 1e6) == pytest.approx(full)


def test_tension_taken_off_the_top_lets_the_middle_rise() -> None:
    assert stress.bow_after_cut(70_000, 300, 20, 1, 50) > 0 > stress.bow_after_cut(70_000, 300, 20, 1, -50)
    assert stress.bow_after_cut(70_000, 600, 20, 1, 50) == pytest.approx(
        4 * stress.bow_after_cut(70_000, 300, 20, 1, 50)
    )


@given(st.floats(0.01, 0.45))
def test_the_profile_agrees_with_the_skin_and_both_sides_cancel(part: float) -> None:
    thick, cut = 20.0, 20.0 * part

    def even_skins(depth: np.ndarray) -> np.ndarray:
        return np.cos(2 * np.pi * depth / thick)

    assert stress.bow_of_profile(70_000, 300, thick, cut, even_skins, True) == pytest.approx(0, abs=1e-12)
    one = stress.bow_of_profile(70_000, 300, thick, cut, even_skins)
    # The moment left about the middle of the rest, summed over thin fibres.
    depth = cut + (np.arange(200_000) + 0.5) / 200_000 * (thick - cut)
    left = float(np.mean(even_skins(depth) * ((thick + cut) / 2 - depth)) * (thick - cut))
    assert one == pytest.approx(-12 * left / (70_000 * (thick - cut) ** 3) * 300**2 / 8, rel=1e-6, abs=1e-9)


def test_an_even_stress_or_gradient_alone_cannot_stand_in_a_free_part() -> None:
    for run in (lambda d: 0 * d + 30.0, lambda d: 5.0 * d - 20):
        assert stress.bow_of_profile(70_000, 300, 20, 2, run) == pytest.approx(0, abs=1e-12)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: heat.expansion(STEEL, -1, 5), "length must be more than 0"),
        (lambda: heat.expansion(STEEL, 1, 5000), "temperature difference must be from"),
        (lambda: heat.cooling(STEEL, 0, 1, 10), "volume must be more than 0"),
        (lambda: heat.time_to_cool(heat.Cooling(1, 1, True), 40, 20, 0), "difference that is left"),
        (lambda: heat.growth_after(250, STEEL, 12, 2400, -1), "running time must be zero or more"),
        (
            lambda: stress.bow_after_cut(70_000, 300, 20, 20, 50),
            "depth of cut must be more than 0 and at most 19",
        ),
        (lambda: stress.bow_after_cut(0, 300, 20, 1, 50), "modulus must be more than 0"),
    ],
)
def test_impossible_sizes_are_refused(call, words: str) -> None:
    with pytest.raises(PhysicsError, match=words):
        call()
