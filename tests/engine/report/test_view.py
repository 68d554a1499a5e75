"""What a report says: every number of it against the story it was told."""

from __future__ import annotations

from dataclasses import replace

import pytest

from askew.engine.report.moments import judged
from askew.engine.report.view import build
from askew.engine.report.words import Speech, direction
from askew.engine.seam import HeardOut, Turn, VerdictOut
from askew.engine.setup import Setup
from askew.engine.story import CaseStory, Event

from .stories import block_with_a_bar, nothing_said, reading, ridged_plate, suspect


def test_the_budget_adds_up() -> None:
    for story in (block_with_a_bar(), ridged_plate()):
        rows = build(story).budget
        assert sum(row.share for row in rows) == pytest.approx(1.0, abs=1e-9)
        assert rows[-1].name == "Explained by none of these"
        shares = [abs(row.share) for row in rows[:-1] if not row.name.endswith("together")]
        assert shares == sorted(shares, reverse=True)


def test_shares_are_given_in_the_persons_unit() -> None:
    assert build(block_with_a_bar()).budget[0].makes == "0.178 mm"  # 0.86 times 0.985 of 0.210
    assert build(ridged_plate()).budget[0].makes == "4 tenths"  # 0.7 times 0.64 of nine tenths
    assert "over 12 in" in build(ridged_plate()).budget[0].size


def test_belief_has_one_value_a_step_for_the_leaders() -> None:
    report = build(block_with_a_bar())
    assert len(report.steps) == 5
    assert all(len(line.chances) == 5 for line in report.belief)
    by_name = {line.name: line.chances for line in report.belief}
    assert by_name["off-centre push"] == (0.38, 0.55, 0.985, 0.985, 0.985)
    assert by_name["jaw lift"][:3] == (0.42, 0.51, 0.11)
    assert report.belief[0].name == "off-centre push"


def test_the_proof_is_what_was_read_after_the_fix() -> None:
    proof = build(block_with_a_bar()).proof
    assert [(row.value.split(",")[0], row.result) for row in proof] == [
        ("0.004 mm over 60 mm", ""),
        ("0.012 mm over 60 mm", "holds"),
    ]


def test_a_fix_that_did_not_hold_says_so() -> None:
    story = block_with_a_bar()
    last = story.events[-1]
    bad = replace(last, heard=(reading("face_out_of_square", -0.12, 60.0),), turn=Turn(turn=6))
    report = build(replace(story, events=(*story.events[:-1], bad)))
    assert report.proof[-1].result == "does not hold"
    assert report.status == "found"


def test_measured_and_predicted_are_of_the_same_cut() -> None:
    rows = {row.name: row for row in build(block_with_a_bar()).face_rows}
    square = rows["Cut face out of square to the reference face"]
    assert square.measured.startswith("0.210 mm, corner closed")
    assert square.agrees == "agrees"
    # The hollow was read on the next cut and says nothing about this one.
    assert rows["Hollow across the feed"].measured == ""


def act(id_: str) -> HeardOut:
    return HeardOut(kind="action", id=id_)


VERDICT = VerdictOut(sources=["nod"], explained=0.9, unexplained=0.01, remedies=[], verify=[])


def event(*heard: HeardOut, verdict: bool = False, closed: bool = False, suspects: bool = True) -> Event:
    turn = Turn(
        turn=1,
        suspects=[suspect("nod", 0.9, 0.9, 1e-4, 1e-5, "slope")] if suspects else [],
        verdict=VERDICT if verdict else None,
        closed=closed,
    )
    return Event("2031-01-01", "", heard, turn)


@pytest.mark.parametrize(
    ("events", "place"),
    [
        ([], None),
        ([event(suspects=False)], None),
        ([event(), event()], 1),
        ([event(verdict=True), event(verdict=True)], 1),
        ([event(), event(verdict=True), event(act("trammed"), verdict=True)], 1),
        (
            [
                event(verdict=True),
                event(act("trammed")),
                event(verdict=True),
                event(act("shimmed")),
                event(closed=True),
            ],
            2,
        ),
        ([event(), event(act("recut"), closed=True)], 0),
    ],
)
def test_the_verdict_told_is_the_one_that_was_acted_on(events: list[Event], place: int | None) -> None:
    assert judged(events) == place


def test_directions_have_the_name_of_the_axis_fed_along() -> None:
    assert direction("step", 0.01, Speech("mm")) == "back side higher"
    assert direction("step", 0.01, Speech("mm", "y")) == "right side higher"
    assert direction("step", -0.01, Speech("mm", "y")) == "left side higher"
    assert direction("face_out_of_parallel_along", 0.01, Speech("mm", "y")) == "back thick"
    assert direction("sweep_x", 0.01, Speech("mm")).startswith("cutter plane higher at the right")


def test_nothing_said_is_nothing_claimed() -> None:
    report = build(nothing_said())
    assert (report.budget, report.belief, report.face, report.proof, report.found) == ((), (), None, (), ())
    assert report.status == "open"


def test_a_complaint_without_a_number_makes_no_millimetres() -> None:
    story = CaseStory("x", "mm", (event(reading("face_out_of_square", None)),), Setup())
    rows = build(story).budget
    assert rows
    assert all(row.makes == "" for row in rows)


def test_pairs_that_cannot_be_told_apart_are_joined_into_groups() -> None:
    story = ridged_plate()
    first = story.events[0]
    pairs = [["nod", "spindle_growth"], ["stress_bow", "jaw_lift"], ["spindle_growth", "part_slip"]]
    turn = first.turn.model_copy(update={"together": pairs, "doubtful": ["sweep_x", "Take it again."]})
    doubts = build(replace(story, events=(replace(first, turn=turn),))).doubts
    assert len(doubts) == 4
    assert doubts[0].count(";") + doubts[1].count(";") == 3
    assert doubts[2] == "Probably taken wrongly: spindle sweep of the table, side to side."
    assert doubts[3] == "Take it again."


def test_sources_of_which_no_size_would_do_are_named_in_one_row() -> None:
    cleared = build(block_with_a_bar()).cleared
    assert [name for name, _ in cleared] == ["Head out of tram, side to side", "No size of these would do it"]


def test_setup_facts_of_a_turn_are_one_phrase() -> None:
    seen = build(block_with_a_bar()).seen
    assert seen[1].facts == ("Kind of mill: knee mill; cutter diameter: 80 mm",)


def test_a_budget_that_was_reckoned_is_taken_as_it_is() -> None:
    story = replace(block_with_a_bar(), budget={"off_centre_push": -0.189, "tram": -0.0105, "nod": 0.0021})
    rows = build(story).budget
    assert [(row.name.split()[0], round(row.share, 6)) for row in rows] == [
        ("Bar,", 0.9),
        ("Head", 0.05),
        ("1", -0.01),
        ("Explained", 0.06),
    ]
    assert [row.makes for row in rows] == ["0.189 mm", "0.011 mm", "-0.002 mm", "0.013 mm"]


def test_the_last_sweep_is_of_the_head_as_it_is() -> None:
    swept = event(reading("sweep_x", 0.02, 300.0), reading("sweep_y", 0.03, 200.0))
    sweep = build(CaseStory("x", "mm", (swept,))).sweep
    assert sweep is not None
    assert (sweep.x, sweep.y, sweep.over) == (pytest.approx(0.02 * 200 / 300), 0.03, 200.0)
    moved = build(CaseStory("x", "mm", (swept, event(act("trammed"))))).sweep
    assert moved is None
    again = build(
        CaseStory("x", "mm", (swept, event(act("trammed")), event(reading("sweep_x", 0.0, 300.0))))
    ).sweep
    assert again is not None
    assert (again.x, again.y) == (0.0, None)
