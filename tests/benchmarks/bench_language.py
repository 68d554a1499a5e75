"""How well and how fast shop talk is read. Run: python tests/benchmarks/bench_language.py

Prints precision, recall and invented facts on both halves of the labelled utterances, what idle talk
yields, and processor time a message, beside the machine's own numpy matrix product.
"""

from __future__ import annotations

import importlib.util
import sys
import time
from pathlib import Path
from types import ModuleType

import numpy as np

from askew.engine.language import read
from askew.engine.language.words.tokens import LONGEST

LONG = [
    "corner is open 5 thou ",
    "and ",
    "5 ",
    "5x",
    "1 1/2 ",
    "left 5 right 3 ",
    ", ",
    "not ",
    "sqaure ",
    "9**",
]


def labelled_set() -> ModuleType:
    """Load the labelled utterances, which live beside the tests that hold them."""
    path = Path(__file__).parents[1] / "engine" / "language" / "labelled.py"
    spec = importlib.util.spec_from_file_location("labelled", path)
    if spec is None or spec.loader is None:
        raise SystemExit(f"{path} cannot be loaded")
    module = importlib.util.module_from_spec(spec)
    sys.modules["labelled"] = module
    spec.loader.exec_module(module)
    return module


def timed(text: str, context: object = None) -> float:
    """Return the processor time of one message in ms."""
    start = time.process_time()
    read(text, context)  # type: ignore[arg-type]
    return (time.process_time() - start) * 1e3


def main() -> None:
    """Print the figures."""
    start = time.process_time()
    read("hello")
    print(f"lexicon loaded and first message read  {(time.process_time() - start) * 1e3:8.1f} ms")
    labelled = labelled_set()
    for half in ("tuning", "final", *(f"blind_{letter}" for letter in "abcdefg")):
        rows = labelled.load(half)
        score = labelled.score(rows)
        print(
            f"{half:8} {len(rows):4} utterances {score.said:5} facts  precision {score.precision:.3f}  "
            f"recall {score.recall:.3f}  invented {score.invented / max(1, score.heard):.4f}  "
            f"questions missed {score.questions_missed}"
        )
    idle = labelled.chatter()
    print(f"idle    {len(idle):4} lines: {sum(len(read(line).facts) for line in idle)} facts")
    rows = [*labelled.load("tuning"), *labelled.load("final")]
    times = sorted(timed(row.text, row.context) for row in rows)
    print(f"a message, median {times[len(times) // 2]:.2f} ms, 95% {times[int(len(times) * 0.95)]:.2f} ms")
    talk = " ".join(row.text for row in rows)
    pieces = [talk[at : at + LONGEST] for at in range(0, len(talk) - LONGEST, LONGEST)]
    worst = max(
        min(timed(text) for _ in range(3)) for text in [*pieces, *((piece * LONGEST)[:LONGEST] for piece in LONG)]
    )
    print(f"the longest message ({LONGEST} characters), worst of {len(pieces) + len(LONG)}: {worst:.1f} ms")
    square = np.random.default_rng(0).random((500, 500))
    start = time.process_time()
    for _ in range(10):
        square @ square
    print(f"numpy 500 x 500 matrix product         {(time.process_time() - start) * 100:8.1f} ms")


if __name__ == "__main__":
    main()
