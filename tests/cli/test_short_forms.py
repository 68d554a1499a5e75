"""Numbered answers and whole names, and what is kept of the bench."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from askew.cli.chat import bench
from askew.cli.chat.choices import chosen, named, resolved
from askew.cli.main import main
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
    kept = bench.learn(turn, {"jaw_width": 100.0}, "in")
    told = {"machine": "knee_mill", "instruments": ["square", "feelers"], "jaw_width": 100.0}
    assert kept == {**told, bench.UNIT: "in"}
    file = tmp_path / "home" / "bench.json"
    bench.write_bench(file, kept)
    assert bench.read_bench(file) == kept
    assert json.loads(bench.as_line(kept)) == {"setup": told}
    assert bench.in_words(kept, KNOWN).startswith("knee mill; ")


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


def test_what_was_told_once_of_leaves_and_cutters_lies_ready_for_a_fix(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("ASKEW_HOME", str(tmp_path))
    kept = {"leaves": [0.0254, 0.127], "cutters": ["76.2 mm face_mill"], "machine": "knee_mill", bench.UNIT: "in"}
    bench.write_bench(bench.bench_file(), kept)
    laid = bench.laid_out("fix nod", lambda _: False, KNOWN)
    assert laid is not None
    assert laid[0] == "3 in face mill; leaves of 1 and 5 thou"
    assert json.loads(laid[1]) == {"setup": {"leaves": [0.0254, 0.127], "cutters": ["76.2 mm face_mill"]}}
    told = bench.laid_out("plan", lambda key: key == "leaves", KNOWN)
    assert told is not None
    assert json.loads(told[1]) == {"setup": {"cutters": ["76.2 mm face_mill"]}}
    assert bench.laid_out("plan", lambda _: True, KNOWN) is None
    assert bench.laid_out("the fix did nothing", lambda _: False, KNOWN) is None
    assert bench.laid_out("hollow by 2 thou", lambda _: False, KNOWN) is None
    assert bench.kept_on_bench("leaves") == (0.0254, 0.127)


def test_commands_take_what_was_told_in_the_chat(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("ASKEW_HOME", str(tmp_path))
    shim = ["fix", "shim", "nod", "--out=4thou", "--over", "12in", "--hinge", "7in"]
    plan = ["plan", "--square", "9thou", "--across", "2in"]
    assert main(shim) == main(plan) == 0
    usual = capsys.readouterr().out
    assert "Put 1.5 thou + 1 thou" in usual
    assert "Leaves of a common set" in usual
    assert "since none were named" in usual
    kept = {"leaves": [0.0254, 0.127], "cutters": ["76.2 mm fly_cutter"]}
    bench.write_bench(bench.bench_file(), kept)
    assert main(shim) == main(plan) == 0
    own = " ".join(capsys.readouterr().out.split())
    assert "Put 1 thou + 1 thou" in own
    assert "Leaves on hand, as told in the chat: 1 and 5 thou." in own
    assert "3 in fly cutter" in own
    assert "Cutters: those on hand, as told in the chat." in own
    assert main([*shim, "--leaf", "2thou"]) == 0
    assert "Put 2 thou (one leaf)" in capsys.readouterr().out
