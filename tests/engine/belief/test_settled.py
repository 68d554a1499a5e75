"""Settled instances: the algebra against a general multivariate normal, and a long day against whole enumeration."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import multivariate_normal

from askew.engine.belief import settled as module
from askew.engine.belief.assemble import assemble
from askew.engine.belief.columns import Column, column_of
from askew.engine.belief.posterior import infer
from askew.engine.belief.problem import Columns, Problem, Rows, Soft
from askew.engine.belief.settled import Past, moments
from askew.engine.case import Case, tell
from askew.engine.observations import Action, Reading, SetupFact
from askew.engine.standing import stand

MACHINE = SetupFact("machine", "knee_mill")


def told(*facts: object) -> Case:
    return tell(Case(), [MACHINE, SetupFact("cutter_diameter", 80.0), SetupFact("part_across", 60.0), *facts])


def many_grips(grips: int) -> Case:
    """A part gripped and cut again and again on a machine whose jaw leans: 0.1 mm each time, a little more or less."""
    case = told(Reading("face_out_of_square", 0.1))
    for grip in range(grips):
        size = 0.1 + 0.004 * (grip % 5 - 2)
        case = tell(case, [Action("regripped"), Reading("face_out_of_square", round(size, 3))])
    return case


def no_ranges(columns: int) -> Soft:
    none, empty = np.zeros(0), np.zeros((0, columns))
    return Soft(Rows(empty, empty), none, none, none, none, np.zeros(0, bool))


@pytest.mark.parametrize("seed", range(5))
def test_what_is_settled_is_noise_that_readings_share(seed: int) -> None:
    rng = np.random.default_rng(seed)
    rows, past = rng.normal(size=(4, 2)), rng.normal(size=(4, 3))
    values, noise = rng.normal(size=4), np.full(4, 0.05)
    columns = Columns(np.array([0.2, 0.1]), np.full(2, 0.01), np.ones(2), np.zeros(2), np.zeros(2, bool))
    problem = Problem(columns, Rows(rows, np.zeros((4, 2)), past), values, noise, no_ranges(2))
    posterior = infer([problem], 2)
    logs = {}
    for first in (False, True):
        for second in (False, True):
            on = np.array([first, second])
            cov = (rows * np.where(on, 1.0, 0.01)) @ rows.T + past @ past.T + np.diag(noise)
            prior = np.log(np.where(on, columns.prior, 1.0 - columns.prior)).sum()
            logs[first, second] = prior + multivariate_normal(np.zeros(4), cov).logpdf(values)
    total = np.logaddexp.reduce(list(logs.values()))
    assert posterior.log_evidence == pytest.approx(total)
    for i in (0, 1):
        chance = sum(np.exp(log - total) for on, log in logs.items() if on[i])
        assert posterior.trouble[i] == pytest.approx(chance)


def test_moments_are_those_of_draws() -> None:
    rng = np.random.default_rng(3)
    table = Columns(np.array([0.3]), np.array([0.01]), np.array([0.5]), np.array([0.8]), np.zeros(1, bool))
    trouble = rng.random(400_000) < 0.3
    draws = np.where(trouble, rng.normal(0.8, 0.5**0.5, trouble.size), rng.normal(0.0, 0.1, trouble.size))
    mean, variance = moments(table)
    assert mean[0] == pytest.approx(draws.mean(), abs=0.005)
    assert variance[0] == pytest.approx(draws.var(), rel=0.01)


def test_rows_over_what_is_past_are_in_standard_deviations() -> None:
    past = Past((Column("nod", 0),), np.array([0.3]), np.array([0.16]))
    jacobian, spread = np.array([[2.0], [1.0]]), np.zeros((2, 2, 1))
    rows = past.rows(jacobian, spread)
    assert rows @ rows.T == pytest.approx(0.16 * jacobian @ jacobian.T)


def test_a_short_case_has_nothing_settled_and_a_long_one_only_what_is_past() -> None:
    assert assemble(many_grips(3)).layout.past is None
    case = many_grips(45)
    assembled = assemble(case)
    past = assembled.layout.past
    assert past is not None
    assert len(assembled.columns) <= module.OPEN
    assert not set(past.columns) & set(assembled.columns)
    assert case.complaint is not None
    for situation in (case.now, case.cut, case.complaint.situation):
        assert not {column_of(c.source, situation) for c in past.columns} & set(past.columns)
    # the oldest went first
    oldest_open = {c.source: c.instance for c in reversed(assembled.columns)}
    assert all(c.instance < oldest_open.get(c.source, 10**6) for c in past.columns)
    assert len(assembled.doubted) <= module.STAND_INS


def test_settling_hardly_moves_what_is_believed_now(monkeypatch: pytest.MonkeyPatch) -> None:
    case = many_grips(40)
    settled = stand(case, "mm")
    with monkeypatch.context() as patch:
        patch.setattr(module, "OPEN", 10**6)
        whole = stand(case, "mm")
        assert whole.assembled.layout.past is None
        everything = {n.source: n for n in whole.numbers}
    assert settled.assembled.layout.past is not None
    for n in settled.numbers:
        assert n.probability == pytest.approx(everything[n.source].probability, abs=0.04), n.source
    assert {n.source for n in settled.numbers[:3]} & {n.source for n in whole.numbers[:3]}


def test_many_grips_alike_speak_for_what_they_share() -> None:
    once = {n.source: n.probability for n in stand(many_grips(0), "mm").numbers}
    often = {n.source: n.probability for n in stand(many_grips(45), "mm").numbers}
    assert often["chip_behind_jaw"] < 0.3 * once["chip_behind_jaw"]
