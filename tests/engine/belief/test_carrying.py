"""The sets that are carried through the ranges, held to all of them."""

from __future__ import annotations

import json

import numpy as np
import pytest

from askew.engine.belief import carrying
from askew.engine.belief.posterior import Posterior, infer
from askew.engine.belief.problem import Columns, Group, Problem, Rows, Soft
from askew.engine.consult import Consultation
from askew.engine.record.journal import Journal
from askew.engine.trial.play import conversation

SHOPS = (901, 905, 909)


@pytest.fixture(scope="module")
def cases() -> list[tuple[tuple[Problem, ...], int]]:
    """The inference problems of three simulated shops at their verdicts, when most has been observed."""
    found = []
    for seed in SHOPS:
        consultation = Consultation(Journal.in_memory())
        for line, _ in conversation(seed):
            consultation.say(line)
        assembled = consultation.standing.assembled
        found.append((tuple(assembled.branches), len(assembled.columns)))
    return found


def all_of_them(monkeypatch: pytest.MonkeyPatch, branches: tuple[Problem, ...], sources: int) -> Posterior:
    with monkeypatch.context() as patch:
        patch.setattr(carrying, "KEPT", 10**9)
        patch.setattr(carrying, "DEPTH", 1e6)
        return infer(branches, sources)


def test_what_is_left_out_hardly_matters(
    cases: list[tuple[tuple[Problem, ...], int]], monkeypatch: pytest.MonkeyPatch
) -> None:
    for branches, sources in cases:
        whole, ours = all_of_them(monkeypatch, branches, sources), infer(branches, sources)
        assert ours.trouble == pytest.approx(whole.trouble, abs=0.01)
        assert ours.log_evidence == pytest.approx(whole.log_evidence, abs=0.02)


def test_the_fewer_are_carried_the_less_is_known_of_the_whole(
    cases: list[tuple[tuple[Problem, ...], int]], monkeypatch: pytest.MonkeyPatch
) -> None:
    branches, sources = cases[0]
    whole = all_of_them(monkeypatch, branches, sources)
    lost = []
    for kept in (50, 500, 5000):
        with monkeypatch.context() as patch:
            patch.setattr(carrying, "KEPT", kept)
            lost.append(whole.log_evidence - infer(branches, sources).log_evidence)
    assert lost == sorted(lost, reverse=True)
    assert all(loss > -1e-9 for loss in lost)


def told_by_ranges(seed: int, sources: int) -> Problem:
    """A random problem with a few readings, ranges on random rows and a sign that points at three columns."""
    rng = np.random.default_rng(seed)
    columns = Columns(
        prior=rng.uniform(0.02, 0.2, sources),
        healthy=np.full(sources, 1e-3),
        trouble=rng.uniform(0.5, 2.0, sources),
        mean=np.zeros(sources),
        wild=np.zeros(sources, bool),
    )
    sparse = rng.normal(size=(5, sources)) * (rng.random((5, sources)) < 0.4)
    low = np.where(rng.random(5) < 0.5, 0.3, -np.inf)
    soft = Soft(
        Rows(sparse, np.zeros_like(sparse)), low, np.where(np.isfinite(low), np.inf, 0.5), np.full(5, 0.05),
        np.full(5, 0.03), np.zeros(5, bool),
    )  # fmt: skip
    rows = rng.normal(size=(2, sources)) * (rng.random((2, sources)) < 0.6)
    groups = (Group((0, 1, 2), 0.8, 0.1),)
    return Problem(columns, Rows(rows, np.zeros_like(rows)), rng.normal(size=2), np.full(2, 0.02), soft, groups)


@pytest.mark.parametrize("seed", range(6))
def test_random_problems_are_held_to_all_sets(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    problem = told_by_ranges(seed, 24)
    whole, ours = all_of_them(monkeypatch, (problem,), 24), infer([problem], 24)
    assert ours.trouble == pytest.approx(whole.trouble, abs=0.01)


def test_where_there_are_few_sets_all_are_carried(monkeypatch: pytest.MonkeyPatch) -> None:
    problem = told_by_ranges(1, 8)
    whole, ours = all_of_them(monkeypatch, (problem,), 8), infer([problem], 8)
    assert ours.trouble == pytest.approx(whole.trouble, abs=1e-7)


def test_a_case_without_anything_observed_has_its_priors() -> None:
    problem = told_by_ranges(0, 6)
    none, empty = np.zeros(0), np.zeros((0, 6))
    soft = Soft(Rows(empty, empty), none, none, none, none, np.zeros(0, bool))
    bare = Problem(problem.columns, Rows(empty, empty), none, none, soft)
    assert infer([bare], 6, most=6).trouble == pytest.approx(problem.columns.prior, abs=1e-9)
    assert json.dumps([float(x) for x in infer([bare], 6).trouble])
