"""`askew machine` and `askew report`, run as a person runs them."""

from __future__ import annotations

import argparse
from pathlib import Path

import pytest

from askew.cli import machine, report
from askew.cli.exits import NO_CASE, OK, Refusal
from askew.cli.parser import add_view_arguments
from askew.engine.consult import Consultation
from askew.engine.record.journal import Journal


def run(module: object, *words: str) -> int:
    parser = argparse.ArgumentParser()
    add_view_arguments(parser)
    module.add_arguments(parser)  # type: ignore[attr-defined]
    return module.run(parser.parse_args(list(words)))  # type: ignore[attr-defined, no-any-return]


@pytest.fixture
def mill(capsys: pytest.CaptureFixture[str]) -> str:
    run(machine, "new", "corner-mill", "knee_mill")
    for day, words in (
        ("2031-01-01", "sweep reads 0.02 mm more at the left over 300 mm"),
        ("2031-03-01", "sweep reads 0.03 mm more at the left over 300 mm"),
        ("2031-03-03", "trammed the head"),
        ("2031-03-03", "sweep reads 0.005 mm more at the right over 300 mm"),
    ):
        assert run(machine, "add", "corner-mill", words, "--on", day) == OK
    capsys.readouterr()
    return "corner-mill"


def test_what_was_added_is_shown(mill: str, capsys: pytest.CaptureFixture[str]) -> None:
    run(machine, "show", mill, "--entries")
    out = capsys.readouterr().out
    assert "needle reads more at the left" in out
    assert "adjusted the head" in out
    run(machine, "--width", "60", "--ascii", "show", mill, "--on", "2031-05-05")
    out = capsys.readouterr().out
    assert "drift a year" in out
    assert "corrected" in out
    assert out.isascii()
    assert max(map(len, out.splitlines())) <= 60
    run(machine, "--linear", "show", mill, "--on", "2031-05-05")
    assert "last read: -0.005 mm over 300 mm, 2031-03-03" in capsys.readouterr().out


def test_due_and_priors(mill: str, capsys: pytest.CaptureFixture[str]) -> None:
    run(machine, "due", mill, "--on", "2031-05-05", "--allow", "sweep_x=0.001/300")
    assert capsys.readouterr().out.startswith("now  Spindle sweep")
    run(machine, "priors", mill, "--on", "2031-05-05")
    assert "head out of tram" in capsys.readouterr().out


def test_out_and_in_again(mill: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for suffix in (".csv", ".json"):
        file = tmp_path / f"out{suffix}"
        assert run(machine, "export", mill, "--to", str(file)) == OK
        with pytest.raises(Refusal, match="exists already"):
            run(machine, "export", mill, "--to", str(file))
    run(machine, "new", "second", "knee_mill")
    capsys.readouterr()
    run(machine, "import", "second", str(tmp_path / "out.csv"))
    run(machine, "import", "second", str(tmp_path / "out.json"))
    assert capsys.readouterr().out.splitlines() == [
        "Took in 4 of 4 entries.",
        "Took in 0 of 4 entries; the others were there already.",
    ]
    run(machine, "export", "second", "--to", str(tmp_path / "again.csv"))
    assert (tmp_path / "again.csv").read_bytes() == (tmp_path / "out.csv").read_bytes()


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["show", "nothing"], "no machine called nothing; there are: corner-mill"),
        (["new", "corner-mill", "bed_mill"], "already"),
        (["new", "Corner Mill", "bed_mill"], "cannot name a machine"),
        (["add", "corner-mill", "the sky is blue"], "names no reading"),
        (["withdraw", "corner-mill", "99"], "no entry 99"),
        (["export", "corner-mill", "--to", "x.xls"], "must end in .csv or .json"),
        (["import", "corner-mill", "nowhere.csv"], "cannot be read"),
        (["show", "corner-mill", "--reading", "sweep_y"], "no reading sweep_y"),
        (["learn", "corner-mill", "nowhere"], "no case"),
    ],
)
def test_what_cannot_be_done_is_one_sentence(mill: str, words: list[str], says: str) -> None:
    with pytest.raises(Refusal) as refused:
        run(machine, *words)
    assert says.lower() in str(refused.value).lower()
    assert "\n" not in str(refused.value)


@pytest.mark.parametrize(
    "text", ["sweep_x", "sweep_x=0.02", "sweep_x=0/300", "sweep_x=1/0", "what=1", "lock_shift=1/3"]
)
def test_a_limit_names_its_reading_and_length(mill: str, text: str) -> None:
    with pytest.raises(SystemExit):
        run(machine, "due", mill, "--allow", text)


@pytest.fixture
def case(tmp_path: Path) -> Path:
    path = tmp_path / "motor-foot.jsonl"
    with Journal.open(path, create=True) as journal:
        talk = Consultation(journal)
        for line in (
            '{"setup": {"machine": "knee_mill", "cutter_diameter": 80, "passes": 1, "part_across": 60, '
            '"part_along": 90, "part_height": 60, "moving_jaw_contact": "bar", "tolerance": 0.03}}',
            '{"reading": "face_out_of_square", "value": -0.21, "over": 60}',
            '{"reading": "clamp_rise", "value": 0.19}',
            '{"reading": "sweep_x", "value": 0.02, "over": 300}',
            '{"reading": "clamp_rise_plain", "value": 0.014}',
            '{"done": "recut"}',
            '{"reading": "face_out_of_square", "value": -0.012, "over": 60}',
        ):
            assert talk.say(line).error is None
    return path


def test_a_case_becomes_one_file(case: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    assert run(report, str(case)) == OK
    page = (tmp_path / "motor-foot.html").read_text()
    assert "corner closed" in page
    assert "Put right and proved" in page
    assert "within 0.030 mm" in page
    with pytest.raises(Refusal, match="--replace"):
        run(report, str(case))
    assert run(report, str(case), "--replace") == OK
    assert run(report, str(case), "--to", "r.md") == OK
    text = (tmp_path / "r.md").read_text()
    assert "```text" in text
    assert "## Error budget" in text


def test_the_pictures_are_shown_on_the_screen(case: Path, capsys: pytest.CaptureFixture[str]) -> None:
    run(report, "--width", "60", "--ascii", str(case), "--screen")
    out = capsys.readouterr().out
    for title in (
        "Belief over the checks",
        "Error budget",
        "The face, seen along the feed",
        "The last sweep",
    ):
        assert title in out
    body = out[out.index("Belief over") :]
    assert body.isascii()
    assert max(map(len, body.splitlines())) <= 60
    run(report, "--linear", str(case), "--screen")
    assert "left: 0.020 mm" in capsys.readouterr().out


def test_the_report_is_told_in_the_unit_asked_for(case: Path, capsys: pytest.CaptureFixture[str]) -> None:
    run(report, "--unit", "in", str(case), "--to", "-", "--markdown")
    out = capsys.readouterr().out
    assert "8.3 thou" in out  # 0.21 mm
    assert "0.210 mm" not in out


def test_the_case_is_left_as_it_was(case: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = case.read_bytes()
    run(report, str(case), "--to", "-")
    assert case.read_bytes() == before
    first = capsys.readouterr().out
    run(report, str(case), "--to", "-")
    assert capsys.readouterr().out == first


def test_a_machine_learns_from_a_case(mill: str, case: Path, capsys: pytest.CaptureFixture[str]) -> None:
    run(machine, "learn", mill, str(case))
    run(machine, "learn", mill, str(case))
    first, second = capsys.readouterr().out.splitlines()
    assert first == "Took over 1 new entry from motor-foot."
    assert second == "Took over 0 new entries from motor-foot."


def test_no_case_is_said(tmp_path: Path) -> None:
    for words in ([], ["nowhere"]):
        with pytest.raises(Refusal) as refused:
            run(report, *words)
        assert refused.value.status == NO_CASE
    path = tmp_path / "x.jsonl"
    Journal.open(path, create=True).close()
    with pytest.raises(Refusal, match=r"\.html or \.md"):
        run(report, str(path), "--to", "x.doc")
