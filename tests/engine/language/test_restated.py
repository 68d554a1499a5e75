"""What was said wrong and put right in the same breath."""

from __future__ import annotations

import pytest

from askew.engine.language.clauses.restated import restated
from askew.engine.language.words.tokens import tokenize


def _meant(text: str) -> str:
    return " ".join(token.text for token in restated(tokenize(text)))


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("the needle went up 0.02, no, 0.03 mm", "the needle went up 0.03 mm"),
        ("the slot is 20 mm deep, no 22", "the slot is 22 mm deep"),
        ("runout is 8 tenths. Scratch that, 6 tenths", "runout is 6 tenths"),
        ("2 thou over 6 inches, no, over 5 inches", "2 thou over 5 inches"),
        ("the jaw leans forward, no, back, one thou", "the jaw leans back , one thou"),
        ("leans toward me 2 thou. away from me I mean", "leans away from me 2 thou"),
        ("the end is up 3 thou, sorry I read it wrong, 4", "the end is up 4 thou"),
        ("it came up 3, no hang on, 2 thou more", "it came up 2 thou more"),
        ("two passes, wait, three", "three passes"),
        ("it is climb, no, conventional", "it is conventional"),
        ("2, no three, no, four thou", "four thou"),
    ],
)
def test_what_was_meant_stands_for_what_was_wrong(said: str, meant: str) -> None:
    assert _meant(said) == meant


@pytest.mark.parametrize(
    "said",
    [
        "no high spots, no low ones",
        "the corner is open 3 thou, no burrs",
        "a 2 inch cutter, no 4 inch ones in the shop",
        "a step of 2 thou, no 5 thou shim under it",
        "left is 2 thou, right is 3 thou, sorry, no more time",
        "no, 3",
        "did 3 passes, no 3 inch shell mill here",
        "at the left no, at the right yes",
        "it's closed, no open",
        "it is 2 inches wide, sorry about that",
    ],
)
def test_what_was_not_taken_back_stays(said: str) -> None:
    assert _meant(said) == " ".join(token.text for token in tokenize(said))
