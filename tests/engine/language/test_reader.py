"""The reader against the labelled utterances, idle talk, mutations and arbitrary text."""

from __future__ import annotations

import math
import random
import string
import time
from types import ModuleType

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from askew.engine.language import Context, read
from askew.engine.language.words.lexicon import lexicon
from askew.engine.language.words.tokens import LONGEST
from askew.engine.language.words.word_tables import word_list
from askew.engine.observations import Action, Command, Reading, SetupFact, Sign

# Precision, recall and invented share of the sets that were first scored unread (see the head of each file).
FLOORS = {
    "a": (0.98, 0.97, 0.01),
    "b": (0.97, 0.95, 0.01),
    "c": (0.98, 0.97, 0.01),
    "d": (0.98, 0.98, 0.01),
    "e": (0.98, 0.98, 0.01),
    "f": (0.96, 0.97, 0.02),
    "g": (0.98, 0.99, 0.015),
    "h": (0.975, 0.96, 0.01),
    "i": (0.955, 0.945, 0.014),  # never tuned to
    "j": (0.99, 0.985, 0.005),
    "k": (0.97, 0.96, 0.015),  # never tuned to
    "l": (0.985, 0.98, 0.007),
    "m": (0.98, 0.98, 0.011),
    "n": (0.985, 0.98, 0.006),
    "o": (0.955, 0.935, 0.018),  # never tuned to
    "p": (0.975, 0.97, 0.013),
    "q": (0.965, 0.945, 0.018),
    "r": (0.965, 0.955, 0.02),
    "s": (0.965, 0.955, 0.015),
    "t": (0.96, 0.94, 0.018),
    "u": (0.97, 0.96, 0.015),
    "v": (0.965, 0.95, 0.018),
    "w": (0.95, 0.9, 0.03),
    "x": (0.945, 0.91, 0.022),
    "y": (0.97, 0.95, 0.013),
    "z": (0.97, 0.955, 0.009),  # never tuned to
    "aa": (0.955, 0.945, 0.015),
    "ab": (0.98, 0.955, 0.01),
    "ac": (0.965, 0.955, 0.011),  # never tuned to
    "ad": (0.96, 0.935, 0.012),  # never tuned to
    "ae": (0.975, 0.965, 0.01),
    "af": (0.965, 0.945, 0.011),
    "ag": (0.975, 0.97, 0.008),
    "ah": (0.95, 0.935, 0.018),  # never tuned to
    "ai": (0.97, 0.945, 0.013),
    "aj": (0.93, 0.9, 0.016),
    "ak": (0.91, 0.95, 0.085),  # near misses
    "al": (0.935, 0.885, 0.02),
    # Newer ones, harder: fresh words, and talk of other jobs in most of them.
    "am": (0.9, 0.795, 0.045),
    "an": (0.885, 0.845, 0.045),
    "ao": (0.68, 0.9, 0.31),
    "ap": (0.855, 0.805, 0.05),
    "aq": (0.835, 0.905, 0.145),
    "ar": (0.92, 0.895, 0.05),  # only a threshold is tuned to it
    "as": (0.93, 0.86, 0.035),  # never tuned to
    "at": (0.925, 0.845, 0.028),
}
MANY, EACH = 600, 3
"""Of sets that have been learned from and hold so many, every third sentence is enough to show a loss."""
# The same of the sets of other ways of saying a thing, written before the reader was tuned to them.
PARAPHRASES = {
    "machine": (0.97, 0.965, 0.025),
    "setup": (0.98, 0.97, 0.015),
    "part": (0.97, 0.96, 0.02),
    "signs": (0.97, 0.96, 0.025),
    "spoken": (0.965, 0.935, 0.02),
}
IDS = sorted(name for name in lexicon().meanings if not name.startswith("_"))
contexts = st.builds(
    Context,
    asked=st.sampled_from(
        [None, "passes", "material", "cutter_diameter", "instruments", "overrun", "no_such_thing", *IDS]
    ),
    unit=st.sampled_from([None, "in", "mm"]),
    options=st.sampled_from([(), ("bar", "plain"), ("15 thou", "15 mm")]),
    last=st.sampled_from(
        [(), (Reading("step", 0.02, unit="mm"),), (SetupFact("passes", 2),), (Sign("rubbing", "yes"),)]
    ),
    readings=st.sampled_from([{}, {"sweep_x": Reading("sweep_x", 0.1, 300.0)}]),
)
words = st.sampled_from(
    [
        *sorted(word_list("clauses.toml", "words", "small")),
        *sorted(lexicon().phrases),
        "5",
        "0.02",
        "thou",
        "mm",
        ",",
        ".",
    ]
)


def test_the_set_is_large_enough(labelled: ModuleType) -> None:
    assert len(labelled.load("tuning")) + len(labelled.load("final")) >= 500
    assert len(labelled.load("final")) >= 250
    assert len(labelled.chatter()) >= 50


def test_the_labels_name_what_exists(labelled: ModuleType) -> None:
    for utterance in [*labelled.load("tuning"), *labelled.load("final")]:
        for fact in utterance.facts:
            assert isinstance(fact, SetupFact | Command) or fact.id in IDS, fact


@pytest.mark.parametrize("half", ["tuning", "final"])
def test_facts_out_of_sentences(half: str, labelled: ModuleType) -> None:
    score = labelled.score(labelled.load(half))
    assert score.precision >= 0.95, score.wrong
    assert score.recall >= 0.95, score.wrong
    assert score.invented <= 0.01 * score.heard, score.wrong
    assert score.questions_missed == 0


def test_every_id_is_heard_somewhere(labelled: ModuleType) -> None:
    said = {
        labelled.name_of(fact)
        for half in ("tuning", "final")
        for row in labelled.load(half)
        for fact in row.facts
    }
    families = {name for name, meaning in lexicon().meanings.items() if meaning.members}
    assert not set(IDS) - families - said


def test_idle_talk_yields_nothing(labelled: ModuleType) -> None:
    for line in labelled.chatter():
        heard = read(line)
        assert not heard.facts, line
        assert heard.question is None, line


def test_what_was_not_understood_is_shown_back() -> None:
    heard = read("runout is 3 tenths and the flux capacitor hums")
    assert any("flux capacitor" in words for words in heard.unread)


@pytest.mark.parametrize(
    ("text", "context", "options"),
    [
        ("it's 15 out of square", Context(), ("15 thou", "15 mm")),
        ("0.02 hollow", Context(), ("0.02 in", "0.02 mm")),
        ("the block is 1,500 mm long", Context(), ("1.5 mm", "1500 mm")),
        ("runout is 20 mil", Context(), ("20 thou", "20 mm")),
        ("runout is 2 tenths", Context(unit="mm"), ("2 tenths of a thou", "2 tenths of a mm")),
    ],
)
def test_what_is_not_clear_is_asked_and_the_answer_can_be_read(
    text: str, context: Context, options: tuple[str, ...]
) -> None:
    heard = read(text, context)
    assert heard.question is not None
    assert heard.question.options == options
    assert not any(isinstance(fact, Reading) and fact.value is not None for fact in heard.facts)
    values = set()
    for restated in heard.question.restated:
        again = read(restated, context)
        assert again.question is None
        values |= {fact.value for fact in again.facts if isinstance(fact, Reading | SetupFact)}
    assert len(values) == len(options)


def test_an_axis_that_was_not_said_is_asked() -> None:
    heard = read("swept the table, out 4 thou over 10 inches")
    assert heard.question is not None
    assert heard.nearest == ("sweep_x", "sweep_y")
    again = read(heard.question.restated[1])
    assert [fact.id for fact in again.facts if isinstance(fact, Reading)] == ["sweep_y"]


@pytest.mark.parametrize("unit", ["in", "mm"])
def test_a_bare_decimal_goes_by_the_habit(unit: str) -> None:
    heard = read("corner open .015", Context(unit=unit))  # type: ignore[arg-type]
    fact = heard.facts[0]
    assert isinstance(fact, Reading)
    assert fact.value is not None
    assert math.isclose(fact.value, 0.381 if unit == "in" else 0.015)


def test_bounds_follow_the_sign() -> None:
    fact = read("corner closed at least 5 thou over 3 inches").facts[0]
    assert isinstance(fact, Reading)
    assert (fact.bound, fact.sign_known) == ("at_most", True)
    assert fact.value == pytest.approx(-0.127)


def test_a_range_keeps_its_order_when_it_is_minus() -> None:
    fact = read("corner closed between 3 and 5 thou").facts[0]
    assert isinstance(fact, Reading)
    assert fact.low == pytest.approx(-0.127)
    assert fact.high == pytest.approx(-0.0762)


def test_two_ended_sweep_reads_nearer_as_more() -> None:
    fact = read("swept the table: 1 thou on the left, 6.5 thou on the right, 24 inch circle").facts[0]
    assert isinstance(fact, Reading)
    assert fact.value == pytest.approx(-5.5 * 0.0254)
    assert fact.over == pytest.approx(609.6)


def test_a_correction_replaces_only_the_fact_it_speaks_of() -> None:
    last = (SetupFact("passes", 2), Reading("face_out_of_square", 0.3048, 76.2, unit="thou"))
    heard = read("no, I meant closed, not open", Context(last=last))
    assert heard.corrects
    assert heard.facts[0] == last[0]
    fixed = heard.facts[1]
    assert isinstance(fixed, Reading)
    assert fixed.value == pytest.approx(-0.3048)


def test_what_is_asked_or_only_thought_of_is_no_action() -> None:
    for text in (
        "should i tram the head?",
        "haven't cleaned it yet",
        "I'll regrip it tomorrow",
        "could it be a chip under the part?",
    ):
        assert not any(isinstance(fact, Action | Sign) for fact in read(text).facts), text


def test_reading_is_pure() -> None:
    context = Context(asked="sweep_x", unit="in")
    assert read("4 on the left, 9 on the right", context) == read("4 on the left, 9 on the right", context)


def mutated(text: str, chance: random.Random) -> str:
    """Return the text with a slip of the finger, swapped clauses or a stray number."""
    kind = chance.randrange(6)
    at = chance.randrange(len(text)) if text else 0
    if kind == 0:
        return text[:at] + text[at + 1 :]
    if kind == 1:
        return text[:at] + text[at : at + 2][::-1] + text[at + 2 :]
    if kind == 2:
        return text[:at] + chance.choice(string.printable) + text[at:]
    if kind == 3:
        return ", ".join(reversed(text.split(", ")))
    if kind == 4:
        return text.upper()
    return f"{text[:at]} {chance.choice(['7', '0.3', '1,234', '1/0', '9**9', '-', '3 thou'])} {text[at:]}"


def test_mutations_raise_nothing_and_stay_finite(labelled: ModuleType) -> None:
    chance = random.Random(20)
    for utterance in [*labelled.load("tuning"), *labelled.load("final")]:
        text = utterance.text
        for _ in range(3):
            text = mutated(text, chance)
            for fact in read(text, utterance.context).facts:
                check_sound(fact)


def test_idle_talk_with_words_of_the_shop_yields_hardly_a_number(labelled: ModuleType) -> None:
    """A stray "3 thou" beside a word of the shop may be a measurement: "sq 3 thou"; it must stay rare."""
    chance = random.Random(22)
    lines = labelled.chatter(shop=True)
    numbers = 0
    for line in lines:
        for _ in range(10):
            facts = read(mutated(line, chance)).facts
            numbers += any(isinstance(fact, Reading) and fact.value is not None for fact in facts)
    assert len(lines) >= 100
    assert numbers <= 0.02 * 10 * len(lines)


@pytest.mark.parametrize("name", sorted(FLOORS))
def test_sets_never_seen_before_do_not_fall_below_what_was_reached(name: str, labelled: ModuleType) -> None:
    precision, recall, invented = FLOORS[name]
    said, unseen = labelled.load(f"blind_{name}"), f"blind_{name}" in labelled.UNSEEN
    score = labelled.score(said if unseen or len(said) < MANY else said[::EACH])
    shown = len(score.wrong) if unseen else score.wrong  # what is never tuned to is not shown either
    assert score.precision >= precision, shown
    assert score.recall >= recall, shown
    assert score.invented <= invented * score.heard, shown


@pytest.mark.parametrize("name", sorted(PARAPHRASES))
def test_other_ways_of_saying_a_thing_stay_understood(name: str, labelled: ModuleType) -> None:
    precision, recall, invented = PARAPHRASES[name]
    score = labelled.score(labelled.load(f"paraphrase_{name}"))
    assert score.precision >= precision, score.wrong
    assert score.recall >= recall, score.wrong
    assert score.invented <= invented * score.heard, score.wrong


def test_mutated_idle_talk_yields_no_number(labelled: ModuleType) -> None:
    chance = random.Random(21)
    for line in labelled.chatter(shop=False):
        for _ in range(20):
            heard = read(mutated(line, chance))
            assert not [
                fact for fact in heard.facts if isinstance(fact, Reading) and fact.value is not None
            ], heard


def check_sound(fact: object) -> None:
    if isinstance(fact, Reading):
        assert fact.id in IDS
        numbers = [number for number in (fact.value, fact.over, fact.low, fact.high) if number is not None]
        assert all(math.isfinite(number) for number in numbers)
        assert (fact.bound == "between") == (fact.low is not None and fact.high is not None)
        if fact.low is not None and fact.high is not None:
            assert fact.low <= fact.high
    elif isinstance(fact, SetupFact) and isinstance(fact.value, float):
        assert math.isfinite(fact.value)


@settings(max_examples=300, deadline=None)
@given(st.text(max_size=300), contexts)
def test_any_text_is_read(text: str, context: Context) -> None:
    heard = read(text, context)
    for fact in heard.facts:
        check_sound(fact)


@settings(max_examples=300, deadline=None)
@given(st.lists(words, max_size=40).map(" ".join), contexts)
def test_any_words_of_the_shop_are_read(text: str, context: Context) -> None:
    for fact in read(text, context).facts:
        check_sound(fact)


@settings(max_examples=200, deadline=None)
@given(st.text(alphabet=string.ascii_letters + " ", max_size=120))
def test_no_number_comes_from_text_without_one(text: str) -> None:
    for fact in read(text).facts:
        assert not isinstance(fact, Reading) or fact.value in (None, 0.0) or not set(text.split()) - {"x"}


@pytest.mark.parametrize(
    "piece",
    [
        "corner is open 5 thou ",
        "and ",
        "5 ",
        "x",
        "5x",
        "1 1/2 ",
        "left 5 right 3 ",
        ", ",
        "not ",
        "sqaure ",
        "9**",
        "3 inch cutter ",
    ],
)
def test_the_longest_message_takes_bounded_time(piece: str) -> None:
    text = (piece * LONGEST)[:LONGEST]
    read(text[:50])
    start = time.process_time()
    read(text)
    # 100 ms is the aim, printed by the benchmark; this machine may be slow and shared.
    assert time.process_time() - start < 0.5


def test_what_is_over_the_limit_comes_back_unread() -> None:
    heard = read("x" * (LONGEST + 904))
    assert heard.unread[-1] == "x" * 904


def test_what_only_follows_from_labelled_facts_is_not_counted(labelled: ModuleType) -> None:
    """A deed that a reading presupposes, and a length that one was taken over, are true and not labelled again."""
    follows = labelled.follows
    cooled, cut = (Reading("cooled_change", 0.1),), (Reading("wall_taper", 0.05, over=40.0),)
    assert follows(Action("cooled"), cooled)
    assert not follows(Action("cleaned"), cooled)
    assert not follows(Sign("rubbing", "yes"), cooled)
    assert follows(SetupFact("wall_height", 40.0), cut)
    assert not follows(SetupFact("wall_height", 30.0), cut)
    assert not follows(Reading("step", 0.1), cut)
