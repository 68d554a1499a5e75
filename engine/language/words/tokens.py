"""A message cut into words, numbers and marks, each with its place in the message."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from itertools import pairwise
from typing import Literal

LONGEST = 2000
"""So many characters of a message are read: some 350 words, or three minutes of talk into a telephone."""

_FRACTIONS = {
    "½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8", "⅓": "1/3",
    "⅔": "2/3", "⅕": "1/5", "⅒": "1/10",
}  # fmt: skip
_INCH_PARTS = {"8": "eighth", "16": "sixteenth", "32": "thirtysecond", "64": "sixtyfourth"}
_SAME = str.maketrans(
    {
        "’": "'", "‘": "'", "′": "'", "`": "'", "´": "'", "“": '"', "”": '"', "″": '"', "–": "-",
        "—": "-", "−": "-", "‑": "-", "×": "x", "μ": "µ", "⁄": "/", "÷": "/",
        "\u00a0": " ", "\u2009": " ", "\u202f": " ", "\t": " ", "，": ",", "．": ".", "Ø": " ", "ø": " ", "⌀": " ",
    }
)  # fmt: skip

SENTENCE_ENDS = frozenset({".", "!", "?", ";"})
"""Marks that end a sentence, or nearly."""

Kind = Literal["number", "word", "mark", "code"]


@dataclass(frozen=True, slots=True)
class Token:
    """One piece of a message.

    Attributes:
        kind: number, word, mark (punctuation) or code (a part number, date, clock time and the like).
        text: The piece in lower case.
        start: Where it starts in the message.
        end: Where it ends.
        value: The number, for numbers.
        other: The second meaning of a number whose comma may be a decimal or a thousands comma.
        decimals: How many digits were written after the decimal point.
        glued: True when no space stands before it.
    """

    kind: Kind
    text: str
    start: int
    end: int
    value: Decimal | None = None
    other: Decimal | None = None
    decimals: int = 0
    glued: bool = False


def text_at(tokens: Sequence[Token], at: int) -> str:
    """Return the text of a token, "" past either end."""
    return tokens[at].text if 0 <= at < len(tokens) else ""


_GLUED_UNITS = (
    "mm|cm|m|um|u|µm|µ|thou|thous|thousandths?|th|tenths?|tths?|microns?|mic|mils?|in|inch|inches|ins|ft|foot|feet|"
    "deg|degrees?|mrad|x|by|ish|rpm|ipm|sfm|kg|lbs?|nm|hp|kw|degc|c|f|fl|flute|k|am|pm|hrs?|mins?|secs?|s|"
    "pass|passes|pcs?|thick|wall|dia|od|id"
)
_TOKEN = re.compile(
    rf"""
    (?P<code>\d+/\d+/\d+ | \d+:\d\d(?::\d\d)? | \d+\.\d+\.[\d.]+ | \d+/\d+-\d+\b(?!/)
        | \d+(?:-\d+){{2,}} | \d{{4,}}-\d+ | [#]\s*\d[\w-]*)
  | (?P<mixed>(?P<whole>\d{{1,5}})(?:\s*-\s*|\s+)(?P<top>\d{{1,4}})/(?P<bottom>\d{{1,5}})(?![\d/]|\.\d))
  | (?P<frac>(?P<ftop>\d{{1,4}})/(?P<fbottom>\d{{1,5}})(?![\d/]|\.\d)(?:(?:ths?|nds?)(?![a-z]))?)
  | (?P<vulgar>(?P<vwhole>\d{{1,5}})?\s?(?P<vfrac>[{"".join(_FRACTIONS)}]))
  | (?P<inchpart>(?:8|16|32|64)(?:th|nd)s?)(?![a-z\d])
  | (?P<num>\d+(?:[.,]\d+)+ | (?:\. | (?<![^\W\d_]),)\d+(?!\d|\.\d) | \d+)
        (?P<glue>(?:{_GLUED_UNITS})(?![a-z]))?(?P<junk>[a-z]+[\w]*)?
  | (?P<word>[^\W\d_]+(?:'[^\W\d_]+)*(?:\d+(?:[.,]\d+)?|\.\d+)?)
  | (?P<mark>\+\s?/\s?-|\+-|±|[^\w\s]|_)
    """,
    re.VERBOSE,
)


def fold(text: str) -> str:
    """Return the text in lower case with plain quotes, dashes and spaces, character for character."""
    if text.isascii() and text.isprintable() and "`" not in text:
        return text.lower()  # as nearly all messages are
    folded = text.translate(_SAME)
    lowered = "".join(low if len(low := ch.lower()) == 1 else ch for ch in folded)
    return "".join(" " if unicodedata.category(ch)[0] == "C" else ch for ch in lowered)


def tokenize(text: str) -> list[Token]:
    """Cut a message (at most `LONGEST` characters of it) into tokens."""
    folded = fold(text[:LONGEST])
    tokens: list[Token] = []
    for match in _TOKEN.finditer(folded):
        tokens.extend(_made(match, folded))
    return _diameters_parted(_ends_parted(_twos_heard(tokens)))


_WAYS = {
    **{"side": "side", "end": "end", "top": "bottom"},
    **{"front": "back", "back": "front", "left": "right", "right": "left"},
}


def _twos_heard(tokens: list[Token]) -> list[Token]:
    """Take the "2" of "side 2 side", "front 2 back" and "nearer 2 me" for the "to" that it sounds like."""
    return [
        Token("word", "to", token.start, token.end, glued=token.glued)
        if token.text == "2" and 0 < at < len(tokens) - 1 and _leads(tokens[at - 1].text, tokens[at + 1].text)
        and not (at + 2 < len(tokens) and tokens[at + 2].kind == "number")  # "left 2 right 7" was read at both
        else token
        for at, token in enumerate(tokens)
    ]


def _leads(before: str, after: str) -> bool:
    """Tell whether a "to" stands between two words, where no number can."""
    return _WAYS.get(before) == after or after in _NEVER_COUNTED


_NEVER_COUNTED = {"me", "it", "do", "be", "go", "get", "see", "know", "find", "check", "make", "use", "my", "them"}
"""What is never counted, so that a "2" before it is a "to"."""


_DIAMETER = re.compile(r"d(\d+(?:[.,]\d+)?)(?:mm)?")
_CUTTING = {
    *("mill", "facemill", "endmill", "shellmill", "cutter", "flycutter"),
    *("drill", "reamer", "slotdrill", "facer"),
}
_LEAST_DIAMETER = 3
_INCHES = {"in", "inch", "inches", '"', "mm"}
_STEELS = {"d2", "d3", "d7"}
_NEAR = 4


def _diameters_parted(tokens: list[Token]) -> list[Token]:
    """Part the "D63" of "D63 face mill" into "dia" and millimetres, beside a word for a cutter; "D2" is a steel."""
    if not any(token.kind == "code" for token in tokens):
        return tokens
    made: list[Token] = []
    for at, token in enumerate(tokens):
        found = (
            _DIAMETER.fullmatch(token.text) if token.kind == "code" and token.text not in _STEELS else None
        )
        near = {other.text for other in tokens[max(0, at - _NEAR) : at + _NEAR]}
        if found is None or not near & _CUTTING:
            made.append(token)
            continue
        cut = token.start + 1
        number = _number(found[1], cut, token.end, glued=True)
        if number.value is None or number.value < _LEAST_DIAMETER:
            made.append(token)
            continue
        made += [replace(token, kind="word", text="dia", end=cut), number]
        if not (at + 1 < len(tokens) and tokens[at + 1].text in _INCHES):
            made.append(Token("word", "mm", token.end, token.end, glued=True))
    return made


_ENDS = {"l": "left", "r": "right", "f": "front", "b": "back"}
_END = re.compile(r"([lrfb])(\d+(?:[.,]\d+)?)")


def _ends_parted(tokens: list[Token]) -> list[Token]:
    """Part "L3 R8" and "F0 B+2" into ends and numbers where both ends are told; a lone "R8" is a taper."""
    if not any(token.kind == "code" for token in tokens):
        return tokens
    codes = {
        at: found
        for at, token in enumerate(tokens)
        if token.kind == "code" and (found := _END.fullmatch(token.text)) is not None
    }
    if not codes:
        return tokens
    ends = {found[1] for found in codes.values()}
    ends |= {
        token.text
        for token, after in pairwise(tokens)
        if token.text in _ENDS and (after.kind == "number" or after.text in ("+", "-"))
    }
    if not (ends >= {"l", "r"} or ends >= {"f", "b"}):
        return tokens
    made: list[Token] = []
    for at, token in enumerate(tokens):
        if at not in codes:
            made.append(token)
            continue
        cut = token.start + 1
        made.append(replace(token, kind="word", text=_ENDS[token.text[0]], end=cut))
        made.append(_number(token.text[1:], cut, token.end, glued=True))
    return made


_MICRON = {"µ": "um", "µm": "um"}


def _made(match: re.Match[str], folded: str) -> list[Token]:
    start, end = match.span()
    glued = start > 0 and not folded[start - 1].isspace()
    text = match.group()
    if match.lastgroup == "word":
        return [Token("code" if text[-1].isdigit() else "word", _MICRON.get(text, text), start, end, glued=glued)]
    if match["code"]:
        return [Token("code", text, start, end, glued=glued)]
    if match["mixed"] or match["frac"] or match["vulgar"]:
        value = _fraction(match)
        if value is None:
            return [Token("code", text, start, end, glued=glued)]
        return [Token("number", text, start, end, value=value, glued=glued)]
    if match["inchpart"]:
        word = _INCH_PARTS[text.rstrip("dhnst")] + ("s" if text.endswith("s") else "")
        return [Token("word", word, start, end, glued=glued)]
    if match["num"]:
        if match["junk"] or len(match["num"]) > 24:
            return [Token("code", text, start, end, glued=glued)]
        split = match.end("num")
        number = _number(match["num"], start, split, glued)
        if match["glue"]:
            return [number, Token("word", _MICRON.get(match["glue"], match["glue"]), split, end, glued=True)]
        return [number]
    mark = "+-" if text in ("±", "+/-", "+-") or ("/" in text and len(text) > 1) else text
    return [Token("mark", mark, start, end, glued=glued)]


def _fraction(match: re.Match[str]) -> Decimal | None:
    if match["vulgar"]:
        top, bottom = _FRACTIONS[match["vfrac"]].split("/")
        whole = match["vwhole"] or "0"
    elif match["mixed"]:
        whole, top, bottom = match["whole"], match["top"], match["bottom"]
    else:
        whole, top, bottom = "0", match["ftop"], match["fbottom"]
    if int(bottom) == 0:
        return None
    return Decimal(whole) + Decimal(top) / Decimal(bottom)


def _number(text: str, start: int, end: int, glued: bool) -> Token:
    """Read digits with points and commas.

    A comma followed by exactly three digits may be a decimal or a thousands comma unless the part before
    it is zero or empty; both meanings are kept. A point is always decimal, never a thousands separator,
    unless a comma follows it.
    """
    points, commas = text.count("."), text.count(",")
    plain, other = text, None
    if commas and points:
        last = max(text.rfind("."), text.rfind(","))
        plain = text[:last].replace(",", "").replace(".", "") + "." + text[last + 1 :]
    elif commas > 1:
        if any(len(group) != 3 for group in text.split(",")[1:]):
            return Token("code", text, start, end, glued=glued)
        plain = text.replace(",", "")
    elif points > 1:
        return Token("code", text, start, end, glued=glued)
    elif commas:
        before, after = text.split(",")
        plain = f"{before}.{after}"
        if len(after) == 3 and before.lstrip("0") and len(before) <= 3:
            other = Decimal(before + after)
    decimals = len(plain) - plain.find(".") - 1 if "." in plain else 0
    return Token("number", text, start, end, Decimal(plain), other, decimals, glued)
