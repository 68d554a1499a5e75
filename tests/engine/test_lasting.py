"""A long case forgets what was told again since, and nothing else: its bounds, and that its answers stay."""

from __future__ import annotations

import random
from collections import Counter
from dataclasses import replace

import pytest

from askew.engine import case as case_module
from askew.engine.case import Case, Evidence, tell
from askew.engine.lasting import MOST_DONE, MOST_TOLD, still_bears, still_counts
from askew.engine.observations import Action, Observation, Reading, SetupFact, Sign
from askew.engine.standing import stand
from askew.knowledge.load import load

SETUP = (
    SetupFact("machine", "knee_mill"),
    SetupFact("cutter_diameter", 80.0),
    SetupFact("part_across", 60.0),
)


def a_day(seed: int, turns: int) -> list[Observation]:
    """Return what may be said on a day of gripping, cutting, measuring and mending."""
    chance = random.Random(seed)

    def size(name: str, spread: float, over: float | None = None) -> Reading:
        return Reading(name, round(chance.gauss(0, spread), 3), over=over)

    makers = [
        lambda: Action(chance.choice(["regripped", "regripped", "trammed", "cleaned"])),
        lambda: size("face_out_of_square", 0.08),
        lambda: size("sweep_x", 0.03, 300.0),
        lambda: size("other_corner", 0.05),
        lambda: size("clamp_rise", 0.03),
        lambda: Sign("step_felt", chance.choice(["yes", "no"])),
        lambda: Sign("heel_marks", chance.choice(["left", "right"])),
    ]
    return [*SETUP, Reading("face_out_of_square", 0.12), *(chance.choice(makers)() for _ in range(turns))]


def test_a_case_of_any_length_stays_bounded_and_keeps_the_last_word() -> None:
    known = load()
    said = a_day(1, 1_500)
    case = Case()
    for fact in said:
        case = tell(case, [fact])
        assert len(case.evidence) <= max(MOST_TOLD, len(known.readings) + len(known.signs) + 5)
        assert len(case.done) <= max(MOST_DONE, len(known.actions))
    last = {fact.id: fact for fact in said if isinstance(fact, Reading | Sign)}
    kept = {e.fact.id: e.fact for e in case.evidence}
    assert kept == last
    assert case.acts == max(done.state for done in case.done) > MOST_DONE
    assert [e.when for e in case.evidence] == sorted(e.when for e in case.evidence)


@pytest.mark.parametrize("seed", range(3))
def test_forgetting_does_not_change_what_the_case_is_about(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    short, whole = Case(), Case()
    for fact in a_day(seed, 200):
        short = tell(short, [fact])
        with monkeypatch.context() as patch:
            patch.setattr(case_module, "MOST_TOLD", 10**9)
            whole = tell(whole, [fact])
        assert short.complaint == whole.complaint
        assert short.latest == whole.latest
        assert (short.now, short.cut, short.cuts, short.changed) == (
            whole.now,
            whole.cut,
            whole.cuts,
            whole.changed,
        )
        assert stand(short, "mm").goal == stand(whole, "mm").goal
    assert len(short.evidence) < len(whole.evidence)


def test_only_what_was_told_again_goes_the_oldest_first() -> None:
    told = [Evidence(Reading(name, 0.1), Case().now, when) for when, name in enumerate("abacab")]
    assert [e.when for e in still_bears(tuple(told), ())] == [1, 2, 3, 4, 5]
    assert [e.when for e in still_bears(tuple(told), (0, 2))] == [0, 2, 3, 4, 5]
    once = tuple(told[3:])
    assert still_bears(once, ()) == once


def test_an_action_goes_once_it_was_done_again() -> None:
    case = tell(Case(), [Reading("face_out_of_square", 0.1)])
    case = tell(case, [Action("trammed"), *[Action("regripped")] * (MOST_DONE + 5)])
    assert Counter(done.id for done in case.done)["trammed"] == 1
    assert len(case.done) == MOST_DONE
    assert still_counts(case.done[:5]) == case.done[:5]


def test_the_state_of_a_reading_counts_the_actions_before_it() -> None:
    case = tell(
        Case(), [Reading("sweep_x", 0.1, over=300.0), Action("trammed"), Reading("sweep_x", 0.0, over=300.0)]
    )
    assert [e.state for e in case.evidence] == [0, 1]
    assert [done.state for done in case.done] == [1]


def test_the_same_sign_told_many_times_is_told_a_few_times() -> None:
    case = tell(Case(), [*SETUP, Reading("face_out_of_square", 0.12)])
    few = tell(case, [Sign("step_felt", "no")] * 3)
    many = tell(case, [Sign("step_felt", "no")] * 30)
    assert stand(many, "mm").posterior.trouble == pytest.approx(stand(few, "mm").posterior.trouble)
    twice = tell(case, [Sign("step_felt", "no")] * 2)
    assert stand(few, "mm").posterior.trouble != pytest.approx(stand(twice, "mm").posterior.trouble)
    assert replace(few, evidence=case.evidence).complaint == case.complaint
