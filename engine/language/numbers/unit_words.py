"""Units as spoken, and the words that go with numbers, read from the lexicon."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from typing import cast

from askew.engine.language.words.tokens import Token, text_at
from askew.engine.language.words.word_tables import items, table, word_lists
from askew.engine.observations import Bound


@dataclass(frozen=True, slots=True)
class Words:
    """The words around numbers.

    Attributes:
        units: Unit symbol by word; "mil" is a symbol of its own, since it means two things.
        before: Bound by the words that stand before a number.
        after: Bound by the words that stand after it.
        junk_after: Words after a number that make it a count of something else.
        junk_before: Words before a number that make it a name, a feed or a price.
        per_junk: What a feed is per.
        spans: Words that introduce the length something was taken over.
        fillers: Words that may stand between those and the number.
        over: Those of the spans that stand before a thing gone over.
        extents: What a length is called before an "of": "over its depth of 30".
        faces: What has the length: "on a face that is 40 mm tall".
        one_after: Words after which "one" is no number.
        out_of_them: What a count is taken out of: "two of them".
        not_things: Words that end like a plural and are none.
        inch_parts: Fractions that are of an inch when nothing else is said.
        also_tools: Units that are also what a tool is called: "a mic" is a micrometer, "5 mics" are microns.
        grown: Words that say it became more.
        shrunk: Words that say it became less.
        changing: Those of them that only speak of a change.
        before_unit: Words between a number and its unit.
        over_goes: Words with which "over" is no amount.
        raised: Places that may be "up 3".
        telling_apart: Words between a count and what is counted.
        good_to: Words after which "to" says that no more is wrong.
        before_now: Words that what was before is named by.
        stirring: Verbs between a "not" and the step that was not even moved: "didn't move a tenth".
        tellers: Plural words that a "say" behind them tells a reading of, and no guess.
        denying: What denies them.
        moved_by: Words after which "better than" is more: "goes back better than 2 thou".
        cutters: What is named by the fraction right before it, in inches: "a three quarter endmill".
        before_mill: First words of such a name.
        varying: Words before "from 2 to 5 thou" that make a range of it and no change.
        said_of_all: Words before the unit that is named once behind all numbers: "all in tenths".
        goes_in: What a blade does that is thin enough for a gap.
        stays_out: What is said of one that is not.
        goes_elsewhere: Words after which it was no blade that went.
        total: Words after the sum of what was told before it: "five thou in all".
        loose: Words that hedge a number as the last word: "0.2 mm about".
    of_a_clock: What a number is of that only tells how fine an indicator reads: "at 1 µm resolution".
    mm_of_a: What a mm is called only as a whole that parts are taken of: "two tenths of a mill".
    """

    units: dict[str, str]
    before: dict[tuple[str, ...], Bound]
    after: dict[tuple[str, ...], Bound]
    junk_after: frozenset[str]
    junk_before: frozenset[str]
    per_junk: frozenset[str]
    spans: frozenset[str]
    fillers: frozenset[str]
    over: frozenset[str]
    extents: frozenset[str]
    faces: frozenset[str]
    one_after: frozenset[str]
    out_of_them: frozenset[str]
    not_things: frozenset[str]
    inch_parts: frozenset[str]
    also_tools: frozenset[str]
    grown: frozenset[str]
    shrunk: frozenset[str]
    changing: frozenset[str]
    before_unit: frozenset[str]
    over_goes: frozenset[str]
    raised: frozenset[str]
    telling_apart: frozenset[str]
    good_to: frozenset[str]
    before_now: frozenset[str]
    mm_of_a: frozenset[str]
    stirring: frozenset[str]
    tellers: frozenset[str]
    denying: frozenset[str]
    moved_by: frozenset[str]
    total: frozenset[str]
    loose: frozenset[str]
    of_a_clock: frozenset[str]
    cutters: frozenset[str]
    before_mill: frozenset[str]
    varying: frozenset[str]
    said_of_all: frozenset[str]
    goes_in: frozenset[str]
    stays_out: frozenset[str]
    goes_elsewhere: frozenset[str]


def _bounds(rows: dict[str, str]) -> dict[tuple[str, ...], Bound]:
    return {tuple(item.split()): cast(Bound, bound) for bound, text in rows.items() for item in items(text)}


@cache
def words() -> Words:
    """Load the words around numbers once."""
    rows = table("quantities.toml")
    units = {word: unit for unit, text in rows["units"].items() for word in items(text)}
    lists = word_lists(rows["words"])
    return Words(units, _bounds(rows["before"]), _bounds(rows["after"]), **lists)


def parse_unit(tokens: Sequence[Token], at: int) -> tuple[str, Decimal, int] | None:
    """Return (unit, factor, end) for the unit at token `at`; the factor is for "tenths of an inch"."""
    if text_at(tokens, at) == "-" and text_at(tokens, at + 1) in words().units:
        at += 1
    text = text_at(tokens, at)
    if text == "'" and text_at(tokens, at + 1) == "'":
        return "in", Decimal(1), at + 2
    if text == "arc" and text_at(tokens, at + 1) in ("minute", "minutes", "min", "mins", "seconds", "second"):
        return ("arcmin" if text_at(tokens, at + 1).startswith("min") else "arcsec"), Decimal(1), at + 2
    if (
        text in ("minutes", "minute", "mins", "seconds")
        and text_at(tokens, at + 1) == "of"
        and text_at(tokens, at + 2) == "arc"
    ):
        return ("arcmin" if text.startswith("min") else "arcsec"), Decimal(1), at + 3
    if text == "ten" and (text_at(tokens, at + 1 + (text_at(tokens, at + 1) == "-"))).startswith("thousan"):
        end = at + 2 + (text_at(tokens, at + 1) == "-")
        return "tenth", Decimal(1), _of_an_inch(tokens, end)
    unit = words().units.get(text) or words().units.get(text.removesuffix("'s"))
    if text == "mill" and _is_counted(tokens, at):
        return "mm", Decimal(1), at + 1
    if unit is None or (unit == "in" and text == "in" and not _inch_not_preposition(tokens, at)):
        return None
    if text == "u" and not tokens[at].glued:
        return None  # "5 u" is no micron, "5u" is
    if text == "m" and text_at(tokens, at + 1) == "/":
        return None
    of = _of_what(tokens, at + 1)
    if of is not None:
        whole, end = of
        if unit == "thou":
            return {"in": ("thou", Decimal(1), end), "mm": ("um", Decimal(1), end)}.get(
                whole, ("thou", Decimal(1), at + 1)
            )
        if unit == "tenth":
            return {
                "thou": ("thou", Decimal("0.1"), end),
                "mm": ("mm", Decimal("0.1"), end),
                "in": ("thou", Decimal(100), end),
                "mil": ("mil", Decimal("0.1"), end),
                "deg": ("deg", Decimal("0.1"), end),
            }.get(whole, ("tenth", Decimal(1), at + 1))
        if unit == "hundredth":  # nobody speaks of a hundredth of a thou
            return {
                "mm": ("mm", Decimal("0.01"), end),
                "in": ("thou", Decimal(10), end),
                "mil": ("mm", Decimal("0.01"), end),
            }.get(whole, ("hundredth", Decimal(1), at + 1))
    return unit, Decimal(1), at + 1


def _is_counted(tokens: Sequence[Token], at: int) -> bool:
    """Tell whether a "mill" is a millimetre: "0.05 mill", "a 40 mill face mill", but not "the no. 2 mill"."""
    number, before = tokens[at - 1], text_at(tokens, at - 2 - (text_at(tokens, at - 2) == "."))
    if at == 0 or number.text == "1" or not (number.kind == "number" or number.text in _TENS):
        return False
    return before not in _NUMBERING and text_at(tokens, at + 1) not in _OF_MACHINES and "/" not in number.text


_TENS = {
    *("two", "three", "four", "five", "six", "eight", "ten", "twelve"),
    *("twenty", "thirty", "forty", "fifty", "sixty", "eighty", "hundred"),
}
_NUMBERING = {"no", "number", "#", "nr", "model", "type", "grade", "the", "both", "all", "/", "x"}
_OF_MACHINES = {"operator", "operators", "shop", "machine", "machines", "hands", "vise", "vice"}


def _of_what(tokens: Sequence[Token], at: int) -> tuple[str, int] | None:
    if text_at(tokens, at) in ("of", "o"):
        at += 1
        at += text_at(tokens, at) in ("a", "an", "one", "1")
        whole = whole_unit(tokens, at)
        unit = words().units.get(text_at(tokens, at).removesuffix("'s")) if whole is None else whole[0]
        if unit is not None:
            return unit, at + 1
        return None
    parts = text_at(tokens, at - 1) in ("tenth", "hundredth", "hundredths")
    if parts and words().units.get(text_at(tokens, at)) == "mm":
        return "mm", at + 1  # "two hundredths mm", "six tenth mm"
    return None


def whole_unit(tokens: Sequence[Token], at: int) -> tuple[str, Decimal, int] | None:
    """Return the unit for what is one only after "of a": the mill of "two tenths of a mill"."""
    return ("mm", Decimal(1), at + 1) if text_at(tokens, at) in words().mm_of_a else None


def _of_an_inch(tokens: Sequence[Token], at: int) -> int:
    of = _of_what(tokens, at)
    return of[1] if of is not None else at


def _inch_not_preposition(tokens: Sequence[Token], at: int) -> bool:
    """Tell "3 in" from "3 in the vice"."""
    if tokens[at].glued:
        return True
    following = tokens[at + 1] if at + 1 < len(tokens) else None
    if following is None:
        return True
    if following.kind == "number" and text_at(tokens, at + 2) in ("passes", "pass"):
        return False
    if following.text in ("front", "back", "fore") and text_at(tokens, at + 2) in ("to", "2"):
        return True  # "4 1/4 in front to back"
    if following.text in ("and", "n", "&") and text_at(tokens, at + 2) == "out":
        return False  # "170 in and out"
    if following.kind == "number" or following.text in (
        "jaws",
        "vise",
        "vice",
        "the",
        "a",
        "an",
        "my",
        "this",
        "that",
        "total",
        "all",
        "each",
        "x",
        "y",
        "z",
        "one",
        "front",
        "back",
        "two",
        "three",
        "four",
        "five",
        "six",
        "ten",
        "twelve",
        "about",
        "every",
        "here",
        "there",
        "it",
        "its",
        "half",
        "both",
        "front",
        "between",
        "there",
        "mild",
        "plan",
    ):
        return following.text == "x" and at + 2 < len(tokens) and tokens[at + 2].kind == "number"
    return True
