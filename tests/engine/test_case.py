"""Which state each reading speaks for: actions start new instances of exactly the sources they touch."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from askew.engine.case import Case, act, tell
from askew.engine.observations import Action, Reading, SetupFact, Sign
from askew.knowledge.load import load


def told(*facts: object) -> Case:
    return tell(Case(), facts)  # type: ignore[arg-type]


@pytest.mark.parametrize("action", sorted(load().actions))
def test_an_action_touches_exactly_its_sources(action: str) -> None:
    before = told(Reading("hollow_across", 0.01))
    after = act(before, action)
    changed = {s for s in load().sources if after.now.instance(s) != before.now.instance(s)}
    assert changed == set(load().actions[action].redraws)


def test_an_old_cut_is_not_blamed_on_a_new_head() -> None:
    case = told(
        Reading("step", 0.02),
        Reading("sweep_x", 0.1, 300.0),
        Action("trammed"),
        Reading("sweep_x", 0.01, 300.0),
        Sign("heel_marks", "right"),
    )
    cut, old_sweep, new_sweep, marks = case.evidence
    assert cut.situation.instance("tram") == old_sweep.situation.instance("tram") == 0
    assert new_sweep.situation.instance("tram") == 1
    assert marks.situation.instance("tram") == 0, "the marks are on the old cut"


@pytest.mark.parametrize(
    ("deed", "found", "source"),
    [
        ("cleaned", Sign("chip_found", "behind_jaw"), "chip_behind_jaw"),
        ("locked", Sign("locks_were_loose", "yes"), "gib_play_z"),
    ],
)
def test_what_a_deed_found_was_there_before_it(deed: str, found: Sign, source: str) -> None:
    """Told in one breath, in either order; told in a later one it is of the grip as it is by then."""
    for facts in ((found, Action(deed)), (Action(deed), found)):
        seen = next(e for e in told(Reading("face_out_of_square", 0.1), *facts).evidence if e.fact == found)
        assert seen.situation.instance(source) == 0
    later = tell(told(Reading("face_out_of_square", 0.1), Action(deed)), [found])
    touched = source in load().actions[deed].redraws
    assert later.evidence[-1].situation.instance(source) == (1 if touched else 0)


def test_the_same_thing_measured_again_after_a_change_is_a_new_cut() -> None:
    case = told(Reading("step", 0.02), Action("trammed"), Reading("step", 0.001))
    assert case.evidence[1].situation.instance("tram") == 1


def test_the_same_thing_measured_twice_with_nothing_changed_is_the_same_cut() -> None:
    case = told(Reading("step", 0.02), Reading("step", 0.021))
    assert case.evidence[0].situation == case.evidence[1].situation


def test_a_reading_that_implies_an_action_does_it_once() -> None:
    bar = SetupFact("moving_jaw_contact", "bar")
    implied = told(bar, Reading("clamp_rise", 0.3), Reading("clamp_rise_plain", 0.01))
    stated = told(bar, Reading("clamp_rise", 0.3), Action("bar_removed"), Reading("clamp_rise_plain", 0.01))
    for case in (implied, stated):
        assert case.setup.moving_jaw_contact == "plain"
        assert case.evidence[0].situation.setup.moving_jaw_contact == "bar"
        assert case.now.instance("off_centre_push") == 1


def test_facts_told_late_hold_for_what_was_measured_before() -> None:
    case = told(Reading("hollow_across", 0.01), SetupFact("cutter_diameter", 80.0))
    assert case.filled(case.evidence[0].situation.setup).cutter_diameter == 80.0


def test_facts_that_change_hold_from_then_on() -> None:
    case = told(
        SetupFact("cutter_diameter", 80.0), Reading("hollow_across", 0.01), SetupFact("cutter_diameter", 20.0)
    )
    assert case.filled(case.evidence[0].situation.setup).cutter_diameter == 80.0
    assert case.setup.cutter_diameter == 20.0


def test_turning_the_part_swaps_its_sides() -> None:
    case = told(SetupFact("part_across", 40.0), SetupFact("part_along", 90.0), Action("turned_part"))
    assert (case.setup.part_across, case.setup.part_along) == (90.0, 40.0)
    assert case.setup.value("part_depth") == 90.0, "front to back is now the other side"


def test_feeding_along_the_other_axis_leaves_the_depth_alone() -> None:
    case = told(SetupFact("part_across", 40.0), SetupFact("part_along", 90.0), Action("cross_cut"))
    assert case.setup.feed_axis == "y"
    assert case.setup.value("part_depth") == 40.0


@given(st.lists(st.sampled_from(sorted(load().actions)), max_size=12))
def test_instances_only_count_up(actions: list[str]) -> None:
    case = Case()
    for action in actions:
        after = act(case, action)
        assert all(after.now.instance(s) >= case.now.instance(s) for s in load().sources)
        case = after


def test_a_sign_told_first_is_the_complaint_without_its_number() -> None:
    case = told(Sign("step_felt", "back"))
    assert case.complaint is not None
    assert isinstance(case.complaint.fact, Reading)
    assert (case.complaint.fact.id, case.complaint.fact.value) == ("step", None)


def test_a_sign_that_denies_is_no_complaint() -> None:
    assert told(Sign("step_felt", "no")).complaint is None


def test_what_was_found_on_the_cut_part_is_the_complaint_before_what_was_found_clamped() -> None:
    case = told(Reading("face_out_of_square_clamped", 0.2, 50.0), Reading("face_out_of_square", -0.2, 50.0))
    assert case.complaint is not None
    assert case.complaint.fact.id == "face_out_of_square"
