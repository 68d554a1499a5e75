from __future__ import annotations

import pytest

from askew.engine.physics.frame import Frame
from askew.engine.physics.workholding import Grip, Screw
from askew.engine.remedies.hollow_work import hollow_work, section
from askew.engine.remedies.result import RemedyError
from askew.engine.remedies.slip import cutting_force, force_needed, grip_margin, margin
from askew.engine.remedies.ways import Hold, Tool
from askew.engine.remedies.workholding import clamp_force, jaw_lift
from askew.engine.setup import Setup

SCREW = Screw(mean_diameter=22.0, lead=5.0, collar_diameter=32.0)
TUBE = Frame.from_outside(50.0, 50.0, 4.0, 80.0, 69_000.0)


def test_force_needed_by_hand():
    """300 N held twice over by two jaws of 0.15: 2 * 300 / (2 * 0.15) = 2,000 N."""
    assert force_needed(300.0, "plain", 2.0) == pytest.approx(2000.0)
    assert margin(2000.0, 300.0, "plain") == pytest.approx(2.0)


def test_paper_grips_better_than_metal():
    assert force_needed(300.0, "paper") < force_needed(300.0, "plain")


def test_the_torque_is_the_power_screws():
    """T = F*dm/2 * (l + pi*f*dm)/(pi*dm - f*l) + F*fc*dc/2; F 2,000 N, f 0.12: 7.3 + 3.84 by hand."""
    fix = clamp_force(300.0, SCREW)
    thread = 2000 * 11 * (5 + 3.14159265 * 0.12 * 22) / (3.14159265 * 22 - 0.12 * 5) / 1000
    assert fix.numbers["torque"] == pytest.approx(thread + 2000 * 0.12 * 16 / 1000, rel=1e-6)


def test_a_vise_is_never_told_to_merely_touch():
    assert clamp_force(10.0, SCREW, now=20_000.0).numbers["use"] == pytest.approx(5000.0)


def test_work_that_bears_less_than_the_cut_asks_is_said():
    fix = clamp_force(600.0, SCREW, allowed=2000.0)
    assert fix.numbers["use"] == 2000.0
    assert "50% of the depth" in fix.steps[0]
    assert fix.warnings


@pytest.mark.parametrize(
    "bad", [{"cutting": 0.0}, {"cutting": 300.0, "allowed": -1.0}, {"cutting": 300.0, "now": 0.0}]
)
def test_impossible_forces_are_refused(bad):
    with pytest.raises(RemedyError):
        clamp_force(screw=SCREW, **bad)


def test_more_depth_pushes_harder_and_grips_worse():
    setup = Setup(part_across=60.0, passes=1, material="mild_steel", machine="knee_mill")
    light, heavy = Tool(80.0, "face_mill", depth=0.25), Tool(80.0, "face_mill", depth=2.0)
    assert cutting_force(heavy, setup) == pytest.approx(8 * cutting_force(light, setup))
    assert grip_margin(heavy, Hold(), setup) < grip_margin(light, Hold(), setup)


def test_lift_is_as_far_out_of_square_as_the_part_is_as_deep_as_tall():
    fix = jaw_lift("jaw_lift", 0.2, 60.0, 60.0)
    assert fix.numbers["tipped"] == pytest.approx(0.2)
    assert "hold" not in " ".join(fix.warnings)
    assert any("hold" in text for text in jaw_lift("jaw_lift", 0.2, 60, 60, margin_now=2.5).warnings)


@pytest.mark.parametrize("cause", ["jaw_lift", "off_centre_push", "blank_taper", "fixed_jaw_flex"])
def test_each_cause_has_its_own_countermeasures(cause):
    others = {"jaw_lift", "off_centre_push", "blank_taper", "fixed_jaw_flex"} - {cause}
    mine = jaw_lift(cause, 0.1, 50.0, 50.0).steps[1]
    assert all(mine not in jaw_lift(other, 0.1, 50.0, 50.0).steps for other in others)


def test_the_bar_is_sent_to_where_the_jaw_can_answer():
    grip = Grip(force=10_000.0, depth=40.0, low=10.0, high=30.0, push=60.0, contact="bar")
    text = " ".join(jaw_lift("off_centre_push", 0.1, 40.0, 50.0, grip=grip).steps)
    assert "move it down to 20 mm" in text


@pytest.mark.parametrize("bad", [{"depth": 0.0}, {"height": -1.0}, {"rise": float("nan")}])
def test_impossible_lifts_are_refused(bad):
    with pytest.raises(RemedyError):
        jaw_lift("jaw_lift", **({"rise": 0.1, "depth": 50.0, "height": 50.0} | bad))


# --- hollow work --------------------------------------------------------------------------------------


def test_the_allowed_force_bulges_the_face_by_half_the_tolerance():
    fix = hollow_work(TUBE, 0.05, 100.0, SCREW)
    assert abs(fix.numbers["hollow"]) == pytest.approx(0.025)


def test_twice_the_tolerance_bears_twice_the_force_and_twice_the_wall_far_more():
    one, two = hollow_work(TUBE, 0.05, 100.0, SCREW), hollow_work(TUBE, 0.10, 100.0, SCREW)
    assert two.numbers["bears"] == pytest.approx(2 * one.numbers["bears"])
    thick = hollow_work(section(50.0, 50.0, 8.0, 80.0, 69_000.0), 0.05, 100.0, SCREW)
    assert thick.numbers["bears"] > 6 * one.numbers["bears"]


def test_what_is_not_enough_gets_a_plug_or_another_place():
    enough = hollow_work(TUBE, 0.05, 50.0, SCREW)
    assert "no plug is needed" in " ".join(enough.steps)
    assert not enough.warnings
    short = hollow_work(TUBE, 0.05, 1500.0, SCREW)
    assert "plug" in " ".join(short.steps) or "lowest quarter" in " ".join(short.steps)
    assert short.warnings
    hopeless = hollow_work(TUBE, 0.0005, 5000.0, SCREW)
    assert "Neither place nor plug" in " ".join(hopeless.steps)


def test_what_it_was_is_set_beside_what_it_will_be():
    fix = hollow_work(TUBE, 0.05, 100.0, SCREW, now=10_000.0)
    assert abs(fix.numbers["was"]) == pytest.approx(0.025 * 10_000 / fix.numbers["bears"])
