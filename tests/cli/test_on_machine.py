"""A talk on a named machine: from the command line to the machine's record, and back into the next case."""

from __future__ import annotations

import argparse
import io
import json
import sys
from pathlib import Path
from typing import Any

import pytest

from askew.cli.chat.bench import NAMED, as_line, bench_file, in_words, read_bench
from askew.cli.chat.words import local
from askew.cli.exits import NO_CASE, OK, USAGE, Refusal
from askew.cli.main import main
from askew.cli.on_machine import wished
from askew.engine.record.machine_store import Machines
from askew.knowledge.load import load

JOB = (
    "3 in cube of mild steel, 4 inch face mill, one pass, plain jaws, tolerance 1.5 thou",
    "measured from the fixed jaw face, grip height 1.5 in, dial indicator, sweep arm and square",
    "5 thou out of square over 3 in, corner closed",
    "locks were tight",
    "sweep over 12 inches is 14 thou more at the front than at the back",
)


@pytest.fixture
def mill() -> str:
    Machines().new("corner-mill", "knee_mill").close()
    return "corner-mill"


def talk(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], words: str, *lines: str
) -> tuple[int, str, str]:
    feed = "".join(line + "\n" for line in lines).encode()
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(feed)))
    capsys.readouterr()
    status = main(words.split())
    out, err = capsys.readouterr()
    return status, out, err


def test_a_case_leaves_its_readings_and_the_next_one_starts_from_them(
    mill: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    first = f"--machine {mill} talk --case {tmp_path / 'a.case'}"
    status, out, err = talk(monkeypatch, capsys, first, *JOB)
    assert (status, err) == (OK, "")
    assert out.rstrip().endswith("Kept for corner-mill: 1 reading.")
    assert "says nothing yet" in out
    # The same once more, and named after the command: nothing is kept twice.
    status, out, err = talk(monkeypatch, capsys, f"talk --machine {mill} --case {tmp_path / 'a.case'}", "why")
    assert (status, err) == (OK, "")
    assert "Kept for" not in out
    with Machines().open(mill, write=False) as record:
        assert [(entry.kind, entry.id) for entry in record.entries] == [("reading", "sweep_y")]
    status, out, err = talk(monkeypatch, capsys, f"talk --machine {mill} --case {tmp_path / 'b.case'}", "hello there")
    assert "Starting from the record of corner-mill." in out
    assert "head nod" in out
    assert "thou over 12 in" in out


def test_the_first_object_of_the_seam_says_what_the_case_starts_from(
    mill: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    talk(monkeypatch, capsys, f"--machine {mill} talk", *JOB)
    status, out, err = talk(monkeypatch, capsys, f"talk --json --machine {mill}", '{"setup": {"passes": 1}}')
    assert (status, err) == (OK, "")
    turns: list[dict[str, Any]] = [json.loads(line) for line in out.splitlines()]
    assert turns[0]["turn"] == 0
    assert turns[0]["says"][0] == "Starting from the record of corner-mill."
    assert turns[1]["says"] == []


def test_what_is_due_is_offered_in_one_line(
    mill: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    main(["machine", "add", mill, "sweep reads 0.2 mm more at the left over 300 mm", "--on", "2020-01-07"])
    _, out, _ = talk(monkeypatch, capsys, f"talk --json --machine {mill}")
    due = [line for line in json.loads(out)["says"] if line.startswith("Due for a look: ")]
    assert len(due) == 1
    assert "spindle sweep" in due[0].lower()
    assert due[0].endswith("askew machine due corner-mill says why.")


def test_the_usual_machine_comes_from_the_configuration(
    mill: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    assert main(["config", f"machine={mill}"]) == OK
    _, out, _ = talk(monkeypatch, capsys, "talk --json")
    assert "corner-mill" in json.loads(out)["says"][0]
    # A case that began without it stays without it, and nobody is told off.
    monkeypatch.setenv("ASKEW_CONFIG", str(tmp_path / "none.toml"))
    talk(monkeypatch, capsys, f"talk --case {tmp_path / 'a.case'}", JOB[0])
    monkeypatch.setenv("ASKEW_MACHINE", mill)
    status, _, err = talk(monkeypatch, capsys, f"talk --case {tmp_path / 'a.case'}", "why")
    assert (status, err) == (OK, "")
    status, _, err = talk(monkeypatch, capsys, f"talk --machine {mill} --case {tmp_path / 'a.case'}", "why")
    assert status == OK
    assert "began without a machine's record" in err


@pytest.mark.parametrize(
    ("words", "status", "says"),
    [
        (["talk", "--machine", "nowhere"], NO_CASE, "Begin one: askew machine new nowhere"),
        (["talk", "--machine", "../etc"], USAGE, "small letters"),
        (["--machine", "corner-mill", "explain", "nod"], USAGE, "goes with the talk"),
        (["config", "machine=No Such"], USAGE, "small letters"),
    ],
)
def test_a_machine_that_is_none_is_one_sentence(
    words: list[str], status: int, says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(words) == status
    err = capsys.readouterr().err
    assert says in err
    assert err.count("\n") == 1


def test_a_configured_machine_without_a_record_is_only_told(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("ASKEW_MACHINE", "gone-mill")
    status, out, err = talk(monkeypatch, capsys, "talk --json", "hollow along the feed by 0.05 mm over 90 mm")
    assert status == OK
    assert len(out.splitlines()) == 2
    assert "The configuration names it" in err


def test_the_name_is_kept_with_the_bench_and_is_no_setup_fact() -> None:
    known = load()
    bench_file().parent.mkdir(parents=True, exist_ok=True)
    bench_file().write_text(json.dumps({"machine": "knee_mill", NAMED: "corner-mill"}))
    kept = read_bench(bench_file())
    assert in_words(kept, known).startswith("corner-mill; ")
    assert json.loads(as_line(kept)) == {"setup": {"machine": "knee_mill"}}
    bench_file().write_text(json.dumps({NAMED: "../x"}))
    assert read_bench(bench_file()) == {}


def test_the_chat_knows_the_word() -> None:
    for line in ("on machine corner-mill", "use the machine corner-mill", "start on machine corner-mill"):
        own = local(line)
        assert own is not None
        assert (own[0].id, own[1]) == ("machine", "corner-mill")
    assert local("the machine is a knee mill") is None


def test_nobody_named_a_machine() -> None:
    assert wished(argparse.Namespace()) is None
    with pytest.raises(Refusal):
        wished(argparse.Namespace(on_machine="Corner Mill"))
