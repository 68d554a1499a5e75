"""What lies ready at the bench, said in shop words."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from askew.engine.language import Context, read
from askew.engine.observations import Reading, SetupFact

THOU = 0.0254

LEAVES: tuple[tuple[str, tuple[float, ...]], ...] = (
    ("I have leaves of 1, 2, 3, 5 and 10 thou", tuple(THOU * n for n in (1, 2, 3, 5, 10))),
    ("shims 0.05 0.1 0.2 mm", (0.05, 0.1, 0.2)),
    ("shim stock: 10 thou, 2 thou, 5 thou", tuple(THOU * n for n in (2, 5, 10))),
    ("I've got shim stock in .002 and .005 in", (2 * THOU, 5 * THOU)),
)
CUTTERS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("I have a 3 inch face mill and a half inch end mill", ("76.2 mm face_mill", "12.7 mm end_mill")),
    ("cutters: 80 mm face mill, 20 mm end mill", ("80 mm face_mill", "20 mm end_mill")),
    (
        "I've got a 50mm face mill and 12 and 16 mm 4 flute carbide end mills",
        ("50 mm face_mill", "12 mm end_mill carbide 4 teeth", "16 mm end_mill carbide 4 teeth"),
    ),
    ("I have a 2 in fly cutter and end mills of 1/2 and 3/4 in",
     ("50.8 mm fly_cutter", "12.7 mm end_mill", "19.05 mm end_mill")),
    ("cutters on hand: 2 in face mill", ("50.8 mm face_mill",)),
)  # fmt: skip


def _setup(text: str, context: Context | None = None) -> dict[str, object]:
    return {fact.key: fact.value for fact in read(text, context).facts if isinstance(fact, SetupFact)}


@pytest.mark.parametrize(("text", "wanted"), LEAVES)
def test_leaves_are_heard_in_mm(text: str, wanted: tuple[float, ...]) -> None:
    heard = read(text)
    assert _setup(text) == {"leaves": pytest.approx(wanted)}
    assert len(heard.facts) == 1
    assert not heard.unread


@pytest.mark.parametrize(("text", "wanted"), CUTTERS)
def test_cutters_are_heard_with_their_size_and_kind(text: str, wanted: tuple[str, ...]) -> None:
    heard = read(text)
    assert _setup(text) == {"cutters": wanted}
    assert len(heard.facts) == 1


@pytest.mark.parametrize(
    "text",
    [
        "put a 5 thou shim and a 2 thou shim under the vise",
        "i have shims from 1 to 10 thou",  # does not say which
        "i have a knee mill and a 100 mm face mill",  # the one in use
        "swapped the 3 inch face mill for a half inch end mill",
        "12 thou out of square with a 3 inch face mill and 4 thou with a half inch end mill",
        "2 thou shim slides under the front parallel",
    ],
)
def test_what_was_used_or_done_is_no_list(text: str) -> None:
    assert not {"leaves", "cutters"} & set(_setup(text))


def test_an_answer_needs_no_noun() -> None:
    assert _setup("1 2 5 10 thou", Context(asked="leaves")) == {
        "leaves": pytest.approx([THOU, 2 * THOU, 5 * THOU, 10 * THOU])
    }
    assert _setup("1,2,5 thou", Context(asked="leaves"))["leaves"] == pytest.approx((THOU, 2 * THOU, 5 * THOU))
    assert _setup("none", Context(asked="leaves")) == {"leaves": ()}
    assert _setup("80 mm face mill and 16 mm end mill", Context(asked="cutters")) == {
        "cutters": ("80 mm face_mill", "16 mm end_mill")
    }


def test_a_unit_left_out_is_asked_for() -> None:
    heard = read("I have leaves of 1, 2 and 5")
    assert not heard.facts
    assert heard.question is not None
    restated = read(heard.question.restated[0])
    assert restated.facts == (SetupFact("leaves", restated.facts[0].value, "thou", restated.facts[0].words),)  # type: ignore[union-attr]


@pytest.mark.parametrize(
    "text",
    [
        "I have leaves of 1, 2 and 5 thou and cutters: 3 in face mill, 1/2 in end mill",
        "cutters: 3 in face mill, 1/2 in end mill, and leaves of 1, 2 and 5 thou",
    ],
)
def test_both_may_be_told_in_one_sentence(text: str) -> None:
    assert _setup(text) == {
        "leaves": pytest.approx((THOU, 2 * THOU, 5 * THOU)),
        "cutters": ("76.2 mm face_mill", "12.7 mm end_mill"),
    }


def test_they_stand_beside_other_facts() -> None:
    text = "bench mill, I have a dial indicator and a square. shims of 1, 2 and 5 thou. cutters: 2 in face mill"
    assert set(_setup(text)) == {"machine", "instruments", "leaves", "cutters"}


@pytest.mark.parametrize(
    ("text", "ids"),
    [
        ("a hollow aluminium frame, 80x80 with 5 mm wall, 0.18 mm out of square over 80", ["face_out_of_square"]),
        ("box section with 5 mm walls, top is 0.18 mm out of square over 80 mm", ["face_out_of_square"]),
        ("the part is hollow by 3 thou", ["hollow_across"]),
        ("3 mm wall tube and the top is hollow by 0.05 mm", ["hollow_across"]),
        ("wall 25 mm high, 2 thou wider at the foot", ["wall_taper"]),
    ],
)
def test_hollow_work_is_no_hollow_face(text: str, ids: list[str]) -> None:
    assert [fact.id for fact in read(text).facts if isinstance(fact, Reading)] == ids


@pytest.mark.parametrize(
    "text",
    ["solid", "a solid 3 inch cube", "it's solid through", "the part is solid", "solid steel", "it's not hollow"],
)
def test_solid_work_has_no_wall(text: str) -> None:
    assert [fact.value for fact in read(text).facts if isinstance(fact, SetupFact) and fact.key == "wall"] == [0.0]


@pytest.mark.parametrize(
    "text", ["measured from the solid jaw", "solid carbide endmill 12 mm", "rock solid", "the face is not hollow"]
)
def test_what_else_is_called_solid_says_nothing_of_a_wall(text: str) -> None:
    assert not any(isinstance(fact, SetupFact) and fact.key == "wall" for fact in read(text).facts)


INSTRUMENTS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("I have a mic", ("micrometer",)),
    ("I have a square", ("square",)),
    ("I have a square and a dial indicator, no parallels", ("square", "dial_indicator")),
    ("no parallels, I have a square and feelers", ("square", "feelers")),
    ("I have a square but no feelers and no mic", ("square",)),
    ("I have a 3 in face mill, a square, feelers and a mic", ("square", "feelers", "micrometer")),
)


@pytest.mark.parametrize(("text", "wanted"), INSTRUMENTS)
def test_instruments_are_those_that_are_there(text: str, wanted: tuple[str, ...]) -> None:
    assert _setup(text)["instruments"] == wanted


@pytest.mark.parametrize(
    "text",
    ["I don't have a square or feelers", "I have the square on it and see light at the top", "square and feelers"],
)
def test_instruments_that_are_not_there_or_in_use_are_no_list(text: str) -> None:
    assert "instruments" not in _setup(text)


@given(
    st.lists(
        st.sampled_from(["knee mill", "3 in face mill", "mild steel", "solid part", "plain jaws", "no parallels"]),
        min_size=1,
        max_size=4,
        unique=True,
    ),
    st.sampled_from(["I have a square and a dial indicator", "got a square and feelers", "I've a square and a mic"]),
    st.integers(0, 4),
)
def test_a_list_of_instruments_reads_nothing_of_the_part(told: list[str], tools: str, place: int) -> None:
    told.insert(place, tools)
    heard = read(", ".join(told))
    assert not [fact for fact in heard.facts if isinstance(fact, Reading)]
    assert "instruments" in _setup(", ".join(told))
