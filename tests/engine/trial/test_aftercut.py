"""Following the advice in simulated shops: the next cut is measured, and a reopened case is gone on with."""

from __future__ import annotations

import json

import pytest

from askew.engine.ahead import how_to_fix
from askew.engine.consult import Consultation
from askew.engine.next_cut import alongside
from askew.engine.record.journal import Journal
from askew.engine.remedies.first import remedy_for
from askew.engine.trial.aftercut import MOST_CUTS, Followed, follow
from askew.engine.trial.policies import OURS
from askew.knowledge.load import load

SEEDS = range(300, 304)


@pytest.fixture(scope="module")
def shops() -> list[Followed]:
    return [follow(seed) for seed in SEEDS]


def test_most_parts_are_good_after_the_advice(shops: list[Followed]) -> None:
    """Four shops only, so that it is quick; the figure itself comes from hundreds."""
    assert sum(shop.good_in_the_end for shop in shops) >= 3
    assert sum(shop.good for shop in shops) >= 3
    assert all(abs(shop.first) > shop.tolerance for shop in shops)


def test_what_the_assistant_says_of_a_cut_is_what_the_cut_is(shops: list[Followed]) -> None:
    """A reading closes or reopens; only one within its own rounding of the limit may be told otherwise."""
    for shop in shops:
        assert len(shop.cuts) == len(shop.read) == len(shop.outcomes) <= MOST_CUTS
        for size, outcome in zip(shop.read, shop.outcomes, strict=True):
            if abs(abs(size) - shop.tolerance) > 1e-4:
                assert outcome == ("closed" if abs(size) < shop.tolerance else "reopened"), shop


def test_a_shop_comes_out_the_same_twice(shops: list[Followed]) -> None:
    assert follow(SEEDS[0]).row() == shops[0].row()
    assert shops[0].policy == OURS
    json.dumps(shops[0].row())


def test_the_usual_order_is_followed_in_the_same_shops(shops: list[Followed]) -> None:
    usual = follow(SEEDS[0], "usual order")
    assert len(usual.cuts) == 1
    assert usual.minutes > 0.0
    assert usual.first == shops[0].first


def test_every_source_but_the_unlisted_has_a_remedy() -> None:
    for source in load().sources:
        remedy = load().remedies[remedy_for(source)]
        assert source in remedy.serves
        fixes = [r for r in load().remedies.values() if source in r.serves and r.kind == "fix"]
        assert remedy.kind == "fix" or not fixes


def test_lesser_suspects_of_the_same_grip_are_put_right_in_one_go() -> None:
    job = {"machine": "knee_mill", "cutter_diameter": 100.0, "passes": 1, "feed_axis": "x", "part_across": 75.0,
           "part_along": 75.0, "part_height": 75.0, "grip_height": 38.0, "moving_jaw_contact": "bar"}  # fmt: skip
    consultation = Consultation(Journal.in_memory())
    for line in ({"setup": job}, {"reading": "face_out_of_square", "value": -0.38, "over": 75.0}):
        consultation.say(json.dumps(line))
    standing = consultation.standing
    also = alongside(standing, ["off_centre_push"])
    assert also
    assert "off_centre_push" not in also
    by_source = {n.source: n for n in standing.numbers}
    assert all(by_source[source].probability >= 0.03 for source in also)
    text = " ".join(how_to_fix("off_centre_push", standing, "mm")[0])
    assert "In the same go" in text
    assert all(load().sources[source].group == "measuring" for source in alongside(standing, ["tram"]))
