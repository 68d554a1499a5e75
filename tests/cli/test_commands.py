"""The commands of the program: one table, and everything that is made from it."""

from __future__ import annotations

import os
import re
import shlex
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from askew.cli.exits import MEANING, REFUSED, USAGE, Refusal
from askew.cli.main import main
from askew.cli.man import page
from askew.cli.parser import build
from askew.cli.registry import COMMANDS, ProgramCommand
from askew.cli.settings import SETTINGS
from askew.knowledge.load import load

ROOT = Path(__file__).parents[2]


def help_of(*words: str, capsys: pytest.CaptureFixture[str]) -> str:
    """Return what a --help prints."""
    with pytest.raises(SystemExit) as stop:
        main([*words, "--help"])
    assert stop.value.code == 0
    return capsys.readouterr().out


@pytest.mark.parametrize("command", COMMANDS.values(), ids=lambda command: command.name)
def test_every_command_has_help_examples_and_exit_statuses(
    command: ProgramCommand, capsys: pytest.CaptureFixture[str]
) -> None:
    text = help_of(command.name, capsys=capsys)
    assert " ".join(command.explain.split()) in " ".join(text.split())
    for line, why in command.examples:
        assert line in text
        assert why in text
    for status, meaning in MEANING.items():
        assert re.search(rf"^ *{status} +{re.escape(meaning)}$", text, re.MULTILINE)


@pytest.mark.parametrize("command", COMMANDS.values(), ids=lambda command: command.name)
def test_every_example_is_a_command_line_that_parses(command: ProgramCommand) -> None:
    assert command.examples
    for line, _ in command.examples:
        words = shlex.split(re.split(r" [<>&|] | && | > ", line.split(" | ")[-1])[0])
        assert words[0] == "askew"
        args = build().parse_args(words[1:])
        assert args.command == command.name


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_is_in_the_help_the_manual_the_completion_and_the_readme(
    name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert re.search(rf"^    {name}\b", help_of(capsys=capsys), re.MULTILINE)
    assert f".SS askew {name}" in page()
    for shell in ("bash", "zsh", "tcsh"):
        assert main(["completion", shell]) == 0
        assert name in capsys.readouterr().out
    assert f"`askew {name}`" in (ROOT / "README.md").read_text(encoding="utf-8")


def test_every_setting_and_exit_status_is_in_the_manual() -> None:
    text = page()
    for setting in SETTINGS.values():
        assert f".BR {setting.name} " in text
        assert setting.variable in text
    for status in MEANING:
        assert f".B {status}\n" in text


@pytest.mark.skipif(shutil.which("man") is None, reason="no man here")
def test_the_manual_page_is_accepted_by_man(tmp_path: Path) -> None:
    file = tmp_path / "askew.1"
    file.write_text(page(), encoding="utf-8")
    done = subprocess.run(
        ["man", "--warnings", "-l", str(file)],
        capture_output=True,
        text=True,
        env=os.environ | {"MANWIDTH": "70", "LC_ALL": "C.UTF-8"},
        check=False,
    )
    if "minimized" in done.stdout:
        pytest.skip("man is a stub here")
    assert done.returncode == 0
    assert not done.stderr
    assert "EXIT STATUS" in done.stdout


@pytest.mark.skipif(shutil.which("bash") is None, reason="no bash here")
def test_the_bash_completion_completes(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    assert main(["completion", "bash"]) == 0
    script = tmp_path / "askew.bash"
    script.write_text(capsys.readouterr().out, encoding="utf-8")
    ask = (
        f"source {script}; COMP_WORDS=(askew exp); COMP_CWORD=1; COMP_LINE='askew exp'; COMP_POINT=9; "
        "_shtab_askew askew exp askew; printf '%s ' \"${COMPREPLY[@]}\""
    )
    done = subprocess.run(["bash", "-c", ask], capture_output=True, text=True, check=False)
    assert "explain" in done.stdout.split(), done.stderr


@pytest.mark.parametrize(
    "words",
    [
        ["nonsense"],
        ["--width", "39"],
        ["--width", "wide"],
        ["talk", "--unit", "kg"],
        ["--demo", "talk"],
        ["config", "x=1"],
    ],
)
def test_a_wrong_command_line_ends_with_status_2_and_no_traceback(
    words: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    try:
        status = main(words)
    except SystemExit as stop:
        status = int(stop.code or 0)
    assert status == USAGE
    error = capsys.readouterr().err
    assert "Traceback" not in error
    assert error.strip()


def test_help_of_the_program_needs_nothing_heavy() -> None:
    heavy = ("numpy", "pydantic", "experta", "prompt_toolkit", "rich", "scipy", "jinja2", "askew.knowledge")
    code = (
        "import sys\nfrom askew.cli.main import main\n"
        "try:\n    main(['--help'])\nexcept SystemExit:\n    pass\n"
        f"print([name for name in {heavy!r} if name in sys.modules], file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stderr.strip() == "[]"


def test_a_fault_of_the_program_is_one_sentence(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def fail(*_: object) -> int:
        raise RuntimeError("the \x1b[31mmiddle\x1b[0m fell out")

    monkeypatch.setattr("askew.cli.explain.run", fail)
    assert main(["explain", "nod"]) == REFUSED
    error = capsys.readouterr().err
    assert error.count("\n") == 1
    assert "\x1b" not in error
    assert "the \u241b[31mmiddle" in error
    monkeypatch.setenv("ASKEW_TRACEBACK", "1")
    with pytest.raises(RuntimeError):
        main(["explain", "nod"])


def test_a_refusal_gives_its_sentence_and_its_status(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def refuse(*_: object) -> int:
        raise Refusal("No.", 3)

    monkeypatch.setattr("askew.cli.explain.run", refuse)
    assert main(["explain", "nod"]) == 3
    assert capsys.readouterr().err == "askew: No.\n"


def test_a_reader_that_goes_away_is_no_fault() -> None:
    done = subprocess.run(
        ["bash", "-c", f"{sys.executable} -m askew.cli.main explain --list | head -n 1"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert "Traceback" not in done.stderr
    assert "Exception ignored" not in done.stderr


def test_a_case_file_that_is_none_is_refused_with_its_status(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "shopping.txt"
    file.write_text("eggs\n")
    assert main(["talk", "--json", "--case", str(file)]) == 3
    assert capsys.readouterr().err.count("\n") == 1
    assert file.read_text() == "eggs\n"


def test_the_schema_names_every_form_of_a_line_and_every_part_of_an_answer(
    capsys: pytest.CaptureFixture[str],
) -> None:
    import json

    from askew.engine.said import FORMS
    from askew.engine.seam import Turn

    assert main(["talk", "--schema"]) == 0
    schema = json.loads(capsys.readouterr().out)
    named = {key for form in schema["line"]["oneOf"] for key in form["required"]}
    assert set(FORMS) <= named
    assert set(schema["turn"]["properties"]) == set(Turn.model_fields)
    facts = next(form for form in schema["line"]["oneOf"] if "setup" in form["required"])["properties"]["setup"]
    assert set(facts["properties"]) == set(load().setup)
    assert facts["additionalProperties"] is False
    shapes = {key: value["anyOf"][0]["type"] for key, value in facts["properties"].items()}
    assert shapes["leaves"] == shapes["cutters"] == "array"
    assert shapes["cutter_diameter"] == "number"
