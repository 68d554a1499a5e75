"""How fast the rules are. Run: python tests/benchmarks/bench_rules.py

Prints processor time beside the machine's own numpy matrix product, so that machines can be compared. The
case is an ordinary one: some twenty readings and signs, numbers of every source.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np

from askew.engine.reasoner import Reasoner
from askew.engine.snapshot import BestCheck, Snapshot, SourceNumbers, ToldReading, ToldSign
from askew.knowledge.load import load
from askew.knowledge.rules import rules


def ordinary() -> Snapshot:
    """Return a case with ten readings and ten signs, and numbers of every source."""
    known = load()
    readings = [("face_out_of_square", -0.381), ("clamp_rise", 0.33), ("sweep_x", 0.14), ("sweep_y", 0.02)]
    readings += [("hollow_across", 0.01), ("fixed_jaw_square", 0.0), ("square_flip", 0.001), ("step", 0.0)]
    readings += [("blank_thickness", 0.002), ("other_corner", 0.37)]
    signs = [("heel_marks", "right"), ("needle_moves_on_tightening", "yes"), ("light_in_middle", "yes")]
    signs += [("one_tooth_cutting", "no"), ("chip_found", "no"), ("follows_part", "no"), ("part_moved", "no")]
    signs += [("stays_with_machine", "yes"), ("parallel_loose", "front"), ("rubbing", "no")]
    return Snapshot(
        setup={"feed_axis": "x", "passes": 2, "moving_jaw_contact": "bar", "cutter_kind": "face_mill"},
        machine="knee_mill",
        readings=tuple(ToldReading(id_, value, 60.0, of=known.readings[id_].of) for id_, value in readings),
        signs=tuple(ToldSign(*sign) for sign in signs),
        complaint=("face_out_of_square", -0.381, 60.0),
        sizes=tuple(
            SourceNumbers(
                id_, source.group, 0.04 + 0.02 * (i % 7), 0.02 * (i % 9), 0, -0.1, 0.1, 0.4, 0.1, 0.05 * i
            )
            for i, (id_, source) in enumerate(known.sources.items())
        ),
        best_check=BestCheck("sweep_table", 12.0, 0.3),
        decided=0.6,
        next_check="tighten_on_part",
        habit="in",
    )  # fmt: skip


def quantiles(call: Callable[[], object], times: int) -> tuple[float, float]:
    """Return the median and the 95th percentile of processor time, ms."""
    runs = []
    for _ in range(times):
        start = time.process_time()
        call()
        runs.append(1000 * (time.process_time() - start))
    return float(np.median(runs)), float(np.quantile(runs, 0.95))


def main() -> None:
    """Print the figures."""
    square = np.random.default_rng(0).standard_normal((500, 500))
    told = ordinary()
    reasoner = Reasoner(load())
    start = time.process_time()
    reasoner.conclude(told)
    print(f"{len(rules())} rules built and run the first time: {1000 * (time.process_time() - start):.1f} ms")
    # A fresh bench each time, so that nothing is remembered.
    benches = iter(range(10_000))

    def fresh() -> object:
        return reasoner.in_play("knee_mill", {"wall": float(next(benches))}, frozenset(load().instruments))

    for name, call, limit in (
        ("numpy 500 x 500 matrix product", lambda: square @ square, None),
        ("conclude, twenty readings and signs", lambda: reasoner.conclude(told), 12.0),
        ("in_play, not remembered", fresh, None),
    ):
        median, high = quantiles(call, 100)
        asked = f"   (at most {limit:g})" if limit else ""
        print(f"{name:40s} median {median:7.3f} ms, 95th percentile {high:7.3f} ms{asked}")


if __name__ == "__main__":
    main()
