"""Case files with right checksums and wrong content: what a person could not have said never counts."""

import json
import random
from pathlib import Path

import pytest

from askew.engine.consult import Consultation
from askew.engine.record.journal import Journal
from askew.engine.record.lines import Header, header_line, seal
from askew.engine.safe import is_safe

SETUP = {"kind": "setup", "key": "machine", "value": "knee_mill"}
COMPLAINT = {"kind": "reading", "id": "face_out_of_square", "value": 0.12}
SWEEP = {"kind": "reading", "id": "sweep_x", "value": 0.05, "over": 300.0}


def write(path: Path, turns: list[object]) -> Path:
    """Write a case by hand, so that anything may be in it."""
    header = Header(askew="case", format=1, id="0" * 16, knowledge="1", made="t")
    lines = [header_line(header)]
    for seq, data in enumerate(turns, start=1):
        kind = "undo" if isinstance(data, dict) and "turns" in data else "turn"
        lines.append(seal({"seq": seq, "id": f"{seq:08x}", "time": "t", "kind": kind, "data": data}))
    path.write_bytes(b"".join(lines))
    return path


def opened(path: Path) -> Consultation:
    with Journal.open(path, write=False) as journal:
        consultation = Consultation(journal)
    turn = consultation.now()
    text = json.dumps(turn.model_dump(mode="json"), allow_nan=False)
    assert "Infinity" not in text
    assert all(is_safe(notice) for notice in consultation.notices)
    return consultation


@pytest.mark.parametrize(
    "fact",
    [
        {"kind": "reading", "id": "sweep_x", "value": 1e300, "over": 300.0},
        {"kind": "reading", "id": "sweep_x", "value": 0.1, "over": -300.0},
        {"kind": "reading", "id": "sweep_x", "value": 0.1, "over": 0.0},
        {"kind": "reading", "id": "sweep_x", "value": "0.1"},
        {"kind": "reading", "id": "sweep_x", "value": [0.1]},
        {"kind": "reading", "id": "sweep_x", "value": 0.1, "bound": "roughly"},
        {"kind": "reading", "id": "sweep_x", "value": 0.1, "low": 1e200, "high": -1e200, "bound": "between"},
        {"kind": "reading", "id": "no_such", "value": 0.1},
        {"kind": "reading", "id": "sweep_x\x1b[31m", "value": 0.1},
        {"kind": "reading"},
        {"kind": "setup", "key": "cutter_diameter", "value": -80},
        {"kind": "setup", "key": "cutter_diameter", "value": 1e12},
        {"kind": "setup", "key": "cutter_diameter", "value": "80"},
        {"kind": "setup", "key": "cutter_diameter", "value": True},
        {"kind": "setup", "key": "machine", "value": "lathe\u202e"},
        {"kind": "setup", "key": "machine", "value": 5},
        {"kind": "setup", "key": "__class__", "value": 5},
        {"kind": "setup", "key": "instruments", "value": ["square", "hammer"]},
        {"kind": "setup", "key": "instruments", "value": "square"},
        {"kind": "sign", "id": "step_felt", "answer": "perhaps"},
        {"kind": "sign", "id": "step_felt", "answer": 1},
        {"kind": "action", "id": "exploded"},
        {"kind": "magic", "id": "x"},
        {"kind": ["reading"], "id": "sweep_x"},
        {"id": "sweep_x"},
        {},
    ],
)
def test_a_fact_that_could_not_have_been_said_is_told_and_left_out(tmp_path: Path, fact: dict) -> None:
    turns = [{"text": "x", "facts": [SETUP, COMPLAINT], "unit": "mm"}, {"text": "y", "facts": [fact, SWEEP]}]
    consultation = opened(write(tmp_path / "a.jsonl", turns))
    assert len(consultation.notices) == 1
    assert consultation.now().turn == 2
    clean = opened(write(tmp_path / "b.jsonl", [turns[0], {"text": "y", "facts": [SWEEP]}]))
    assert consultation.now() == clean.now()


@pytest.mark.parametrize(
    "data",
    [
        {}, {"facts": None}, {"facts": 3}, {"facts": {}}, {"facts": [None, 1, "x", [SWEEP]]}, {"facts": [], "unit": 7},
        {"facts": [], "asked": ["x"]}, {"facts": [], "asked": "no_such"}, {"facts": [], "text": {"a": 1}},
    ],
)  # fmt: skip
def test_a_turn_of_another_shape_counts_as_nothing_said(tmp_path: Path, data: dict) -> None:
    turns = [{"text": "x", "facts": [SETUP, COMPLAINT]}, data]
    assert opened(write(tmp_path / "a.jsonl", turns)).now().turn == 2


def test_undos_of_any_size(tmp_path: Path) -> None:
    said = {"text": "x", "facts": [SWEEP]}
    for turns, left in [
        ([said, said, {"turns": 1}], 1),
        ([said, {"turns": 10**9 - 1}, said], 1),
        ([said, {"turns": -1}, {"turns": 0}, {"turns": "1"}, {"turns": True}, {"turns": None}], 1),
    ]:
        assert opened(write(tmp_path / "a.jsonl", turns)).now().turn == left


def test_anything_put_in_place_of_anything(tmp_path: Path) -> None:
    chance = random.Random(9)
    odd: list[object] = [
        None, True, 0, -1, 1e308, -1e-308, "", "x" * 3000, "\x1b[2J", "yes", "back", "sweep_x", "machine", [], [[]], {},
        {"kind": "reading"}, 10**17, "between", "at_least", ["square"],
    ]  # fmt: skip
    facts = [
        SETUP,
        COMPLAINT,
        SWEEP,
        {"kind": "sign", "id": "step_felt", "answer": "back"},
        {"kind": "action", "id": "regripped"},
        {"kind": "command", "id": "cannot", "argument": "sweep_table"},
    ]
    names = [
        "kind",
        "id",
        "key",
        "value",
        "over",
        "bound",
        "low",
        "high",
        "sign_known",
        "unit",
        "words",
        "answer",
        "argument",
    ]
    for number in range(40):
        turns: list[object] = []
        for _ in range(4):
            told = [dict(fact) for fact in chance.sample(facts, 3)]
            chance.choice(told)[chance.choice(names)] = chance.choice(odd)
            turns.append({"text": "x", "facts": told, "unit": chance.choice(["mm", "in", None, 3])})
        opened(write(tmp_path / f"{number}.jsonl", turns))
