"""How long until the program helps: `--help`, the first prompt, and the memory of a whole consultation.

Run it: python tests/benchmarks/bench_startup.py
Beside each figure stands its limit; first comes the machine's own time for a numpy matrix product.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
import pexpect
import psutil

RUNS = 9
DEMO = "import askew.cli.main, resource; askew.cli.main.main(['--demo']); "
PEAK = "import sys; print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss, file=sys.stderr)"


def matrix_seconds(size: int = 500) -> float:
    """Return the median time of a product of two square matrices."""
    rng = np.random.default_rng(0)
    left, right = rng.normal(size=(2, size, size))
    times = []
    for _ in range(RUNS):
        start = time.perf_counter()
        left @ right
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def run_seconds(*command: str) -> float:
    """Return the median time of a command."""
    times = []
    for _ in range(RUNS):
        start = time.perf_counter()
        subprocess.run(command, stdout=subprocess.DEVNULL, check=True)
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def prompt_seconds(askew: str, home: Path) -> tuple[float, float]:
    """Return the median time to the first prompt, and to the first answer to a line typed at once."""
    first, answered = [], []
    environment = os.environ | {"ASKEW_HOME": str(home), "ASKEW_CONFIG": str(home / "none"), "TERM": "xterm"}
    for _ in range(RUNS):
        start = time.perf_counter()
        chat = pexpect.spawn(askew, ["talk", "--new"], env=environment, dimensions=(60, 80), timeout=30)
        chat.expect_exact("\x1b[6n")  # it asks where the cursor is
        chat.send("\x1b[10;1R")
        chat.expect_exact(">\x1b")
        first.append(time.perf_counter() - start)
        chat.send("closed corner, 9 thou over 2.5 in\r")
        chat.expect_exact("Where it stands")
        answered.append(time.perf_counter() - start)
        chat.close(force=True)
    return statistics.median(first), statistics.median(answered)


def main() -> None:
    """Print the figures."""
    askew = str(Path(sys.executable).with_name("askew"))
    cores, load = psutil.cpu_count(), os.getloadavg()[0]
    product = matrix_seconds() * 1e3
    print(f"numpy 500 x 500 matrix product      {product:8.2f} ms   ({cores} cores, load {load:.1f})")
    print(f"python -c pass                      {run_seconds(sys.executable, '-c', 'pass') * 1e3:8.1f} ms")
    print(f"askew --help                        {run_seconds(askew, '--help') * 1e3:8.1f} ms   limit 150")
    with tempfile.TemporaryDirectory() as folder:
        first, answered = prompt_seconds(askew, Path(folder))
    print(f"askew, first prompt                 {first * 1e3:8.1f} ms   limit 400")
    print(f"askew, answer to a line sent at once{answered * 1e3:8.1f} ms")
    done = subprocess.run([sys.executable, "-c", DEMO + PEAK], capture_output=True, text=True, check=True)
    peak = int(done.stderr.split()[-1]) / 1024
    print(f"a whole consultation, peak memory   {peak:8.1f} MB   limit 150")


if __name__ == "__main__":
    main()
