"""Pictures in the terminal: the numbers beside them, within the width, in ASCII where asked."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from askew.cli.plots.belief import belief
from askew.cli.plots.budget import budget
from askew.cli.plots.clock import clock
from askew.cli.plots.drift import drift
from askew.cli.plots.face import face
from askew.engine.record.machine import Entry, MachineRecord
from askew.engine.record.machine_due import Due, due
from askew.engine.report.face import Profile
from askew.engine.report.rows import BeliefLine, BudgetRow
from askew.engine.report.shapes import circle_from, circle_of

TODAY = date(2031, 3, 1)
PLACES = np.linspace(-30.0, 30.0, 241)


def row(name: str, share: float, makes: str = "0.10 mm") -> BudgetRow:
    return BudgetRow(name, share, makes, "", "")


ROWS = [
    row("Moving jaw rises", 0.8),
    row("Head tipped", -0.2, "-0.03 mm"),
    row("Explained by none of these", 0.4),
]
LINES = [BeliefLine("jaw lift", (0.2, 0.5, 1.0)), BeliefLine("head nod", (0.2, 0.5, 0.0))]


def profile(predicted: np.ndarray | None, measured: np.ndarray | None = None) -> Profile:
    return Profile(PLACES, predicted, measured, "front", "back", ())


def stand(*more: Entry) -> Due:
    record = MachineRecord.in_memory("corner-mill", "knee_mill")
    for k in range(6):
        record.add(
            Entry(
                date=str(date(2030, 1, 1) + timedelta(60 * k)),
                kind="reading",
                id="sweep_x",
                value=0.002 + 0.006 * k,
                over=300.0,
            )
        )
    for entry in more:
        record.add(entry)
    return due(record, TODAY)[0]


PICTURES: dict[str, Callable[[int, bool], list[str]]] = {
    "slope": lambda w, a: face(profile(0.001 * PLACES, 0.0011 * PLACES), "mm", w, ascii_=a),
    "hollow": lambda w, a: face(profile(5e-6 * PLACES**2), "in", w, ascii_=a),
    "sawtooth": lambda w, a: face(profile(None, 0.001 * (PLACES % 10)), "mm", w, ascii_=a),
    "flat": lambda w, a: face(profile(0.0 * PLACES), "mm", w, ascii_=a),
    "clock": lambda w, a: clock(circle_of(0.10, -0.04), 304.8, "in", w, ascii_=a),
    "level clock": lambda w, a: clock(circle_of(0.0, 0.0), None, "mm", w, ascii_=a),
    "budget": lambda w, a: budget(ROWS, w, ascii_=a),
    "belief": lambda w, a: belief(LINES, w, ascii_=a),
    "drift": lambda w, a: drift(stand(), TODAY, "mm", w, ascii_=a),
}


@pytest.mark.parametrize("name", PICTURES)
@pytest.mark.parametrize("width", [40, 59, 60, 61, 80, 132])
@pytest.mark.parametrize("plain", [True, False])
def test_every_picture_keeps_to_its_width_and_letters(name: str, width: int, plain: bool) -> None:
    lines = PICTURES[name](width, plain)
    assert lines
    if width >= 60:
        assert max(map(len, lines)) <= width
    for line in lines:
        assert line == line.rstrip()
        assert "\n" not in line
        if plain:
            assert line.isascii()
            assert line.isprintable()


@pytest.mark.parametrize("name", PICTURES)
def test_the_numbers_stand_without_the_picture_as_well(name: str) -> None:
    """Below 60 columns, and for a screen reader, the same numbers are given as label and value."""
    narrow = "\n".join(PICTURES[name](59, True))
    wide = "\n".join(PICTURES[name](120, True))
    numbers = re.findall(r"\d+(?:\.\d+)?%?", narrow)
    assert numbers
    for number in numbers:
        assert number in wide, number
    assert all(": " in line for line in narrow.splitlines() if line)


def test_a_slope_falls_from_the_side_that_is_high() -> None:
    lines = face(profile(-0.001 * PLACES), "mm", 60, ascii_=True)
    drawn = [line.split("|", 1)[1] for line in lines if "|" in line]
    places = [text.index("-") for text in drawn if "-" in text]
    assert places == sorted(places)
    text = "\n".join(lines)
    assert "0.060 mm over 60 mm, front high" in text
    assert "0.030 mm |" in text
    assert "-0.030 mm |" in text
    assert re.search(r"front +back", text)


def test_a_hollow_is_low_in_the_middle() -> None:
    lines = face(profile(5e-6 * PLACES**2), "mm", 60, ascii_=True)
    drawn = [line.split("|", 1)[1].ljust(60) for line in lines if "|" in line]
    depth = [next((k for k, text in enumerate(drawn) if text[column] == "-"), -1) for column in (0, 24, 49)]
    assert depth[0] == depth[2] == 0
    assert depth[1] == len(drawn) - 1
    assert any(line.endswith("0.004 mm") and "hollow" in line for line in lines)


def test_the_clock_marks_where_the_cutter_is_low() -> None:
    # Plane higher at the right: the needle reads more at the left.
    lines = clock(circle_of(0.10, 0.0), 300.0, "mm", 60, ascii_=True)
    text = "\n".join(lines)
    (marked,) = [line for line in lines if "<" in line]
    assert marked.index("left 0.100 mm <") < marked.index("right 0.000 mm")
    assert "0.100 mm over 300 mm, cutter low at the left" in text
    assert "level over 300 mm" in text
    assert "towards 9 o'clock" in text


def test_a_clock_of_what_was_read_shows_just_that() -> None:
    lines = clock(circle_from({12: 0.0, 3: 0.02, 6: 0.05, 9: 0.03}), None, "mm", 60)
    text = "\n".join(lines)
    for words in ("back 0.000 mm", "right 0.020 mm", "front 0.050 mm <", "left 0.030 mm"):
        assert words in text


def test_a_clock_swept_one_way_leaves_the_other_open() -> None:
    text = "\n".join(clock(circle_of(0.04, None), 250.0, "mm", 60, ascii_=True))
    assert "left 0.040 mm <" in text
    assert "front to back  not swept" in text
    assert "o'clock" not in text


def test_bars_are_as_long_as_the_shares() -> None:
    lines = budget(ROWS, 80, ascii_=True)
    assert lines[0] == "Moving jaw rises"
    bars = lines[1::2]
    lengths = [bar.count("#") or -bar.count("=") for bar in bars]
    assert lengths[0] / lengths[2] == pytest.approx(2.0, abs=0.1)
    assert lengths[0] / -lengths[1] == pytest.approx(4.0, abs=0.4)
    assert len({bar.index("|") for bar in bars}) == 1
    assert bars[0].endswith(" 80%  0.10 mm")
    assert bars[1].endswith("-20%  -0.03 mm")


@given(st.lists(st.floats(-3.0, 3.0), min_size=1, max_size=8), st.integers(60, 120))
@settings(max_examples=100)
def test_any_budget_fits(shares: list[float], width: int) -> None:
    lines = budget([row("x" * 130, share) for share in shares], width)
    assert all(len(line) <= width for line in lines)
    assert sum(line.lstrip().startswith("x") for line in lines) >= len(shares)


def test_a_long_name_is_filled_and_not_cut() -> None:
    name = "moving jaw rises as it tightens and lifts the front of the part"
    for lines in (budget([row(name, 0.4)], 60), belief([BeliefLine(name, (0.2, 0.4))], 60)):
        assert name in " ".join(" ".join(lines).split())


def test_belief_ends_where_the_numbers_say() -> None:
    lines = belief(LINES, 60, ascii_=True)
    drawn = [line for line in lines if "|" in line]
    assert drawn[0].startswith(" 100% |")
    assert drawn[0].rstrip().endswith("A")
    assert drawn[-1].startswith("   0% |")
    assert drawn[-1].rstrip().endswith("B")
    # Where two share a place both are seen, the leader in it.
    assert any("AB" in line for line in drawn)
    assert "A  jaw lift" in lines
    assert [w.strip() for w in lines[lines.index("A  jaw lift") + 1].split()] == ["20%", "50%", ">99%"]


def test_many_steps_are_cut_and_counted() -> None:
    lines = belief([BeliefLine("jaw lift", tuple(k / 40 for k in range(40)))], 60)
    assert "(the first 30 steps do not fit)" in lines
    assert any(re.search(r"\b40$", line) for line in lines)


@given(
    st.lists(st.lists(st.floats(0, 1), min_size=5, max_size=5), min_size=1, max_size=5), st.integers(60, 100)
)
@settings(max_examples=60)
def test_any_belief_fits(chances: list[list[float]], width: int) -> None:
    lines = belief([BeliefLine("n" * 90, tuple(c)) for c in chances], width)
    assert all(len(line) <= width for line in lines)
    drawn = "".join(line[7:] for line in lines if "\u2502" in line)
    assert drawn.count("A") == 5  # the leader is never hidden


def test_a_drift_shows_rate_limit_and_when_to_look() -> None:
    text = "\n".join(drift(stand(), TODAY, "mm", 72, ascii_=True))
    assert "0.037 mm over 300 mm" in text  # 6 um in 60 days
    assert "allowed" in text
    assert "0.020 mm over 300 mm" in text
    assert "due for a look      now: it is probably beyond what is allowed" in text
    assert "2030-01-01" in text
    assert text.count("*") - text.count("* read") == 6


def test_a_correction_is_a_line_across_the_history() -> None:
    more = [
        Entry(date="2030-12-01", kind="correction", id="trammed"),
        Entry(date="2031-02-20", kind="reading", id="sweep_x", value=0.0, over=300.0),
    ]
    lines = drift(stand(*more), TODAY, "mm", 72, ascii_=True)
    drawn = [line.split("|", 1)[1] for line in lines[:11]]
    assert sum("|" in line for line in drawn) >= 9


def test_one_reading_is_told_in_words() -> None:
    record = MachineRecord.in_memory("corner-mill", "knee_mill")
    record.add(Entry(date="2031-02-01", kind="reading", id="lock_shift", value=0.004))
    text = " ".join(" ".join(drift(due(record, TODAY)[0], TODAY)).split())
    assert "two readings on different days are needed" in text
    assert "0.004 mm, 2031-02-01" in text
    assert "believed 0.000 mm to" in text  # play has a size and no direction


def test_nothing_to_show_is_said() -> None:
    assert budget([]) == ["No error budget yet."]
    assert belief([]) == ["No step has moved the belief yet."]
