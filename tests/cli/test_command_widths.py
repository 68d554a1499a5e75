"""Every command's screen at many widths: nothing wider than asked, no word cut."""

from __future__ import annotations

from pathlib import Path

import pytest
from test_fix_and_plan import EVERY_TOPIC

from askew.cli.main import main
from askew.engine.consult import Consultation
from askew.engine.record.journal import Journal

WIDTHS = (40, 43, 48, 53, 59, 60, 64, 72, 80, 96, 120)
WHOLE = (400, 59)
"""Widths at which every word stands whole: side by side, and stacked."""
SAID = (
    '{"setup": {"machine": "knee_mill", "cutter_diameter": 80, "passes": 1, "part_across": 60, "part_along": 90}}',
    "closed corner, 9 thou over 2.5 in", "round bar at the moving jaw", "the front edge rises 8 thou when I tighten",
    "without the bar the front edge rises half a thou",
)  # fmt: skip
MARKS = ".,:;()[]\"'#*+-=|_<>^~\u2588\u2591\u2502\u2500\u250a\u2550\u25cf\u2592"


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Make a home with a machine that has a few readings and a case with a verdict."""
    monkeypatch.setenv("ASKEW_HOME", str(tmp_path))
    monkeypatch.setenv("ASKEW_CONFIG", str(tmp_path / "config.toml"))
    monkeypatch.chdir(tmp_path)
    assert main(["machine", "new", "corner-mill", "knee_mill"]) == 0
    for year in (2031, 2032, 2033):
        words = f"sweep reads {year - 2030} thou more at the left over 12 in"
        assert main(["machine", "add", "corner-mill", words, "--on", f"{year}-04-07"]) == 0
    (tmp_path / "cases").mkdir(exist_ok=True)
    with Journal.open(tmp_path / "cases" / "jig.jsonl", create=True) as journal:
        consultation = Consultation(journal)
        for line in SAID:
            assert consultation.say(line).error is None
    (tmp_path / "face.csv").write_text("x,y,z\n0,0,0\n60,0,0.01\n0,60,0.02\n60,60,0.01\n", encoding="utf-8")
    return tmp_path


LINES: tuple[list[str], ...] = (
    *EVERY_TOPIC,
    ["fix", "flat", "face.csv"],
    ["fix", "remedy", "no_bar", "--for", "off_centre_push", "--case", "cases/jig.jsonl"],
    ["fix", "proof", "face_out_of_square", "--for", "off_centre_push", "--case", "cases/jig.jsonl", "--reads=1thou"],
    ["foresee", "2 in cutter, 3 passes", "--source", "tram=40thou/24in"],
    ["foresee", "--needed", "face_out_of_square=15thou"],
    ["machine", "list"], ["machine", "show", "corner-mill"], ["machine", "show", "corner-mill", "--entries"],
    ["machine", "due", "corner-mill"], ["machine", "priors", "corner-mill"],
    ["cases", "list"], ["cases", "show", "jig"], ["cases", "check"],
    ["report", "jig", "--screen"],
    ["config"], ["explain", "--list"], ["explain", "nod"], ["explain", "zzz"],
)  # fmt: skip


def shown(line: list[str], width: int, capsys: pytest.CaptureFixture[str], *more: str) -> str:
    main([*line, "--width", str(width), *more])
    return capsys.readouterr().out


def words(text: str) -> set[str]:
    return {bare for word in text.split() if (bare := word.strip(MARKS))}


@pytest.mark.parametrize("line", LINES, ids=lambda line: " ".join(line[:3])[:40])
def test_no_command_writes_wider_than_asked_or_cuts_a_word(
    line: list[str], shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    del shop
    whole: set[str] = set()
    for width in WHOLE:
        for more in ((), ("--linear",)):
            whole |= words(shown(line, width, capsys, *more))
    for width in WIDTHS:
        for more in ((), ("--ascii",)) if width in (40, 60) else ((),):
            text = shown(line, width, capsys, *more)
            wide = [row for row in text.splitlines() if len(row) > width]
            assert not wide, f"at {width}: {wide[0]}"
            assert text.isascii() or not more
            cut = words(text) - whole
            assert not {word for word in cut if word.isalpha()}, f"at {width}: {cut}"


@pytest.mark.parametrize("width", [40, 60, 100])
def test_a_plan_fits_too(width: int, shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    del shop
    text = shown(["plan", "--square", "9thou", "--across", "2in", "--tool", "3in face_mill"], width, capsys)
    assert "How to hold the drawing" in text
    assert all(len(row) <= width for row in text.splitlines())


def test_a_remedy_goes_by_what_made_the_cut_even_once_it_is_gone(
    shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The bar is out already; what it did to the cut complained of is still what is worked out."""
    del shop
    line = ["fix", "remedy", "no_bar", "--for", "off_centre_push", "--case", "cases/jig.jsonl"]
    text = " ".join(shown(line, 80, capsys).split())
    assert "A front edge up by" in text
    assert "up by 0 thou" not in text
    assert main([*line[:2], "no_prayer", *line[3:]]) != 0
    assert "no remedy called" in capsys.readouterr().err
