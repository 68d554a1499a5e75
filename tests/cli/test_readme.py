"""README.md says what the program says, and its commands are the ones that are run."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import capture
import pytest

from askew.cli.chat.first import EXAMPLES, first_screen
from askew.cli.demo import SAID
from askew.cli.main import main
from askew.cli.view import View
from askew.engine.language import read

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def figures_aside(text: str) -> str:
    """Return a text with its figures and bars left open: another processor may round otherwise."""
    return re.sub(r"[\u2588\u2591]+", "|", re.sub(r"[0-9]+(?:\.[0-9]+)?", "#", text))


def figures(text: str) -> list[float]:
    """Return the figures of a text."""
    return [float(figure) for figure in re.findall(r"[0-9]+(?:\.[0-9]+)?", text)]


def test_the_captured_parts_are_what_the_program_says_now() -> None:
    now = capture.filled(README)
    assert figures_aside(now) == figures_aside(README), "run: python tests/cli/capture.py"
    for new, old in zip(figures(now), figures(README), strict=True):
        assert new == pytest.approx(old, rel=0.1, abs=1.01)


@pytest.mark.parametrize("which", ["run", "test"])
def test_each_of_the_two_commands_is_one_line_found_by_the_checks(which: str) -> None:
    done = subprocess.run(
        [sys.executable, str(ROOT / ".ci" / "readme_command.py"), which],
        capture_output=True,
        text=True,
        check=True,
        cwd=ROOT,
    )
    assert done.stdout.count("\n") == 1
    assert done.stdout.startswith("python3 -m venv .venv && ")
    assert done.stdout.strip().endswith({"run": "askew --demo", "test": "pytest"}[which])


def test_the_licences_of_everything_it_depends_on_are_named() -> None:
    project = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    block = project[project.index("dependencies = [") : project.index("[project.scripts]")]
    wanted = set(re.findall(r'"([A-Za-z0-9_]+)>=', block.split("outside =")[0]))
    assert len(wanted) > 20
    missing = {name for name in wanted if name.lower() not in README.lower()}
    assert not missing


def test_the_demo_plays_to_the_end_at_every_width(capsys: pytest.CaptureFixture[str]) -> None:
    for width in (40, 100):
        assert main(["--demo", "--width", str(width)]) == 0
        out = capsys.readouterr().out
        assert max(map(len, out.splitlines())) <= width
        assert "Not taken" not in out
        assert "NOT SAVED" not in out
        assert "The case is closed" in out
        for line in SAID:
            assert line.split()[0] in out


def test_the_first_screen_is_three_lines_a_question_and_two_sentences_that_are_understood() -> None:
    screen = ["".join(part.text for part in line) for line in first_screen(View(width=40))]
    assert screen.index("") == 3
    assert screen[4].endswith(":")
    assert len(EXAMPLES) == 2
    for example in EXAMPLES:
        heard = read(example)
        assert heard.facts
        assert not heard.unread
