"""How fast the physics is. Run: python tests/benchmarks/bench_physics.py

Prints each figure beside the machine's own numpy matrix product, so that machines can be compared.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np

from askew.engine.foresee import Request, foresee, needed
from askew.engine.physics import face
from askew.engine.physics.frame import Frame, Push, squeeze
from askew.engine.physics.surface import FaceCut, simulate_face
from askew.engine.physics.uncertainty import Input, combine

THIRTY = FaceCut(12, 200, 200, passes=30, spacing=6.5, tilt_x=3e-4, tilt_y=2e-4, rise=0.01)
STOPPED = FaceCut(12, 200, 200, passes=30, spacing=6.5, overrun=False, tilt_x=3e-4, tilt_y=2e-4, stops=3.0)


def best_of(call: Callable[[], object], times: int = 20) -> float:
    """Return the shortest of several runs, ms."""
    call()
    runs = []
    for _ in range(times):
        start = time.perf_counter()
        call()
        runs.append(time.perf_counter() - start)
    return 1000 * min(runs)


def fresh_share() -> object:
    face.envelope_slope_share.cache_clear()
    return face.envelope_slope_share(20, 60, 5, 15, True)


def main() -> None:
    square = np.random.default_rng(0).standard_normal((500, 500))
    tube = Frame(60, 40, 4, 5, 3, 6, 80, 69_000)
    request = Request(setup={"cutter_diameter": 25.0, "passes": 4, "pass_spacing": 17.0, "part_across": 60.0},
                      sources={"tram": 3e-4, "nod": 2e-4, "jaw_lift": 0.1})  # fmt: skip
    turned = Request(setup=request.setup, reading="face_out_of_square", value=0.1)
    line = {"a": Input(1.0, 0.1, 5), "b": Input(2.0, 0.2, 9), "c": Input(3.0, 0.1)}
    rows: list[tuple[str, Callable[[], object], float | None]] = [
        ("numpy 500 x 500 matrix product", lambda: square @ square, None),
        ("200 x 200 face, 30 passes, run right off", lambda: simulate_face(THIRTY, 200, 200), 50.0),
        ("200 x 200 face, 30 passes, stopped short", lambda: simulate_face(STOPPED, 200, 200), 50.0),
        ("share of the tilt left, not cached", fresh_share, 1.0),
        ("hollow section squeezed", lambda: squeeze(tube, 500, Push("line", 28)), None),
        ("budget of three inputs", lambda: combine(lambda v: v["a"] * v["b"] + v["c"], line), None),
        ("foresee: surface and all readings", lambda: foresee(request), None),
        ("needed: every source", lambda: needed(turned), None),
    ]
    for name, call, limit in rows:
        took = best_of(call)
        asked = f"   (at most {limit:g})" if limit else ""
        print(f"{name:44s} {took:8.3f} ms{asked}")


if __name__ == "__main__":
    main()
