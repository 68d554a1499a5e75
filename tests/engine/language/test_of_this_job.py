"""What sounds like a fact and is told of something else, and what only mentions something else."""

from __future__ import annotations

import json
from itertools import pairwise
from types import ModuleType

import pytest

from askew.engine.consult import Consultation
from askew.engine.language import Context, read
from askew.engine.language.clauses.prepare import prepare
from askew.engine.language.echo import echo
from askew.engine.language.protocol import read_line
from askew.engine.language.together import of_this_job
from askew.engine.language.together.of_this_job import chance_told, evidence_of
from askew.engine.observations import Action, Reading, SetupFact, Sign, without_words
from askew.engine.record.journal import Journal

THEIRS = [
    "my neighbour's mill was 10 thou out when he swept it",
    "on his mill the corner was open 6 thou over 3 inches",
    "gonna put a round bar in at the moving jaw after lunch",
    "if the corner was open 4 thou I would scrap it",
    "on the last batch the front edge came up 3 thou as I tightened",
    "is it normal that the quill lock moves it half a thou?",
    "I ought to clean the jaws and grip it again",
    "the book says a spindle may run out 2 tenths",
    "he told me to put brass shim under the column",
    "haven't checked whether there's a chip behind the jaw",
    "her vise has a loose jaw plate, she showed me",
    "I was going to tram the head but ran out of day",
]
OURS = [
    "my neighbour swept it with me, 3 thou more at the back on 8 inches",
    "the corner is open 6 thou over 3 inches",
    "put a round bar in at the moving jaw after lunch",
    "I would say the corner is open 4 thou",
    "the front edge comes up 3 thou as I tighten",
    "the quill lock moves it half a thou, is that normal?",
    "I cleaned the jaws and gripped it again",
    "the spindle runs out 2 tenths",
    "slid brass shim under the column",
    "checked, and there's a chip behind the jaw",
    "my vise has a loose jaw plate",
    "I trammed the head and ran out of day",
]


def test_what_is_told_of_something_else_is_mostly_not_counted() -> None:
    counted = [said for said in THEIRS if read(said).facts]
    assert len(counted) <= len(THEIRS) // 3, counted


def test_what_only_mentions_something_else_is_counted() -> None:
    lost = {said: read(said).aside for said in OURS if not read(said).facts or read(said).aside}
    assert len(lost) <= 1, lost


@pytest.mark.parametrize(
    ("said", "done"),
    [
        ("my mate says put brass shim behind it", False),
        ("he told me to put brass shim under the column", False),
        ("the foreman said clean the jaws and grip it again", False),
        ("rose 0.14 mm, my uncle says pack it with shim under the back", False),
        ("the foreman said clean the jaws and grip it again so I did", True),
        ("they told me to lock the knee, so I locked the knee", True),
        ("the boss came and I trammed the head", True),
        ("gave it a quarter turn like he said and recut it", True),
    ],
)
def test_what_somebody_only_said_to_do_was_not_done(said: str, done: bool) -> None:
    assert any(isinstance(fact, Action) for fact in read(said).facts) == done


def test_what_is_set_aside_is_all_that_is_missing(labelled: ModuleType, monkeypatch: pytest.MonkeyPatch) -> None:
    said = labelled.load("blind_ap")[::20]
    heard = [read(one.text, one.context) for one in said]
    monkeypatch.setattr(of_this_job, "UNLIKELY", 0.0)
    monkeypatch.setattr(of_this_job, "NEVER", 0.0)
    for one, some in zip(said, heard, strict=True):
        whole = read(one.text, one.context)
        assert not whole.aside
        told = sorted(map(repr, map(without_words, (*some.facts, *some.aside))))
        assert told == sorted(map(repr, map(without_words, whole.facts)))
    assert any(one.aside for one in heard)


def test_the_evidence_is_where_words_stand_and_what_the_networks_think() -> None:
    message = prepare("as he said, his corner was open 6 thou, mine not")
    fact = Reading("face_out_of_square", 0.1524, words="corner was open 6 thou")
    evidence = evidence_of(message, fact, None)
    words = {(place, text) for place, texts in evidence.words for text in texts}
    assert {("before", "his"), ("in", "corner was"), ("in", "#"), ("near after", "mine")} <= words
    assert {("first", "as"), ("begins", "his"), ("far after", "mine not")} <= words
    named = evidence.named
    assert {f"{place}\t{text}" for place, text in words} < {*evidence.all_named()}
    assert {"kind Reading", "asked False", "answers False", "whole False Reading", "asks False Reading"} <= {*named}
    assert named["of face_out_of_square"] == 1.0
    assert -2.0 <= named["number"] <= 2.0
    asked = evidence_of(message, fact, "face_out_of_square").named
    assert "answers True" in asked


def test_one_small_word_makes_it_less_likely() -> None:
    for ours, theirs in pairwise(["mine is open 6 thou", "his is open 6 thou"]):
        fact = Reading("face_out_of_square", 0.1524, words="open 6 thou")
        assert chance_told(prepare(theirs), fact, None) < chance_told(prepare(ours), fact, None)


@pytest.mark.parametrize(
    ("said", "asked"),
    [("solid right through", None), ("no wall at all, a solid lump", None), ("a square and feelers", "instruments")],
)
def test_what_is_certain_is_kept_whatever_stands_around_it(said: str, asked: str | None) -> None:
    heard = read(said, Context(asked=asked))
    assert heard.facts
    assert not heard.aside


def test_what_was_not_counted_is_named_and_can_be_said_plainly(labelled: ModuleType) -> None:
    case = Consultation(Journal.in_memory("test"))
    read_alone = ((one.text, read(one.text)) for one in labelled.load("blind_ap"))
    said, heard = next(each for each in read_alone if each[1].facts and each[1].aside and not each[1].question)
    turn = case.say(said)
    assert len(turn.heard) == len(heard.facts)
    assert [line for line in turn.says if line.startswith("Not counted") and echo(heard.aside[:1], "in")[1:4] in line]
    alone = case.say(THEIRS[1])
    assert alone.error is not None
    assert "another job" in alone.error.message
    assert "say just that: corner open by 6 thou over 3 in" in alone.error.hint
    again = case.say("corner open by 6 thou over 3 in")
    assert [one.value for one in again.heard if one.id == "face_out_of_square"] == [pytest.approx(0.1524)]


def test_what_was_not_counted_is_beside_what_was_heard_in_json() -> None:
    answer = read_line(THEIRS[1])
    assert answer["heard"] == []
    (aside,) = answer["aside"]  # type: ignore[misc]
    assert aside["id"] == "face_out_of_square"
    assert json.loads(json.dumps(answer)) == answer
    assert "aside" not in read_line(OURS[1])


def test_what_the_hint_offers_is_heard(labelled: ModuleType) -> None:
    """A person told "say just that: corner open by 6 thou" says just that."""
    offered = [fact for one in labelled.load("blind_ao")[::4] for fact in read(one.text, one.context).aside]
    said = [fact for fact in offered if isinstance(fact, Reading | SetupFact | Sign)]
    heard = [any(labelled.agree(again, fact) for again in read(echo([fact], "mm")).facts) for fact in said]
    assert len(said) > 20
    assert sum(heard) >= 0.8 * len(heard), [echo([fact], "mm") for fact, ok in zip(said, heard, strict=True) if not ok]


def test_one_instrument_may_be_all_there_is() -> None:
    (told,) = read("only got a square").facts
    assert without_words(told) == without_words(SetupFact("instruments", ("square",)))


def test_the_size_of_parallels_is_not_how_deep_it_is_gripped() -> None:
    assert read("gripped on 10 mm parallels").facts == ()
