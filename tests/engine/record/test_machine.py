"""A machine's record: what may stand in it, and that it outlives the program."""

from __future__ import annotations

from pathlib import Path

import pytest

from askew.engine.record.journal import Journal
from askew.engine.record.machine import (
    Entry,
    MachineError,
    MachineRecord,
    checked,
    entry_from,
    habit_of,
    machine_names,
    machine_path,
)

SWEEP = Entry(date="2031-03-04", kind="reading", id="sweep_x", value=0.03, over=300.0)
TRAM = Entry(date="2031-03-04", kind="correction", id="trammed", note="half a turn at the left bolt")


def test_entries_outlive_the_program(tmp_path: Path) -> None:
    path = machine_path(tmp_path, "corner-mill")
    with MachineRecord.open(path, create=("corner-mill", "knee_mill")) as record:
        record.add(SWEEP)
        record.add(TRAM)
    with MachineRecord.open(path) as again:
        assert again.entries == (SWEEP, TRAM)
        assert (again.name, again.machine) == ("corner-mill", "knee_mill")
    assert machine_names(tmp_path) == ["corner-mill"]


def test_entries_stand_by_date_and_those_of_a_day_as_written() -> None:
    record = MachineRecord.in_memory()
    before = SWEEP.model_copy(update={"date": "2030-12-31"})
    for entry in (SWEEP, TRAM, before):
        record.add(entry)
    assert record.entries == (before, SWEEP, TRAM)


def test_a_withdrawn_entry_is_gone_and_stays_gone(tmp_path: Path) -> None:
    path = tmp_path / "m.machine"
    with MachineRecord.open(path, create=("m", "bench_mill")) as record:
        number = record.add(SWEEP)
        record.add(TRAM)
        assert record.withdraw(number) == SWEEP
        with pytest.raises(MachineError, match=f"no entry {number}"):
            record.withdraw(number)
    with MachineRecord.open(path, write=False) as again:
        assert again.entries == (TRAM,)


def test_importing_twice_changes_nothing_but_true_repeats_count() -> None:
    record = MachineRecord.in_memory()
    assert record.add_new([SWEEP, SWEEP, TRAM]) == 3
    assert record.add_new([SWEEP, SWEEP, TRAM]) == 0
    assert record.add_new([SWEEP, SWEEP, SWEEP]) == 1


def test_one_bad_entry_among_good_ones_keeps_none() -> None:
    record = MachineRecord.in_memory()
    bad = Entry(date="2031-03-04", kind="reading", id="sweep_z", value=0.03, over=300.0)
    with pytest.raises(MachineError, match="no reading 'sweep_z'; near it are sweep_x, sweep_y"):
        record.add_new([SWEEP, bad])
    assert record.entries == ()


def test_a_case_file_is_not_a_machine(tmp_path: Path) -> None:
    path = tmp_path / "a.case"
    with Journal.open(path, create=True) as journal:
        journal.append("turn", {"text": "it is out of square"})
    with pytest.raises(MachineError, match="not a machine's record"):
        MachineRecord.open(path)
    with pytest.raises(MachineError, match="There is no"):
        MachineRecord.open(tmp_path / "none.machine")


@pytest.mark.parametrize("name", ["", "Big Mill", "../up", "a/b", "x" * 41, "-a", "mill\n"])
def test_names_that_could_leave_the_folder_are_refused(tmp_path: Path, name: str) -> None:
    with pytest.raises(MachineError, match="cannot name a machine"):
        machine_path(tmp_path, name)


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"date": "4.3.2031"}, "year-month-day"),
        ({"date": "2031-02-30"}, "year-month-day"),
        ({"date": "20310304"}, "year-month-day"),
        ({"value": float("nan")}, "value"),
        ({"value": float("inf")}, "value"),
        ({"value": "0.03"}, "valid number"),
        ({"value": None}, "needs a value"),
        ({"value": 500.0}, "too large"),
        ({"over": 0.0}, "greater than 0"),
        ({"over": None}, "give the length it was taken over"),
        ({"sd": -0.001}, "greater than 0"),
        ({"kind": "guess"}, "kind"),
        ({"id": ""}, "needs an id"),
        ({"id": "hollow_across"}, "speaks for a part"),
        ({"id": "lock_shift"}, "leave out the length"),
        ({"id": "tram", "kind": "correction"}, "no correction 'tram'"),
        ({"kind": "note"}, "note has words"),
        ({"colour": "red"}, "colour"),
    ],
)
def test_what_cannot_be_is_refused_in_one_sentence(fields: dict[str, object], says: str) -> None:
    good = {"date": "2031-03-04", "kind": "reading", "id": "sweep_x", "value": 0.03, "over": 300.0}
    assert entry_from(dict(good)) == SWEEP
    with pytest.raises(MachineError, match=says) as caught:
        entry_from(good | fields)
    assert "\n" not in str(caught.value)
    assert len(str(caught.value)) < 300


def test_words_from_outside_are_made_harmless() -> None:
    entry = Entry(date="2031-03-04", kind="note", note="cleaned\x1b[2J the \u202eways")
    assert "\x1b" not in entry.note
    assert "\u202e" not in entry.note
    assert checked(entry) is entry


def test_a_length_betrays_the_unit() -> None:
    assert [habit_of(over) for over in (304.8, 609.6, 25.4, 300.0, 100.0, None)] == [
        "in",
        "in",
        "in",
        "mm",
        "mm",
        None,
    ]
