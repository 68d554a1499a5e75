"""The talk without a terminal: one line in, one answer out."""

from __future__ import annotations

import io
import json

import pytest
from scripted import Scripted

from askew.cli import door
from askew.cli.main import main
from askew.cli.pipe import converse, lines
from askew.engine.seam import Turn


def test_lines_lose_their_ends_and_nothing_else() -> None:
    assert list(lines(io.BytesIO(b"one\r\ntwo \n\nlast"))) == ["one", "two ", "", "last"]


def test_a_line_that_is_too_long_or_not_text_is_one_bad_line() -> None:
    stream = io.BytesIO(b"a\n" + b"x" * 50 + b"\n" + b"\xff\n" + b"b\n" + b"y" * 11)
    assert list(lines(stream, limit=10)) == ["a", None, None, "b", None]
    assert list(lines(io.BytesIO(b"0123456789\nb\n"), limit=10)) == ["0123456789", "b"]


def test_every_line_gets_one_answer_after_the_case_as_it_stands() -> None:
    told: list[Turn] = []
    scripted = Scripted()
    last = converse(scripted, io.BytesIO(b"15 thou\n" + b"z" * 70_000 + b"\n3 kg\n"), told.append)
    assert [turn.turn for turn in told] == [0, 1, 1, 1]
    assert told[2].error is not None
    assert told[2].error.hint
    assert told[3].error is not None
    assert last is told[-1]
    assert scripted.said == ["15 thou", "3 kg"]


class Stdin:
    """A pipe on standard input."""

    def __init__(self, data: bytes) -> None:
        self.buffer = io.BytesIO(data)

    def isatty(self) -> bool:
        return False


@pytest.fixture
def scripted(monkeypatch: pytest.MonkeyPatch) -> Scripted:
    """Put the scripted consultation in the engine's place."""
    consultation = Scripted()
    monkeypatch.setattr(door, "open_memory", lambda: door.Opened(consultation, "not kept"))
    monkeypatch.setattr(door, "open_file", lambda path: door.Opened(consultation, path.stem))
    return consultation


def test_json_is_one_object_a_line_errors_included(
    scripted: Scripted, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("sys.stdin", Stdin(b"15 thou out\n3 kg\nbar\n"))
    assert main(["talk", "--json"]) == 0
    out = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert [turn["turn"] for turn in out] == [0, 1, 1, 2]
    assert out[2]["error"]["message"]
    assert all(Turn.model_validate(turn) for turn in out)


def test_plain_text_answers_every_line_without_escapes(
    scripted: Scripted, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("sys.stdin", Stdin(b"15 thou out\nbar\n3 kg\n"))
    assert main(["talk"]) == 0
    out = capsys.readouterr().out
    assert "\x1b" not in out
    assert out.index("15 thou over 3 in") < out.index("at the moving jaw: round bar") < out.index("Not taken")
    assert "NOT SAVED" not in out


def test_the_unit_is_changed_by_saying_so_and_what_stands_is_said_again(
    scripted: Scripted, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("sys.stdin", Stdin(b"15 thou out\nin mm please\n"))
    assert main(["talk"]) == 0
    first, second = capsys.readouterr().out.split("Answers are in mm from now on.")
    assert "+9.8 to +15.7 thou" in first
    assert "+0.250 to +0.400 mm" in second
    assert "thou" not in second


def test_no_argument_with_a_pipe_is_the_same_talk(
    scripted: Scripted, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("sys.stdin", Stdin(b"15 thou out\n"))
    assert main(["--width", "44"]) == 0
    out = capsys.readouterr().out
    assert "Where it stands" in out
    assert max(map(len, out.splitlines())) <= 44
