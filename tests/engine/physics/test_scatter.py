"""Scatter of every reading, from instrument and procedure."""

from __future__ import annotations

import math

import pytest

from askew.engine.physics.limits import PhysicsError
from askew.engine.physics.scatter import best_instrument, procedures, scatter, scatter_budget
from askew.knowledge.load import load


def test_every_reading_has_its_procedure_and_every_procedure_its_instruments() -> None:
    assert set(procedures()) == set(load().readings)
    for how in procedures().values():
        assert set(how.instruments) <= set(load().instruments)


def test_the_usual_reading_scatters_about_as_much_as_the_knowledge_says() -> None:
    for id_, kind in load().readings.items():
        assert scatter(id_) == pytest.approx(kind.scatter, rel=0.75), id_


def test_a_finer_instrument_and_a_shorter_length_scatter_less() -> None:
    assert scatter("sweep_x", "tenths_indicator") < scatter("sweep_x", "dial_indicator")
    assert scatter("sweep_x", None, 200) < scatter("sweep_x", None, 600)
    # An instrument that cannot take it leaves the usual one.
    assert scatter("sweep_x", "micrometer") == scatter("sweep_x")


def test_the_budget_adds_up_to_the_scatter() -> None:
    for id_ in procedures():
        assert scatter_budget(id_, None, 120).uncertainty == pytest.approx(scatter(id_, None, 120))
    assert scatter("ridge") == pytest.approx(math.sqrt(0.003**2 + 0.01**2 / 12 + 0.001**2))


def test_best_instrument_of_the_bench() -> None:
    assert best_instrument("sweep_x", {"dial_indicator", "tenths_indicator", "paper"}) == "tenths_indicator"
    assert best_instrument("sweep_x", {"paper"}) is None


def test_refusals() -> None:
    with pytest.raises(PhysicsError, match="reading must be one that can be taken"):
        scatter("phase_of_moon")
    with pytest.raises(PhysicsError, match="instrument must be one of the known"):
        scatter("sweep_x", "crystal_ball")
    with pytest.raises(PhysicsError, match="length the reading is taken over must be from 0"):
        scatter("sweep_x", None, -3)
