"""Coverage-guided fuzzing of the strict JSON reader against the standard library's.

    python tests/fuzz/fuzz_json.py -max_total_time=600

Whatever the strict reader accepts, the standard library must read to the same value.
"""

import json
import sys

import atheris

with atheris.instrument_imports(include=["askew"]):
    from askew.engine.safe import BadJson, is_safe, safe, strict_json


def one_input(data: bytes) -> None:
    """Read the input strictly, and compare."""
    try:
        value = strict_json(data, max_string=50)
    except BadJson as error:
        message = str(error)
        assert is_safe(message)
        assert message.endswith(".")
        return
    assert value == json.loads(data)
    once = safe(data.decode(), lines=True)
    assert safe(once, lines=True) == once


if __name__ == "__main__":
    atheris.Setup(sys.argv, one_input)
    atheris.Fuzz()
