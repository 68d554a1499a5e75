"""Closed cases move the shipped numbers, the more the more there are, and never what nobody spoke of."""

import numpy as np
import pytest

from askew.engine.belief.tune import CASES, ClosedCase, as_toml, tune


def cases(n, source="jaw_lift", size=None):
    return [ClosedCase(machine="knee_mill", causes={source: size}) for _ in range(n)]


def change(found, source):
    return next(c for c in found if c.source == source)


def test_the_shares_are_those_of_a_dirichlet():
    found = tune(cases(3))
    lift = change(found, "jaw_lift")
    share = lift.prior / sum(c.prior for c in found)
    assert lift.tuned_prior / lift.prior == pytest.approx((3 + CASES * share) / (3 + CASES) / share)
    assert all(c.tuned_prior < c.prior for c in found if c.source != "jaw_lift")


def test_more_cases_move_it_further_and_none_not_at_all():
    moved = [change(tune(cases(n)), "jaw_lift").tuned_prior for n in (1, 5, 20)]
    assert moved == sorted(moved)
    assert tune([]) == []


def test_sizes_come_back_from_many_cases():
    rng = np.random.default_rng(5)
    found = [ClosedCase(causes={"tram": float(v)}) for v in rng.normal(0, 0.001, 400)]
    assert change(tune(found), "tram").tuned_trouble == pytest.approx(0.001, rel=0.1)


def test_a_size_nobody_measured_moves_no_size():
    lift = change(tune(cases(50)), "jaw_lift")
    assert lift.tuned_trouble == pytest.approx(lift.trouble)


def test_a_cause_that_is_none_is_refused():
    with pytest.raises(ValueError, match="not a source"):
        tune(cases(1, "gremlins"))


def test_the_fitted_numbers_are_toml_of_the_shipped_form():
    import tomllib

    from askew.knowledge.schema import Size

    table = tomllib.loads(as_toml(tune(cases(3, size=0.2))))
    assert len(table) > 40
    for source in table.values():
        for size in source["size"].values():
            Size.model_validate(size)
