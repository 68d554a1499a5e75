"""What is told, seen or asked for in rows of words, and the near misses that stay silent."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from askew.engine.language import Context, read
from askew.engine.language.words.gapped import Row, Rows, found, row
from askew.engine.language.words.word_tables import table
from askew.engine.observations import Action, Command, Reading, SetupFact, Sign

CLASSES = {"turned": frozenset({"turned", "spun"}), "part": frozenset({"part", "it"})}


def heard(text: str, asked: str | None = None) -> set[str]:
    names = set()
    for fact in read(text, Context(asked=asked)).facts:
        if isinstance(fact, Action | Command):
            names.add(fact.id)
        elif isinstance(fact, Sign):
            names.add(f"{fact.id}:{fact.answer}")
    return names


def test_a_row_is_found_with_a_few_words_between_and_over_no_stop() -> None:
    way = row("turned .. part .. quarter", CLASSES)
    assert found(way, ["i", "spun", "the", "whole", "part", "by", "a", "quarter"], 1) == (1, 4, 7)
    assert found(way, ["spun", "a", "b", "c", "d", "e", "f", "part", "by", "a", "quarter"], 0) is None
    assert found(way, ["turned", "the", "part", "", "a", "quarter"], 0) is None
    assert found(row("part turned", CLASSES), ["it", "has", "turned"], 0) is None


_WORDS = st.sampled_from("abcde")
_STEPS = st.tuples(st.frozensets(_WORDS, min_size=1, max_size=3), st.booleans())


@given(
    st.lists(st.builds(lambda steps: Row(tuple(steps)), st.lists(_STEPS, min_size=1, max_size=4)), max_size=8),
    st.lists(st.sampled_from(["a", "b", "c", "d", "e", ""]), max_size=14),
)
def test_many_rows_are_found_where_each_would_be_found_alone(ways: list[Row], words: list[str]) -> None:
    rows = Rows((way, i) for i, way in enumerate(ways))
    alone = [(i, found(way, words, start)) for start in range(len(words)) for i, way in enumerate(ways)]
    there = [(i, places) for i, places in alone if places is not None]
    assert [*rows.found_in(words)] == there
    first = {places[0]: places for _, places in reversed(there)}
    assert [*rows.first_in(words)] == [first[start] for start in sorted(first)]
    assert rows.anywhere(words) == bool(there)


@pytest.mark.parametrize("file", ["deeds.toml", "seen.toml", "set_up.toml", "bidden.toml", "lengths_told.toml"])
def test_every_class_of_the_rows_is_used(file: str) -> None:
    lists = table(file)
    kind = next(name for name in ("deeds", "seen", "set_up", "asked", "told") if name in lists)
    used = {"unreal"}
    for told in lists[kind].values():
        used |= {name for way in told["ways"] for part in way.split() for name in part.split("|")}
        used |= {told.get("mention", ""), told.get("not_after", ""), *told.get("never", ())}
        assert set(told.get("never", ())) <= set(lists.get("never", ())) | set(lists["classes"])
    assert set(lists["classes"]) | set(lists.get("never", ())) <= used


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("slipped a slice of brass shim in under the left foot of the column", "shimmed"),
        ("the head was readjusted this morning", "trammed"),
        ("knee and quill both nipped up now and staying that way", "locked"),
        ("there was a splinter of swarf trapped under the base of the square", "chip_found:under_square"),
        ("the error went along with the part to my mate's mill", "follows_part:yes"),
        ("my square wasn't seated flat, there was a grain of grit under it", "chip_found:under_square"),
        ("the needle creeps as I wind the vise shut", "needle_moves_on_tightening:yes"),
        ("the side that bore against the solid jaw has a small crater in it", "dent_found:behind_jaw"),
        ("fresh bar from the next batch shows the same lean", "stays_with_machine:yes"),
        ("could you put this check aside for the moment", "skip"),
        ("tell me again where we have got to", "report"),
        ("same pass but backwards", "feed_reversed"),
        ("I binned the roller", "bar_removed"),
        ("I lined the vise up again, is that enough?", "vise_trued"),
        ("how do I talk to this thing", "help"),
    ],
)
def test_what_is_told_in_any_words_is_heard(text: str, told: str) -> None:
    assert told in heard(text)


@pytest.mark.parametrize(
    "text",
    [
        "I haven't slipped any shim in under the column",
        "should I put a shim under the vise?",
        "tomorrow I will swap the old cutter for a new one",
        "my mate reckons a chip under the part could do it",
        "not sure whether the part slid in the vise",
        "put a new door in the garage",
        "he twisted round in his chair",
        "do you reckon the jaw plate is loose?",
        "the brakes on my car were squealing",
        "after locking the head I'd expect it to sit still",
        "ball gone over the fence and into the yard",
        "set the jug here for the night shift to find",
        "what's pushing the price of steel up",
    ],
)
def test_what_was_not_done_or_seen_is_not_heard(text: str) -> None:
    assert not {name for name in heard(text) if not name.endswith(":unknown")}


@pytest.mark.parametrize(
    ("text", "asked", "told"),
    [
        ("nobody looked, we ran out of time", "heel_marks", "heel_marks:unknown"),
        ("can't see, the light is bad", "edge_worn", "edge_worn:unknown"),
        ("can't see any light at all", "light_in_middle", "light_in_middle:no"),
        ("nope, sat still. no dents either", "part_moved", "part_moved:no"),
        ("no idea", "heel_marks", "dont_know"),
    ],
)
def test_an_answer_that_only_says_why_is_unknown(text: str, asked: str, told: str) -> None:
    assert told in heard(text, asked)


def set_up(text: str, asked: str | None = None) -> dict[str, object]:
    return {fact.key: fact.value for fact in read(text, Context(asked=asked)).facts if isinstance(fact, SetupFact)}


@pytest.mark.parametrize(
    ("text", "key", "value"),
    [
        ("the head isn't tilted by any intention of mine", "leaned_on_purpose", False),
        ("head is inclined a shade, quite intentionally", "leaned_on_purpose", True),
        ("the cutter was heading to the left", "feed_sense", "left"),
        ("we milled the edge by conventional cutting", "milling_sense", "conventional"),
        ("we stopped just before the cutter ran off the edge", "overrun", False),
        ("the quill was wound slowly through four inches", "vertical_travel", "quill"),
    ],
)
def test_how_the_job_is_set_up_is_heard_in_any_words(text: str, key: str, value: object) -> None:
    assert set_up(text).get(key) == value


@pytest.mark.parametrize(
    "text",
    [
        "should I lean the head on purpose?",
        "the cutter will be going left tomorrow",
        "double arcs where the cutter went left",
        "stopped for lunch before it got dark",
        "whether to climb mill the edge I don't know",
    ],
)
def test_a_setup_that_is_not_told_is_not_heard(text: str) -> None:
    assert not set_up(text)


def test_a_nothing_that_tells_of_the_jaw_is_no_reading() -> None:
    heard = read("nothing in there, just the plain jaw", Context(asked="other_corner", unit="mm"))
    assert [fact for fact in heard.facts if isinstance(fact, Reading)] == []
    assert ("moving_jaw_contact", "plain") in [(f.key, f.value) for f in heard.facts if isinstance(f, SetupFact)]
    answer = read("nothing on the needle, plain jaw", Context(asked="clamp_rise", unit="mm"))
    assert [fact.value for fact in answer.facts if isinstance(fact, Reading)] == [0.0]


@pytest.mark.parametrize("said", ["put the square on it, dead nuts", "the square on it now reads dead nuts"])
def test_a_square_that_shows_nothing_was_on_the_part(said: str) -> None:
    assert [(fact.id, fact.value) for fact in read(said).facts if isinstance(fact, Reading)] == [
        ("face_out_of_square", 0.0)
    ]


@pytest.mark.parametrize(
    ("text", "key", "mm"),
    [
        ("wound the long handle and the table travelled 250 mm beneath the indicator", "run_x", 250),
        ("the saddle went in about seven inches with the clock on the table", "run_y", 177.8),
        ("the needle climbed up the ground block a good 45 mm", "block_travel", 45),
        ("from the floor of the vise to the top of the jaw it's 40 mm", "jaw_height", 40),
        ("does the depth of the hole matter? it's 50 mm", "hole_depth", 50),
        ("in the feed direction it's eleven inches", "part_along", 279.4),
    ],
)
def test_a_length_is_heard_with_half_a_sentence_before_its_number(text: str, key: str, mm: float) -> None:
    facts = {fact.key: fact.value for fact in read(text).facts if isinstance(fact, SetupFact)}
    assert facts.get(key) == pytest.approx(mm)


@pytest.mark.parametrize(
    "text",
    [
        "I'll wind the saddle 150 mm under the clock later",
        "if the table went 300 mm under the needle it would show",
        "the needle moved 3 thou as the table went 200 mm",
        "the clock never moved while the table went 200 mm",
        "the clock on the wall went 20 minutes slow",
    ],
)
def test_a_length_that_was_planned_or_belongs_to_a_reading_is_none_of_the_setup(text: str) -> None:
    assert not [fact for fact in read(text).facts if isinstance(fact, SetupFact)]


@pytest.mark.parametrize(
    ("text", "asked", "told"),
    [
        ("what has you so convinced it's the column", None, "why"),
        ("set out your reasoning for me would you", None, "why"),
        ("retract that last figure, it belonged to another job", None, "undo"),
        ("nobody here is mending it before Easter, so how might I cut a part that passes", None, "live_with"),
        ("it's three thou open over four inches so how do I get it back to square", None, "fix"),
        ("which suspects are still standing", None, "report"),
        ("there's no tenths clock in this whole building", "sweep_x", "cannot"),
        ("never wrote it down at the time", "part_height", "dont_know"),
        ("ask me that after lunch", "runout", "skip"),
    ],
)
def test_a_wish_in_any_words_is_heard(text: str, asked: str | None, told: str) -> None:
    assert told in heard(text, asked)


@pytest.mark.parametrize(
    ("text", "asked"),
    [
        ("the lads all have their theories about it", None),
        ("the whole gang went home early", None),
        ("back up the hill with the cows then", None),
        ("nobody wrote to us about the party", None),
    ],
)
def test_what_only_sounds_like_a_wish_is_none(text: str, asked: str | None) -> None:
    assert not heard(text, asked)


def test_the_tolerance_beside_a_wish_is_kept() -> None:
    facts = read("can I still hold 4 thou on it without fixing the mill").facts
    assert [fact.key for fact in facts if isinstance(fact, SetupFact)] == ["tolerance"]
    assert any(isinstance(fact, Command) and fact.id == "live_with" for fact in facts)
