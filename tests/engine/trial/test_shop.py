"""Simulated shops: drawn from a seed alone, troubled as they say, with sizes of heavier tails than belief assumes."""

from __future__ import annotations

import json
import subprocess
import sys
from dataclasses import replace

import numpy as np
import pytest

from askew.engine.observations import Reading, SetupFact
from askew.engine.said import parse
from askew.engine.trial.person import CANNOT_DO, Person
from askew.engine.trial.shop import COMPLAINTS, TAILS, draw_shop, troubled_size
from askew.engine.trial.world import measure
from askew.knowledge.load import load

SEEDS = range(500, 540)
DRAWN = (
    "import json, sys; from askew.engine.trial.play import play; "
    "print(json.dumps([play(int(s)).row() for s in sys.argv[1:]], sort_keys=True))"
)


def test_a_seed_gives_the_same_shop_and_conversation_in_every_run() -> None:
    """Whatever order a set of words happens to have in a process."""
    told = {
        subprocess.run(
            [sys.executable, "-c", DRAWN, "511", "512"],
            check=True,
            capture_output=True,
            env={"PYTHONHASHSEED": hash_seed, "PATH": ""},
        ).stdout
        for hash_seed in ("1", "2")
    }
    assert len(told) == 1


def test_somebody_would_complain_and_the_cause_is_in_trouble() -> None:
    for shop in map(draw_shop, SEEDS):
        assert abs(shop.value) >= COMPLAINTS[shop.complaint][1]
        assert 1 <= len(shop.troubled) <= 3
        assert shop.main in shop.troubled
        assert {source for source, size in shop.moment.sizes.items() if size} >= shop.troubled


def test_what_each_makes_is_what_would_go_if_it_alone_were_put_right() -> None:
    for shop in map(draw_shop, SEEDS):
        cured = replace(shop.moment, sizes={**shop.moment.sizes, shop.main: 0.0})
        left = measure(shop.complaint, cured)
        assert shop.value - left == pytest.approx(shop.made[shop.main], abs=1e-12)


def test_sizes_have_the_tails_of_students_t() -> None:
    """Student's t with four degrees of freedom exceeds four times its scale in 1.61% of draws (tables of t)."""
    rng, setup = np.random.default_rng(7), draw_shop(500).moment.setup
    source = load().sources["tram"]
    scale = (source.size.get(str(setup.machine)) or source.size["any"]).trouble
    draws = np.array([troubled_size("tram", setup, rng) for _ in range(20_000)])
    assert TAILS == 4.0
    assert np.mean(np.abs(draws) > 4.0 * scale) == pytest.approx(0.0161, abs=0.004)


def test_a_person_says_what_a_person_could_say() -> None:
    """Every line is taken by the same border as anybody's, and says the number within its scatter."""
    for seed in SEEDS:
        shop = draw_shop(seed)
        setup, complaint = (parse(json.loads(line)).facts for line in Person(shop).opens())
        assert all(isinstance(fact, SetupFact) for fact in setup)
        (fact,) = complaint
        assert isinstance(fact, Reading)
        assert fact.id == shop.complaint
        assert fact.value == pytest.approx(shop.value, abs=max(0.08, 0.1 * abs(shop.value)))


def test_one_check_in_ten_cannot_be_made_and_stays_so() -> None:
    people = [Person(draw_shop(seed)) for seed in SEEDS]
    could = np.array([[person.can(check) for check in load().checks] for person in people])
    assert np.mean(~could) == pytest.approx(CANNOT_DO, abs=0.03)
    assert all(person.can("other_corner") == person.can("other_corner") for person in people)
