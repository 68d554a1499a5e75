"""The vocabulary is whole: what can be wrong, measured and seen, how each is got, and how each is mended."""

import itertools
import math

import pytest

from askew.knowledge.cautions import always, cautions_for
from askew.knowledge.load import load

KNOWN = load()


def words(text: str) -> list[str]:
    """Return the words of a text."""
    return text.split()


SOURCES = words("""
    tram nod lean_side lean_fore table_slope saddle_slope table_droop backlash_x backlash_y backlash_z
    column_swing axis_skew gib_play_x gib_play_y gib_play_z adjustment_creep spindle_play spindle_growth
    fixed_jaw_lean jaw_plate_seat fixed_jaw_flex jaw_rack jaw_lift off_centre_push wall_squeeze
    blank_taper clamp_bend part_deflect chip_behind_jaw chip_under_part parallels_uneven bed_tilt_x
    bed_tilt_y vise_skew reference_rock part_slip cutter_bend drill_wander tool_pullout uneven_teeth
    dull_edge stress_bow heat_growth square_error dirt_at_check indicator_error unlisted
""")

READINGS = words("""
    face_out_of_square face_out_of_square_clamped face_out_of_parallel_across face_out_of_parallel_along
    hollow_across hollow_along ridge step depth_drift wall_taper hole_lean_x hole_lean_y
    end_out_of_square_plan sweep_x sweep_y other_corner spring_pass twist blank_thickness
    backlash_check_x backlash_check_y backlash_check_z sweep_shift_x sweep_shift_y lock_shift
    square_travel_x square_travel_y table_run_x table_run_y vise_bed_x vise_bed_y fixed_jaw_travel
    fixed_jaw_square jaw_run clamp_rise clamp_rise_plain clamp_wall clamp_jaw_flex release_change
    release_bow block_out_of_square turned_error fine_cutter_error cross_feed_hollow cross_feed_step
    reversed_step push_pull_x push_pull_y push_pull_z spindle_push_pull runout square_flip cooled_change
    holder_mark
""")

SIGNS = words("""
    light_in_middle light_at_ends light_in_middle_along light_at_ends_along step_felt heel_marks
    needle_moves_on_tightening ink_print parallel_loose paper_pulls_out follows_part stays_with_machine
    comes_and_goes grows_along_cut worse_when_cold worse_when_warm springs_on_release chip_found
    locks_were_loose one_tooth_cutting rubbing witness_mark_moved part_moved
""")

INSTRUMENTS = words("""
    dial_indicator tenths_indicator lever_indicator square cylinder_square straight_edge feelers block
    parallels paper caliper micrometer height_gauge surface_plate magnetic_base sweep_arm torque_handle
    thermometer
""")

ACTIONS = words("""
    regripped bar_removed cleaned turned_part locked trammed shimmed cutter_changed feed_reversed cooled
    vise_trued
""")

KINDS = (
    "sources",
    "readings",
    "signs",
    "actions",
    "commands",
    "setup",
    "checks",
    "remedies",
    "instruments",
    "machines",
    "glossary",
)
NAMED = [(kind, id_) for kind in KINDS for id_ in getattr(KNOWN, kind)]
"""Everything that has a name and an explanation."""


@pytest.mark.parametrize(
    ("kind", "ids"),
    [
        ("sources", SOURCES),
        ("readings", READINGS),
        ("signs", SIGNS),
        ("instruments", INSTRUMENTS),
        ("actions", ACTIONS),
    ],
)
def test_every_id_is_there(kind: str, ids: list[str]) -> None:
    missing = set(ids) - set(getattr(KNOWN, kind))
    assert not missing, f"{kind}.toml lacks {sorted(missing)}"


def test_every_source_is_served_by_a_fix_or_a_way_to_live_with_it() -> None:
    served = {source for remedy in KNOWN.remedies.values() for source in remedy.serves}
    assert served == set(KNOWN.sources)


def test_every_reading_and_sign_is_given_by_a_check() -> None:
    given = {id_ for check in KNOWN.checks.values() for id_ in check.gives}
    assert given == {*KNOWN.readings, *KNOWN.signs}


def test_every_complaint_has_a_check_that_gives_its_size_without_a_new_cut() -> None:
    quiet = [check for check in KNOWN.checks.values() if not check.first and "cutter_in" not in check.states]
    for id_, reading in KNOWN.readings.items():
        if reading.complaint:
            assert any(id_ in check.gives for check in quiet), id_


def test_what_a_reading_implies_is_done_first_by_every_check_that_gives_it() -> None:
    for id_, check in KNOWN.checks.items():
        for reading in check.gives:
            for action in KNOWN.readings[reading].implies if reading in KNOWN.readings else ():
                assert action in check.first, f"{id_} gives {reading} without {action}"


def test_a_new_cut_is_fenced_by_the_cautions_of_a_cut() -> None:
    cuts = {id_ for id_, action in KNOWN.actions.items() if action.recuts}
    for id_, check in KNOWN.checks.items():
        if cuts & set(check.first):
            assert {"clamp_for_cut", "eye_protection", "no_gloves"} <= set(cautions_for(KNOWN, id_)), id_


def test_hands_at_the_spindle_mean_power_off() -> None:
    for id_, check in KNOWN.checks.items():
        if {"cutter_out", "power_off"} & set(check.states):
            assert "isolate_power" in cautions_for(KNOWN, id_), id_


def test_a_check_with_the_vise_off_warns_of_its_weight() -> None:
    assert "heavy_lift" in cautions_for(KNOWN, "sweep_table")
    assert "heavy_lift" in cautions_for(KNOWN, "vise_off")
    assert "heavy_lift" not in cautions_for(KNOWN, "other_corner")


def test_cautions_of_nothing_are_refused() -> None:
    with pytest.raises(KeyError):
        cautions_for(KNOWN, "coffee")


def test_some_cautions_stand_beside_everything() -> None:
    assert set(always(KNOWN)) == {"local_rules", "estimates"}


def test_a_sweep_costs_eight_minutes_beside_the_vise_and_thirty_with_it_off() -> None:
    """Common practice, no source."""

    def whole(id_: str) -> float:
        check = KNOWN.checks[id_]
        return check.minutes + sum(
            KNOWN.states[name].enter + KNOWN.states[name].leave for name in check.states
        )

    def away(id_: str) -> float:
        return sum(
            KNOWN.states[name].enter + KNOWN.states[name].leave
            for name in KNOWN.checks[id_].states
            if name == "vise_on"
        )

    assert whole("sweep_beside_vise") - away("sweep_beside_vise") == 8
    assert whole("sweep_table") == 30


@pytest.mark.parametrize(
    ("check", "minutes"),
    [
        (check, minutes)
        for minutes, checks in {
            1: "look_at_cut caliper_blank other_corner",
            2: "ink spring_pass",
            3: "straight_edge tighten_on_part indicator_up_reference square_in_vise sweep_again push_pull",
            4: "regrip_without_bar trusted_block runout",
            5: "table_run",
            8: "square_flip_scribed",
            10: "vertical_travel test_cut cool_down",
            15: "cross_feed_cut",
            25: "small_cutter_cut",
            40: "cool_in_air",
        }.items()
        for check in checks.split()
    ],
)
def test_minutes_of_the_usual_checks(check: str, minutes: float) -> None:
    """Common practice, no source."""
    assert KNOWN.checks[check].minutes == minutes


def test_a_plate_saves_five_minutes_when_a_square_is_turned_round() -> None:
    """Common practice, no source."""
    assert KNOWN.checks["square_flip"].minutes == 3
    assert KNOWN.checks["square_flip"].instead == "square_flip_scribed"


def test_a_small_cutter_takes_longer_on_a_light_machine() -> None:
    """Common practice, no source."""
    assert KNOWN.checks["small_cutter_cut"].minutes_on == {"bench_mill": 40}


def test_each_indicator_can_stand_in_for_another() -> None:
    indicators = {"dial_indicator", "tenths_indicator", "lever_indicator"}
    for id_, check in KNOWN.checks.items():
        sets = [frozenset(choice) for choice in check.instruments]
        for choice in sets:
            for mine, other in itertools.product(choice & indicators, indicators):
                assert choice - {mine} | {other} in sets, f"{id_} takes {mine} and not {other}"


def test_there_is_something_to_do_with_no_instrument_at_all() -> None:
    bare = [check for check in KNOWN.checks.values() if not check.instruments]
    assert len(bare) >= 5


def test_the_trick_that_serves_instead_differs_in_what_it_takes() -> None:
    for id_, check in KNOWN.checks.items():
        if check.instead is not None:
            other = KNOWN.checks[check.instead]
            mine = (check.instruments, check.states, check.minutes)
            assert mine != (other.instruments, other.states, other.minutes), id_


def test_a_check_asks_for_a_setup_that_can_be() -> None:
    for id_, check in KNOWN.checks.items():
        for key in (*check.needs, *check.known, *check.more_than):
            assert key in KNOWN.setup, f"{id_} {key}"
        assert not set(check.states) & {KNOWN.states[name].opposite for name in check.states}, id_
        assert not set(check.gives) & set(check.also), id_
        assert 1 <= len(check.how) <= 6, id_


@pytest.mark.parametrize(("kind", "id_"), NAMED)
def test_explanations_explain(kind: str, id_: str) -> None:
    table = getattr(KNOWN, kind)[id_]
    name, explain = table.name.lower(), table.explain.lower()
    assert explain.endswith("."), "a sentence"
    assert len(explain) >= max(40, len(name) + 10), "more than the name"
    assert explain.strip(". ") != name.strip(". ")
    assert not {"todo", "tbd", "fixme", "lorem", "xxx"} & set(explain.replace(".", " ").split())
    assert table.explain.isascii(), "plain letters, so that every terminal shows them"


@pytest.mark.parametrize("kind", KINDS)
def test_no_two_explanations_of_a_kind_are_the_same_by_mistake(kind: str) -> None:
    twins = {"x", "y", "z"}
    tables = getattr(KNOWN, kind)
    for (first, a), (second, b) in itertools.combinations(tables.items(), 2):
        axis_twins = first[:-1] == second[:-1] and {first[-1], second[-1]} <= twins
        assert (
            a.explain != b.explain or axis_twins or (kind == "checks" and first.startswith("dial_reversal"))
        ), f"{first} {second}"


def test_choices_have_names_that_a_person_would_say() -> None:
    for id_, key in KNOWN.setup.items():
        assert set(key.labels) == set(key.choices), id_
        assert not any("_" in label for label in key.labels.values()), id_


@pytest.mark.parametrize("machine", list(KNOWN.machines))
def test_chances_are_sane(machine: str) -> None:
    sizes = {id_: source.size.get(machine, source.size.get("any")) for id_, source in KNOWN.sources.items()}
    for id_, size in sizes.items():
        assert size is not None, id_
        assert 0.005 <= size.prior <= 0.3, f"{id_}: a chance of trouble of {size.prior}"
        assert size.trouble >= 3 * size.healthy, f"{id_}: trouble hardly differs from health"
        top = 0.004 if KNOWN.sources[id_].unit == "slope" else 0.6
        assert size.trouble <= top, f"{id_}: no machine is that far out"
        assert math.isfinite(size.healthy)
    expected = sum(size.prior for size in sizes.values() if size)
    assert 1 <= expected <= 5, "between one and a few of them are in trouble at once"


def test_a_light_machine_is_never_better_than_a_heavy_one() -> None:
    for id_, source in KNOWN.sources.items():
        light, usual = source.size.get("bench_mill"), source.size.get("any")
        if light and usual:
            assert light.healthy >= usual.healthy, id_


def test_a_large_squareness_error_is_the_holding_about_seven_times_in_ten() -> None:
    """Common practice, no source. Chance times size over a part 60 mm deep, tall and 28 mm in the jaws."""
    lever = {"chip_behind_jaw": 60 / 28, "reference_rock": 60 / 28}
    flat = {
        "jaw_lift",
        "off_centre_push",
        "chip_behind_jaw",
        "chip_under_part",
        "reference_rock",
        "wall_squeeze",
        "parallels_uneven",
    }
    slopes = {
        "tram",
        "nod",
        "lean_fore",
        "saddle_slope",
        "fixed_jaw_lean",
        "jaw_plate_seat",
        "fixed_jaw_flex",
        "bed_tilt_y",
        "square_error",
    }
    weight = {}
    for id_ in {*flat, *slopes, "dirt_at_check", "blank_taper"}:
        size = KNOWN.sources[id_].size["any"]
        over = 60 if KNOWN.sources[id_].unit == "slope" else lever.get(id_, 1.0)
        beyond = math.erfc(0.05 / (size.trouble * over) / math.sqrt(2))
        weight[KNOWN.sources[id_].group] = weight.get(KNOWN.sources[id_].group, 0.0) + size.prior * beyond
    holding = sum(weight.get(group, 0.0) for group in ("holding", "vise", "material"))
    assert 0.6 <= holding / sum(weight.values()) <= 0.97


def test_every_size_says_what_it_rests_on() -> None:
    for id_, source in KNOWN.sources.items():
        for size in source.size.values():
            assert size.source
            if size.basis == "practice":
                assert "no source" in size.source, id_
            if size.basis in ("standard", "handbook"):
                assert any(mark in size.source for mark in ("ISO", "DIN", "JIS", "from memory")), id_
    for id_, tool in KNOWN.instruments.items():
        if tool.basis == "standard":
            assert any(mark in tool.source for mark in ("ISO", "DIN", "JIS")), id_


def test_dial_indicators_have_the_figures_of_the_standard() -> None:
    """JIS B 7503:2011: repeatability 3 um for a 0.01 mm dial to 10 mm, 0.5 um for a 0.001 mm dial to 1 mm."""
    assert KNOWN.instruments["dial_indicator"].repeat == 0.003
    assert KNOWN.instruments["tenths_indicator"].repeat == 0.0005
