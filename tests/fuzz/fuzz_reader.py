"""Coverage-guided fuzzing of the reader of plain language and of the JSON seam.

    python tests/fuzz/fuzz_reader.py -max_total_time=600

Whatever is said, the reader answers with facts or with the words it made nothing of, within its time.
"""

import json
import math
import sys
import tempfile
import time
from pathlib import Path

import atheris

with atheris.instrument_imports(include=["askew.engine.language", "askew.engine.said", "askew.engine.safe"]):
    from askew.engine.language.protocol import read_line
    from askew.engine.language.words.tokens import LONGEST
    from askew.engine.safe import BadJson, is_safe, safe, strict_json
    from askew.engine.said import LineError, parse
    from askew.engine.setup import SetupError

SLOWEST = 0.0
SEEDS = (
    "it's a knee mill and the face is 5 thou out of square, low at the back",
    "sweep is 5.5 thou low on the left over 24 in",
    "0,02 mm über 300, about half a tenth",
    '{"text": "3 thou", "context": "sweep_x"}',
    '{"setup": {"machine": "knee_mill", "cutter_diameter": 80}}',
    '{"reading": "sweep_x", "value": 0.1, "over": 300, "about": true}',
    '{"sign": "step_felt", "answer": "back"}',
)


def one_input(data: bytes) -> None:
    """Say the input as words and as JSON."""
    global SLOWEST  # noqa: PLW0603 - one figure for the end
    text = data.decode(errors="replace")[:LONGEST]
    start = time.process_time()
    answer = read_line(text)
    took = time.process_time() - start
    if took > SLOWEST:
        SLOWEST = took
        print(f"slowest so far: {took:.3f} s for {len(text)} characters", file=sys.stderr)
    assert took < 3, took
    json.dumps(answer, allow_nan=False)
    for fact in answer["heard"]:
        number = fact.get("value")
        assert not isinstance(number, float) or math.isfinite(number)
    try:
        parse(strict_json(text))
    except (BadJson, LineError, SetupError) as error:
        assert is_safe(safe(str(error)))


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as corpus:
        for number, seed in enumerate(SEEDS):
            one_input(seed.encode())
            Path(corpus, str(number)).write_text(seed, encoding="utf-8")
        atheris.Setup([*sys.argv, corpus], one_input)
        atheris.Fuzz()
