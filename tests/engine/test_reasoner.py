"""The rules on a case: sizes in words, what is in play, when to stop, the chain, not against the numbers."""

from __future__ import annotations

import random
import subprocess
import sys
import time
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from askew.engine.belief.columns import in_play as source_in_play
from askew.engine.case import Case, tell
from askew.engine.consult import Consultation
from askew.engine.observations import SetupFact
from askew.engine.phrases import chance_words
from askew.engine.planner.available import available, has_instruments
from askew.engine.reasoner import Findings, Reasoner, chain, conclude, in_play
from askew.engine.record.journal import Journal
from askew.engine.setup import machine_of
from askew.engine.situation import outcome_of, side_and_size
from askew.engine.snapshot import (
    BestCheck,
    Snapshot,
    SourceNumbers,
    ToldAction,
    ToldReading,
    ToldSign,
    say_size,
)
from askew.knowledge.load import load

TRAM = SourceNumbers("tram", "machine", 0.2, 0.001, 0.0, -0.0004, 0.0004, 0.0032, 0.0004, 0.004)


def case(**changes: Any) -> Snapshot:
    """Return a case of 0.38 mm out of square in which only the head has numbers."""
    usual = {
        "setup": {},
        "machine": "knee_mill",
        "complaint": ("face_out_of_square", 0.38, 76.2),
        "sizes": (TRAM,),
    }
    return Snapshot(**{**usual, **changes})


# --- sizes ----------------------------------------------------------------------------------------


def test_cleared_by_size_says_what_would_be_needed_and_what_is_plausible() -> None:
    (cleared,) = conclude(case()).cleared
    assert (cleared.about, cleared.rule, cleared.toward) == ("tram", "too_small", "size")
    assert "0.960 mm over 300 mm" in cleared.because
    assert "0.120 mm over 300 mm is the most that is plausible" in cleared.because


def test_inch_people_hear_thou_over_whole_inches() -> None:
    (cleared,) = conclude(case(habit="in")).cleared
    assert "38.4 thou over 12 in" in cleared.because
    assert "4.8 thou over 12 in is the most" in cleared.because
    assert "mm" not in cleared.because


def test_the_speaker_can_be_put_in() -> None:
    (cleared,) = conclude(case(say=lambda value, unit, over, habit: f"<{value} {unit} {over}>")).cleared
    assert "<0.0032 slope 300.0>" in cleared.because


@pytest.mark.parametrize(
    ("reach", "tolerance", "away"),
    [(0.053, 0.06, True), (0.054, 0.06, False), (0.037, 0.03, False), (0.0, 0.001, True)],
    ids=["a seventh", "over a seventh", "over the tolerance", "nothing at all"],
)
def test_the_limits_of_clearing_by_size(reach: float, tolerance: float, away: bool) -> None:
    found = conclude(case(sizes=(replace(TRAM, reach=reach),), tolerance=tolerance))
    assert bool(found.cleared) is away


def test_a_source_with_a_share_is_not_cleared_whatever_its_reach_is_said_to_be() -> None:
    assert conclude(case(sizes=(replace(TRAM, share=0.4),))).cleared == ()


def test_a_slope_and_a_length_in_words() -> None:
    assert say_size(0.0032, "slope", 300.0, "mm") == "0.960 mm over 300 mm"
    assert say_size(0.127, "mm", None, "in") == "5 thou"
    assert say_size(0.001, "slope", 100.0, "in") == "4 thou over 4 in"


def test_a_reading_is_told_over_what_it_was_taken_over() -> None:
    swept = (ToldReading("sweep_x", 0.1397, 609.6, of="machine"),)
    for habit, said in (("in", "5.5 thou over 24 in"), ("mm", "0.140 mm over 609.6 mm")):
        (fired,) = [f for f in conclude(case(readings=swept, habit=habit)).trace if f.rule == "sweep_x_plus"]
        assert fired.because == f"The sweep of the table side to side is out by {said}."
        assert fired.facts == (f"spindle sweep of the table, side to side: +{said}",)


@pytest.mark.parametrize(
    ("reading", "side"),
    [
        (ToldReading("step", None), ("open", "open")),
        (ToldReading("step", 0.03), ("plus", "seen")),
        (ToldReading("step", -0.03), ("minus", "seen")),
        (ToldReading("step", 0.01), ("nil", "nil")),
        (ToldReading("step", 0.03, sign_known=False), ("either", "seen")),
        (ToldReading("step", 0.015, bound="about"), ("nil", "nil")),
        (ToldReading("step", 0.03, bound="at_least"), ("plus", "seen")),
        (ToldReading("step", -0.03, bound="at_least"), ("open", "open")),
        (ToldReading("step", 0.005, bound="at_least"), ("open", "open")),
        (ToldReading("step", 0.03, bound="at_most"), ("open", "open")),
        (ToldReading("step", -0.03, bound="at_most"), ("minus", "seen")),
        (ToldReading("step", 0.008, bound="at_most"), ("nil", "nil")),
        (ToldReading("step", 0.03, bound="at_most", sign_known=False), ("open", "open")),
    ],
)
def test_what_a_reading_amounts_to(reading: ToldReading, side: tuple[str, str]) -> None:
    assert side_and_size(reading, scatter=0.005) == side


@pytest.mark.parametrize(
    ("before", "after", "outcome"),
    [
        (0.3, 0.31, "same"), (0.3, 0.05, "gone"), (0.3, -0.05, "gone"), (0.3, 0.15, "less"),
        (0.3, 0.6, "more"),
        (0.3, -0.3, "over"), (-0.3, -0.3, "same"), (0.001, 0.3, "more"), (0.001, 0.002, "nil"),
    ],
)  # fmt: skip
def test_what_a_change_amounts_to(before: float, after: float, outcome: str) -> None:
    assert outcome_of(before, after, 0.01) == outcome


@given(st.floats(-1, 1), st.floats(-1, 1), st.floats(0.001, 0.1))
def test_a_change_reads_the_same_with_both_signs_turned(before: float, after: float, limit: float) -> None:
    assert outcome_of(before, after, limit) == outcome_of(-before, -after, limit)


def test_no_probability_is_called_certain() -> None:
    assert chance_words(1.0) == "over 99%"
    assert chance_words(0.0) == "under 1%"
    assert chance_words(0.62) == "62%"


# --- in play --------------------------------------------------------------------------------------

EVERYTHING = frozenset(load().instruments)
SOLID = {"machine": "knee_mill", "moving_jaw_contact": "plain", "hole_made_by": "bored"}


def test_everything_is_in_play_until_something_rules_it_out() -> None:
    found = in_play("bench_mill", {"machine": "bench_mill"}, EVERYTHING)
    assert found.sources == frozenset(load().sources)
    assert {about for about in found.out if about in load().checks} == {
        id_ for id_, check in load().checks.items() if check.known
    }


def test_a_source_that_needs_another_setup_is_out_with_a_reason() -> None:
    found = in_play("knee_mill", SOLID, EVERYTHING)
    assert {"off_centre_push", "drill_wander", "column_swing"}.isdisjoint(found.sources)
    assert "at the moving jaw is" in found.out["off_centre_push"].because
    assert "regrip_without_bar" in found.out


def test_a_missing_instrument_brings_the_check_that_serves_instead() -> None:
    found = in_play("knee_mill", {}, EVERYTHING - {"dial_indicator", "tenths_indicator", "lever_indicator"})
    assert "sweep_table" in found.out
    because = found.out["sweep_table"].because
    assert "There is no dial indicator" in because
    assert load().checks["sweep_with_feelers"].name in because


def test_when_nobody_says_nothing_is_missing_from_the_bench() -> None:
    assert in_play("knee_mill", {}).checks == in_play("knee_mill", {}, EVERYTHING).checks
    assert in_play("knee_mill", {}, frozenset()).checks < in_play("knee_mill", {}).checks


def test_when_nobody_says_which_mill_no_mill_is_ruled_out() -> None:
    assert "column_swing" in in_play("knee_mill", {}).sources
    assert "column_swing" not in in_play("knee_mill", {"machine": "knee_mill"}).sources


@pytest.mark.parametrize("seed", range(40))
def test_belief_and_planner_find_the_same_in_play(seed: int) -> None:
    rng = random.Random(seed)
    bench = tuple(rng.sample(sorted(EVERYTHING), k=rng.randint(3, 18)))
    told = {**some_setup(rng), "instruments": bench}
    now = tell(Case(), [SetupFact(key, value) for key, value in told.items()])
    setup = now.setup
    found = in_play(machine_of(setup), setup.told(), frozenset(bench), taken=frozenset())
    assert found.sources == {id_ for id_, one in load().sources.items() if source_in_play(one, setup)}
    assert found.checks.issuperset(available(now))
    for id_, check in load().checks.items():
        lacking = any(f.concludes[0][1] == id_ and f.rule.startswith("no_instrument") for f in found.trace)
        assert lacking is not has_instruments(check, bench)


def test_a_refused_check_is_out() -> None:
    found = in_play("knee_mill", {}, EVERYTHING, frozenset({"sweep_table"}))
    assert "sweep_table" not in found.checks
    assert "cannot be done here" in found.out["sweep_table"].because


def test_a_check_that_follows_another_reading_waits_for_it() -> None:
    assert "sweep_again" in in_play("knee_mill", {}, EVERYTHING, taken=frozenset()).out
    assert "sweep_again" in in_play("knee_mill", {}, EVERYTHING, taken=frozenset({"sweep_x"})).checks


def test_what_was_asked_before_is_remembered() -> None:
    reasoner = Reasoner(load())
    first = reasoner.in_play("knee_mill", {"part_across": 60.0}, EVERYTHING)
    # The width of the part puts nothing out of play, so another width is the same question.
    assert reasoner.in_play("knee_mill", {"part_across": 70.0}, EVERYTHING) is first
    assert reasoner.in_play("bench_mill", {"part_across": 70.0}, EVERYTHING) is not first


# --- the chain ------------------------------------------------------------------------------------


def test_the_chain_goes_from_facts_through_rules_to_the_conclusion() -> None:
    found = conclude(
        case(
            setup={"feed_axis": "x", "leaned_on_purpose": False, "gripped_face": "fixed"},
            signs=(ToldSign("heel_marks", "right"),),
            sizes=(replace(TRAM, reach=0.3, probability=0.6),),
        )
    )
    lines = chain(found, "tram")
    assert lines[0] == "Facts: second arcs behind the cut: right"
    assert lines[1].startswith("Rule heel_right (heel cutting by feed sense; handbook: geometry")
    assert lines[2] == "So: points to head tram (plus)"
    assert any(line.startswith("Rule agreed_plus") and "60% likely" in line for line in lines)
    assert lines[-1] == "So: suspected: head tram (plus)"
    assert chain(found, "spindle_play") == ()


def test_the_chain_shows_the_number_that_clears() -> None:
    lines = chain(conclude(case()), "tram")
    assert (
        lines[0]
        == "Facts: head tram: 20% likely, needed 0.960 mm over 300 mm, at most 0.120 mm over 300 mm plausible"
    )
    assert lines[-1] == "So: cleared: head tram"


def test_the_order_of_the_trace_does_not_hang_on_chance() -> None:
    """Python orders sets of strings anew in each process, and experta keeps its agenda in sets."""
    code = (
        "from askew.engine.reasoner import *\n"
        "signs = tuple(ToldSign(*s) for s in [('stays_with_machine', 'yes'), ('comes_and_goes', 'yes'),"
        " ('chip_found', 'behind_jaw'), ('needle_moves_on_tightening', 'yes')])\n"
        "told = Snapshot(setup={}, machine='knee_mill', signs=signs)\n"
        "print([(f.rule, f.facts) for f in conclude(told).trace])"
    )
    told = {
        subprocess.run(
            [sys.executable, "-c", code],
            env={"PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("1", "2", "3")
    }
    assert len(told) == 1


# --- stopping -------------------------------------------------------------------------------------


def test_a_check_that_saves_keeps_it_going() -> None:
    found = conclude(case(best_check=BestCheck("sweep_table", 12.0, 0.4), decided=0.95))
    assert not found.stop
    assert "expected to save 12 minutes" in found.stop_because


def test_unsure_but_nothing_worth_its_minutes() -> None:
    found = conclude(case(best_check=BestCheck("sweep_table", -3.0, 0.01), decided=0.7))
    assert found.stop
    assert "only 70% sure" in found.stop_because


# --- rules and numbers never tell opposite things -------------------------------------------------


def agree(found: Findings, sizes: dict[str, Any]) -> None:
    """Check that no rule points or clears against the numbers."""
    pointed = {finding.about for finding in found.pointed}
    cleared = {finding.about for finding in found.cleared}
    assert not pointed & cleared
    for finding in found.pointed:
        mine = sizes[finding.about]
        assert mine.probability >= 0.1
        assert finding.toward != "plus" or mine.high > 0
        assert finding.toward != "minus" or mine.low < 0
    for finding in found.cleared:
        mine = sizes[finding.about]
        assert abs(mine.share) < 0.1
        assert finding.toward == "size" or mine.probability < 0.05


def some_setup(rng: random.Random) -> dict[str, Any]:
    """Return some choices of the setup."""
    choices = {
        key: kind.choices for key, kind in load().setup.items() if kind.choices and kind.kind == "choice"
    }
    return {key: rng.choice(of) for key, of in choices.items() if rng.random() < 0.5}


def some_case(rng: random.Random) -> Snapshot:
    """Return a case in which anything may have been told, in any order, with numbers of every kind."""
    known = load()
    actions = tuple(ToldAction(rng.choice(list(known.actions)), i + 1) for i in range(rng.randrange(5)))
    readings = tuple(
        ToldReading(
            id_, rng.choice([None, 0.0, rng.gauss(0, 0.02), rng.gauss(0, 0.3)]), rng.choice([None, 60.0]),
            rng.choice([None, None, None, "at_least", "at_most", "about"]), rng.randint(0, len(actions)),
            known.readings[id_].of, rng.random() < 0.8,
        )
        for id_ in rng.choices(list(known.readings), k=rng.randrange(12))
    )  # fmt: skip
    signs = tuple(
        ToldSign(
            id_, rng.choice(["yes", "no", "unknown", *known.signs[id_].places]), rng.randint(0, len(actions))
        )
        for id_ in rng.choices(list(known.signs), k=rng.randrange(12))
    )
    setup = some_setup(rng)
    sizes = []
    for id_, source in known.sources.items():
        low, high = sorted((rng.gauss(0, 0.1), rng.gauss(0, 0.1)))
        needed = rng.choice([None, abs(rng.gauss(0, 1))])
        probability, share = rng.choice([0.01, 0.04, 0.2, 0.9]), rng.choice([0.0, 0.05, -0.5, 0.9])
        reach = abs(rng.gauss(0, rng.choice([0.001, 0.5])))
        sizes.append(SourceNumbers(id_, source.group, probability, share, 0.0, low, high, needed, 0.1, reach))
    complaint = rng.choice(
        [None, ("face_out_of_square", rng.choice([None, 0.38, -0.05]), 76.2), ("hollow_across", 0.02, 60.0)]
    )
    return Snapshot(
        setup=setup, machine=str(setup.get("machine", "knee_mill")), readings=readings, signs=signs,
        actions=actions, complaint=complaint, sizes=tuple(sizes),
        next_check=rng.choice([None, *known.checks]),
        remedies=tuple(rng.sample(list(known.remedies), k=rng.randrange(3))), decided=rng.random(),
    )  # fmt: skip


@pytest.mark.parametrize("seed", range(60))
def test_no_case_makes_rules_and_numbers_disagree(seed: int) -> None:
    told = some_case(random.Random(seed))
    agree(conclude(told), {one.source: one for one in told.sizes})


TALKS = (
    (
        '{"setup": {"machine": "knee_mill", "cutter_diameter": 100, "cutter_kind": "fly_cutter",'
        ' "passes": 1, "feed_axis": "x", "part_across": 76.2, "part_along": 76.2, "part_height": 76.2,'
        ' "part_depth": 76.2, "moving_jaw_contact": "bar"}}',
        '{"reading": "face_out_of_square", "value": -0.381, "over": 76.2}',
        '{"sign": "heel_marks", "answer": "right"}',
        '{"reading": "sweep_x", "value": 0.1397, "over": 609.6}',
        '{"sign": "needle_moves_on_tightening", "answer": "yes"}',
        '{"reading": "clamp_rise", "value": 0.33}',
        '{"sign": "follows_part", "answer": "no"}',
    ),
    (
        '{"setup": {"machine": "bench_mill", "cutter_diameter": 50, "cutter_kind": "face_mill",'
        ' "passes": 2, "pass_spacing": 38, "feed_axis": "x", "part_across": 80, "part_along": 120,'
        ' "pass_order": "front_to_back"}}',
        '{"reading": "step", "value": -0.03}',
        '{"sign": "heel_marks", "answer": "both"}',
        '{"sign": "grows_along_cut", "answer": "yes"}',
        '{"reading": "sweep_y", "value": 0.2, "over": 300}',
        '{"done": "trammed"}',
        '{"reading": "sweep_y", "value": 0.01, "over": 300}',
    ),
    (
        '{"setup": {"machine": "knee_mill", "cutter_diameter": 80, "passes": 1, "feed_axis": "x",'
        ' "part_across": 60, "part_along": 90}}',
        '{"reading": "hollow_across", "value": 0.05}',
        '{"sign": "light_in_middle_along", "answer": "no"}',
        '{"sign": "stays_with_machine", "answer": "yes"}',
        '{"reading": "sweep_x", "value": 0.5, "over": 300}',
    ),
)  # fmt: skip
"""Whole talks, line by line: a bar at the jaw, a step with the head adjusted half-way, a hollow."""


@pytest.mark.parametrize("talk", TALKS, ids=["bar", "step", "hollow"])
def test_a_talk_never_says_opposite_things(talk: tuple[str, ...]) -> None:
    consultation = Consultation(Journal())
    for line in talk:
        turn = consultation.say(line)
        assert turn.error is None, line
        standing = consultation.standing
        agree(standing.findings, {one.source: one for one in standing.snapshot.sizes})
        assert not {one.source for one in turn.suspects} & {one.source for one in turn.cleared}
        if turn.verdict is not None:
            assert standing.findings.stop
            assert not set(turn.verdict.sources) & {one.source for one in turn.cleared}
        if turn.next is not None:
            assert not standing.findings.stop
            assert turn.next.check in standing.findings.in_play.checks


def test_a_bar_at_the_jaw_clears_the_head_before_anyone_sweeps_it() -> None:
    """Common practice, no source: 15 thou over 3 in is far out of reach of any head under a 4 in cutter."""
    consultation = Consultation(Journal())
    for line in TALKS[0][:2]:
        turn = consultation.say(line)
    assert "tram" in {one.source for one in turn.cleared}


# --- time -----------------------------------------------------------------------------------------


def test_an_ordinary_case_takes_milliseconds() -> None:
    """A guard against joins that explode; the benchmark measures."""
    told = some_case(random.Random(7))
    conclude(told)
    start = time.process_time()
    for _ in range(10):
        conclude(told)
    assert (time.process_time() - start) / 10 < 0.05
