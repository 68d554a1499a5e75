"""A case on a named machine: it starts from the record, adds to it once, and the next case starts wiser."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from askew.engine.belief.columns import Column, table
from askew.engine.consult import Consultation
from askew.engine.record.journal import Journal
from askew.engine.record.machine import Entry, MachineRecord
from askew.engine.record.machine_case import label_of, take_in
from askew.engine.record.machine_memory import priors_of
from askew.knowledge.load import load

DAY = date.today().isoformat()
JOB = {
    "cutter_diameter": 100.0, "passes": 1, "feed_axis": "x", "part_across": 75.0, "part_along": 75.0,
    "part_height": 75.0, "part_depth": 75.0, "grip_height": 38.0, "moving_jaw_contact": "plain",
    "gripped_face": "fixed", "tolerance": 0.05, "leaned_on_purpose": False,
    "instruments": ["dial_indicator", "square", "magnetic_base", "sweep_arm"],
}  # fmt: skip
TALK: list[dict[str, Any]] = [
    {"setup": JOB},
    {"reading": "face_out_of_square", "value": -0.12, "over": 75.0},
    {"sign": "locks_were_loose", "answer": "no"},
    {"reading": "sweep_y", "value": 0.48, "over": 300.0},
    {"reading": "sweep_x", "value": 0.01, "over": 300.0},
    {"reading": "clamp_rise", "value": 0.0},
    {"reading": "other_corner", "value": 0.12, "over": 75.0},
    {"reading": "face_out_of_square_clamped", "value": 0.0, "over": 30.0},
    {"done": "trammed"},
    {"reading": "sweep_y", "value": 0.01, "over": 300.0},
    {"reading": "sweep_x", "value": 0.0, "over": 300.0},
    {"done": "recut"},
    {"reading": "face_out_of_square", "value": -0.004, "over": 75.0},
]
"""A head that nods is found, set and proved."""


def record_of(*entries: tuple[str, float]) -> MachineRecord:
    record = MachineRecord.in_memory("corner-mill", "knee_mill")
    for id_, value in entries:
        record.add(Entry(date=DAY, kind="reading", id=id_, value=value, over=300.0))
    return record


def begun(record: MachineRecord, journal: Journal | None = None) -> Consultation:
    consultation = Consultation(journal or Journal.in_memory("test"))
    consultation.remember(record.name, priors_of(record, date.fromisoformat(DAY)), record.machine)
    return consultation


def told(consultation: Consultation, lines: list[dict[str, Any]]) -> Consultation:
    for line in lines:
        assert consultation.say(json.dumps(line)).error is None
    return consultation


def settled(consultation: Consultation) -> Consultation:
    """Refuse whatever check is left, until the cause is named."""
    while (check := consultation.now().next) is not None:
        told(consultation, [{"cannot": check.check}])
    assert consultation.now().verdict is not None
    return consultation


def kept(consultation: Consultation, record: MachineRecord) -> list[str]:
    header = consultation.journal.header
    assert header is not None
    return take_in(record, label_of("jig", header.id), consultation.events).says(record.name)


def prior(consultation: Consultation, source: str) -> tuple[float, float, float]:
    """Return chance of trouble, and mean and standard deviation of its size then."""
    columns = table(consultation.case, (Column(source, 0),), load_none(), 0.0)
    return float(columns.prior[0]), float(columns.mean[0]), float(columns.trouble[0]) ** 0.5


def load_none() -> Any:
    import numpy as np

    return np.zeros(0)


def test_a_whole_case_is_recorded_and_the_next_one_starts_with_the_head_known() -> None:
    record = record_of()
    first = told(settled(told(begun(record), TALK[:8])), TALK[8:])
    assert first.now().closed
    assert kept(first, record) == ["Kept for corner-mill: 4 readings, 1 correction, 1 finding."]
    kinds = [(entry.kind, entry.id) for entry in record.entries]
    assert kinds.index(("verdict", "nod")) < kinds.index(("correction", "trammed"))
    before, after = prior(Consultation(Journal.in_memory()), "nod"), prior(begun(record), "nod")
    assert after[0] < 0.3 * before[0]
    opening = begun(record).now().says
    assert opening[0] == "Starting from the record of corner-mill."
    assert any(load().sources["nod"].short in line or "and" in line for line in opening[1:])


def test_a_head_known_to_be_out_is_suspected_from_the_first_word() -> None:
    record = record_of(("sweep_y", 0.48), ("sweep_y", 0.47), ("square_travel_y", 0.0))
    known, unknown = begun(record), Consultation(Journal.in_memory())
    chance, mean, _ = prior(known, "nod")
    assert chance > 2.0 * prior(unknown, "nod")[0]
    assert mean > 0.0
    shown = [told(c, TALK[:2]).now().suspects for c in (known, unknown)]
    with_it, without = ({s.source: s.probability for s in suspects}.get("nod", 0.0) for suspects in shown)
    assert with_it > 2.0 * without
    assert any("head nod" in line and "cutter plane" in line for line in begun(record).now().says)


def test_the_kind_of_machine_need_not_be_said() -> None:
    consultation = begun(record_of())
    assert consultation.setup.machine == "knee_mill"
    told(consultation, [{"setup": {"machine": "bed_mill"}}])
    assert consultation.setup.machine == "bed_mill"


def test_a_case_goes_into_the_record_once_whatever_happens_to_it() -> None:
    record = record_of()
    consultation = told(begun(record), TALK)
    assert kept(consultation, record)
    entries = record.entries
    assert kept(consultation, record) == []
    resumed = Journal.in_memory("test")
    resumed.header, resumed.records = consultation.journal.header, list(consultation.journal.records)
    assert kept(Consultation(resumed), record) == []
    assert record.entries == entries
    # taken back: the last cut alone is no reading of the machine, the sweeps are
    for _ in range(4):
        consultation.say('{"undo": 1}')
    assert kept(consultation, record) == ["Kept for corner-mill: 2 taken back."]
    told(consultation, TALK[-4:])
    assert kept(consultation, record) == ["Kept for corner-mill: 2 readings."]
    assert sorted(map(str, record.entries)) == sorted(map(str, entries))


def test_two_cases_of_one_name_do_not_take_each_other_back() -> None:
    record = record_of()
    for _ in range(2):
        kept(told(begun(record), TALK[:5]), record)
    assert len([entry for entry in record.entries if entry.id == "sweep_y"]) == 2


@settings(max_examples=12)
@given(st.lists(st.integers(-3, len(TALK) - 1), max_size=8))
def test_the_record_holds_what_stands_in_any_order_of_saying_undoing_and_leaving(steps: list[int]) -> None:
    record, consultation = record_of(), begun(record_of())
    for step in steps:
        if step >= 0:
            consultation.say(json.dumps(TALK[step]))
        elif step == -1:
            kept(consultation, record)
        else:
            consultation.say(json.dumps({"undo": -(step + 1)}))
    kept(consultation, record)
    once = record.entries
    fresh = record_of()
    kept(consultation, fresh)
    assert sorted(map(str, once)) == sorted(map(str, fresh.entries))


def test_only_a_new_case_can_be_put_on_a_machine() -> None:
    consultation = told(Consultation(Journal.in_memory()), TALK[:1])
    turn = consultation.remember("corner-mill", {}, "knee_mill")
    assert turn.error is not None
    assert consultation.begun.machine == ""
    on = begun(record_of())
    refused = on.remember("other-mill", {}, "bed_mill").error
    assert refused is not None
    assert "corner-mill" in refused.message


def test_what_it_begins_with_survives_resuming_and_damage(tmp_path: Path) -> None:
    record = record_of(("sweep_y", 0.48), ("square_travel_y", 0.0))
    path = tmp_path / "jig.case"
    with Journal.open(path, create=True) as journal:
        case = told(begun(record, journal), TALK[:2]).case
    with Journal.open(path) as journal:
        again = Consultation(journal)
    assert again.begun.machine == "corner-mill"
    assert again.case == case
    nobody = {"sources": {"nobody": [0.0, 1.0, 1.0]}}
    for wrong in ({}, {"sources": 3}, {"sources": {"nod": [1]}}, nobody, {"machine": 3}):
        broken = Journal.in_memory()
        broken.append("memory", wrong)
        assert Consultation(broken).case.memory == ()
