"""How long a turn takes on the full knowledge base, and how it grows. Run: python tests/benchmarks/bench_turn.py

Processor time of `Consultation.say` over the conversations of tests/data and over simulated shops, beside the
machine's own 500 x 500 matrix product; then inference with more sources, and a case of fifty turns.
"""

from __future__ import annotations

import json
import time
import tomllib
from pathlib import Path

# First, as in the program: it asks for one thread, which numpy hears only when it is imported.
import askew.engine  # noqa: F401

# isort: split

import numpy as np

from askew.engine.belief.posterior import infer
from askew.engine.belief.problem import Columns, Problem, Rows, Soft
from askew.engine.consult import Consultation
from askew.engine.record.journal import Journal
from askew.engine.trial.play import conversation

STORIES = Path(__file__).parents[1] / "data" / "conversations.toml"


def product_ms() -> float:
    """Return the median time of a 500 x 500 matrix product, ms."""
    a = np.random.default_rng(0).normal(size=(500, 500))
    times = []
    for _ in range(15):
        start = time.process_time()
        a @ a
        times.append(time.process_time() - start)
    return 1e3 * float(np.median(times))


def turns_ms(lines: list[str]) -> list[float]:
    """Return the time of every turn of a consultation, ms."""
    consultation, times = Consultation(Journal.in_memory("bench")), []
    for line in lines:
        start = time.process_time()
        consultation.say(line)
        times.append(1e3 * (time.process_time() - start))
    return times


def show(name: str, times: list[float]) -> None:
    """Print median and 95th percentile."""
    print(
        f"{name:34s} {len(times):4d} turns  median {np.median(times):5.1f} ms  95% {np.quantile(times, 0.95):5.1f} ms"
    )


def synthetic(sources: int, readings: int = 10) -> Problem:
    """Return a random problem of a size."""
    rng = np.random.default_rng(sources)
    columns = Columns(
        np.full(sources, 2.0 / sources),
        np.full(sources, 1e-4),
        np.ones(sources),
        np.zeros(sources),
        np.zeros(sources, bool),
    )
    jacobian = rng.normal(size=(readings, sources)) * (rng.random((readings, sources)) < 0.3)
    none, empty = np.zeros(0), np.zeros((0, sources))
    soft = Soft(Rows(empty, empty), none, none, none, none, np.zeros(0, bool))
    return Problem(
        columns,
        Rows(jacobian, np.zeros_like(jacobian)),
        rng.normal(size=readings),
        np.full(readings, 0.01),
        soft,
    )


def main() -> None:
    """Print everything."""
    print(f"numpy 500 x 500 product: {product_ms():.1f} ms")
    stories = tomllib.loads(STORIES.read_text(encoding="utf-8"))
    turns_ms(next(iter(stories.values()))["lines"])  # warm up
    show("conversations in words", [t for s in stories.values() for t in turns_ms(s["lines"])])
    shops = [[line for line, _ in conversation(seed)] for seed in range(40)]
    show("simulated shops, JSON", [t for lines in shops for t in turns_ms(lines)])
    rng = np.random.default_rng(1)
    long = shops[0] + [
        json.dumps({"reading": "clamp_rise", "value": round(float(rng.normal(0.1, 0.006)), 4)})
        for _ in range(50)
    ]
    times = turns_ms(long)
    show("a case of fifty more readings", times)
    plot(
        "fifty readings of one thing, by ten turns",
        {i: float(np.median(times[i : i + 10])) for i in range(0, len(times) - 9, 10)},
    )
    day = [line for lines in shops[:12] for line in lines if not line.startswith('{"setup"')][:50]
    times = turns_ms([shops[0][0], *day])
    plot(
        "fifty turns of a dozen jobs in one case",
        {i: float(np.median(times[i : i + 10])) for i in range(0, len(times) - 9, 10)},
    )
    plot("inference by number of sources", {n: inference_ms(n, 10) for n in (16, 32, 64, 128)})
    plot("inference by number of readings, 40 sources", {n: inference_ms(40, n) for n in (10, 20, 40, 80)})


def inference_ms(sources: int, readings: int) -> float:
    """Return the least time of a few inferences on a random problem, ms."""
    problem = synthetic(sources, readings)
    best = np.inf
    for _ in range(4):
        start = time.process_time()
        infer([problem], sources)
        best = min(best, time.process_time() - start)
    return 1e3 * best


def plot(name: str, times: dict[int, float]) -> None:
    """Print times as bars, each with its ratio to the one before."""
    print(f"{name}:")
    before, scale = None, max(times.values()) / 50.0
    for at, took in times.items():
        ratio = f"x {took / before:.1f}" if before else ""
        print(f"   {at:4d} {took:8.1f} ms {ratio:6s} {'#' * max(1, round(took / scale))}")
        before = took


if __name__ == "__main__":
    main()
