"""The bytes of a case file read into records: a pure function, whatever the bytes are."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

from askew.engine.record.lines import (
    BadLine,
    Header,
    Record,
    newer_format,
    read_header,
    read_record,
    salvage,
)

_KEPT = "What stands whole in it was kept."
_OPENING = b'{"askew":"case","format":'


@dataclass(slots=True)
class Contents:
    """What was found in a case file.

    Attributes:
        header: Its header; None where there is none that can be trusted.
        newer: The format it claims, if this version does not know it.
        records: The records that stand whole, in order of their sequence, each once.
        findings: Sentences about everything that was not as it should be.
        next_seq: The sequence number for the next record.
        tail: Bytes after the last whole line that hold no record.
        unended: True where the last line holds a record and only its line feed is missing.
        size: Bytes read.
        is_case: False where nothing suggests that this is a case file at all.
    """

    header: Header | None = None
    newer: int | None = None
    records: list[Record] = field(default_factory=list)
    findings: list[str] = field(default_factory=list)
    next_seq: int = 1
    tail: bytes = b""
    unended: bool = False
    size: int = 0
    is_case: bool = True

    @property
    def end(self) -> int:
        """Where the last whole line ends."""
        return self.size - len(self.tail)


def read_contents(data: bytes) -> Contents:
    """Read a whole case file. Never raises, whatever the bytes."""
    with _no_collecting():
        return _read(data)


@contextmanager
def _no_collecting() -> Iterator[None]:
    # Nothing made here is garbage, and looking for some takes longer than reading a long case.
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def _read(data: bytes) -> Contents:
    contents = Contents(size=len(data))
    *lines, last = data.split(b"\n")
    found: list[Record] = []
    if lines:
        _read_first(lines[0], contents, found)
    bad: list[str] = []
    bad_at_end = 0
    for number, line in enumerate(lines[1:], start=2):
        try:
            found.append(read_record(line))
            bad_at_end = 0
        except BadLine as error:
            rescued = salvage(line)
            found += rescued
            bad_at_end = 0 if rescued else bad_at_end + 1
            bad.append(f"line {number}: {_KEPT if rescued else f'{error} It was skipped.'}")
    if last:
        rescued = salvage(last) if lines else []
        found += rescued
        contents.unended = bool(rescued) or (not lines and _is_header(last, contents))
        contents.tail = b"" if contents.unended else last
        if rescued and not last.endswith(b"}"):
            bad.append(f"the end: {_KEPT}")
    if bad:
        contents.findings.append(_about_bad_lines(bad))
    contents.records = _in_order(found, contents.findings)
    contents.next_seq = (contents.records[-1].seq if contents.records else 0) + 1 + bad_at_end
    start = data.rstrip(b"\0")[: len(_OPENING)]
    contents.is_case = bool(
        contents.header or contents.newer or contents.records or _OPENING.startswith(start)
    )
    return contents


def _read_first(line: bytes, contents: Contents, found: list[Record]) -> None:
    if _is_header(line, contents):
        return
    contents.newer = newer_format(line)
    if contents.newer is None:
        found += salvage(line)
        contents.findings.append("The first line, which names the format, is damaged.")


def _is_header(line: bytes, contents: Contents) -> bool:
    try:
        header = read_header(line)
    except BadLine:
        return False
    if newer_format(line):
        return False
    contents.header = header
    return True


def _about_bad_lines(bad: list[str]) -> str:
    if len(bad) == 1:
        return f"Damage in {bad[0]}"
    more = f" And {len(bad) - 3:,} more such lines." if len(bad) > 3 else ""
    return f"Damage in {len(bad):,} lines. " + " ".join(part[0].upper() + part[1:] for part in bad[:3]) + more


def _in_order(found: list[Record], findings: list[str]) -> list[Record]:
    """Sort by sequence, drop repeats, and tell of conflicts and gaps."""
    kept: list[Record] = []
    clashes: list[int] = []
    gaps: list[str] = []
    for record in sorted(found, key=lambda record: record.seq):
        expected = kept[-1].seq + 1 if kept else 1
        if record.seq < expected:
            if record != kept[-1]:
                clashes.append(record.seq)
            continue
        if record.seq > expected:
            last = record.seq - 1
            gaps.append(str(expected) if last == expected else f"{expected} to {last}")
        kept.append(record)
    if clashes:
        findings.append(f"Two records claim the same number ({_few(clashes)}); the first one counts.")
    if gaps:
        findings.append(f"Missing records: {_few(gaps)}.")
    return kept


def _few(items: list[int] | list[str]) -> str:
    return ", ".join(str(item) for item in items[:5]) + (", ..." if len(items) > 5 else "")
