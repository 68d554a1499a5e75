"""Which turns stand, and what a case amounts to."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from askew.engine.record.lines import Record
from askew.engine.record.turns import facts_of, follow, local, standing, summarise


def made(*steps: object) -> list[Record]:
    """Return records: a word is a turn, a number an undo."""
    return [
        Record(seq, f"{seq:08x}", f"2026-05-0{seq % 9 + 1}T10:00:00Z", *content(step))
        for seq, step in enumerate(steps, start=1)
    ]


def content(step: object) -> tuple[str, dict]:
    if isinstance(step, dict):
        return step.pop("kind"), step
    return ("undo", {"turns": step}) if isinstance(step, int) else ("turn", {"text": step, "facts": []})


def texts(records: list[Record]) -> list[str]:
    return [turn.data["text"] for turn in standing(records)]


@pytest.mark.parametrize(
    ("steps", "left"),
    [
        (["a", "b", 1], ["a"]),
        (["a", "b", 2, "c"], ["c"]),
        (["a", 5, "b"], ["b"]),
        (["a", "b", 1, 1], []),
        (["a", 0, -3], ["a"]),
        ([1, "a"], ["a"]),
        (["a", {"kind": "note", "text": "n"}, 1], []),
        (["a", {"kind": "undo"}, {"kind": "undo", "turns": "1"}, {"kind": "undo", "turns": True}], ["a"]),
        ([], []),
    ],
)
def test_undo_takes_back_the_last_standing_turns(steps: list[object], left: list[str]) -> None:
    assert texts(made(*steps)) == left


@given(st.lists(st.integers(0, 5) | st.text("abc", min_size=1, max_size=1), max_size=40))
def test_followed_step_by_step_is_the_same(steps: list[object]) -> None:
    records = made(*steps)
    turns: list[Record] = []
    for count, record in enumerate(records, start=1):
        follow(turns, record)
        assert turns == standing(records[:count])


def test_facts_of_an_odd_turn_are_only_what_has_the_form_of_facts() -> None:
    for facts in (None, 3, "x", [1, "a", None, [2]], {}):
        assert list(facts_of(Record(1, "0" * 8, "t", "turn", {"facts": facts}))) == []
    assert list(facts_of(Record(1, "0" * 8, "t", "turn", {"facts": [{"id": "a"}, 4]}))) == [{"id": "a"}]


def test_a_summary_uses_the_last_good_one_and_later_talk_opens_the_case() -> None:
    closed = {"kind": "summary", "state": "closed", "complaint": None, "causes": ["nod"]}
    bad = {"kind": "summary", "state": "closed", "causes": [float], "extra": 1}
    summary = summarise(made("a", dict(closed), {"kind": "summary", "state": "?"}, {"kind": "note"}))
    assert (summary.state, summary.causes) == ("closed", ("nod",))
    assert summarise(made("a", dict(closed), "b")).state == "open"
    assert summarise(made("a", dict(closed), 1)).state == "open"
    assert summarise(made("a", dict(closed), "b")).causes == ("nod",)
    assert summarise(made("a", bad)).causes == ()
    empty = summarise([])
    assert (empty.state, empty.turns, empty.opened, empty.words) == ("open", 0, "", "")


def test_the_machine_is_the_one_told_last() -> None:
    def told(machine: object) -> dict:
        return {"kind": "turn", "text": "m", "facts": [{"kind": "setup", "key": "machine", "value": machine}]}

    assert summarise(made(told("knee_mill"), told("bed_mill"))).machine == "bed_mill"
    assert summarise(made(told("knee_mill"), told("bed_mill"), 1)).machine == "knee_mill"
    assert summarise(made(told(["x"]))).machine is None


def test_times_are_shown_by_the_wall_clock_or_as_they_are() -> None:
    assert len(local("2026-05-01T10:00:00.000Z")) == 16
    for odd in ("", "yesterday", "9999-99-99T00:00:00Z", "0001-01-01T00:00:00Z", "2026"):
        assert len(local(odd)) <= 16
