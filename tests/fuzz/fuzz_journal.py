"""Coverage-guided fuzzing of everything that reads a case file or a bundle.

    python tests/fuzz/fuzz_journal.py -max_total_time=600

Half of the inputs are resealed first, so that the fuzzer gets past the checksums.
"""

import sys
import tempfile
import zlib
from pathlib import Path

import atheris

with atheris.instrument_imports(include=["askew"]):
    from askew.engine.record.bundle import unpack
    from askew.engine.record.journal import JournalError
    from askew.engine.record.lines import Header, Record, header_line, record_line
    from askew.engine.record.migrate import bring_forward
    from askew.engine.record.reading import read_contents
    from askew.engine.record.turns import standing, summarise
    from askew.engine.safe import is_safe

KNOWN = {"reading": {"sweep_x"}, "sign": set(), "setup": {"machine"}, "action": set()}


def resealed(data: bytes) -> bytes:
    """Give every line that looks sealed the checksum that fits it."""
    lines = []
    for line in data.split(b"\n"):
        at = line.rfind(b',"crc":"')
        lines.append(line if at < 0 else line[:at] + b',"crc":"%08x"}' % zlib.crc32(line[:at]))
    return b"\n".join(lines)


def check_strings(value: object) -> None:
    """Fail if anything loaded could act on a terminal."""
    if isinstance(value, str):
        assert is_safe(value, lines=True), repr(value)
    elif isinstance(value, dict):
        for key, item in value.items():
            check_strings(key)
            check_strings(item)
    elif isinstance(value, list):
        for item in value:
            check_strings(item)


def one_input(data: bytes) -> None:
    """Read the input every way there is."""
    if data[:1] == b"\x01":
        data = resealed(data[1:])
    contents = read_contents(data)
    assert [record.seq for record in contents.records] == sorted({record.seq for record in contents.records})
    for record in contents.records:
        check_strings(record.data)
        again = read_contents(b"\n" + record_line(record)).records
        assert again == [record], (again, record)
    assert all(is_safe(finding) for finding in contents.findings)
    records, told = bring_forward(contents.records, KNOWN, {"reading": {"old": "sweep_x"}})
    assert all(is_safe(sentence) for sentence in told)
    standing(records)
    summarise(records)
    try:
        unpack(data)
    except JournalError as error:
        assert is_safe(str(error))


def seeds() -> list[bytes]:
    """Return inputs to start from."""
    header = header_line(Header(askew="case", format=1, id="0" * 16, knowledge="1", made="t"))
    fact = {"kind": "reading", "id": "old", "value": -0.1, "words": "\x9b\u202e"}
    record = record_line(Record(1, "0" * 8, "t", "turn", {"text": "a", "facts": [fact]}))
    undo = record_line(Record(2, "1" * 8, "t", "undo", {"turns": 1}))
    return [
        header + record + undo,
        b"\x01" + header + record,
        header[:40],
        header + record[:50] + b"\0\0" + undo,
    ]


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as corpus:
        for number, seed in enumerate(seeds()):
            one_input(seed)
            Path(corpus, str(number)).write_bytes(seed)
        atheris.Setup([*sys.argv, corpus], one_input)
        atheris.Fuzz()
