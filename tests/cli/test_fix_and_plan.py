"""`askew fix` and `askew plan` as a person types them."""

from __future__ import annotations

import json

import pytest

from askew.cli.exits import NO_CASE, REFUSED, USAGE
from askew.cli.main import main

TRAM = ["fix", "tram", "--reads=5.5thou", "--over", "24in", "--need", "1thou"]
EVERY_TOPIC = [
    TRAM,
    ["fix", "shim", "bed_tilt_y", "--out=-0.04mm", "--over", "100mm", "--hinge", "140mm"],
    ["fix", "vise", "--reads=-3thou", "--over", "6in"],
    ["fix", "clamp", "--diameter", "50mm", "--material", "alloy_steel"],
    [
        "fix",
        "hollow",
        "--wall",
        "4mm",
        "--length",
        "80mm",
        "--depth",
        "50mm",
        "--height",
        "50mm",
        "--material",
        "aluminium",
    ],
    ["fix", "lift", "jaw_lift", "--rise", "0.1mm", "--depth", "60mm", "--height", "60mm"],
    ["fix", "square", "--one=3thou", "--other=-1thou", "--over", "4in"],
    ["fix", "lever", "--reads", "10thou", "--angle", "30"],
    [
        "fix",
        "cool",
        "50mm",
        "60mm",
        "100mm",
        "--warmer",
        "20",
        "--material",
        "aluminium",
        "--tolerance",
        "0.02mm",
    ],
    ["fix", "block", "30mm", "50mm", "100mm"],
]


@pytest.mark.parametrize("line", EVERY_TOPIC, ids=lambda line: line[1])
def test_every_topic_answers_in_words_and_in_json(line, capsys):
    assert main(line) == 0
    words = capsys.readouterr().out
    assert "Take care" in words
    assert "machine's own manual" in words
    assert max(len(row) for row in words.splitlines()) <= 80
    assert main([*line, "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["steps"]
    assert answer["cautions"]
    assert all(reading["low"] <= reading["high"] for reading in answer["predicts"])


def test_the_answer_is_in_the_unit_that_was_typed(capsys):
    main(TRAM)
    assert "2.8 thou" in capsys.readouterr().out
    main([*TRAM, "--unit", "mm"])
    assert "0.070 mm" in capsys.readouterr().out


def test_numbers_do_not_hang_on_the_unit(capsys):
    main([*TRAM, "--json"])
    inch = json.loads(capsys.readouterr().out)["numbers"]
    main(["fix", "tram", "--reads=0.1397mm", "--over", "609.6mm", "--need", "0.0254mm", "--json"])
    metric = json.loads(capsys.readouterr().out)["numbers"]
    assert inch == pytest.approx(metric)


def test_earlier_rounds_move_the_aim(capsys):
    main([*TRAM, "--round", "0thou", "4thou", "--round", "0thou", "4thou", "--json"])
    numbers = json.loads(capsys.readouterr().out)["numbers"]
    assert numbers["move"] == pytest.approx(8 / 3 * 0.0254)
    assert numbers["snug"] == pytest.approx(-8 / 3 * 0.0254)


@pytest.mark.parametrize(
    ("line", "status", "said"),
    [
        (["fix", "tram", "--reads", "5.5", "--over", "24in"], USAGE, "needs a unit"),
        (["fix", "tram", "--reads", "much", "--over", "24in"], USAGE, "is no length"),
        (["fix", "tram", "--reads", "1thou", "--over", "0in"], REFUSED, "must be more than zero"),
        (
            ["fix", "shim", "tram", "--out", "1thou", "--over", "4in", "--hinge", "4in"],
            REFUSED,
            "does not serve",
        ),
        (
            ["fix", "shim", "nod", "--out", "1thou", "--over", "0in", "--hinge", "4in"],
            USAGE,
            "more than zero",
        ),
        (["fix", "lever", "--reads", "1thou", "--angle", "89"], REFUSED, "0 to 75"),
        (["fix", "cool", "1mm", "1mm", "1mm", "--warmer", "5", "--material", "cheese"], USAGE, "material"),
        (["fix", "remedy", "tram_head", "--for", "tram", "--case", "nowhere.case"], NO_CASE, "no case file"),
        (["plan"], REFUSED, "needs a tolerance"),
        (["plan", "--square", "1thou", "--tool", "face_mill"], USAGE, "names no cutter"),
        (["plan", "--square", "1thou", "--sure", "2"], REFUSED, "between 0 and 1"),
    ],
)
def test_what_cannot_be_is_one_sentence(line, status, said, capsys):
    assert main(line) == status
    heard = capsys.readouterr()
    assert said in heard.err
    assert heard.err.startswith("askew: ")
    assert len(heard.err.splitlines()) == 1
    assert heard.out == ""


def test_a_plan_ranks_by_minutes_and_says_its_chances(capsys):
    line = [
        "plan",
        "--square",
        "0.5mm",
        "--across",
        "60mm",
        "--along",
        "90mm",
        "--tool",
        "80mm face mill carbide",
    ]
    assert main([*line, "--tool", "16mm", "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    minutes = [way["minutes"] for way in answer["holding"]]
    assert minutes
    assert minutes == sorted(minutes)
    assert answer["holding"][0]["cutter"] == {"diameter": 80.0, "kind": "face_mill", "teeth": 5}


def test_a_plan_that_cannot_be_says_so(capsys):
    assert main(["plan", "--square", "1um", "--across", "60mm", "--tool", "80mm face_mill"]) == 0
    said = capsys.readouterr().out
    assert "None holds; the nearest" in said
    assert "What limits it is squareness" in said


def test_flatness_of_points_from_a_file(tmp_path, capsys):
    file = tmp_path / "points.csv"
    file.write_text("x,y,z\n0,0,0.01\n10,0,-0.01\n10,10,0.01\n0,10,-0.01\n", encoding="utf-8")
    assert main(["fix", "flat", str(file), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["flatness"] == pytest.approx(0.02)
    file.write_text("0,0,0\n1,0,zero\n", encoding="utf-8")
    assert main(["fix", "flat", str(file)]) == REFUSED
    assert "Line 2" in capsys.readouterr().err
    assert main(["fix", "flat", str(tmp_path / "none.csv")]) == REFUSED


@pytest.fixture
def case_file(tmp_path):
    from askew.cli import door

    path = tmp_path / "plate.case"
    opened = door.open_file(path)
    for line in (
        '{"setup": {"machine": "knee_mill", "cutter_diameter": 80, "passes": 1, "part_across": 60, "part_along": 90,'
        ' "part_height": 60, "part_depth": 60, "grip_height": 40, "tolerance": 0.03}}',
        '{"reading": "face_out_of_square", "value": -0.2, "over": 60}',
        '{"reading": "clamp_rise", "value": 0.2}',
    ):
        assert opened.consultation.say(line).error is None
    opened.close()
    return path


def test_a_case_gives_its_remedy_and_its_proof(case_file, capsys):
    before = case_file.read_bytes()
    assert main(["fix", "remedy", "tap_down_snug", "--for", "jaw_lift", "--case", str(case_file)]) == 0
    assert "A front edge up by" in capsys.readouterr().out
    proof = ["fix", "proof", "face_out_of_square", "--for", "jaw_lift", "--case", str(case_file), "--json"]
    assert main([*proof, "--reads=-0.19mm"]) == 0
    assert json.loads(capsys.readouterr().out)["judgement"]["outcome"] == "reopened"
    assert main([*proof, "--reads=0.005mm"]) == 0
    assert json.loads(capsys.readouterr().out)["judgement"]["outcome"] == "closed"
    assert main(["plan", "--square", "0.3mm", "--case", str(case_file)]) == 0
    assert "No case was given" not in capsys.readouterr().out
    assert main(["fix", "block", "30mm", "50mm", "100mm", "--case", str(case_file)]) == 0
    assert case_file.read_bytes() == before
