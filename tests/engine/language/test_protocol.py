"""The JSON form of what was heard."""

from __future__ import annotations

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from askew.engine.language.protocol import read_line
from askew.engine.language.words.tokens import LONGEST


def heard(line: str) -> list[dict[str, object]]:
    answer = read_line(line)
    assert set(answer) == {"heard", "unread"}
    facts = answer["heard"]
    assert isinstance(facts, list)
    return facts


def test_a_reading() -> None:
    assert heard("runout is 0.01 mm") == [
        {"kind": "reading", "id": "runout", "value": 0.01, "over": None, "sign_known": True, "bound": None}
    ]


def test_a_range_carries_its_ends() -> None:
    (fact,) = heard("hollow between 1 and 2 thou")
    assert fact["bound"] == "between"
    assert fact["low"] == pytest.approx(0.0254)
    assert fact["high"] == pytest.approx(0.0508)


def test_the_other_kinds() -> None:
    assert heard('{"text": "to the right", "context": "heel_marks"}') == [
        {"kind": "sign", "id": "heel_marks", "answer": "right"}
    ]
    assert heard('{"text": "80 mm", "context": "cutter_diameter"}') == [
        {"kind": "setup", "key": "cutter_diameter", "value": 80.0}
    ]
    assert heard("regripped it") == [{"kind": "action", "id": "regripped"}]
    assert heard('{"text": "why", "context": null}') == [{"kind": "command", "id": "why"}]
    assert heard("") == []


@pytest.mark.parametrize(
    ("line", "part"),
    [
        ('{"text": 3}', "valid string"),
        ('{"text": "a", "extra": 1}', "extra"),
        ('{"text": "a", "text": "b"}', "twice"),
        ("{", "not JSON"),
        ('{"text": NaN}', "NaN"),
        ('{"a":' * 5000, "nested too deeply"),
        ("x" * 70_000, "characters long"),
        ("x" * 5_000, str(LONGEST)),
        ("{}", "text"),
    ],
)
def test_a_bad_line_is_one_sentence(line: str, part: str) -> None:
    answer = read_line(line)
    assert answer["heard"] == []
    error = answer["error"]
    assert isinstance(error, dict)
    assert part in error["message"]
    assert "\n" not in error["message"]


@settings(max_examples=200, deadline=None)
@given(st.one_of(st.text(max_size=200), st.text(max_size=200).map(lambda text: json.dumps({"text": text}))))
def test_any_line_is_answered(line: str) -> None:
    json.dumps(read_line(line), allow_nan=False)
