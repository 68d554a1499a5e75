"""`askew trial`: its figures as a table and as JSON, a shop replayed, and what it refuses."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from askew.cli.main import main


def said(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    """Return exit status, output and errors of the program."""
    status = main(("trial", *words))
    out = capsys.readouterr()
    return status, out.out, out.err


def test_the_figures_are_a_table_that_fits(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = said(capsys, "--shops", "2", "--seed", "900", "--exact", "2")
    assert status == 0
    assert "2 shops" in out
    assert "wrongly cleared" in out
    assert "2 small problems" in out
    assert max(map(len, out.splitlines())) <= 80


def test_the_figures_as_json(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    words = (
        "--shops",
        "2",
        "--seed",
        "900",
        "--exact",
        "1",
        "--json",
        "--keep",
        str(tmp_path / "shops.jsonl"),
    )
    status, out, _ = said(capsys, *words)
    assert status == 0
    told = json.loads(out)
    assert told["policies"][0]["policy"] == "askew"
    assert told["policies"][0]["shops"] == 2
    assert told["exact"][0]["ours"] >= told["exact"][0]["best"]
    assert said(capsys, *words)[1] == out  # from the file, without playing again


def test_a_shop_is_replayed(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = said(capsys, "--replay", "901")
    assert status == 0
    assert out.startswith("> ")
    assert "In truth: " in out.splitlines()[-1]


@pytest.mark.parametrize(
    "words",
    [("--shops", "0"), ("--seed", "-1"), ("--replay", "-3"), ("--exact", "-1"), ("--scheduler", "here")],
)
def test_what_cannot_be_is_refused_in_a_sentence(
    capsys: pytest.CaptureFixture[str], words: tuple[str, ...]
) -> None:
    status, out, err = said(capsys, *words)
    assert status not in (0, 70)
    assert not out
    assert err.strip()
    assert "Traceback" not in err
