"""What an old record says today: against conjugate formulas, its limits, and who may not be counted twice."""

from __future__ import annotations

import math
from datetime import date, timedelta

import numpy as np
import pytest
from scipy.stats import norm

from askew.engine.record.machine import Entry, MachineRecord
from askew.engine.record.machine_due import Allowed, beyond, due, series_of
from askew.engine.record.machine_memory import MachineMemory, priors_of, response, usual
from askew.knowledge.load import KnowledgeError, load
from askew.knowledge.upkeep import load_upkeep, read_upkeep

DAY = date(2031, 1, 1)


def reading(id_: str, value: float, days: int = 0, over: float | None = 300.0, case: str = "") -> Entry:
    return Entry(
        date=str(DAY + timedelta(days)), kind="reading", id=id_, value=value, over=over, sd=0.006, case=case
    )


def record(*entries: Entry, machine: str = "knee_mill") -> MachineRecord:
    kept = MachineRecord.in_memory("mill", machine)  # type: ignore[arg-type]
    for entry in entries:
        kept.add(entry)
    return kept


def test_the_forward_model_says_what_a_sweep_answers_to() -> None:
    answers = response("sweep_x", "knee_mill", 300.0)
    assert answers["tram"] == pytest.approx(1.0)
    assert answers["lean_side"] == pytest.approx(-1.0)
    assert response("table_run_x", "knee_mill", 300.0)["table_slope"] == pytest.approx(-1.0)
    assert "tram" not in response("table_run_x", "knee_mill", 300.0)


def test_one_reading_of_one_source_is_the_conjugate_formula() -> None:
    belief = priors_of(record(reading("jaw_run", 0.02, over=100.0)), DAY)["vise_skew"]
    before, noise = usual("knee_mill")["vise_skew"].sd ** 2, 0.00006**2
    gain = before / (before + noise)
    assert belief.mean == pytest.approx(gain * 0.0002, rel=1e-9)
    assert belief.sd == pytest.approx(math.sqrt((1 - gain) * before), rel=1e-9)
    assert belief.weight == 1.0


def test_a_sweep_is_shared_between_head_and_column_by_what_is_usual() -> None:
    beliefs = priors_of(record(reading("sweep_x", 0.10)), DAY)
    u = usual("knee_mill")
    assert beliefs["tram"].mean / -beliefs["lean_side"].mean == pytest.approx(
        u["tram"].sd ** 2 / u["lean_side"].sd ** 2, rel=1e-6
    )
    now = MachineMemory(record(reading("sweep_x", 0.10))).reading("sweep_x", DAY, 300.0)
    assert now is not None
    assert now.mean * 300 == pytest.approx(0.10, abs=0.005)


def test_many_entries_agree_with_one_large_gaussian() -> None:
    """The same process written out as a joint normal over states and readings, conditioned by brute force."""
    entries = [
        reading("jaw_run", v, d, over=100.0) for v, d in ((0.01, 0), (0.03, 40), (0.02, 90), (0.04, 200))
    ]
    u, now = usual("knee_mill")["vise_skew"], DAY + timedelta(260)
    times = np.array([0, 40, 90, 200, 260]) / 365.25
    prior = u.sd**2 + u.wander**2 * np.minimum.outer(times, times) + u.drift**2 * np.outer(times, times)
    seen = prior[:4, :4] + 0.00006**2 * np.eye(4)
    y = np.array([0.0001, 0.0003, 0.0002, 0.0004])
    mean = prior[4, :4] @ np.linalg.solve(seen, y)
    var = prior[4, 4] - prior[4, :4] @ np.linalg.solve(seen, prior[:4, 4])
    belief = priors_of(record(*entries), now)["vise_skew"]
    assert (belief.mean, belief.sd) == (
        pytest.approx(mean, rel=1e-8),
        pytest.approx(math.sqrt(var), rel=1e-8),
    )


def test_recent_sweeps_count_and_old_ones_fade() -> None:
    kept = record(reading("sweep_x", 0.00, 0), reading("sweep_x", 0.08, 350))
    soon = priors_of(kept, DAY + timedelta(351))["tram"]
    late = priors_of(kept, DAY + timedelta(351 + 365))["tram"]
    assert soon.mean > 0.5 * 0.08 / 300
    assert soon.weight > 0.99 > 0.3 > late.weight
    assert late.sd > soon.sd


def test_what_was_not_yet_read_is_not_yet_known() -> None:
    kept = record(reading("sweep_x", 0.01, 0), reading("sweep_x", 0.09, 100))
    then = priors_of(kept, DAY + timedelta(50))["tram"]
    alone = priors_of(record(reading("sweep_x", 0.01, 0)), DAY + timedelta(50))["tram"]
    assert then == alone


def test_a_correction_draws_a_source_afresh_and_leaves_the_others() -> None:
    trammed = Entry(date=str(DAY + timedelta(10)), kind="correction", id="trammed")
    entries = (reading("sweep_x", 0.10), reading("table_run_x", 0.03))
    before = priors_of(record(*entries), DAY + timedelta(9))
    after = priors_of(record(*entries, trammed), DAY + timedelta(11))
    assert "tram" in before
    assert "tram" not in after
    assert after["table_slope"].mean == pytest.approx(before["table_slope"].mean, rel=0.01)
    assert after["table_slope"].mean < -0.00006
    again = record(*entries, trammed, reading("sweep_x", 0.0, 10))
    assert abs(priors_of(again, DAY + timedelta(11))["tram"].mean) < 0.3 * before["tram"].mean


def test_order_within_a_day_decides_what_a_correction_touches() -> None:
    trammed = Entry(date=str(DAY), kind="correction", id="trammed")
    swept_first = priors_of(record(reading("sweep_x", 0.10), trammed), DAY)
    swept_last = priors_of(record(trammed, reading("sweep_x", 0.10)), DAY)
    assert "tram" not in swept_first
    assert swept_last["tram"].mean > 0.0002


def test_a_verdict_counts_but_not_beside_a_reading_of_the_same_case_that_says_it_all() -> None:
    verdict = Entry(
        date=str(DAY), kind="verdict", id="tram", value=0.09, over=300.0, sd=0.006, case="plate-4"
    )
    alone = priors_of(record(verdict), DAY)["tram"]
    assert alone.mean == pytest.approx(0.0003, rel=0.05)
    sweep = reading("sweep_x", 0.10, case="plate-4")
    # A sweep does not know what of it is the head and what the column; the verdict does.
    assert priors_of(record(sweep, verdict), DAY)["tram"].sd < priors_of(record(sweep), DAY)["tram"].sd
    skew = Entry(date=str(DAY), kind="verdict", id="vise_skew", value=0.2, over=100.0, sd=0.01, case="plate-4")
    run = reading("jaw_run", 0.1, case="plate-4")
    said_all, with_verdict = (priors_of(record(*entries), DAY)["vise_skew"] for entries in ((run,), (run, skew)))
    assert with_verdict.mean == pytest.approx(0.1 / 300.0, rel=0.1)
    assert with_verdict.sd >= said_all.sd
    other = reading("sweep_x", 0.10, case="plate-5")
    assert priors_of(record(other, verdict), DAY)["tram"].sd < priors_of(record(other), DAY)["tram"].sd


def test_a_source_that_was_blamed_takes_the_size_that_was_read() -> None:
    """A head found out of true and set leaves no lean behind in the column, which nobody blamed."""
    swept = reading("sweep_y", 0.3, case="plate-4")
    blamed = Entry(date=str(DAY), kind="verdict", id="nod", value=0.29, over=300.0, sd=0.03, case="plate-4")
    trammed = Entry(date=str(DAY), kind="correction", id="trammed", case="plate-4")
    after = priors_of(record(swept, blamed, trammed, reading("sweep_y", 0.0)), DAY)
    assert abs(after["nod"].mean) < load().sources["nod"].size["any"].healthy
    assert abs(after.get("lean_fore", after["nod"]).mean) < 1.5 * load().sources["lean_fore"].size["any"].healthy


def test_nothing_known_says_nothing() -> None:
    assert priors_of(record(), DAY) == {}
    note = Entry(date=str(DAY), kind="note", note="oiled the ways")
    assert priors_of(record(note), DAY) == {}
    assert due(record(note), DAY) == []


def test_part_and_grip_are_not_carried_over() -> None:
    carried = set(usual("bench_mill"))
    assert {"tram", "nod", "fixed_jaw_lean", "jaw_lift", "backlash_x"} <= carried
    groups = {load().sources[id_].group for id_ in carried}
    assert groups == {"machine", "vise"}
    assert not carried & {"chip_behind_jaw", "blank_taper", "jaw_rack", "column_swing", "spindle_growth"}


# ---- due for a look


def test_a_head_that_drifts_is_due_before_it_reaches_the_limit() -> None:
    kept = record(*(reading("sweep_x", 0.004 * i, 45 * i) for i in range(6)))
    today = DAY + timedelta(226)
    (stand,) = due(kept, today, {"sweep_x": Allowed(0.032, 300.0)})
    assert stand.drift is not None
    assert stand.drift.drifts
    assert stand.drift.rate * 300 == pytest.approx(0.004 / 45 * 365.25, rel=1e-6)
    assert stand.why == "drift"
    assert stand.day is not None
    crossing = DAY + timedelta(360)  # where the bare line reaches the limit
    assert today < stand.day < crossing
    tighter = due(kept, today, {"sweep_x": Allowed(0.028, 300.0)})[0]
    assert tighter.day is not None
    assert tighter.day < stand.day


def test_beyond_the_limit_it_is_due_today() -> None:
    (stand,) = due(record(reading("sweep_x", 0.09)), DAY)
    assert (stand.why, stand.day) == ("beyond", DAY)
    assert stand.chance is not None
    assert stand.chance > 0.95


def test_a_steady_machine_is_due_by_age_alone() -> None:
    kept = record(*(reading("table_run_x", 0.0, 30 * i) for i in range(8)))
    (stand,) = due(kept, DAY + timedelta(211))
    assert stand.drift is not None
    assert not stand.drift.drifts
    life = load_upkeep().keeps["machine"].life
    assert stand.why == "age"
    assert stand.day is not None
    last = DAY + timedelta(210)
    assert (stand.day - last).days == pytest.approx(life * math.log(2) * 365.25, abs=2)


def test_a_correction_that_nobody_measured_is_due_at_once() -> None:
    shim = Entry(date=str(DAY + timedelta(5)), kind="correction", id="shimmed")
    kept = record(reading("square_travel_y", 0.03), shim)
    (stand,) = due(kept, DAY + timedelta(6))
    assert (stand.why, stand.mean) == ("corrected", None)
    assert series_of(kept.entries, "knee_mill")["square_travel_y"].pieces == (0,)


def test_what_is_due_first_stands_first() -> None:
    kept = record(reading("table_run_x", 0.0), reading("sweep_x", 0.09), reading("jaw_run", 0.0, over=100.0))
    days = [stand.day or date.max for stand in due(kept, DAY)]
    assert days == sorted(days)


@pytest.mark.parametrize(("mean", "sd", "limit"), [(0.0, 1.0, 1.0), (0.5, 0.2, 1.0), (-3.0, 0.5, 1.0)])
def test_chance_of_being_beyond(mean: float, sd: float, limit: float) -> None:
    expected = norm.sf(limit, mean, sd) + norm.cdf(-limit, mean, sd)
    assert beyond(mean, sd, limit) == pytest.approx(expected, rel=1e-12)


# ---- the tables behind it


def test_upkeep_names_only_what_exists() -> None:
    upkeep, known = load_upkeep(), load()
    groups = {source.group for source in known.sources.values()}
    assert set(upkeep.keeps) <= groups | set(known.sources)
    for id_, limit in upkeep.limits.items():
        assert known.readings[id_].of in ("machine", "tool")
        assert (limit.over is None) == (known.readings[id_].over is None), id_


def test_a_wrong_upkeep_table_is_named() -> None:
    with pytest.raises(KnowledgeError, match=r"upkeep.toml: keeps.machine.life"):
        read_upkeep(
            "[limits]\n[keeps.machine]\nlife = -1.0\nwander = 1.0\ndrift = 1.0\n"
            'basis = "judgement"\nsource = "x"'
        )
    with pytest.raises(KnowledgeError, match=r"upkeep.toml"):
        read_upkeep("[keeps")


def simulated(rng: np.random.Generator) -> tuple[MachineRecord, dict[str, float], date]:
    """Draw a machine from the process that the memory assumes, and read it at odd times; trammed once."""
    u, names = usual("knee_mill"), ("tram", "lean_side", "table_slope")
    days = np.sort(rng.choice(np.arange(1, 700), 8, replace=False)).tolist()
    trammed, now = days[4], 730
    kept = MachineRecord.in_memory()
    kept.add(Entry(date=str(DAY), kind="note", note="began"))
    level = {s: rng.normal(0.0, u[s].sd) for s in names}
    rate = {s: rng.normal(0.0, u[s].drift) for s in names}
    began, walk, last = dict.fromkeys(names, 0), dict.fromkeys(names, 0.0), dict.fromkeys(names, 0)

    def size(source: str, day: int) -> float:
        walk[source] += rng.normal(0.0, u[source].wander * math.sqrt((day - last[source]) / 365.25))
        last[source] = day
        return level[source] + rate[source] * (day - began[source]) / 365.25 + walk[source]

    for day in days:
        true = {s: size(s, day) for s in names}
        if day == trammed:
            kept.add(Entry(date=str(DAY + timedelta(day)), kind="correction", id="trammed"))
            level["tram"], walk["tram"], began["tram"] = rng.normal(0.0, u["tram"].sd), 0.0, day
            true["tram"] = level["tram"]
        kind = ("sweep_x", "square_travel_x", "table_run_x")[int(rng.integers(3))]
        value = {
            "sweep_x": true["tram"] - true["lean_side"],
            "square_travel_x": true["lean_side"],
            "table_run_x": -true["table_slope"],
        }[kind]
        noise = 0.006 / 300
        extra = {s: j for s, j in response(kind, "knee_mill", 300.0).items() if s not in u}
        spread = math.sqrt(
            noise**2 + sum((j * load().sources[s].size["any"].healthy) ** 2 for s, j in extra.items())
        )
        kept.add(reading(kind, 300.0 * (value + rng.normal(0.0, spread)), day))
    return kept, {s: size(s, now) for s in names}, DAY + timedelta(now)


def test_what_it_says_is_as_sure_as_it_claims() -> None:
    """Machines drawn from the assumed process: errors over the stated spread are standard normal."""
    rng = np.random.default_rng(20310406)
    errors: list[float] = []
    for _ in range(250):
        kept, true, today = simulated(rng)
        for source, belief in priors_of(kept, today).items():
            if source in true:
                errors.append((true[source] - belief.mean) / belief.sd)
    assert len(errors) > 300
    assert np.mean(errors) == pytest.approx(0.0, abs=0.15)
    assert np.std(errors) == pytest.approx(1.0, abs=0.1)
    assert np.mean(np.abs(errors) < 1.645) == pytest.approx(0.9, abs=0.04)
