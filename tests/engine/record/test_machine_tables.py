"""CSV and JSON out and back: nothing is lost, nothing odd comes in."""

from __future__ import annotations

import csv
import io
import json
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from askew.engine.record.machine import Entry, MachineError
from askew.engine.record.machine_tables import COLUMNS, from_csv, from_json, to_csv, to_json

sizes = st.floats(-2.0, 2.0)
lengths = st.floats(1e-3, 2000.0)
words = st.text(max_size=60)
dates = st.dates(date(1950, 1, 1), date(2190, 1, 1)).map(str)
readings = st.builds(
    Entry,
    date=dates,
    kind=st.just("reading"),
    id=st.sampled_from(["sweep_x", "sweep_y", "table_run_x", "jaw_run", "fixed_jaw_square"]),
    value=sizes,
    over=lengths,
    sd=st.none() | st.floats(1e-6, 1.0),
    case=words,
    note=words,
)
verdicts = st.builds(
    Entry, date=dates, kind=st.just("verdict"), id=st.just("jaw_lift"), value=sizes, sd=lengths, case=words
)
corrections = st.builds(
    Entry, date=dates, kind=st.just("correction"), id=st.sampled_from(["trammed", "shimmed"]), note=words
)
notes = st.builds(Entry, date=dates, kind=st.just("note"), note=st.text(min_size=1, max_size=60))
records = st.lists(st.one_of(readings, verdicts, corrections, notes), max_size=8)


@given(records)
@settings(max_examples=150, deadline=None)
def test_csv_gives_back_every_bit(entries: list[Entry]) -> None:
    assert from_csv(to_csv(tuple(entries))) == entries


@given(records)
@settings(max_examples=100, deadline=None)
def test_json_gives_back_every_bit(entries: list[Entry]) -> None:
    back = from_json(to_json("corner-mill", "bed_mill", tuple(entries)))
    assert (back.name, back.machine, back.entries) == ("corner-mill", "bed_mill", entries)


@given(records)
@settings(max_examples=100, deadline=None)
def test_no_cell_is_a_formula_to_a_spreadsheet(entries: list[Entry]) -> None:
    for row in csv.DictReader(io.StringIO(to_csv(tuple(entries)), newline="")):
        assert not any(row[name].startswith(("=", "@", "+", "-")) for name in ("id", "case", "note"))


HEAD = "date,kind,id,value_mm,over_mm\n"


def test_a_table_typed_by_hand_is_read() -> None:
    rows = ["id,date,kind,over_mm,value_mm", "sweep_x,2031-01-02,reading,300,-.02", ""]
    text = "\ufeff" + "\r\n".join([*rows, "trammed,2031-01-02,correction,,", ""])
    assert [entry.id for entry in from_csv(text)] == ["sweep_x", "trammed"]
    assert from_csv(text)[0].value == -0.02


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "a column is missing"),
        ("date;kind;id\n", "separated by commas"),
        ("date,kind,id,colour\n", "no column 'colour'; the columns are date, kind"),
        ("date,date,kind,id\n", "missing or twice"),
        (HEAD + '2031-01-02,reading,sweep_x,"0,02",300\n', "Line 2: value_mm: '0,02' is not a number"),
        (HEAD + "2031-01-02,reading,sweep_x,nan,300\n", "not a number"),
        (HEAD + "2031-01-02,reading,sweep_x,1e999,300\n", "Line 2: value"),
        (HEAD + "2031-01-02,reading,sweep_x,0x10,300\n", "not a number"),
        (HEAD + "2031-01-02,reading,sweep_x,0.02,300,\n", "6 cells, the heading 5"),
        (HEAD + "2031-01-02,reading,sweep_x,0.02,300\n02.01.2031,reading,sweep_x,1,300\n", "Line 3: date"),
        (HEAD + '2031-01-02,reading,"sweep_x,0.02,300\n', "Line"),
    ],
)
def test_a_wrong_table_is_refused_with_its_line(text: str, says: str) -> None:
    with pytest.raises(MachineError) as caught:
        from_csv(text)
    assert says in str(caught.value)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    "change",
    [
        {"askew": "case"},
        {"format": 2},
        {"name": "../x"},
        {"machine": "lathe"},
        {"more": 1},
        {
            "entries": [
                {"date": "2031-01-02", "kind": "reading", "id": "sweep_x", "value": "0.02", "over": 300}
            ]
        },
        {"entries": [{"date": "2031-01-02", "kind": "reading", "id": "nothing", "value": 0.02}]},
    ],
)
def test_a_wrong_document_is_refused(change: dict[str, object]) -> None:
    good = json.loads(to_json("corner-mill", "bed_mill", ()))
    assert from_json(json.dumps(good)).entries == []
    with pytest.raises(MachineError):
        from_json(json.dumps(good | change))


def test_odd_json_is_refused() -> None:
    good = to_json("corner-mill", "bed_mill", ())
    for bad in ("", "[1", good.replace("}", ',"name":"x"}'), good.replace("[]", "[NaN]"), "[" * 5000):
        with pytest.raises(MachineError):
            from_json(bad)


def test_the_columns_name_every_field() -> None:
    assert set(COLUMNS.values()) == set(Entry.model_fields)
