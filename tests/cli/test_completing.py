"""Completion as a pure function."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from askew.cli.chat.completing import FROM_LETTER, MOST, offers
from askew.cli.chat.words import LOCAL, Saying, local, sayings
from askew.knowledge.load import load

ALL = sayings(load())
FEW = [
    Saying("why", "command", "reasons"),
    Saying("cutter diameter", "setup", "how wide", ("cutter_diameter",)),
    Saying("sweep the bare table", "check", "8 min", ("sweep_table",)),
    Saying("head sweep", "reading", "plus: right", ("sweep_x",)),
]


def texts(before: str, *, asked: bool = False, among: list[Saying] = FEW) -> list[str]:
    """Return what is offered."""
    return [offer.text for offer in offers(before, among, asked=asked)]


def test_nothing_is_offered_before_the_third_letter_unless_tab_asks() -> None:
    assert texts("sw") == []
    assert texts("swe") == ["sweep the bare table", "head sweep"]
    assert texts("sw", asked=True) == ["sweep the bare table", "head sweep"]
    assert texts("", asked=True) == ["why"]
    assert texts("") == []
    assert texts("cutter ") == []


def test_the_longest_run_of_words_that_begins_something_is_replaced() -> None:
    assert [(o.text, o.replaces) for o in offers("I think cutter dia", FEW)] == [("cutter diameter", 10)]
    assert [(o.text, o.replaces) for o in offers("the diam", FEW)] == [("cutter diameter", 4)]
    assert next((o.text, o.replaces) for o in offers("one\nswe", FEW)) == ("sweep the bare table", 3)


def test_nothing_is_offered_for_what_is_complete() -> None:
    assert texts("head sweep") == []
    assert texts("why") == []


def test_an_id_finds_its_name() -> None:
    assert texts("sweep_x") == ["head sweep"]


@pytest.mark.parametrize("saying", ALL, ids=lambda saying: f"{saying.kind}-{saying.say.strip()}")
def test_everything_sayable_is_offered_for_its_beginning_with_a_description(saying: Saying) -> None:
    start = saying.say.strip()[: max(2, len(saying.say.strip()) * 3 // 4)].rstrip()
    found = offers(start, ALL, asked=len(start) < FROM_LETTER)
    assert saying.say in [offer.text for offer in found]
    offer = next(offer for offer in found if offer.text == saying.say)
    assert offer.about
    assert offer.kind in ("command", "reading", "sign", "check", "setup", "action", "source", "word")
    assert start[len(start) - offer.replaces :].lower() == start.lower()


def test_nothing_that_the_knowledge_has_is_missing() -> None:
    known = load()
    ids = {word for saying in ALL for word in saying.words}
    for table in (known.readings, known.signs, known.checks, known.setup, known.actions, known.sources):
        assert set(table) <= ids
    said = {saying.say.strip() for saying in ALL if saying.kind == "command"}
    assert {command.name for command in known.commands.values()} <= said
    assert {word.say.strip() for word in LOCAL} <= said


@given(st.text(max_size=60), st.booleans())
@settings(max_examples=200, deadline=None)
def test_any_text_gets_few_offers_that_replace_only_what_is_there(before: str, asked: bool) -> None:
    found = offers(before, ALL, asked=asked)
    assert len(found) <= max(MOST, len([s for s in ALL if s.kind == "command"]))
    assert all(0 <= offer.replaces <= len(before) for offer in found)


@pytest.mark.parametrize(
    ("line", "id_", "rest"),
    [
        ("help", "help", ""),
        ("?", "help", ""),
        ("help nod", "explain", "nod"),
        ("explain the spring pass", "explain", "spring pass"),
        ("what is tram?", "explain", "tram"),
        ("what does lean mean?", "explain", "lean"),
        ("in mm", "unit", "mm"),
        ("inches please", "unit", "inches"),
        ("new case", "new", ""),
        ("suggestions OFF", "suggestions", "OFF"),
        ("show all", "show", ""),
        ("same bench", "bench", ""),
        ("my bench", "my_bench", ""),
        ("show bench", "my_bench", ""),
    ],
)
def test_the_words_of_the_chat_are_recognised(line: str, id_: str, rest: str) -> None:
    found = local(line)
    assert found is not None
    assert (found[0].id, found[1]) == (id_, rest)


@pytest.mark.parametrize(
    "line",
    [
        "why",
        "next",
        "what next",
        "0.5 mm",
        "5 mm",
        "undo",
        "it is 5 thou in inches",
        "new cutter",
        "skip",
        "",
    ],
)
def test_everything_else_is_left_to_the_engine(line: str) -> None:
    assert local(line) is None
