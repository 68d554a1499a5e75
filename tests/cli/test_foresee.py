"""The command that looks ahead: flags, pipe, picture."""

from __future__ import annotations

import argparse
import io
import json
from pathlib import Path

import pytest

from askew.cli import foresee
from askew.cli.exits import OK, REFUSED, Refusal
from askew.cli.face_picture import face_picture
from askew.cli.parser import add_view_arguments
from askew.engine.foresee import Request
from askew.engine.foresee import foresee as ahead


def args(*words: str) -> argparse.Namespace:
    parser = argparse.ArgumentParser()
    add_view_arguments(parser)
    foresee.add_arguments(parser)
    return parser.parse_args(words)


def piped(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], text: str) -> tuple[int, list]:
    monkeypatch.setattr("sys.stdin", io.StringIO(text))
    status = foresee.run(args("--json"))
    return status, [json.loads(line) for line in capsys.readouterr().out.splitlines()]


def test_json_answers_each_object_on_one_line(monkeypatch, capsys) -> None:
    text = (
        '{"setup": {"sweep_diameter": 300}, "sources": {"tram": 0.0003}}\n{"setup":\n {},\n "sources": {}}\n'
    )
    status, answers = piped(monkeypatch, capsys, text)
    assert status == OK
    assert answers[0]["readings"]["sweep_x"] == {"value": pytest.approx(0.09), "over": 300.0, "unit": "mm"}
    assert answers[1]["readings"]["sweep_x"]["value"] == 0.0
    assert set(answers[0]["surface"]) == {"x", "y", "z"}


def test_json_turns_the_question_round(monkeypatch, capsys) -> None:
    text = '{"reading": "sweep_x", "value": 0.09, "over": 300}\n'
    _, (answer,) = piped(monkeypatch, capsys, text)
    rows = {row["source"]: row for row in answer["needed"]}
    assert rows["tram"]["needed"] == pytest.approx(0.0003)
    assert rows["nod"]["needed"] is None


@pytest.mark.parametrize(
    "text",
    [
        "", "hello\n", "[1]\n", '{"setup": }\n', '{"setup": {"passes": "one"}}\n',
        '{"sources": {"tram": 1e999}}\n', '{"sources": {"tram": NaN}}\n', '{"what": 1}\n', '{"setup": {',
        '{"a": 1, "a": 2}\n', "[" * 30_000 + "\n", '{"reading": "sweep_x"}\n',
        '{"setup": {"overrun": false, "cutter_diameter": 10, "part_across": 60, "passes": 2}}\n',
    ],
)  # fmt: skip
def test_bad_lines_get_one_sentence(monkeypatch, capsys, text: str) -> None:
    status, answers = piped(monkeypatch, capsys, text)
    assert status == REFUSED
    assert len(answers) == 1
    assert set(answers[0]["error"]) == {"message", "hint"}
    assert "\n" not in answers[0]["error"]["message"]


def test_a_bad_line_does_not_stop_the_next(monkeypatch, capsys) -> None:
    _, answers = piped(monkeypatch, capsys, "nonsense\n{}\n")
    assert "error" in answers[0]
    assert "readings" in answers[1]


def test_flags_and_words_make_the_same_request() -> None:
    by_words, left = foresee._request(args("50 mm cutter, 3 passes", "--source", "tram=5.5thou/24in"))
    by_flags, _ = foresee._request(
        args("--set", "cutter_diameter=50", "--set", "passes=3", "--source", "tram=0.0002291667")
    )
    assert by_words.setup == by_flags.setup
    assert by_words.sources["tram"] == pytest.approx(by_flags.sources["tram"], rel=1e-6)
    assert left == []


def test_screen_reads_at_sixty_columns_in_plain_ascii(capsys) -> None:
    cut = (
        "--set",
        "cutter_diameter=20",
        "--set",
        "passes=4",
        "--set",
        "pass_spacing=15",
        "--set",
        "part_across=60",
    )
    assert foresee.run(args(*cut, "--source", "nod=0.0005", "--source", "tram=1e-4", "--width", "60")) == OK
    out = capsys.readouterr().out
    assert out.isascii()
    assert max(len(line) for line in out.splitlines()) <= 60
    assert "true step" in out
    assert "Seen from above" in out
    assert "tram" not in out


def test_linear_view_says_it_in_words(capsys) -> None:
    assert foresee.run(args("--linear", "--source", "tram=0.0003")) == OK
    out = capsys.readouterr().out
    assert "Seen from above" not in out
    assert "hollow across the feed" in out
    assert "moves to the right" in out


def test_picture_marks_high_and_low() -> None:
    seen = ahead(
        Request(setup={"cutter_diameter": 80, "part_across": 60, "part_along": 60}, sources={"nod": 1e-3})
    )
    lines = face_picture(seen, 60)
    body = [line for line in lines if line.startswith("  |")]
    assert set(body[0]) == {" ", "|", "#"}  # the back is high
    assert set(body[-1]) == {" ", "|", "."}
    assert all(len(line) <= 60 and line.isascii() for line in lines)
    assert all(len(line) <= 40 for line in face_picture(seen, 40))
    flat = ahead(Request(setup={"cutter_diameter": 80, "part_across": 60}))
    assert face_picture(flat) == ["The face comes out flat and level: there is nothing to draw."]


def test_needed_screen(capsys) -> None:
    assert foresee.run(args("--needed", "sweep_x=0.1/300", "--unit", "mm")) == OK
    out = capsys.readouterr().out
    assert "head tram" in out
    assert "No size of these would do it alone" in out


def test_svg_is_written(tmp_path: Path, capsys) -> None:
    target = tmp_path / "face.svg"
    assert foresee.run(args("--source", "tram=0.0003", "--svg", str(target))) == OK
    assert target.read_text(encoding="utf-8").startswith("<svg")
    with pytest.raises(Refusal, match="could not be written"):
        foresee.run(args("--svg", str(tmp_path / "no" / "where.svg")))


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--source", "tram"), "not of the form NAME=SIZE"),
        (("--source", "tram=lots"), "is not a length"),
        (("--source", "tram=1kg"), "is not a length"),
        (("--source", "tram=1mm/0mm"), "goes over no length"),
        (("--source", "gremlins=1"), "no source of error"),
        (("--set", "feed_axis=q"), "One of: x, y"),
        (("--set", "cutter_diameter=wide"), "is not a length"),
        (("--needed", "vibes=1"), "no reading called"),
    ],
)
def test_wrong_flags_are_refused_in_a_sentence(words: tuple[str, ...], says: str) -> None:
    with pytest.raises(Refusal, match=says):
        foresee.run(args(*words))
