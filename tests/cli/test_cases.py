"""The cases on record, seen from the command line."""

import argparse
import json
import os
import time
from pathlib import Path

import pytest

from askew.cli import cases
from askew.cli.exits import NO_CASE, OK, Refusal
from askew.engine.record.store import Store
from askew.engine.safe import is_safe


def run(*words: str) -> int:
    parser = argparse.ArgumentParser()
    cases.add_arguments(parser)
    return cases.run(parser.parse_args(words))


@pytest.fixture
def store(home: Path) -> Store:
    """Return a store with a closed case, and an open one in which something was undone."""
    store = Store()
    machine = {"kind": "setup", "key": "machine", "value": "knee_mill"}
    out = {"kind": "reading", "id": "face_out_of_square", "value": 0.05, "words": "2 thou out"}
    with store.new("knee_mill") as journal:
        journal.append(
            "turn", {"text": "a knee mill, 2 thou out of square", "facts": [machine, out], "unit": "thou"}
        )
        journal.append("summary", {"state": "closed", "complaint": out["id"], "causes": ["jaw_lift"]})
    with store.new("bench_mill") as journal:
        journal.append(
            "turn", {"text": "hollow\u202e", "facts": [{"kind": "reading", "id": "hollow_across"}]}
        )
        journal.append("turn", {"text": "a slip", "facts": []})
        journal.append("undo", {"turns": 1})
    return store


def test_list_says_how_each_case_stands(store: Store, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("list") == OK
    text = capsys.readouterr().out
    assert "state: closed, 1 turn" in text
    assert "cause: jaw lift" in text
    assert "said first: hollow\ufffd" in text
    assert all(is_safe(line) for line in text.splitlines())


def test_no_action_lists(store: Store, capsys: pytest.CaptureFixture[str]) -> None:
    assert run() == OK
    bare = capsys.readouterr().out
    assert run("list") == OK
    assert capsys.readouterr().out == bare


@pytest.mark.parametrize(
    ("words", "count"),
    [
        (["--machine", "knee"], 1),
        (["--cause", "jaw lift"], 1),
        (["--text", "slip"], 0),
        (["--state", "open"], 1),
        (["--since", "2000"], 2),
        (["--until", "2000-01-01"], 0),
    ],
)
def test_list_as_json_with_search(
    store: Store, capsys: pytest.CaptureFixture[str], words: list[str], count: int
) -> None:
    assert run("list", "--json", *words) == OK
    out = capsys.readouterr().out
    assert out.isascii()
    assert len(json.loads(out)["cases"]) == count


def test_a_date_that_is_none_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        run("list", "--since", "yesterday")
    assert "is not a date like 2026-05-01" in capsys.readouterr().err


def test_nothing_on_record_is_said(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("list") == OK
    assert "There are no cases yet" in capsys.readouterr().out
    assert run("list", "--machine", "x") == OK
    assert "No case fits." in capsys.readouterr().out
    with pytest.raises(Refusal, match="no case to export"):
        run("export", "--to", str(home / "out"))


def test_show_gives_everything_said_and_marks_what_was_taken_back(
    store: Store, capsys: pytest.CaptureFixture[str]
) -> None:
    name = store.paths()[0].stem
    assert run("show", name) == OK
    text = capsys.readouterr().out
    assert "turn (taken back): a slip" in text
    assert "kind reading, id hollow_across" in text
    assert "turns 1" in text
    assert run("show", "--json", str(store.paths()[0])) == OK
    shown = json.loads(capsys.readouterr().out)
    assert [record["stands"] for record in shown["records"]] == [True, False, False]
    with pytest.raises(Refusal, match="There is no case"):
        run("show", "nothing")


def test_out_of_one_home_and_into_another(
    store: Store, home: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    assert run("export", "--to", str(home / "all")) == OK
    assert capsys.readouterr().out.count("was exported") == 2
    with pytest.raises(Refusal, match="exists already"):
        run("export", "--to", str(home / "all"))
    monkeypatch.setenv("ASKEW_HOME", str(home / "other"))
    assert run("import", "--json", str(home / "all")) == OK
    assert len(json.loads(capsys.readouterr().out)["imported"]) == 2
    assert [path.name for path in Store().paths()] == [path.name for path in store.paths()]
    (home / "all").write_bytes((home / "all").read_bytes()[:-5])
    with pytest.raises(Refusal, match="cut short") as caught:
        run("import", str(home / "all"))
    assert caught.value.status == NO_CASE


def test_check_says_what_it_found(store: Store, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("check") == OK
    assert "2 files checked, 0 damaged." in capsys.readouterr().out
    with store.new() as journal:
        fact = {"kind": "reading", "id": "smell", "value": 1}
        journal.append("turn", {"text": "smells", "facts": [fact]})
    damaged = store.paths()[0]
    damaged.write_bytes(damaged.read_bytes().replace(b"slip", b"clip"))
    assert run("check") == NO_CASE
    text = capsys.readouterr().out
    assert f"{damaged.stem}: DAMAGED, 2 entries" in text
    assert 'no reading "smell" any more' in text
    assert "3 files checked, 1 damaged." in text
    assert run("check", "--json") == NO_CASE
    assert json.loads(capsys.readouterr().out)["sound"] is False


def test_hostile_content_prints_nothing_that_acts(
    store: Store, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    nasty = "\x1b]0;gone\x07\x9b2J\u202e\u2066[bold red]\r\n\x00"
    with store.new() as journal:
        fact = {"kind": "reading", "id": nasty, nasty: [nasty, {"deep": nasty}], "value": nasty}
        journal.append("turn", {"text": nasty, "facts": [fact], nasty: 1})
        journal.append("note", {"text": nasty, "x": {"y": [nasty]}})
        journal.append("summary", {"state": "open", "complaint": nasty, "causes": [nasty]})
        assert journal.path is not None
        name = journal.path.stem
    # as bytes a program other than this one could have written
    raw = store.folder / f"{name}.jsonl"
    assert all(byte >= 0x20 or byte == 0x0A for byte in raw.read_bytes())
    monkeypatch.setenv("TZ", "UTC")
    if hasattr(time, "tzset"):
        time.tzset()
    for words in (["list"], ["show", name], ["check"]):
        run(*words)
        for line in capsys.readouterr().out.split("\n"):
            assert is_safe(line), (words, line)
            assert "[bold red]" in line or "bold" not in line
        run(*words, "--json")
        out = capsys.readouterr().out
        assert out.isascii()
        assert out.count("\n") == 1
        assert out.rstrip("\n").isprintable()


@pytest.mark.skipif(os.name != "posix", reason="modes are a matter of POSIX systems")
def test_what_is_exported_is_private(store: Store, home: Path) -> None:
    run("export", store.paths()[0].stem, "--to", str(home / "one"))
    assert (home / "one").stat().st_mode & 0o777 == 0o600
