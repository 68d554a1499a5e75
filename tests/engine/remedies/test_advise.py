from __future__ import annotations

import re

import pytest

from askew.engine.remedies.advise import advise
from askew.engine.remedies.arithmetic import ARITHMETIC
from askew.engine.remedies.draws import usual
from askew.engine.remedies.result import RemedyError
from askew.engine.setup import Setup
from askew.knowledge.load import load

SETUP = Setup(
    machine="knee_mill",
    material="mild_steel",
    cutter_diameter=80.0,
    passes=1,
    part_across=60.0,
    part_along=90.0,
    part_height=60.0,
    part_depth=60.0,
    grip_height=40.0,
    tolerance=0.03,
)
PAIRS = [(remedy, source) for remedy, kind in load().remedies.items() for source in kind.serves]
ONE_EACH = list(
    {
        (load().remedies[r].arithmetic, s): (r, s)
        for r, s in PAIRS
        if load().remedies[r].arithmetic != "plan"
    }.values()
)
DRAWS = usual(150, SETUP)


def size_of(source: str) -> tuple[float, float, float]:
    return (8e-4, 6e-4, 1e-3) if load().sources[source].unit == "slope" else (0.1, 0.06, 0.14)


def test_every_arithmetic_named_is_reckoned():
    assert {kind.arithmetic or "none" for kind in load().remedies.values()} <= set(ARITHMETIC)


@pytest.mark.parametrize(("remedy", "source"), PAIRS)
def test_every_remedy_of_every_source_is_worked_out(remedy, source):
    advice = advise(source, remedy, size_of(source), SETUP, "mm", DRAWS)
    assert len(advice.lines) > 1
    assert "nan" not in " ".join(advice.lines)
    assert set(advice.cautions) >= set(load().remedies[remedy].cautions)
    assert set(advice.cautions) <= set(load().cautions)
    for reading, (low, high) in advice.predicts.items():
        assert reading in load().readings
        assert low < high


@pytest.mark.parametrize(("remedy", "source"), [*ONE_EACH, ("feed_other_axis", "tram")])
def test_inch_people_hear_no_millimetres_and_the_others_no_thou(remedy, source):
    # Steps kept as prose in the knowledge base name both or neither and stand as they are.
    prose = " ".join(load().remedies[remedy].how)
    for habit, foreign in (("in", r"\bmm\b"), ("mm", r"\bthou\b")):
        lines = advise(source, remedy, size_of(source), SETUP, habit).lines
        assert not [line for line in lines if re.search(foreign, line) and line not in prose]


def test_a_verdict_on_the_head_gets_its_numbers():
    """0.8 mrad over the usual 200 mm sweep is 0.16 mm; half of it at the needle."""
    text = " ".join(advise("tram", "tram_head", (8e-4, 6e-4, 1e-3), SETUP, "mm").lines)
    assert "0.160 mm over 200 mm" in text
    assert "tap until it reads 0.080 mm" in text


def test_the_direction_is_said_to_be_uncertain_where_it_is():
    unsure = advise("tram", "tram_head", (8e-4, -2e-4, 2e-3), SETUP, "mm").lines
    assert any("direction is not certain" in line for line in unsure)
    sure = advise("tram", "tram_head", (8e-4, 6e-4, 1e-3), SETUP, "mm").lines
    assert not any("direction is not certain" in line for line in sure)


def test_a_known_wall_uses_the_frame():
    hollow = SETUP.having(wall=4.0, material="aluminium")
    advice = advise("wall_squeeze", "plug_hollow", (0.1, 0.08, 0.12), hollow, "mm", DRAWS)
    assert "Empty it bears" in " ".join(advice.lines)
    assert "wall is not known" in " ".join(
        advise("wall_squeeze", "plug_hollow", (0.1, 0.08, 0.12), SETUP, "mm").lines
    )


def test_a_wall_that_no_part_has_is_said_and_the_steps_stand():
    advice = advise("wall_squeeze", "plug_hollow", (0.1, 0.08, 0.12), SETUP.having(wall=29.0), "mm")
    assert any("wall must be" in line for line in advice.lines)
    assert any(line in load().remedies["plug_hollow"].how for line in advice.lines)


def test_a_work_round_mends_nothing_and_proves_nothing_mended():
    assert advise("tram", "feed_other_axis", (8e-4, 6e-4, 1e-3), SETUP, "mm", DRAWS).proofs == ()


@pytest.mark.parametrize(("source", "remedy"), [("tram", "prayer"), ("gremlins", "tram_head")])
def test_what_does_not_exist_is_refused(source, remedy):
    with pytest.raises(RemedyError):
        advise(source, remedy, (0.1, 0.0, 0.2), SETUP, "mm")
