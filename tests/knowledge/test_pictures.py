"""Drawings in text: plain, narrow, and of use to somebody who cannot see them."""

import pytest

from askew.knowledge.load import WIDEST, load

KNOWN = load()
PICTURES = list(KNOWN.pictures)
VIEWS = (
    "FROM THE FRONT",
    "FROM THE RIGHT SIDE",
    "FROM ABOVE",
    "FROM BEHIND",
    "FROM THE SIDE",
    "FROM THE END",
    "SEEN ALONG",
)


@pytest.mark.parametrize("name", PICTURES)
def test_a_drawing_is_plain_and_narrow(name: str) -> None:
    drawing = KNOWN.pictures[name].drawing
    assert drawing.isascii()
    assert "\t" not in drawing
    assert max(map(len, drawing.split("\n"))) <= WIDEST == 58
    assert 5 <= len(drawing.split("\n")) <= 24, "fits a screen"
    assert all(line == line.rstrip() for line in drawing.split("\n"))


@pytest.mark.parametrize("name", PICTURES)
def test_a_drawing_says_first_which_way_the_viewer_faces(name: str) -> None:
    first = KNOWN.pictures[name].drawing.split("\n")[0]
    assert first.startswith(VIEWS)


@pytest.mark.parametrize("name", PICTURES)
def test_from_the_right_side_front_is_at_the_left(name: str) -> None:
    lines = KNOWN.pictures[name].drawing.split("\n")
    whole = "\n".join(lines[:3])
    if lines[0] == "FROM THE RIGHT SIDE":
        assert "left" in whole
        assert "right" in whole
        assert whole.index("front") < whole.index("left")


@pytest.mark.parametrize("name", PICTURES)
def test_the_sentences_say_the_same_to_somebody_who_does_not_see_it(name: str) -> None:
    says = KNOWN.pictures[name].says
    assert says.isascii()
    assert "\n" not in says
    assert len(says) >= 80
    assert says.endswith(".")
    assert says.startswith(("Seen ", "The "))


def test_what_needs_a_drawing_has_one() -> None:
    asked = {id_ for id_, check in KNOWN.checks.items() if check.instruments and "cooled" not in check.first}
    without = {id_ for id_ in asked if KNOWN.checks[id_].picture is None}
    assert without <= {"measure_twice"}
    for word in (
        "nod",
        "tram",
        "lean",
        "hollow",
        "teeth",
        "ridge",
        "heel_cutting",
        "backlash",
        "gib",
        "parallels",
    ):
        assert KNOWN.glossary[word].picture is not None, word


def test_where_the_needle_stands_is_drawn() -> None:
    for id_, check in KNOWN.checks.items():
        if check.picture == id_ and check.instruments[:1] == [["dial_indicator"]] and id_ != "mark_holder":
            drawing = KNOWN.pictures[id_].drawing
            assert "(o)" in drawing or ("spindle" in drawing and "o" in drawing), id_


def test_words_that_a_stranger_would_trip_over_are_explained() -> None:
    words = {
        "nod",
        "tram",
        "lean",
        "teeth",
        "ridge",
        "hollow",
        "heel_cutting",
        "parallels",
        "backlash",
        "gib",
        "quill",
        "knee",
        "tenth",
        "thou",
    }
    assert words <= set(KNOWN.glossary)


def test_a_word_means_one_thing() -> None:
    said = [said.lower() for word in KNOWN.glossary.values() for said in (word.name, *word.also)]
    twice = {word for word in said if said.count(word) > 1}
    assert not twice
