"""The grip: laws, limits and refusals."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from askew.engine.physics import workholding as hold
from askew.engine.physics.limits import PhysicsError

SCREW = hold.Screw(20, 5, 0.12, 30, 0.1)
JAW = hold.Jaw(height=40, thickness=25, width=150)
GRIP = hold.Grip(force=20_000, depth=75, low=0, high=40, push=20, push_width=40)


@given(st.floats(1, 1e6))
def test_force_and_torque_are_inverse(force: float) -> None:
    assert hold.force_from(SCREW, hold.torque_for(SCREW, force)) == pytest.approx(force)


def test_friction_eats_the_torque() -> None:
    free = replace(SCREW, friction=0.0, collar_friction=0.0)
    assert hold.efficiency(free) == pytest.approx(1.0)
    assert hold.efficiency(SCREW) < 0.3
    assert hold.torque_to_loosen(free, 1000) < 0 < hold.torque_to_loosen(SCREW, 1000)
    acme = replace(SCREW, half_angle=0.253)
    assert hold.torque_for(acme, 1000) > hold.torque_for(SCREW, 1000)


@given(st.floats(1, 40), st.floats(1, 40))
def test_the_jaw_obeys_the_law_of_reciprocity(a: float, b: float) -> None:
    jaw = replace(JAW, root=1e-10)
    assert hold.jaw_deflection(jaw, 1000, a, b) == pytest.approx(hold.jaw_deflection(jaw, 1000, b, a))


def test_a_tall_thin_jaw_is_a_plain_cantilever() -> None:
    thin = hold.Jaw(height=400, thickness=10, width=50, modulus=206_000)
    inertia = 50 * 10**3 / 12
    assert hold.jaw_deflection(thin, 100, 400) == pytest.approx(
        100 * 400**3 / 3 / 206_000 / inertia, rel=1e-3
    )


def test_the_usual_jaw_leans_a_few_hundredths_under_a_hard_clamp() -> None:
    lean = hold.jaw_lean(replace(JAW, root=3e-11), 30_000, 20, 40) * 100
    assert 0.002 < lean < 0.08
    assert hold.jaw_lean(JAW, 10_000, 20, 40) == pytest.approx(hold.jaw_lean(JAW, 30_000, 20, 40) / 3)


def test_the_moving_jaw_lifts_unless_it_is_pulled_down() -> None:
    plain = hold.Slide(length=80, clearance=0.05, screw_height=-20)
    assert hold.moving_jaw_lift(plain, 30) == 0.05
    assert hold.moving_jaw_lift(replace(plain, pull_down=1.5), 30) == 0.0
    assert hold.moving_jaw_lift(replace(plain, clearance=0.0), 30) == 0.0


def test_a_bar_above_the_reaction_rolls_the_part_and_a_plain_jaw_does_not() -> None:
    bar = replace(GRIP, contact="bar", push=60, push_width=0.0)
    assert hold.mismatch(bar) == 20
    assert hold.rolls(bar)
    assert not hold.rolls(replace(bar, push=45))  # friction at the front still holds
    assert not hold.rolls(replace(GRIP, push=60))  # a plain jaw shifts its pressure down
    assert hold.mismatch(replace(bar, push=5, low=10)) == -5
    assert not hold.rolls(replace(bar, push=5, low=10))  # the bed is in the way


def test_lift_has_the_sign_of_the_push_over_the_middle() -> None:
    assert (
        hold.front_lift(replace(GRIP, push=30), 20_000) > 0 > hold.front_lift(replace(GRIP, push=10), 20_000)
    )
    assert hold.front_lift(GRIP, 20_000) == 0.0
    soft = hold.front_lift(replace(GRIP, push=30), 2_000)
    assert soft == pytest.approx(10 * hold.front_lift(replace(GRIP, push=30), 20_000))


def test_slip_margin() -> None:
    assert hold.slip_margin(GRIP, 2000) == pytest.approx(2 * 0.15 * 20_000 / 2000)
    assert hold.slip_margin(GRIP, 0, 0) == float("inf")
    assert hold.slip_margin(GRIP, 2000, 1500) < hold.slip_margin(GRIP, 2000)
    assert hold.slip_margin(replace(GRIP, weight=1500), 2000, 1500) == hold.slip_margin(GRIP, 2000)
    assert hold.slip_margin(replace(GRIP, friction=0.3), 2000) == pytest.approx(
        2 * hold.slip_margin(GRIP, 2000)
    )


def test_seat() -> None:
    assert hold.seat_is_jaw(40, 75) == 1.0
    assert hold.seat_is_jaw(10, 75) == 0.0
    assert 0 < hold.seat_is_jaw(25, 75) < 1


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: hold.Screw(0, 5), "mean diameter of the screw must be more than 0"),
        (lambda: hold.Screw(20, 90), "lead of the screw must be more than 0 and at most"),
        (lambda: hold.torque_for(replace(SCREW, lead=60, friction=1.0, half_angle=0.75), 1), "or it jams"),
        (lambda: hold.force_from(SCREW, -1), "torque must be more than 0"),
        (lambda: replace(JAW, width=0), "width of the jaw must be more than 0"),
        (lambda: hold.jaw_deflection(JAW, 100, 50), "height of the push must be from 0 to 40"),
        (lambda: replace(GRIP, high=-1), "height inside the jaws must be more than 0"),
        (lambda: hold.slip_margin(GRIP, -5), "cutting force must be from 0"),
        (lambda: hold.front_lift(GRIP, 0), "stiffness of the contact"),
        (lambda: hold.moving_jaw_lift(hold.Slide(0, 0.1, 0), 10), "length of the moving jaw"),
    ],
)
def test_impossible_grips_are_refused(call, words: str) -> None:
    with pytest.raises(PhysicsError, match=words):
        call()
