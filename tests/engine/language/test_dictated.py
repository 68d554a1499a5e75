"""Words written down by their sound are set right only where what stands around them calls for it."""

import pytest

from askew.engine.language.clauses.slips import mended
from askew.engine.language.words.tokens import tokenize


def heard(text: str) -> str:
    return " ".join(token.text for token in mended(tokenize(text)))


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("out by for thou", "out by four thou"),
        ("twenty to thou", "twenty two thou"),
        ("too and a half inches", "two and a half inches"),
        ("the gib is lose", "the gib is loose"),
        ("back side hi", "back side high"),
        ("mild steal", "mild steel"),
        ("the board hole", "the bored hole"),
        ("marks going left to write", "marks going left to right"),
    ],
)
def test_what_only_sounds_like_it_is_set_right(text: str, meant: str) -> None:
    assert heard(text) == meant


@pytest.mark.parametrize(
    "text",
    [
        "switch to mm",
        "is this for mm or inches",
        "down to tenths",
        "for the thou",
        "hi there",
        "do not lose it",
        "they steal tools",
        "on board the boat",
        "i have to write it down",
        "we won and ate well",
    ],
)
def test_plain_words_stay_as_they_are(text: str) -> None:
    assert heard(text) == text


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("D63 face mill", "dia 63 mm face mill"),
        ("end mill D16", "end mill dia 16 mm"),
        ("D2 block, end mill", "d2 block , end mill"),
        ("drawing D63", "drawing d63"),
    ],
)
def test_a_diameter_by_its_letter_is_one_beside_a_cutter(text: str, parts: str) -> None:
    assert heard(text) == parts
