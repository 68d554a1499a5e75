"""Numbers as spoken: every form there and back, the forms of the shop, and pint where it knows the form."""

from __future__ import annotations

import math
from decimal import Decimal
from itertools import pairwise

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from askew.engine.language import Context, read
from askew.engine.language.numbers.quantities import Quantity
from askew.engine.language.numbers.scanning import scan
from askew.engine.language.words.tokens import LONGEST, tokenize

ONES = [
    *(
        "zero",
        "one",
        "two",
        "three",
        "four",
        "five",
        "six",
        "seven",
        "eight",
        "nine",
        "ten",
        "eleven",
        "twelve",
    ),
    *("thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"),
]
TENS = {
    20: "twenty",
    30: "thirty",
    40: "forty",
    50: "fifty",
    60: "sixty",
    70: "seventy",
    80: "eighty",
    90: "ninety",
}
UNIT_WORDS = {
    "thou": "thou",
    "tenth": "tenths",
    "in": "inches",
    "mm": "mm",
    "um": "microns",
    "cm": "cm",
    "ft": "feet",
    "deg": "degrees",
}


def one(text: str) -> Quantity:
    found = scan(tokenize(text))
    assert len(found) == 1, (text, found)
    return found[0]


def in_words(number: int) -> str:
    if number < 20:
        return ONES[number]
    if number < 100:
        return TENS[number // 10 * 10] + (f" {ONES[number % 10]}" if number % 10 else "")
    rest = number % 100
    return f"{ONES[number // 100]} hundred" + (f" and {in_words(rest)}" if rest else "")


@pytest.mark.parametrize("unit", UNIT_WORDS)
def test_a_thousand_values_in_digits(unit: str) -> None:
    for step in range(1, 1001):
        value = Decimal(step) / 8
        for text in (f"{value}", f"{value}".replace(".", ",") if step % 8 in (2, 4, 6) else f"{value:f}"):
            heard = one(f"{text} {UNIT_WORDS[unit]}")
            assert (heard.value, heard.unit) == (value, unit), text


@pytest.mark.parametrize("unit", UNIT_WORDS)
def test_a_thousand_values_in_words(unit: str) -> None:
    for number in range(1, 1000):
        heard = one(f"{in_words(number)} {UNIT_WORDS[unit]}")
        assert (heard.value, heard.unit) == (Decimal(number), unit), in_words(number)


@pytest.mark.parametrize("unit", ["in", "thou"])
def test_fractions(unit: str) -> None:
    for whole in range(12):
        for bottom in (2, 4, 8, 16, 32, 64):
            for top in range(1, bottom, 2):
                text = f"{whole} {top}/{bottom}" if whole else f"{top}/{bottom}"
                heard = one(f"{text} {UNIT_WORDS[unit]}")
                assert heard.value == whole + Decimal(top) / Decimal(bottom)


@pytest.mark.parametrize(
    ("text", "value", "unit"),
    [
        ("a thou and a half", "1.5", "thou"),
        ("half a thou", "0.5", "thou"),
        ("half thou", "0.5", "thou"),
        ("two and a half tenths", "2.5", "tenth"),
        ("three quarters of an inch", "0.75", "in"),
        ("fifteen thousandths", "15", "thou"),
        ("fifteen thousandths of an inch", "15", "thou"),
        ("two ten thousandths", "2", "tenth"),
        ("two tenths of a mm", "0.2", "mm"),
        ("two tenths of a thou", "0.2", "thou"),
        ("three hundredths of a millimetre", "0.03", "mm"),
        ("point oh one five inch", "0.015", "in"),
        ("zero point zero five mm", "0.05", "mm"),
        ('.003"', "0.003", "in"),
        ("1½ inch", "1.5", "in"),
        ("1-1/2 in", "1.5", "in"),
        ("0,02 mm", "0.02", "mm"),
        ("3 thou and 4 tenths", "3.4", "thou"),
        ("15thou", "15", "thou"),
        ("minus 4 thou", "-4", "thou"),
        ("-4 thou", "-4", "thou"),
        ("another thou", "1", "thou"),
        ("20 mil", "20", "mil"),
        ("0.05 mill", "0.05", "mm"),
        ("forty mill", "40", "mm"),
        ("5 µm", "5", "um"),
    ],
)
def test_forms_of_the_shop(text: str, value: str, unit: str) -> None:
    heard = one(text)
    assert (heard.value, heard.unit) == (Decimal(value), unit)


def test_degrees_and_minutes() -> None:
    assert math.isclose(float(one("1 degree 20 minutes").value), 4 / 3)


@pytest.mark.parametrize(
    ("text", "bound", "low", "high"),
    [
        ("about 4 tenths", "about", None, None),
        ("a couple of tenths", "about", None, None),
        ("15ish thou", "about", None, None),
        ("4 thou or so", "about", None, None),
        ("at least 3 thou", "at_least", None, None),
        ("over 5 thou", "at_least", None, None),
        ("less than half a tenth", "at_most", None, None),
        ("4 thou max", "at_most", None, None),
        ("between 3 and 5 thou", "between", 3, 5),
        ("3-5 thou", "between", 3, 5),
        ("3 to 5 thou", "between", 3, 5),
        ("3 or 4 thou", "between", 3, 4),
        ("a thou or two", "between", 1, 2),
        ("5 thou +/- 1", "between", 4, 6),
        ("5 thou plus or minus 1", "between", 4, 6),
    ],
)
def test_how_sure(text: str, bound: str, low: int | None, high: int | None) -> None:
    heard = one(text)
    assert heard.bound == bound
    assert (heard.low, heard.high) == (low, high)


@pytest.mark.parametrize(
    ("text", "per"),
    [
        ("5 thou per foot", 304.8),
        ("0.003in/ft", 304.8),
        ("2 thou to the inch", 25.4),
        ("0.02 mm/m", 1000),
        ("1 thou an inch", 25.4),
    ],
)
def test_slopes(text: str, per: float) -> None:
    heard = one(text)
    assert heard.per is not None
    assert math.isclose(float(heard.per), per)


@pytest.mark.parametrize(
    "text",
    [
        "1200 rpm",
        "8 ipm",
        "$400",
        "0.1 mm per tooth",
        "300 mm/min",
        "30 years",
        "12 kg",
        "op 20",
        "4 flutes",
        "40 lbs",
        "20 degrees c",
    ],
)
def test_what_is_no_measurement(text: str) -> None:
    assert all(quantity.junk for quantity in scan(tokenize(text)))


@pytest.mark.parametrize(
    "text", ["1e999 mm", "6061-T6", "3/4/2021", "9:30", "4410-77-12", "M6x1", "1.2.3", "1/0 in"]
)
def test_what_is_no_number(text: str) -> None:
    assert not [
        quantity for quantity in scan(tokenize(text)) if quantity.unit is not None and not quantity.junk
    ]


def test_a_comma_with_two_meanings_keeps_both() -> None:
    heard = one("1,500 mm")
    assert (heard.value, heard.other) == (Decimal("1.5"), Decimal(1500))
    assert one("0,125 mm").other is None
    assert one("12,5 mm").other is None
    assert one("1.500 mm").other is None


@pytest.mark.parametrize(
    ("text", "mm"),
    [("reads 4 thou,2 passes", 0.1016), ("open,4 thou", 0.1016), ("block in,1.5 in deep", 38.1), ("so ,5 mm", 0.5)],
)
def test_a_comma_after_a_word_parts_it_from_a_number(text: str, mm: float) -> None:
    told = [quantity for quantity in scan(tokenize(text)) if quantity.mm is not None]
    assert float(told[0].mm or 0) == pytest.approx(mm)
    glued, apart = (read(f"cut with a 4 in face mill,{gap}2 passes").facts for gap in ("", " "))
    assert len(glued) == 3
    assert glued == apart


def test_a_box() -> None:
    assert one("50x50x3").box == (50, 50, 3)
    assert one('2" x 4" x 3"').box == (2, 4, 3)
    assert one("2 by 4 by 3 inch").unit == "in"


@pytest.fixture(scope="module")
def registry() -> pint.UnitRegistry:
    return pint.UnitRegistry(non_int_type=Decimal)


@pytest.mark.parametrize("unit", ["mm", "cm", "inch", "foot", "thou", "um", "micron", "meter"])
def test_agreement_with_pint_on_the_forms_it_knows(unit: str, registry: pint.UnitRegistry) -> None:
    for step in range(1, 126):
        text = f"{Decimal(step) / 8} {unit}"
        heard = one(text)
        assert heard.mm is not None
        theirs = registry.Quantity(text).to("millimeter").magnitude
        assert math.isclose(float(heard.mm), float(theirs), rel_tol=1e-12), text


@given(st.text(max_size=200))
def test_any_text_is_cut_up_in_place(text: str) -> None:
    tokens = tokenize(text)
    assert all(0 <= token.start < token.end <= min(len(text), LONGEST) for token in tokens)
    assert all(one.end <= two.start for one, two in pairwise(tokens))
    for quantity in scan(tokens):
        assert 0 <= quantity.start < quantity.end <= len(tokens)
        assert quantity.value.is_finite()


def test_a_mic_is_a_tool_and_five_mics_are_a_size() -> None:
    assert scan(tokenize("I have a mic and a square")) == []
    assert (one("5 mics hollow").value, one("5 mics hollow").unit) == (Decimal(5), "um")
    assert (one("a micron").value, one("a micron").unit) == (Decimal(1), "um")


def test_parts_of_an_inch_are_taken_in_and_shares_are_not() -> None:
    for text, inches in (
        ("an inch and five eighths", 1.625),
        ("two inches and an eighth", 2.125),
        ("three quarter end mill", 0.75),
        ("the quarter inch cutter", 0.25),
        ("only three eighths of it", 0.375),
        ("4 1/4 in front to back", 4.25),
    ):
        (quantity,) = scan(tokenize(text))
        assert (float(quantity.value), quantity.unit) == (inches, "in"), text
    for text in ("a quarter of the cutter", "half cutter past the edge", "quarter cutter width", "an eighth of a turn"):
        assert not [quantity for quantity in scan(tokenize(text)) if not quantity.junk], text


def test_a_unit_named_last_is_that_of_all_bare_numbers() -> None:
    assert [q.unit for q in scan(tokenize("left 4, right 6, all in tenths"))] == ["tenth", "tenth"]
    assert [q.unit for q in scan(tokenize("front 3 and back 5, that's in thou"))] == ["thou", "thou"]
    assert [q.unit for q in scan(tokenize("left 4 mm, right 6, all in tenths"))] != ["tenth", "tenth"]
    assert [q.unit for q in scan(tokenize("left 4, right 6, all in the vise"))] == [None, None]


def test_two_blades_tell_the_gap_between_them() -> None:
    for text in ("0.02 goes in, 0.03 does not", "0.03 won't go under but 0.02 will", "0.02 fits and 0.03 doesn't"):
        (gap,) = scan(tokenize(text))
        assert (float(gap.low or 0), float(gap.high or 0), gap.bound) == (0.02, 0.03, "between"), text
    for text in ("0.02 goes in, 0.03 goes in", "0.03 goes in, 0.02 does not", "moved 4 thou away, 5 thou does not"):
        assert not any(quantity.bound == "between" for quantity in scan(tokenize(text))), text


@pytest.mark.parametrize(
    ("text", "mm"),
    [("a jump of 12 µ", 0.012), ("a jump of 12µm", 0.012), ("a jump of 12 μm", 0.012)],
)
def test_the_letter_alone_is_a_micron(text: str, mm: float) -> None:
    assert [float(quantity.mm or 0) for quantity in scan(tokenize(text))] == [pytest.approx(mm)]


@pytest.mark.parametrize(
    ("text", "left"),
    [
        ("the joint of pass one and two", 0),
        ("between passes 2 and 3", 0),
        ("swept it side 2 side", 0),
        ("the left end is closer 2 me", 0),
        ("made them myself in 1989", 0),
        ("first pass two, second pass five", 2),
        ("we cut it with passes two", 1),
    ],
)
def test_what_only_says_which_pass_or_way_is_no_measure(text: str, left: int) -> None:
    assert sum(not quantity.junk for quantity in scan(tokenize(text))) == left


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("only 3/8.", 9.525),
        ("1 3/8. and no more", 34.925),
    ],
)
def test_a_stop_after_a_fraction_is_no_decimal_point(text: str, mm: float) -> None:
    heard = read(text, Context(asked="grip_height", unit="in"))
    assert [fact.value for fact in heard.facts] == [pytest.approx(mm)]


@pytest.mark.parametrize("text", ["a hundredth and half of mm", "a hundredth and a half of a mm"])
def test_the_unit_of_a_hundredth_is_named_after_its_half(text: str) -> None:
    assert [fact.value for fact in read(f"the runout is {text}").facts] == [pytest.approx(0.015)]


@pytest.mark.parametrize("text", ["the no. 2 mill", "another mill", "the one mill", "grade two mill"])
def test_a_mill_that_is_not_counted_is_a_machine_or_a_cutter(text: str) -> None:
    assert all(quantity.unit != "mm" for quantity in scan(tokenize(text)))


@pytest.mark.parametrize("unit", ["um", "µm", "μm"])
def test_a_micron_is_no_hesitation(unit: str) -> None:
    (told,) = read(f"swept on a 300 mm circle, left reading 60 {unit}, right reading 20 {unit}").facts
    assert told.value == pytest.approx(0.04)


@pytest.mark.parametrize(
    ("text", "junk"), [("part 3 across, 4 long", False), ("part 55 high", False), ("part 4512", True)]
)
def test_the_size_of_a_part_is_not_its_number(text: str, junk: bool) -> None:
    assert scan(tokenize(text))[0].junk is junk
