"""Cases of older versions, kept as files, read by this one."""

import shutil
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from askew.engine.record.journal import Journal
from askew.engine.record.lines import Record
from askew.engine.record.migrate import bring_forward, load_renames, vocabulary
from askew.engine.record.turns import standing
from askew.engine.safe import is_safe

KEPT = Path(__file__).parents[2] / "data" / "journals"
KNOWN = {
    "reading": {"sweep_x", "hollow_across"},
    "sign": {"step_felt"},
    "setup": {"machine"},
    "action": {"trammed"},
}
RENAMES = {"reading": {"sweep_lr": "sweep_side", "sweep_side": "sweep_x"}, "setup": {"mill": "machine"}}


def case(*facts: object) -> list[Record]:
    return [Record(1, "0" * 8, "t", "turn", {"text": "said", "facts": list(facts)})]


def test_renamed_ids_are_followed_through_every_rename() -> None:
    records, told = bring_forward(
        case(
            {"kind": "reading", "id": "sweep_lr", "value": 0.1},
            {"kind": "setup", "key": "mill", "value": "knee_mill"},
        ),
        KNOWN,
        RENAMES,
    )
    assert told == []
    assert records[0].data["facts"] == [
        {"kind": "reading", "id": "sweep_x", "value": 0.1},
        {"kind": "setup", "key": "machine", "value": "knee_mill"},
    ]


def test_vanished_ids_are_told_and_kept() -> None:
    gone = {"kind": "reading", "id": "old\x1b[31m", "value": 0.1}
    stays = {"kind": "sign", "id": "step_felt", "answer": "yes"}
    records, told = bring_forward([*case(gone, stays), replace(case(gone)[0], seq=4)], KNOWN, RENAMES)
    assert records[0].data["facts"] == [stays]
    assert records[0].data["vanished"] == [gone]
    assert told == [
        'This version has no reading "old\u241b[31m" any more (entries 1, 4); '
        "it is kept in the case and counts for nothing."
    ]


def test_what_is_known_stands_for_itself_even_if_an_older_thing_had_its_name() -> None:
    records = case({"kind": "reading", "id": "sweep_x"})
    assert bring_forward(records, KNOWN, {"reading": {"sweep_x": "hollow_across"}}) == (records, [])


def test_renames_in_a_circle_end() -> None:
    _, told = bring_forward(case({"kind": "reading", "id": "a"}), KNOWN, {"reading": {"a": "b", "b": "a"}})
    assert len(told) == 1


def test_other_records_and_other_kinds_of_fact_are_left_alone() -> None:
    records = [
        *case({"kind": "command", "id": "cannot", "argument": "x"}, "odd", 3),
        Record(2, "0" * 8, "t", "undo", {"turns": 1}),
    ]
    assert bring_forward(records, KNOWN, RENAMES) == (records, [])


facts = st.lists(
    st.none()
    | st.integers()
    | st.dictionaries(
        st.sampled_from(["kind", "id", "key", "value"]),
        st.sampled_from(["reading", "setup", "sign", "action", "sweep_x", "mill"])
        | st.none()
        | st.lists(st.integers(), max_size=1),
    ),
    max_size=5,
)


@given(facts | st.none() | st.text(max_size=3))
def test_any_facts_are_brought_forward_and_none_is_lost(given_facts: object) -> None:
    records, told = bring_forward([Record(1, "0" * 8, "t", "turn", {"facts": given_facts})], KNOWN, RENAMES)
    data = records[0].data
    if isinstance(given_facts, list):
        assert len(data["facts"]) + len(data.get("vanished", [])) == len(given_facts)
        assert bool(told) == ("vanished" in data)
        assert bring_forward(records, KNOWN, RENAMES) == (records, [])
    assert all(is_safe(sentence) for sentence in told)


def test_the_renames_that_ship_lead_to_ids_that_exist() -> None:
    from askew.knowledge.load import load

    known = vocabulary(load())
    renames = load_renames()
    assert set(renames) == set(known)
    for kind, table in renames.items():
        for old, new in table.items():
            assert old not in known[kind]
            assert new in known[kind] or new in table


RENAMED_SINCE = {
    "format-1-renamed": {"reading": {"sweep_side_to_side": "sweep_x"}, "setup": {"mill": "machine"}}
}
"""What was renamed after a kept file was written, beside what the shipped table says."""


@pytest.mark.parametrize("path", sorted(KEPT.glob("*.jsonl")), ids=lambda path: path.stem)
def test_every_kept_file_is_read_and_can_be_gone_on_with(path: Path, tmp_path: Path) -> None:
    from askew.knowledge.load import load

    copy = tmp_path / path.name
    shutil.copy(path, copy)
    renames = {**load_renames(), **RENAMED_SINCE.get(path.stem, {})}
    with Journal.open(copy) as journal:
        records, told = bring_forward(journal.records, vocabulary(load()), renames)
        newer = "newer" in path.stem
        assert journal.read_only == newer
        assert bool(journal.notices) == (newer or "damaged" in path.stem or "torn" in path.stem)
        assert bool(told) == ("vanished" in path.stem)
        facts = [fact for turn in standing(records) for fact in turn.data["facts"]]
        assert [fact.get("key") or fact.get("id") for fact in facts] == EXPECTED[path.stem]
        if not newer:
            journal.append("note", {"text": "gone on with"})
            assert journal.saved
    # Reading never changes what an older version wrote.
    assert "torn" in path.stem or copy.read_bytes().startswith(path.read_bytes())


EXPECTED = {
    "format-1": ["machine", "face_out_of_square", "step_felt", "sweep_x", "trammed"],
    "format-1-damaged": ["machine", "step_felt", "sweep_x", "trammed"],
    "format-1-renamed": ["machine", "face_out_of_square", "sweep_x"],
    "format-1-torn": ["machine", "face_out_of_square", "step_felt", "sweep_x", "trammed"],
    "format-1-vanished": ["machine", "face_out_of_square"],
    "format-9-newer": ["machine", "face_out_of_square"],
}
"""The ids that count in each kept file; a new format adds a file and leaves the old ones as they are."""


def test_every_kept_file_is_there() -> None:
    assert {path.stem for path in KEPT.glob("*.jsonl")} == set(EXPECTED)
