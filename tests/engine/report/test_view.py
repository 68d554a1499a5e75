"""What a report says: every number of it against the story it was told."""

from __future__ import annotations

from dataclasses import replace

import pytest

from askew.engine.report.moments import judged
from askew.engine.report.view import build
from askew.engine.report.words import Speech, direction, percent
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
    assert build(block_with_a_bar()).budget[0].makes == "0.181 mm"  # 0.86 of 0.210
    assert build(ridged_plate()).budget[0].makes == "6.3 tenths"  # 0.7 of nine tenths
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


def test_no_chance_is_rounded_to_certainty() -> None:
    assert [percent(p) for p in (0.0, 0.001, 0.126, 0.997, 1.0)] == [
        "0%",
        "under 1%",
        "13%",
        "over 99%",
        "100%",
    ]


def test_nothing_said_is_nothing_claimed() -> None:
    report = build(nothing_said())
    assert (report.budget, report.belief, report.face, report.proof, report.found) == ((), (), None, (), ())
    assert report.status == "open"


def test_a_complaint_without_a_number_makes_no_millimetres() -> None:
    story = CaseStory("x", "mm", (event(reading("face_out_of_square", None)),), Setup())
    rows = build(story).budget
    assert rows
    assert all(row.makes == "" for row in rows)
