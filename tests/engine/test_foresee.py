"""Looking ahead: the surface and the readings of a setup, and how far out each source would have to be."""

from __future__ import annotations

import json
import xml.etree.ElementTree as ET

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from askew.engine.face_svg import face_svg
from askew.engine.foresee import ForeseeError, Foresight, Request, foresee, needed
from askew.engine.physics import face
from askew.engine.physics.readings import predict
from askew.engine.setup import Setup
from askew.knowledge.load import load

BLOCK = {
    "machine": "knee_mill", "cutter_diameter": 80.0, "passes": 1, "feed_axis": "x", "part_across": 60.0,
    "part_along": 90.0, "part_height": 50.0, "part_depth": 60.0, "grip_height": 40.0, "seat": "jaw",
    "sweep_diameter": 300.0, "vertical_travel": "knee", "moving_jaw_contact": "bar",
}  # fmt: skip
ROW = {**BLOCK, "cutter_diameter": 25.0, "passes": 4, "pass_spacing": 17.0, "overrun": False}


def ahead(setup: dict[str, object], **sources: float) -> Foresight:
    return foresee(Request(setup=setup, sources=sources))


def value(setup: dict[str, object], reading: str, **sources: float) -> float:
    return ahead(setup, **sources).readings[reading].value


def test_nothing_out_of_true_reads_nothing() -> None:
    seen = ahead(BLOCK)
    assert all(one.value == 0.0 for one in seen.readings.values())
    assert set(seen.readings) == set(load().readings)
    assert np.ptp(seen.surface.z) == 0.0


def test_a_tilted_head_hollows_and_sweeps_and_does_not_lean() -> None:
    seen = ahead(BLOCK, tram=1 / 3000)
    assert seen.readings["hollow_across"].value == pytest.approx(0.0045, abs=5e-5)
    assert seen.readings["sweep_x"].value == pytest.approx(0.1)
    assert seen.readings["sweep_x"].over == 300
    assert seen.readings["face_out_of_square"].value == pytest.approx(0, abs=1e-9)
    assert seen.face.heel == "right"
    middle = seen.surface.x.size // 2
    line = seen.surface.z[:, middle]
    assert (line[0] + line[-1]) / 2 - line[middle] == pytest.approx(0.0045, abs=5e-5)


def test_a_front_edge_that_rises_puts_the_face_out_by_as_much_on_a_part_as_deep_as_tall() -> None:
    """Common practice, no source: 13 thou at the front edge of a part 3 in deep and 3 in tall."""
    three = {**BLOCK, "part_across": 76.2, "part_depth": 76.2, "part_height": 76.2, "cutter_diameter": 101.6}
    seen = ahead(three, off_centre_push=13 * 0.0254)
    assert abs(seen.readings["face_out_of_square"].value) == pytest.approx(13 * 0.0254)
    assert seen.readings["face_out_of_square_clamped"].value == pytest.approx(13 * 0.0254)
    assert seen.readings["clamp_rise"].value == pytest.approx(13 * 0.0254)
    assert seen.readings["clamp_rise_plain"].value == 0.0
    assert seen.readings["turned_error"].value == 0.0


@settings(max_examples=25)
@given(st.floats(-1e-3, 1e-3), st.floats(-5e-4, 5e-4))
def test_the_slope_back_is_of_the_cutter_in_one_pass_and_of_the_slide_in_many(
    nod: float, slide: float
) -> None:
    one = value(BLOCK, "face_out_of_square", nod=nod, saddle_slope=slide)
    assert one == pytest.approx(-50 * nod, abs=1e-9)
    many = value(ROW, "face_out_of_square", nod=nod, saddle_slope=slide)
    share = face.envelope_slope_share(25.0, 60.0, 4, 17.0, False)
    assert many == pytest.approx(-50 * (slide + share * (nod - slide)), abs=1e-9)
    assert value(ROW, "step", nod=nod, saddle_slope=slide) == pytest.approx(-(nod - slide) * 17, abs=1e-8)
    corner = value(BLOCK, "other_corner", nod=nod, saddle_slope=slide)
    assert corner == pytest.approx(-one, abs=1e-12)


def test_feed_along_y_trades_the_axes() -> None:
    along_y = {**BLOCK, "feed_axis": "y"}
    assert value(along_y, "hollow_across", nod=1 / 3000) == pytest.approx(0.0045, abs=5e-5)
    assert value(along_y, "hollow_across", tram=1 / 3000) == pytest.approx(0, abs=1e-12)
    assert value(along_y, "face_out_of_square", saddle_slope=1e-3) == pytest.approx(-0.05)
    assert value(along_y, "face_out_of_parallel_across", tram=1e-3) == pytest.approx(0.06)
    assert ahead(along_y, nod=1e-3).face.heel == "back"


def test_growth_lowers_later_passes_and_leans_with_their_order() -> None:
    back = value(ROW, "face_out_of_square", spindle_growth=0.03)
    front = value({**ROW, "pass_order": "back_to_front"}, "face_out_of_square", spindle_growth=0.03)
    assert back == pytest.approx(-front)
    assert back > 0  # the back is cut deeper, so the corner at the back face opens
    assert value(ROW, "step", spindle_growth=0.03) == pytest.approx(-0.01)
    assert value(BLOCK, "step", spindle_growth=0.03) == 0.0


def test_the_surface_shows_what_springs_back_on_release() -> None:
    seen = ahead(BLOCK, stress_bow=0.02, wall_squeeze=0.01)
    line = seen.surface.z[:, seen.surface.x.size // 2]
    sag = (line[0] + line[-1]) / 2 - line[line.size // 2]
    assert sag == pytest.approx(seen.readings["hollow_across"].value)
    assert sag == pytest.approx(0.6 * 0.01 - 0.02)


NEARLY = st.floats(-2, 2)


@settings(max_examples=25)
@given(st.dictionaries(st.sampled_from(sorted(set(load().sources) - {"unlisted"})), NEARLY, max_size=8))
def test_in_one_pass_the_surface_and_the_forward_model_say_the_same(scales: dict[str, float]) -> None:
    """Two ways to the same readings: the simulated rim, and the closed forms that belief weighs with."""
    sources = {id_: k * load().sources[id_].size["any"].trouble for id_, k in scales.items()}
    seen = ahead({**BLOCK, "cutter_offset": 4.0}, **sources)
    setup = Setup(**BLOCK).having(cutter_offset=4.0)
    for id_, kind in load().readings.items():
        # One pass has no joint; the forward model answers for one where somebody speaks of a joint.
        if kind.implies or id_ in ("hollow_across", "hollow_along", "step", "ridge"):
            continue
        assert seen.readings[id_].value == pytest.approx(float(predict(id_, setup, sources)), abs=1e-9), id_
    # Off the middle the ends are not alike, and the closed form of the hollow is for a centred cutter.
    seen = ahead(BLOCK, **sources)
    for id_ in ("hollow_across", "hollow_along"):
        expected = float(predict(id_, Setup(**BLOCK), sources))
        assert seen.readings[id_].value == pytest.approx(expected, abs=1e-9), id_


def test_droop_is_over_the_machines_travel() -> None:
    travel = load().machines["knee_mill"].travel_x
    expected = 0.1 * (90 / travel) ** 2
    assert value(BLOCK, "hollow_along", table_droop=0.1) == pytest.approx(expected)


def test_readings_that_suppose_another_cut() -> None:
    narrow = {**BLOCK, "part_along": 70.0}  # one pass of the cutter covers it
    assert value(narrow, "cross_feed_hollow", nod=1e-3) == pytest.approx(face.hollow(1e-3, 80.0, 70.0))
    assert value(narrow, "cross_feed_hollow", tram=1e-3) == pytest.approx(0, abs=1e-12)
    small = value(BLOCK, "fine_cutter_error", nod=1e-3)
    assert abs(small) < 0.1 * abs(value(BLOCK, "face_out_of_square", nod=1e-3))
    # The depth between the jaws is the other side once the part is turned.
    assert value(BLOCK, "turned_error", jaw_lift=0.1) == pytest.approx(-0.1 / 90 * 50)


def test_what_is_not_told_is_taken_so_that_the_cut_is_possible() -> None:
    seen = ahead({"cutter_diameter": 20.0, "part_across": 60.0})
    assert seen.assumed["passes"] == 4
    assert seen.assumed["pass_spacing"] == 15.0
    assert ahead({"cutter_diameter": 20.0}).assumed["part_across"] == 15.0
    assert ahead({}).assumed["cutter_diameter"] > ahead({}).assumed["part_across"]


def test_json_is_plain_and_finite() -> None:
    data = ahead(ROW, tram=3e-4, nod=2e-4, jaw_lift=0.1).as_json()
    again = json.loads(json.dumps(data, allow_nan=False))
    assert again == data
    assert set(data["readings"]["sweep_x"]) == {"value", "over", "unit"}
    assert np.shape(data["surface"]["z"]) == (len(data["surface"]["y"]), len(data["surface"]["x"]))


@given(st.sampled_from(sorted(load().sources)), st.floats(0.3, 3))
def test_needed_gives_back_the_size_that_made_the_reading(source: str, scale: float) -> None:
    kind = load().sources[source]
    size = scale * kind.size["any"].trouble
    made = float(predict("face_out_of_square", Setup(**BLOCK), {source: size}))
    rows = needed(Request(setup=BLOCK, reading="face_out_of_square", value=made))
    row = {r.source: r for r in rows}.get(source)
    if (
        row is None
        or abs(made) < 1e-9
        or not all(BLOCK.get(k) is None or BLOCK[k] in v for k, v in kind.needs.items())
    ):
        return
    assert row.size == pytest.approx(size, rel=1e-6)


def test_a_head_cannot_make_fifteen_thou_and_a_lift_can() -> None:
    """Common practice, no source: 15 thou out of square over 3 in is not the head."""
    three = {**BLOCK, "part_across": 76.2, "part_depth": 76.2, "part_height": 76.2, "cutter_diameter": 101.6}
    rows = {r.source: r for r in needed(Request(setup=three, reading="face_out_of_square", value=-0.381))}
    assert rows["tram"].size is None
    assert not rows["nod"].believable
    assert rows["jaw_lift"].believable
    assert rows["jaw_lift"].size == pytest.approx(0.381)
    # A jaw lifts, it does not sink: the other way no size of it would do.
    other = {r.source: r for r in needed(Request(setup=three, reading="face_out_of_square", value=0.381))}
    assert other["jaw_lift"].size is None


def test_a_source_that_the_setup_rules_out_is_never_needed() -> None:
    plain = {**BLOCK, "moving_jaw_contact": "plain"}
    rows = {r.source: r for r in needed(Request(setup=plain, reading="face_out_of_square", value=-0.1))}
    assert rows["off_centre_push"].size is None


@pytest.mark.parametrize(
    ("setup", "sources", "words"),
    [
        ({"cutter_diameter": 50.0, "part_across": 60.0, "passes": 1}, {}, "cutter diameter must be at least"),
        ({"cutter_diameter": -5.0}, {}, "not a sensible cutter diameter"),
        ({"cutter": 5.0}, {}, "no setup fact called 'cutter'"),
        ({"passes": 3, "pass_spacing": 90.0, "cutter_diameter": 80.0}, {}, "distance between passes must be"),
        ({}, {"gremlins": 1.0}, "no source of error called 'gremlins'"),
        ({}, {"tram": 0.5}, "cannot be 0.5 as a slope"),
        ({}, {"jaw_lift": 500.0}, "cannot be 500 mm"),
    ],
)
def test_impossible_requests_say_what_would_be_right(
    setup: dict[str, object], sources: dict[str, float], words: str
) -> None:
    with pytest.raises(ForeseeError, match=words) as caught:
        foresee(Request(setup=setup, sources=sources))
    assert caught.value.hint


def test_the_border_is_strict() -> None:
    for bad in (
        {"setup": [], "sources": {}},
        {"sources": {"tram": "0.1"}},
        {"sources": {"tram": float("nan")}},
        {"x": 1},
    ):
        with pytest.raises(ValidationError):
            Request.model_validate(bad)
    with pytest.raises(ForeseeError, match="Which reading"):
        needed(Request())
    with pytest.raises(ForeseeError, match="no reading called"):
        needed(Request(reading="vibes", value=1.0))


def test_the_drawing_is_an_svg_that_needs_nothing_from_elsewhere() -> None:
    drawing = face_svg(ahead(ROW, tram=3e-4, nod=2e-4))
    root = ET.fromstring(drawing)
    assert root.tag.endswith("svg")
    assert "href" not in drawing
    assert "url(" not in drawing
    assert drawing.count("<rect") > 200
    assert "nan" not in drawing
    flat = face_svg(ahead(BLOCK))
    assert "nan" not in flat
    ET.fromstring(flat)
