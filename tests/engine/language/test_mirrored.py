"""The other way round said is the other way round heard: directions under a mirror, and what end is the lower."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from askew.engine.language import Context, read
from askew.engine.language.clauses.prepare import prepare
from askew.engine.language.together.mirrored import mirrored, pooled
from askew.engine.observations import Reading

SAID = [
    ("face is in wind, front left and back right are the {} ones by three thou", "high", "low"),
    ("face has a twist in it, front left and back right are 3 thou {}", "high", "low"),
    ("cross feed joint: left side is 0.015 mm {}", "higher", "lower"),
    ("after facing it along the other axis the left side is {} at the joint, 0.02 mm", "higher", "lower"),
    ("cranked the table under the needle and the left end is 2 thou {} over 12 inches", "high", "low"),
    ("ran the table under a still needle, ten inches of X, and the left end reads {} by two thou", "more", "less"),
    ("with the feed turned around the step is two thou and the front side is the {} one", "high", "low"),
    ("the vise bed is {} to the right by 8 microns", "higher", "lower"),
    ("two sweeps side to side, nothing adjusted, left side became {} 0.015 mm in the second", "higher", "lower"),
    ("swept twice, nothing adjusted, and the back {} 0.02 mm from the first to the second", "rose", "dropped"),
    ("top face is not parallel to the base, back side is {} by 0.03 mm", "higher", "lower"),
    ("swept side to side, needle shows 0 on the left and 4 thou {} on the right", "more", "less"),
    ("straight edge across: both ends zero, middle 3 thou {}", "high", "low"),
    ("vise bed: left 0, right 2 thou {}", "high", "low"),
    ("across the feed: front 0, back 2 thou {}", "thick", "thin"),
]


def reading(text: str) -> Reading:
    (fact,) = [fact for fact in read(text).facts if isinstance(fact, Reading)]
    return fact


@pytest.mark.parametrize(("said", "one", "two"), SAID)
def test_the_opposite_word_turns_the_direction(said: str, one: str, two: str) -> None:
    here, there = reading(said.format(one)), reading(said.format(two))
    assert here.sign_known
    assert there.sign_known
    assert here.id == there.id
    assert there.value == pytest.approx(-(here.value or 0))


@pytest.mark.parametrize("height", ["high", "low"])
@pytest.mark.parametrize("said", ["sweep 4 thou left {}", "sweep front to back 3 thou, back {}"])
def test_a_sweep_that_is_high_of_nobody_says_what_leaves_its_direction_open(said: str, height: str) -> None:
    assert not reading(said.format(height)).sign_known


@pytest.mark.parametrize(
    ("answer", "sign"),
    [
        ("bigger than a right angle", 1),
        ("over square", 1),
        ("tighter than square", -1),
        ("less than a right angle", -1),
    ],
)
def test_a_right_angle_that_it_is_held_against_is_no_right_angle(answer: str, sign: int) -> None:
    last = Reading("face_out_of_square", 0.2, sign_known=False, unit="mm")
    (told,) = read(answer, Context(asked="face_out_of_square", last=(last,), unit="mm")).facts
    assert isinstance(told, Reading)
    assert told.value == pytest.approx(sign * 0.2)


def test_nothing_at_one_end_is_only_where_the_other_was_measured_from() -> None:
    assert reading("straight edge across: ends 0, middle 3 thou low").value == pytest.approx(3 * 0.0254)


@pytest.mark.parametrize(
    ("text", "turned"),
    [
        ("the left end is LOW by 2 thou", "the left end is high by 2 thou"),
        ("two thou thicker at the back", "two thou thinner at the back"),
        ("high on the left, low on the right", None),
        ("leans back 3 thou, the jaw is 50 mm high", None),
        ("leans back a bit more than 3 thou", None),
        ("leans back 3 thou", None),
    ],
)
def test_only_one_word_that_tells_a_way_is_turned(text: str, turned: str | None) -> None:
    made = mirrored(prepare(text))
    assert (made.text if made is not None else None) == turned


def test_a_mirror_shows_what_it_was_made_of() -> None:
    once = mirrored(prepare("the left end is low by 2 thou"))
    assert once is not None
    twice = mirrored(once)
    assert twice is not None
    assert twice.text == "the left end is low by 2 thou"


SHARES = st.tuples(*(st.floats(0.001, 1) for _ in range(3))).map(
    lambda parts: dict(zip("+-?", (part / sum(parts) for part in parts), strict=True))
)


@given(SHARES, SHARES)
def test_pooled_shares_are_those_of_the_mirrored_message_turned(one: dict[str, float], two: dict[str, float]) -> None:
    here, there = pooled(one, two), pooled(two, one)
    assert sum(here.values()) == pytest.approx(1)
    assert here["+"] == pytest.approx(there["-"])
    assert here["?"] == pytest.approx(there["?"])


@given(SHARES)
def test_what_the_mirror_does_not_turn_is_told_neither_way(shares: dict[str, float]) -> None:
    here = pooled(shares, shares)
    assert here["+"] == pytest.approx(here["-"])
