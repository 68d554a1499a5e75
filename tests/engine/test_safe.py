"""Outside text and outside JSON.

The classes of characters are checked against the Unicode Character Database that ships with Python
(`unicodedata`), the bidirectional ones against the list in Unicode Standard Annex 9, section 2 (from memory).
"""

import json
import math
import sys
import time
import unicodedata
from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from askew.engine.safe import MAX_MARKS, BadJson, is_safe, safe, strict_json

BIDI = "\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
ZERO_WIDTH = "\u200b\u200c\u200d\u2060\ufeff\u00ad\u180e\u034f\ufe0f\u3164\u115f"


def test_every_code_point_is_left_alone_or_made_plain() -> None:
    harmless = {"L", "M", "N", "P", "S"}
    for code in range(sys.maxunicode + 1):
        char = chr(code)
        out = safe(char)
        assert len(out) == 1
        if out != char:
            assert out == " " or out == "\ufffd" or 0x2400 <= ord(out) <= 0x2421, hex(code)
        assert unicodedata.category(out)[0] in harmless or out == " ", hex(code)
        assert out not in BIDI + ZERO_WIDTH


@pytest.mark.parametrize(
    "text", ["½ thou", "0,02 mm", "−3 µm", "90°", "Ø12", "naïve", "方", "±0.1", "out of square"]
)
def test_shop_text_passes_unchanged(text: str) -> None:
    assert safe(text) == text
    assert is_safe(text)


def test_a_terminal_sequence_is_shown_not_obeyed() -> None:
    assert safe("\x1b[2J\x1b]0;title\x07") == "\u241b[2J\u241b]0;title\u2407"
    assert safe("a\x9b31mb") == "a\ufffd31mb"
    assert safe("a\x7fb\x00c") == "a\u2421b\u2400c"


@pytest.mark.parametrize("char", BIDI + ZERO_WIDTH)
def test_what_reorders_or_hides_is_replaced(char: str) -> None:
    assert safe(f"0.1{char}2") == "0.1\ufffd2"


def test_one_line_unless_lines_are_wanted() -> None:
    assert "\n" not in safe("a\nb\r\nc\u2028d")
    assert safe("a\r\nb\nc\u2028d", lines=True) == "a\nb\nc\ufffdd"


def test_stacked_marks_are_limited() -> None:
    assert safe("e" + "\u0301" * 50) == "e" + "\u0301" * MAX_MARKS


@given(st.text(), st.booleans())
def test_safe_twice_is_safe_once(text: str, lines: bool) -> None:
    once = safe(text, lines=lines)
    assert safe(once, lines=lines) == once
    once.encode()  # no surrogate is left


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ('{"a": 1, "a": 2}', 'The key "a" occurs twice.'),
        ('{"a": {"b": 1, "b": 1}}', '"b" occurs twice'),
        ("NaN", "NaN is not a number"),
        ('{"a": -Infinity}', "-Infinity is not a number"),
        ("[1e999]", "1e999 is too large"),
        ("[-1E+400]", "too large"),
        ("[1" + "0" * 400 + ".0]", "too large"),
        ("12345678901234567890", "too many digits"),
        ("9" * 5000, "too many digits"),
        ("[" * 21 + "]" * 21, "nested more than 20 deep"),
        ("[" * 60_000, "nested more than 20 deep"),
        ('{"a":' * 10_000, "nested more than 20 deep"),
        ('"' + "x" * 2_001 + '"', "longer than 2,000 characters"),
        ('{"' + "k" * 2_001 + '": 1}', "longer than 2,000 characters"),
        ('"\\ud800"', "half a character"),
        ('"\ud800"', "not UTF-8"),
        (b'"\xff"', "not UTF-8"),
        ("x" * 70_000, "longer than 65,536 bytes"),
        ("é" * 40_000, "longer than 65,536 bytes"),
        ("", "not JSON"),
        ("{'a': 1}", "not JSON"),
        ('{"a": 1}}', "not JSON"),
        ('"a\x1bb"', "not JSON"),
        ('{"a\x1b": 1, "a\x1b": 1}', "not JSON"),
        ('{"\\u001b": 1, "\\u001b": 1}', 'The key "\u241b" occurs twice.'),
    ],
)
def test_bad_json_is_refused_with_one_safe_sentence(line: str | bytes, says: str) -> None:
    with pytest.raises(BadJson) as caught:
        strict_json(line)
    message = str(caught.value)
    assert says in message
    assert is_safe(message)
    assert message.endswith(".")
    assert len(message) < 200


def test_nesting_is_counted_outside_strings_only() -> None:
    assert strict_json(json.dumps({"text": "[{" * 100 + '\\"'})) == {"text": "[{" * 100 + '\\"'}
    assert strict_json("[" * 20 + "]" * 20) is not None


values = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(10**17), 10**17)
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(st.characters(exclude_categories=["Cs"]), max_size=30),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=5), inner, max_size=4),
    max_leaves=20,
)


@given(values)
def test_good_json_is_read_as_the_standard_library_reads_it(value: object) -> None:
    line = json.dumps(value)
    try:
        read = strict_json(line)
    except BadJson as error:
        assert "half a character" in str(error)
        return
    assert read == json.loads(line)


@given(st.text(max_size=200) | st.binary(max_size=200).map(lambda raw: raw.decode("latin-1")))
def test_anything_gives_a_value_or_a_sentence(line: str) -> None:
    try:
        value = strict_json(line)
    except BadJson as error:
        assert is_safe(str(error))
        return
    assert not (isinstance(value, float) and not math.isfinite(value))


@pytest.mark.parametrize("piece", ['"', '\\"', "[", "{", '{"', "\\", '"[', "1", "-", "1e", '"\\u', "é", " "])
def test_no_line_within_the_limit_takes_long(piece: str) -> None:
    line = '"' + piece * (60_000 // len(piece.encode()))
    start = time.process_time()
    for text in (line, line[1:]):
        with suppress(BadJson):
            strict_json(text, max_string=100_000)
    assert time.process_time() - start < 0.5
