"""Everything in the knowledge can be explained, in words and where it helps in a drawing."""

from __future__ import annotations

import pytest
from looks import text, widest

from askew.cli.chat.words import sayings
from askew.cli.glossary import Entry, entries, find
from askew.cli.main import main
from askew.cli.screens.explain import entry_screen
from askew.cli.view import View
from askew.knowledge.load import load

ENTRIES = entries(load())


@pytest.mark.parametrize("entry", ENTRIES, ids=lambda entry: f"{entry.kind}-{entry.id}")
def test_everything_is_found_by_its_id_and_its_name_and_explained(entry: Entry) -> None:
    assert entry in find(entry.id, ENTRIES)
    assert entry in find(entry.name, ENTRIES)
    assert len(entry.explain.split()) >= 4
    assert entry.explain[-1] in ".?!)"


def test_every_table_of_the_knowledge_is_covered() -> None:
    known = load()
    ids = {(entry.kind, entry.id) for entry in ENTRIES}
    for kind, table in (
        ("source of error", known.sources),
        ("reading", known.readings),
        ("sign", known.signs),
        ("check", known.checks),
        ("remedy", known.remedies),
        ("word of the trade", known.glossary),
    ):
        assert {(kind, id_) for id_ in table} <= ids


@pytest.mark.parametrize("word", ["nod", "tram", "lean", "hollow", "ridge", "teeth"])
def test_the_words_that_need_a_picture_have_one(word: str) -> None:
    view = View(width=60)
    assert any(
        entry.picture and text(entry_screen(entry, load(), view)).count("\n") > 6
        for entry in find(word, ENTRIES)
    )


def test_a_drawing_says_from_where_it_is_seen_and_stays_in_its_columns() -> None:
    for name, picture in load().pictures.items():
        rows = picture.drawing.split("\n")
        assert max(map(len, rows)) <= 58, name
        assert picture.drawing.isascii(), name
        assert any(
            word in (picture.drawing + picture.says).lower() for word in ("seen from", "from", "view")
        ), name


def test_a_drawing_gives_way_to_words_where_there_is_no_room_or_no_eye() -> None:
    entry = next(
        entry
        for entry in ENTRIES
        if entry.picture and max(len(row) for row in load().pictures[entry.picture].drawing.split("\n")) > 38
    )
    assert entry.picture is not None
    picture = load().pictures[entry.picture]
    row = max(picture.drawing.split("\n"), key=len).rstrip()
    for view in (View(width=40), View(width=80, linear=True)):
        shown = text(entry_screen(entry, load(), view))
        assert row not in shown
        assert picture.says.split()[-1] in shown
    assert row in text(entry_screen(entry, load(), View(width=80)))
    assert widest(entry_screen(entry, load(), View(width=40))) <= 40


def test_everything_that_completion_offers_can_be_explained() -> None:
    for saying in sayings(load()):
        if saying.words:
            assert find(saying.words[0], ENTRIES), saying


@pytest.mark.parametrize(
    ("words", "status"), [(["nod"], 0), (["zzz"], 1), (["--list"], 0), (["the", "qqq"], 1)]
)
def test_the_command_says_whether_it_knew_the_word(
    words: list[str], status: int, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["explain", *words, "--width", "50"]) == status
    out = capsys.readouterr().out
    assert max(map(len, out.splitlines())) <= 50
