"""The faces of a plan against the surface simulator, one draw at a time."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import minimize_scalar

from askew.engine.physics.readings import predict
from askew.engine.physics.surface import FaceCut, simulate_face
from askew.engine.remedies.cutface import part_face
from askew.engine.remedies.draws import shares
from askew.engine.remedies.zones import minimum_zone
from askew.engine.setup import Setup
from askew.knowledge.load import load

BASE = Setup(
    machine="knee_mill",
    part_across=60.0,
    part_along=90.0,
    part_height=60.0,
    part_depth=60.0,
    grip_height=40.0,
    cutter_offset=0.0,
    pass_order="front_to_back",
    seat="jaw",
    moving_jaw_contact="plain",
)
CUTS = {
    "one pass": BASE.having(cutter_diameter=80.0, passes=1),
    "one pass off the middle": BASE.having(cutter_diameter=80.0, passes=1, cutter_offset=6.0),
    "three passes": BASE.having(cutter_diameter=40.0, passes=3, pass_spacing=20.0, overrun=True),
    "three that just cover": BASE.having(cutter_diameter=40.0, passes=3, pass_spacing=20.0, overrun=False),
    "many, feed along Y": BASE.having(
        cutter_diameter=16.0,
        passes=8,
        pass_spacing=11.25,
        overrun=True,
        feed_axis="y",
        part_across=90.0,
        part_along=60.0,
        pass_order="left_to_right",
    ),
}
N = 12
MACHINE = ("tram", "nod", "lean_side", "lean_fore", "table_slope", "saddle_slope")


def drawn(setup: Setup, seed: int = 5) -> dict[str, np.ndarray]:
    rng = np.random.default_rng(seed)
    draws = {source: rng.normal(0, 4e-4, N) for source in MACHINE}
    draws["table_droop"] = rng.normal(0, 0.3, N)
    draws["fixed_jaw_lean"] = rng.normal(0, 3e-4, N)
    draws["bed_tilt_x"] = rng.normal(0, 2e-4, N)
    if setup.passes and setup.passes > 1:
        draws["spindle_growth"] = np.abs(rng.normal(0, 0.01, N))
    return draws


def simulated(setup: Setup, draws: dict[str, np.ndarray], i: int, both_ways: bool = False):
    one = {source: float(values[i]) for source, values in draws.items()}
    cut = FaceCut(
        diameter=setup.cutter_diameter,
        across=setup.part_across,
        along=setup.part_along,
        passes=setup.passes,
        spacing=setup.pass_spacing or 0.0,
        offset=setup.cutter_offset,
        overrun=bool(setup.overrun),
        feed_axis=setup.feed_axis or "x",
        feed_sense="both" if both_ways else ("back" if setup.feed_axis == "y" else "right"),
        order=setup.pass_order,
        tilt_x=one["tram"] - one["lean_side"],
        tilt_y=one["nod"] - one["lean_fore"],
        slide_x=one["table_slope"],
        slide_y=one["saddle_slope"],
        droop=one["table_droop"],
        travel=load().machines["knee_mill"].travel_x,
        rise=-one.get("spindle_growth", 0.0),
        lost_motion=one.get("gib_play_z", 0.0) if both_ways else 0.0,
    )
    face = simulate_face(cut, nx=49, ny=49)
    roll = one["fixed_jaw_lean"]
    x, y = np.meshgrid(face.x, face.y)
    return x, y, face.z + roll * y - one["bed_tilt_x"] * x, face.readings


@pytest.mark.parametrize("name", CUTS)
def test_the_whole_face_is_the_simulated_one(name):
    setup = CUTS[name]
    draws = drawn(setup)
    face = part_face(draws, setup)
    for i in range(N):
        x, y, z, _ = simulated(setup, draws, i)
        mine = np.array(
            [
                [np.interp(b, face.y, face.to_back[i]) + np.interp(a, face.x, face.to_right[i]) for a in x[0]]
                for b in y[:, 0]
            ]
        )
        difference = (mine - z) - (mine - z).mean()
        # Grids differ by where a step falls between two places; elsewhere it is rounding and chords.
        assert np.quantile(np.abs(difference), 0.9) < 2e-4


@pytest.mark.parametrize("name", CUTS)
def test_zones_are_those_of_the_simulated_surface(name):
    setup = CUTS[name]
    draws = drawn(setup)
    face = part_face(draws, setup)
    flat, square, parallel = (face.zone(zone) for zone in ("flatness", "squareness", "parallelism"))
    for i in range(N):
        x, y, z, _ = simulated(setup, draws, i)
        room = 0.03 * float(np.ptp(z)) + 3e-4
        assert flat[i] == pytest.approx(minimum_zone(x, y, z)[0], abs=room)
        # Square to a datum at the back: the planes may turn about its normal only.
        turned = minimize_scalar(
            lambda a, x=x, z=z: float(np.ptp(z - a * x)), bounds=(-0.01, 0.01), method="bounded"
        )
        assert square[i] == pytest.approx(turned.fun, abs=room)
        assert parallel[i] == pytest.approx(float(np.ptp(z)), abs=room)


@pytest.mark.parametrize("name", ["three passes", "three that just cover", "many, feed along Y"])
def test_the_largest_step_is_the_simulated_one(name):
    setup = CUTS[name]
    draws = drawn(setup) | {"table_droop": np.zeros(N)}
    steps = part_face(draws, setup).zone("step")
    assert (steps > 0).any()
    for i in range(N):
        readings = simulated(setup, draws, i)[3]
        largest = max((abs(joint.step) for joint in readings.joints), default=0.0)
        assert steps[i] == pytest.approx(largest, abs=1e-6)


def test_play_of_the_vertical_slide_steps_passes_fed_to_and_fro():
    setup = CUTS["three passes"]
    draws = drawn(setup) | {"gib_play_z": np.full(N, 0.02), "spindle_growth": np.zeros(N)}
    one_way = part_face(draws, setup, both_ways=False).zone("step")
    to_and_fro = part_face(draws, setup, both_ways=True).zone("step")
    assert (to_and_fro > one_way).all()
    for i in range(N):
        readings = simulated(setup, draws, i, both_ways=True)[3]
        assert to_and_fro[i] == pytest.approx(max(abs(j.step) for j in readings.joints), abs=1e-6)


@pytest.mark.parametrize("name", CUTS)
def test_the_lean_is_the_one_the_forward_model_reads(name):
    """Least-squares slope to the back, over the height: the reading `face_out_of_square`, turned over."""
    setup = CUTS[name]
    draws = drawn(setup)
    face = part_face(draws, setup)
    centred = face.y - face.y.mean()
    slopes = face.to_back @ centred / (centred @ centred)
    reads = predict("face_out_of_square", setup, draws, changes=shares(N, setup))  # type: ignore[arg-type]
    # One pass is read by a square on two sides, not by least squares; and places are finite.
    room = 0.06 * np.abs(reads).max() + 5e-4
    assert -60.0 * slopes == pytest.approx(np.asarray(reads), abs=room)


def test_a_squeezed_wall_leaves_a_hollow_and_a_bow_a_crown():
    setup = CUTS["one pass"]
    squeezed = part_face({"wall_squeeze": np.full(N, 0.1)}, setup)
    middle = squeezed.to_back[:, 24] - squeezed.to_back[:, [0, -1]].mean(axis=1)
    assert (middle < -0.019).all()
    assert (middle > -0.101).all()
    bowed = part_face({"stress_bow": np.full(N, 0.1)}, setup)
    assert bowed.to_back[:, 24] - bowed.to_back[:, [0, -1]].mean(axis=1) == pytest.approx(0.1)


def test_what_only_the_measuring_sees_is_not_on_the_part():
    setup = CUTS["one pass"]
    draws = {
        "square_error": np.full(N, 1e-3),
        "dirt_at_check": np.full(N, 0.1),
        "heat_growth": np.full(N, 0.1),
    }
    for zone in ("flatness", "squareness", "parallelism", "step"):
        assert part_face(draws, setup).zone(zone) == pytest.approx(0.0, abs=1e-12)


def test_there_are_four_tolerances():
    with pytest.raises(KeyError):
        part_face({"tram": np.zeros(N)}, CUTS["one pass"]).zone("roundness")
