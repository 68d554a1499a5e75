"""What was heard is said back in the person's unit with plain direction words."""

from __future__ import annotations

from types import ModuleType

import pytest

from askew.engine.language import read
from askew.engine.language.echo import echo
from askew.engine.observations import Command, Reading, SetupFact, Sign


@pytest.mark.parametrize(
    ("text", "unit", "line"),
    [
        ("corner closed 12 thou over 4 inches", "in", "corner closed by 12 thou over 4 in"),
        ("corner closed 12 thou over 4 inches", "mm", "corner closed by 0.305 mm over 101.6 mm"),
        ("front edge rises at least 3 thou when tightened", "in", "front edge rises by at least 3 thou"),
        ("corner closed at least 5 thou", "in", "corner closed by at least 5 thou"),
        ("corner open between 3 and 5 thou", "in", "corner open by 3 thou to 5 thou"),
        ("it's 15 thou out of square", "in", "by 15 thou, which way not said"),
        ("it's out of square", "in", "no number yet"),
        ("took the bar out", "in", "took the bar or packing away"),
        ("alu", "mm", "material: aluminium"),
    ],
)
def test_echo(text: str, unit: str, line: str) -> None:
    assert line in echo(read(text).facts, unit)  # type: ignore[arg-type]


def test_nothing_heard_is_nothing_said() -> None:
    assert echo(()) == ""


def test_every_kind_is_said() -> None:
    facts = (
        Sign("heel_marks", "right"),
        SetupFact("passes", 2),
        SetupFact("overrun", True),
        Command("why", "jaw_lift"),
        Reading("runout", 0.0),
    )
    line = echo(facts, "in")
    assert "passes: 2" in line
    assert "jaw lift" in line
    assert "none" in line


def test_every_labelled_fact_can_be_said_back(labelled: ModuleType) -> None:
    for half in ("tuning", "final"):
        for utterance in labelled.load(half):
            for fact in utterance.facts:
                for unit in ("in", "mm", None):
                    line = echo((fact,), unit)
                    assert line
                    assert "\n" not in line
