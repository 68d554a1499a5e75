"""Numbered answers and whole names, and what is kept of the bench."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from askew.cli.chat import bench
from askew.cli.chat.choices import chosen, named, resolved
from askew.engine.seam import QuestionOut, Turn
from askew.knowledge.load import load

KNOWN = load()


def question(setup: str, options: list[str] | None) -> QuestionOut:
    """Return a question."""
    return QuestionOut(setup=setup, options=options, unit=None, because="", text="?")


@pytest.mark.parametrize(
    ("line", "setup", "options", "means"),
    [
        ("2", "moving_jaw_contact", ["plain", "bar"], {"setup": {"moving_jaw_contact": "bar"}}),
        (" 1 ", "overrun", ["yes", "no"], {"setup": {"overrun": True}}),
        ("2", "overrun", ["yes", "no"], {"setup": {"overrun": False}}),
        (
            "1, 3",
            "instruments",
            ["square", "paper", "feelers"],
            {"setup": {"instruments": ["square", "feelers"]}},
        ),
        ("1", "step_felt", ["yes", "no", "back"], {"sign": "step_felt", "answer": "yes"}),
    ],
)
def test_a_number_stands_for_its_answer(
    line: str, setup: str, options: list[str], means: dict[str, Any]
) -> None:
    said = chosen(line, question(setup, options), KNOWN)
    assert said is not None
    assert json.loads(said) == means


def test_the_number_of_a_label_stands_for_its_choice() -> None:
    kind = KNOWN.setup["moving_jaw_contact"]
    labels = [kind.labels.get(choice, choice) for choice in kind.choices]
    for number, choice in enumerate(kind.choices, 1):
        said = chosen(str(number), question("moving_jaw_contact", labels), KNOWN)
        assert said is not None
        assert json.loads(said) == {"setup": {"moving_jaw_contact": choice}}


@pytest.mark.parametrize("line", ["0", "3", "13 thou", "1 2", "1.5", "-1", "", "one", "99999999999"])
def test_everything_else_is_left_as_it_was_said(line: str) -> None:
    asked = question("moving_jaw_contact", ["plain", "bar"])
    assert chosen(line, asked, KNOWN) is None
    assert resolved(line, asked, KNOWN) == line
    assert chosen("1", None, KNOWN) is None
    assert chosen("1", question("part_depth", None), KNOWN) is None


def test_the_whole_name_of_what_was_done_seen_or_complained_of_is_taken_at_its_word() -> None:
    for id_, action in KNOWN.actions.items():
        assert json.loads(named(action.name.upper(), KNOWN) or "") == {"done": id_}
    for id_, sign in KNOWN.signs.items():
        assert json.loads(named(f" {sign.name}.", KNOWN) or "") == {"sign": id_, "answer": "yes"}
    for id_, reading in KNOWN.readings.items():
        assert json.loads(named(reading.name, KNOWN) or "") == {"reading": id_}
    assert named("it is out of square", KNOWN) is None


def test_what_is_said_of_the_bench_is_kept_and_the_rest_is_not(tmp_path: Path) -> None:
    turn = Turn.model_validate(
        {
            "turn": 1,
            "heard": [
                {"kind": "setup", "id": "machine", "value": "knee_mill"},
                {"kind": "setup", "id": "instruments", "value": ["square", "feelers"]},
                {"kind": "setup", "id": "part_height", "value": 60.0},
                {"kind": "sign", "id": "chip_found", "answer": "yes"},
            ],
        }
    )
    kept = bench.learn(turn, {"jaw_width": 100.0})
    assert kept == {"machine": "knee_mill", "instruments": ["square", "feelers"], "jaw_width": 100.0}
    file = tmp_path / "home" / "bench.json"
    bench.write_bench(file, kept)
    assert bench.read_bench(file) == kept
    assert json.loads(bench.as_line(kept)) == {"setup": kept}
    assert bench.in_words(kept, KNOWN, None).startswith("knee mill; ")


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"[1]",
        b'{"machine": "lathe"}',
        b'{"instruments": ["sword"]}',
        b'{"jaw_width": true}',
        b'{"part_height": 3}',
        b'{"machine": "knee_mill", "machine": "bed_mill"}',
        b"\xff",
        b'{"machine": ' + b"[" * 100 + b"]" * 100 + b"}",
        b" " * 20_000,
    ],
)
def test_a_bench_file_that_is_wrong_costs_the_offer_and_nothing_else(tmp_path: Path, content: bytes) -> None:
    file = tmp_path / "bench.json"
    file.write_bytes(content)
    assert bench.read_bench(file) == {}
    assert bench.read_bench(tmp_path) == {}
