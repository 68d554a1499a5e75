"""Signs that are owned not to be known, beside those that are told, and beside doubts about other things."""

import pytest

from askew.engine.language import Context, read
from askew.engine.observations import Sign


def signs(text: str, asked: str | None = None) -> set[str]:
    return {f"{fact.id}:{fact.answer}" for fact in read(text, Context(asked=asked)).facts if isinstance(fact, Sign)}


@pytest.mark.parametrize(
    ("text", "sign"),
    [
        ("the marker was smudged when I pulled it out so I can't tell where it printed", "ink_print:unknown"),
        ("is the cutter rubbing? I couldn't say over the noise of the compressor", "rubbing:unknown"),
        ("nobody here can say whether the knee was locked", "locks_were_loose:unknown"),
        ("the line on the holder is wiped off, so whether it slipped is anybody's guess", "witness_mark_moved:unknown"),
        ("no loupe to hand, so I cannot judge the state of the edges", "edge_worn:unknown"),
        ("there was a chip in with it but I couldn't tell you whereabouts", "chip_found:yes"),
        ("swarf hides it, so I've no means of telling whether it turned in the collet", "witness_mark_moved:unknown"),
        ("whether the strip came loose I'm loath to say", "paper_pulls_out:unknown"),
        ("the rear guard will not swing open, so whether the parallels move I can't say", "parallel_loose:unknown"),
    ],
)
def test_what_is_owned_not_to_be_known_is_left_open(text: str, sign: str) -> None:
    assert sign in signs(text)


@pytest.mark.parametrize(
    ("text", "asked"),
    [
        ("with all this coolant on it I wouldn't like to say", "dent_found"),
        ("I am in no doubt that others looked, but for myself I can't call it", "one_tooth_cutting"),
    ],
)
def test_an_answer_that_owns_a_doubt_leaves_the_sign_open(text: str, asked: str) -> None:
    assert f"{asked}:unknown" in signs(text, asked)


@pytest.mark.parametrize(
    "text",
    [
        "no idea how much the needle moved when I locked the quill",
        "not sure what chip load to run",
        "my neighbour can't tell if the dog squeals or the gate does",
        "I don't know what the cutter cost",
        "no record of the last invoice",
        "he might have slipped away, he might not",
    ],
)
def test_doubts_about_other_things_leave_nothing_open(text: str) -> None:
    assert not {sign for sign in signs(text) if sign.endswith(":unknown")}


@pytest.mark.parametrize(
    ("text", "asked"),
    [
        ("no, I went over both gripped faces twice with a glass and they are as good as new", "dent_found:no"),
        ("yes, it went round by about a hair when the corner of the block first met the cutter", "part_moved:yes"),
    ],
)
def test_a_long_answer_is_one_all_the_same(text: str, asked: str) -> None:
    assert asked in signs(text, asked.partition(":")[0])
