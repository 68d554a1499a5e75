"""Priors of a case: what the setup, an action and the machine's record change."""

from __future__ import annotations

import json

import pytest

from askew.engine.belief.columns import remembered
from askew.engine.case import Memory
from askew.engine.consult import Consultation
from askew.engine.record.journal import Journal

USUAL = (0.1, 1e-10, 1e-7, 0.0)


def test_a_source_found_healthy_is_less_likely_in_trouble() -> None:
    assert remembered(USUAL, Memory("tram", 1e-5, 5e-6, 0.8))[0] == pytest.approx(0.02)


def test_a_source_found_out_keeps_about_the_size_that_was_found() -> None:
    chance, _, variance, mean = remembered(USUAL, Memory("tram", 4e-4, 2e-5, 0.9))
    assert chance == pytest.approx(0.9 + 0.1 * 0.1)
    assert mean == pytest.approx(4e-4, rel=0.02)
    assert variance**0.5 < 1e-4


def test_a_memory_without_weight_changes_nothing() -> None:
    assert remembered(USUAL, Memory("tram", 4e-4, 2e-5, 0.0)) == pytest.approx(USUAL)


def test_a_case_starts_from_the_record_of_its_machine_and_replays_so() -> None:
    journal = Journal.in_memory("test")
    consultation = Consultation(journal)
    consultation.remember("the mill by the door", {"nod": (5e-4, 2e-5, 0.9)})
    told = [
        {"setup": {"machine": "knee_mill", "passes": 2, "cutter_diameter": 50.0, "pass_spacing": 38.0}},
        {"reading": "step", "value": -0.019},
    ]
    plain = Consultation(Journal.in_memory("test"))
    for line in told:
        with_record, without = consultation.say(json.dumps(line)), plain.say(json.dumps(line))
    chance = {s.source: s.probability for s in with_record.suspects}
    usual = {s.source: s.probability for s in without.suspects}
    assert chance["nod"] > max(0.9, usual["nod"])
    assert Consultation(journal).now().suspects == with_record.suspects


def test_a_record_comes_too_late_once_something_was_said() -> None:
    consultation = Consultation(Journal.in_memory("test"))
    consultation.say('{"reading": "step", "value": 0.02}')
    assert consultation.remember("mill", {"nod": (5e-4, 2e-5, 0.9)}).error is not None
