"""Cases as one portable file, and back with every line checked before anything is made of it.

A bundle is lines sealed like those of a case: a title; for each case its own header under "case", with its
name and number of records, then the records; and an end that counts the lines and carries their SHA-256.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from askew.engine.record.journal import JournalError
from askew.engine.record.lines import (
    FORMAT,
    BadLine,
    Header,
    Record,
    header_line,
    read_record,
    record_line,
    seal,
    unseal,
)

MAX_BUNDLE = 200 * 1000 * 1000
"""Largest bundle read, in bytes."""
MAX_CASES = 10_000
"""Most cases in a bundle."""

_STRICT = ConfigDict(strict=True, extra="forbid", frozen=True)


class _Title(BaseModel):
    model_config = _STRICT

    askew: Literal["cases"]
    format: int = Field(ge=1)
    made: str = Field(max_length=40)
    cases: int = Field(ge=1, le=MAX_CASES)


class _CaseStart(BaseModel):
    model_config = _STRICT

    case: Header
    name: str = Field(max_length=100)
    records: int = Field(ge=0, lt=10**9)


class _End(BaseModel):
    model_config = _STRICT

    end: int = Field(ge=2)
    sha256: str = Field(pattern="^[0-9a-f]{64}$")


@dataclass(frozen=True, slots=True)
class PortableCase:
    """A case apart from any file: its name, header and records, and what was amiss where it came from."""

    name: str
    header: Header
    records: Sequence[Record]
    notices: tuple[str, ...] = ()

    def file_bytes(self) -> bytes:
        """Return the case file that holds exactly this."""
        return header_line(self.header) + b"".join(record_line(record) for record in self.records)


def pack(cases: Sequence[PortableCase], made: str) -> bytes:
    """Return the bundle of these cases; `made` is the time for its title."""
    title = _Title(askew="cases", format=FORMAT, made=made, cases=len(cases))
    lines = [seal(title.model_dump())]
    for case in cases:
        start = _CaseStart(case=case.header, name=case.name, records=len(case.records))
        lines.append(seal(start.model_dump()))
        lines += [record_line(record) for record in case.records]
    body = b"".join(lines)
    end = _End(end=len(lines), sha256=hashlib.sha256(body).hexdigest())
    return body + seal(end.model_dump())


def is_bundle(data: bytes) -> bool:
    """Say whether data begins as a bundle does."""
    return data.startswith(b'{"askew":"cases"')


def unpack(data: bytes) -> list[PortableCase]:
    """Return the cases of a bundle, or nothing at all.

    Raises:
        JournalError: It was cut short, changed or damaged, or is of a newer format; with one sentence.
    """
    if len(data) > MAX_BUNDLE:
        raise JournalError(f"The file is larger than {MAX_BUNDLE // 10**6} MB.")
    if not is_bundle(data):
        raise JournalError("The file does not hold exported cases.")
    lines = data.split(b"\n")
    if lines.pop() != b"" or len(lines) < 2:
        raise JournalError("The file was cut short; export the cases again.")
    try:
        title = unseal(lines[0])
        if type(title.get("format")) is int and title["format"] > FORMAT:
            raise JournalError(f"The file is in format {title['format']}, newer than this version knows.")
        count = _Title.model_validate(title).cases
        _check_end(data, lines)
        numbered = iter(enumerate(lines[1:-1], start=2))
        cases = [_one_case(numbered) for _ in range(count)]
        if (extra := next(numbered, None)) is not None:
            raise JournalError(f"Line {extra[0]} of the file belongs to no case.")
    except (BadLine, ValidationError):
        raise JournalError("The first line of the file is damaged; export the cases again.") from None
    return cases


def _check_end(data: bytes, lines: list[bytes]) -> None:
    try:
        end = _End.model_validate(unseal(lines[-1]))
    except (BadLine, ValidationError):
        raise JournalError("The file was cut short; export the cases again.") from None
    body = data[: len(data) - len(lines[-1]) - 1]
    if end.end != len(lines) - 1 or end.sha256 != hashlib.sha256(body).hexdigest():
        raise JournalError("The file was changed after it was exported; export the cases again.")


def _one_case(numbered: Iterator[tuple[int, bytes]]) -> PortableCase:
    number, line = next(numbered, (0, b""))
    try:
        start = _CaseStart.model_validate(unseal(line))
        records: list[Record] = []
        for _ in range(start.records):
            number, line = next(numbered, (number, b""))
            records.append(read_record(line))
    except (BadLine, ValidationError) as error:
        raise JournalError(f"Line {number} of the file is not part of a case ({_fault(error)})") from None
    if any(late.seq <= early.seq for early, late in pairwise(records)):
        raise JournalError(f"The entries before line {number} of the file are out of order.")
    return PortableCase(start.name, start.case, records)


def _fault(error: Any) -> str:
    return str(error) if isinstance(error, BadLine) else "it does not begin one."
