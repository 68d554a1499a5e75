"""Settings: where each value comes from, and one sentence for whatever is wrong."""

from __future__ import annotations

from pathlib import Path

import pytest

from askew.cli.exits import USAGE, Refusal
from askew.cli.main import main
from askew.cli.settings import SETTINGS, config_path, gather, read_config, write_config


def test_the_command_line_beats_the_environment_beats_the_file_beats_what_is_shipped(tmp_path: Path) -> None:
    file = tmp_path / "c.toml"
    environment = {"ASKEW_CONFIG": str(file)}
    assert gather({}, environment)["width"].origin == "as shipped"
    file.write_text("width = 50\n")
    assert (gather({}, environment)["width"].value, gather({}, environment)["width"].origin) == (
        50,
        f"file {file}",
    )
    environment["ASKEW_WIDTH"] = "60"
    assert gather({}, environment)["width"].value == 60
    assert gather({}, environment)["width"].origin == "variable ASKEW_WIDTH"
    known = gather({"width": 70}, environment)["width"]
    assert (known.value, known.origin) == (70, "option --width")


@pytest.mark.parametrize(
    ("content", "says"),
    [
        ("width = 39\n", "columns from 40 to 400"),
        ("width = true\n", "columns from 40 to 400"),
        ("linear = 1\n", "true or false"),
        ('unit = "kg"\n', "one of in, mm"),
        ("colour = true\n", "no setting 'colour'"),
        ("width = \n", "not TOML"),
        ("width = 50\nwidth = 60\n", "not TOML"),
        ("a = " + "[" * 5000 + "]" * 5000, "not TOML"),
        ("# " + "x" * 70_000, "larger than 64 KiB"),
    ],
)
def test_a_wrong_file_is_refused_in_one_sentence(tmp_path: Path, content: str, says: str) -> None:
    file = tmp_path / "c.toml"
    file.write_text(content)
    with pytest.raises(Refusal) as refusal:
        read_config(file)
    assert says in str(refusal.value)
    assert refusal.value.status == USAGE
    assert "\n" not in str(refusal.value)


def test_a_file_that_is_not_text_or_not_a_file_is_refused(tmp_path: Path) -> None:
    (tmp_path / "c.toml").write_bytes(b"\xff\xfe")
    with pytest.raises(Refusal, match="not UTF-8"):
        read_config(tmp_path / "c.toml")
    with pytest.raises(Refusal, match="cannot be read"):
        read_config(tmp_path)


def test_a_wrong_variable_is_refused_in_one_sentence() -> None:
    with pytest.raises(Refusal, match="ASKEW_WIDTH is 'wide': give a number of columns"):
        gather({}, {"ASKEW_CONFIG": "/nowhere", "ASKEW_WIDTH": "wide"})


def test_what_is_written_is_read_again_and_the_rest_stays(tmp_path: Path) -> None:
    file = tmp_path / "sub" / "c.toml"
    write_config(file, "width", 48)
    write_config(file, "linear", True)
    write_config(file, "unit", "in")
    assert read_config(file) == {"width": 48, "linear": True, "unit": "in"}
    write_config(file, "width", None)
    assert read_config(file) == {"linear": True, "unit": "in"}


@pytest.mark.parametrize("name", SETTINGS)
def test_the_command_shows_every_setting_and_where_it_came_from(
    name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["config", "ascii=true"]) == 0
    assert main(["config"]) == 0
    shown = capsys.readouterr().out
    assert name in shown
    assert "true (file" in shown
    assert "(as shipped)" in shown
    assert SETTINGS[name].explain.split(";")[0].split(",")[0] in " ".join(shown.split())


@pytest.mark.parametrize("wrong", ["width=wide", "colour=red", "width", "width=12"])
def test_the_command_refuses_a_wrong_setting(wrong: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["config", wrong]) == USAGE
    assert len(capsys.readouterr().err.strip().splitlines()) == 1
    assert not config_path().exists()
