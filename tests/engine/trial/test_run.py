"""Many shops: the same figures however they are run, stopped and gone on with, and what the figures mean."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from askew.engine.trial.figures import cuts, figures, reliability, wilson
from askew.engine.trial.play import Played, conversation, play
from askew.engine.trial.policies import OURS, RIVALS
from askew.engine.trial.run import CUT_AGAIN, TO_VERDICT, TrialError, kept, run

SEEDS = range(700, 704)


def rows(found: list[Played]) -> list[dict[str, object]]:
    """Return what was played as plain data."""
    return [json.loads(json.dumps(played.row())) for played in found]


def test_jobs_do_not_change_what_comes_of_it() -> None:
    assert rows(run(TO_VERDICT, SEEDS, jobs=1)) == rows(run(TO_VERDICT, SEEDS, jobs=2))


def test_a_trial_that_was_stopped_goes_on(tmp_path: Path) -> None:
    file, told = tmp_path / "shops.jsonl", []
    whole = rows(run(TO_VERDICT, SEEDS, keep=file, progress=lambda done, of: told.append((done, of))))
    assert told[0] == (0, len(SEEDS))
    assert told[-1] == (len(SEEDS), len(SEEDS))
    lines = file.read_text().splitlines(keepends=True)
    file.write_text("".join(lines[:2]) + lines[2][:40])  # cut off in the middle of a line
    told.clear()
    assert rows(run(TO_VERDICT, SEEDS, keep=file, progress=lambda done, of: told.append((done, of)))) == whole
    assert told[0] == (2, len(SEEDS))
    assert len(kept(file, TO_VERDICT)) == len(SEEDS)


def test_cutting_again_goes_on_too(tmp_path: Path) -> None:
    file = tmp_path / "cuts.jsonl"
    found = run(CUT_AGAIN, SEEDS[:2], policies=(OURS, "usual order"), keep=file)
    again = run(CUT_AGAIN, SEEDS[:2], policies=(OURS, "usual order"), keep=file)
    assert [one.row() for one in again] == [one.row() for one in found]
    assert len(kept(file, CUT_AGAIN)) == 4
    ours = cuts(OURS, found)
    assert ours.shops == 2
    assert ours.good == np.mean([one.good for one in found[:2]])
    assert ours.in_the_end >= ours.good


def test_another_file_is_not_taken_for_finished_shops(tmp_path: Path) -> None:
    file = tmp_path / "list.txt"
    file.write_text("bolts\nnuts\n")
    with pytest.raises(TrialError, match="Line 1"):
        run(TO_VERDICT, SEEDS, keep=file)
    assert file.read_text() == "bolts\nnuts\n"


def test_an_unknown_order_is_refused() -> None:
    with pytest.raises(TrialError, match="no such"):
        run(TO_VERDICT, SEEDS, policies=("no such",))


def test_every_rival_plays_the_same_shops() -> None:
    found = run(TO_VERDICT, SEEDS[:2], policies=(OURS, *RIVALS))
    by_shop: dict[int, set[tuple[str, str]]] = {}
    for played in found:
        by_shop.setdefault(played.seed, set()).add((played.complaint, played.main))
    assert all(len(same) == 1 for same in by_shop.values())
    assert {played.policy for played in found} == {OURS, *RIVALS}


def test_on_a_scheduler_it_is_the_same(tmp_path: Path) -> None:
    """A Dask scheduler on this machine, reached over its address like any other."""
    distributed = pytest.importorskip("distributed")
    with distributed.LocalCluster(
        n_workers=1,
        threads_per_worker=1,
        dashboard_address=None,
        host="127.0.0.1",
        local_directory=str(tmp_path),
    ) as cluster:
        there = rows(run(TO_VERDICT, range(700, 702), scheduler=cluster.scheduler_address))
    assert there == rows(run(TO_VERDICT, range(700, 702)))


def test_a_scheduler_that_is_not_there_is_said() -> None:
    pytest.importorskip("distributed")
    with pytest.raises(TrialError, match="No scheduler answers"):
        run(TO_VERDICT, range(700, 701), scheduler="nowhere")


def test_a_wrong_verdict_can_be_replayed() -> None:
    played, talk = play(701), conversation(701)
    last = talk[-1][1]
    assert last.verdict is not None or last.next is None
    named = last.verdict.sources if last.verdict is not None else []
    assert played.named == named or last.closed


def test_reliability_counts_what_came_true() -> None:
    """Worked by hand: four stated at 0.15, one of them true; two at 0.95, both true."""
    stated, true = np.array([0.15] * 4 + [0.95] * 2), np.array([0, 0, 1, 0, 1, 1])
    assert reliability(stated, true) == ((pytest.approx(0.15), 0.25, 4), (pytest.approx(0.95), 1.0, 2))


def test_the_score_interval_is_wilsons() -> None:
    """81 of 263: 0.2553 to 0.3662 (Newcombe, Two-sided confidence intervals, Statistics in Medicine 17, 1998)."""
    assert wilson(81, 263) == pytest.approx((0.3662 - 0.2553) / 2, abs=5e-4)


def test_figures_count_right_whole_and_cleared() -> None:
    def shop(seed: int, first: str, named: list[str], cleared: list[str]) -> Played:
        return Played(
            seed, OURS, "step", "nod", ["nod", "tram"], {}, first=first, named=named, minutes=10.0 * seed,
            cleared=cleared, stated=[("nod", 0.9, True)], sizes=[("nod", 0.1, 0.0, 0.2), ("nod", 0.3, 0.0, 0.2)],
        )  # fmt: skip

    found = figures(
        OURS,
        [
            shop(1, "nod", ["nod", "tram"], []),
            shop(2, "nod", ["nod"], []),
            shop(3, "tram", ["tram"], ["nod"]),
        ],
    )
    assert (found.first, found.whole, found.cleared) == (
        pytest.approx(2 / 3),
        pytest.approx(1 / 3),
        pytest.approx(1 / 3),
    )
    assert (found.minutes, found.median, found.coverage) == (20.0, 20.0, 0.5)
    assert found.calibration == pytest.approx(0.1)
    assert found.brier == pytest.approx(0.01)
    assert found.wrong == (("nod, tram", 1),)
    assert found.replay == (3,)
