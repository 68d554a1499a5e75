"""Text from outside made harmless, and JSON from outside made strict.

Everything that was typed, pasted, piped in or read from a file passes `safe` when it is loaded and again
when it is shown, so that no character can move the cursor, change colours, reorder a line or hide in it.
Everything that claims to be JSON passes `strict_json`, which accepts less than the standard library does.
"""

from __future__ import annotations

import json
import re
import unicodedata
from typing import Any, NoReturn

MAX_LINE = 64 * 1024
"""Longest JSON line accepted, in bytes."""
MAX_STRING = 2_000
"""Longest string inside a JSON line, in characters."""
MAX_DEPTH = 20
"""Deepest nesting of lists and objects in a JSON line."""
MAX_TYPED = 4 * 1024
"""Longest line a person may type or pipe in, in bytes."""
MAX_MARKS = 4
"""Most combining marks kept on one character; stacks of them overprint the neighbouring lines."""

_REPLACEMENT = "\ufffd"
# Printable by their category, yet drawn as nothing at all (Default_Ignorable_Code_Point of the Unicode
# Character Database, less those `str.isprintable` already refuses), and the blank Braille cell.
_INVISIBLE = re.compile(
    "[\u034f\u115f\u1160\u17b4\u17b5\u180b-\u180f\u2800\u3164\ufe00-\ufe0f\uffa0\U000e0100-\U000e01ef]"
)


class BadJson(ValueError):
    """A line that is not acceptable JSON; its text is one sentence for a person."""


def safe(text: str, *, lines: bool = False) -> str:
    """Replace every character that acts on a terminal or hides in a text by one that is plainly seen.

    Control characters become their Unicode control pictures (ESC is shown as U+241B), every kind of space
    becomes a plain one, and C1 controls, bidirectional and zero-width characters, other format characters,
    surrogates, private and unassigned code points become U+FFFD. Letters, digits and shop symbols are
    untouched. `safe(safe(x)) == safe(x)`.

    Args:
        text: Anything.
        lines: Keep line feeds (and turn CR LF into LF); otherwise the result is a single line.
    """
    if text.isascii() and text.isprintable():
        return text
    if lines:
        return "\n".join(_safe_line(part.removesuffix("\r")) for part in text.split("\n"))
    return _safe_line(text)


def is_safe(text: str, *, lines: bool = False) -> bool:
    """Say whether `safe` would leave the text as it is."""
    return safe(text, lines=lines) == text


def _safe_line(text: str) -> str:
    if text.isascii() and text.isprintable():
        return text
    out: list[str] = []
    marks = 0
    for char in text:
        marks = marks + 1 if unicodedata.category(char) in ("Mn", "Me") else 0
        if marks <= MAX_MARKS:
            out.append(_safe_character(char))
    return "".join(out)


def _safe_character(char: str) -> str:
    if char.isprintable():
        return _REPLACEMENT if _INVISIBLE.match(char) else char
    code = ord(char)
    if char == "\t" or unicodedata.category(char) == "Zs":
        return " "
    if code < 0x20:
        return chr(0x2400 + code)
    return "\u2421" if code == 0x7F else _REPLACEMENT


def strict_json(
    line: str | bytes,
    *,
    max_bytes: int = MAX_LINE,
    max_depth: int = MAX_DEPTH,
    max_string: int = MAX_STRING,
) -> Any:
    """Parse one JSON value, refusing whatever is ambiguous, unbounded or not a number.

    Refused besides malformed JSON: text that is not UTF-8, more than `max_bytes` bytes, nesting deeper than
    `max_depth`, strings longer than `max_string` characters, halves of surrogate pairs, keys that occur
    twice, NaN and infinities, numbers beyond a double, whole numbers of more than 18 digits.

    Raises:
        BadJson: With one sentence that says what was wrong.
    """
    text = _decoded(line, max_bytes)
    # The brackets are counted first because the parser itself recurses.
    if text.count("{") + text.count("[") > max_depth and _depth(text) > max_depth:
        raise BadJson(f"The line is nested more than {max_depth} deep.")
    try:
        value = _DECODER.decode(text)
    except json.JSONDecodeError as error:
        raise BadJson(f"The line is not JSON: {error.msg} at character {error.pos + 1}.") from None
    # A line that is shorter than the longest string, and spells nothing with escapes, needs no second look.
    if len(text) > max_string or "\\u" in text:
        _check_strings(value, max_string)
    return value


def _decoded(line: str | bytes, max_bytes: int) -> str:
    try:
        raw = line.encode() if isinstance(line, str) else line
        if len(raw) > max_bytes:
            raise BadJson(f"The line is longer than {max_bytes:,} bytes.")
        return line if isinstance(line, str) else raw.decode()
    except UnicodeError:
        raise BadJson("The line is not UTF-8 text.") from None


# Possessive, and content with an unfinished string, so that no input makes it look at a character twice.
_STRING_OR_BRACKET = re.compile(r'"(?:[^"\\]|\\.)*+"?|[\[\]{}]', re.DOTALL)


def _depth(text: str) -> int:
    depth = deepest = 0
    for match in _STRING_OR_BRACKET.finditer(text):
        found = match[0]
        if found in "[{":
            depth += 1
            deepest = max(deepest, depth)
        elif found in "]}":
            depth -= 1
    return deepest


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    result = dict(pairs)
    if len(result) != len(pairs):
        seen: set[str] = set()
        for key, _ in pairs:
            if key in seen:
                raise BadJson(f'The key "{safe(key[:40])}" occurs twice.')
            seen.add(key)
    return result


def _float(digits: str) -> float:
    value = float(digits)
    if value in (float("inf"), float("-inf")):
        raise BadJson(f"The number {digits[:40]} is too large.")
    return value


def _int(digits: str) -> int:
    if len(digits.removeprefix("-")) > 18:
        raise BadJson(f"The number {digits[:20]}... has too many digits.")
    return int(digits)


def _constant(name: str) -> NoReturn:
    raise BadJson(f"{name} is not a number that can be used.")


_DECODER = json.JSONDecoder(
    object_pairs_hook=_object, parse_float=_float, parse_int=_int, parse_constant=_constant
)


def _check_strings(value: object, max_string: int) -> None:
    if isinstance(value, str):
        if len(value) > max_string:
            raise BadJson(f"A text in the line is longer than {max_string:,} characters.")
        if not value.isascii():
            try:
                value.encode()
            except UnicodeEncodeError:
                raise BadJson("A text in the line holds half a character.") from None
    elif isinstance(value, dict):
        for key, item in value.items():
            _check_strings(key, max_string)
            _check_strings(item, max_string)
    elif isinstance(value, list):
        for item in value:
            _check_strings(item, max_string)
