"""One line of a case file: how it is written, sealed and checked.

A line is a JSON object whose last key is `crc`, the CRC-32 of every byte before `,"crc"` in eight hexadecimal
digits. The first line of a file is its header, every other one a record. UTF-8, one LF at the end of each.
"""

from __future__ import annotations

import json
import re
import zlib
from dataclasses import dataclass
from typing import Any

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from askew.engine.safe import MAX_LINE, BadJson, safe, strict_json

FORMAT = 1
"""The format this version writes."""
MAX_RECORD_STRING = 4 * 1024
"""Longest string in a record, in characters: whatever can be typed as one line fits."""

_SEAL = b',"crc":"'
_SEAL_LENGTH = len(b',"crc":"01234567"}')


class BadLine(ValueError):
    """A line that cannot be taken for what was written; its text says why."""


@dataclass(frozen=True, slots=True)
class Record:
    """One thing that happened in a case.

    Attributes:
        seq: Its place in the case, from 1.
        id: Its own name, drawn at random.
        time: When it was written, ISO 8601 in UTC. For people only: the order is by `seq`.
        kind: What it is: "turn", "undo", "note", "summary", ...
        data: Its content, as JSON; every string in it is safe to show.
    """

    seq: int
    id: str
    time: str
    kind: str
    data: dict[str, Any]


class Header(BaseModel):
    """The first line of a case file."""

    model_config = ConfigDict(strict=True, extra="forbid", frozen=True)

    askew: str = Field(pattern="^case$")
    format: int = Field(ge=1)
    id: str = Field(pattern="^[0-9a-f]{16}$")
    knowledge: str = Field(max_length=40)
    made: str = Field(max_length=40)


class _Envelope(BaseModel):
    model_config = ConfigDict(strict=True, extra="forbid")

    seq: int = Field(ge=1, lt=10**9)
    id: str = Field(pattern="^[0-9a-f]{8}$")
    time: str = Field(max_length=40)
    kind: str = Field(pattern="^[a-z_]{1,32}$")
    data: dict[str, Any]


def seal(fields: dict[str, Any]) -> bytes:
    """Return the line for these fields, sealed and ended.

    Raises:
        BadLine: The fields are not JSON, or make a line longer than 64 KiB.
    """
    try:
        text = json.dumps(fields, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
        body = text.encode()[:-1]
    except (TypeError, ValueError, RecursionError) as error:
        raise BadLine(f"It cannot be written as JSON ({safe(str(error))[:80]}).") from None
    line = body + _SEAL + b'%08x"}\n' % zlib.crc32(body)
    if len(line) > MAX_LINE:
        raise BadLine(f"It is longer than {MAX_LINE:,} bytes.")
    return line


def unseal(line: bytes) -> dict[str, Any]:
    """Return the fields of a line (without its LF), with every string made safe.

    Raises:
        BadLine: The seal is missing or broken, or what it covers is not acceptable JSON.
    """
    if len(line) >= MAX_LINE:
        raise BadLine(f"It is longer than {MAX_LINE:,} bytes.")
    body = line[:-_SEAL_LENGTH]
    if line[len(body) :] != _SEAL + b'%08x"}' % zlib.crc32(body):
        raise BadLine("Its checksum does not fit.")
    try:
        fields = strict_json(body + b"}", max_string=MAX_RECORD_STRING)
    except BadJson as error:
        raise BadLine(str(error)) from None
    if not isinstance(fields, dict):
        raise BadLine("It is not a JSON object.")
    # Plain ASCII without escapes cannot spell anything that `safe` would change.
    plain = body.isascii() and b"\\" not in body and b"\x7f" not in body
    return fields if plain else made_safe(fields)


def made_safe(value: Any) -> Any:
    """Return a JSON value with every string and key made safe to show; line feeds stay."""
    if isinstance(value, str):
        return safe(value, lines=True)
    if isinstance(value, dict):
        return {safe(key): made_safe(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [made_safe(item) for item in value]
    return value


def record_line(record: Record) -> bytes:
    """Return the sealed line of a record. Raises BadLine."""
    return seal(
        {"seq": record.seq, "id": record.id, "time": record.time, "kind": record.kind, "data": record.data}
    )


def read_record(line: bytes) -> Record:
    """Return the record of a line. Raises BadLine."""
    fields = unseal(line)
    try:
        envelope = _Envelope.model_validate(fields)
    except ValidationError as error:
        raise BadLine(_first_fault(error)) from None
    return Record(envelope.seq, envelope.id, envelope.time, envelope.kind, envelope.data)


def header_line(header: Header) -> bytes:
    """Return the sealed line of a header."""
    return seal(header.model_dump())


def read_header(line: bytes) -> Header:
    """Return the header of a line. Raises BadLine."""
    try:
        return Header.model_validate(unseal(line))
    except ValidationError as error:
        raise BadLine(_first_fault(error)) from None


def newer_format(line: bytes) -> int | None:
    """Return the format a first line claims if it is one that this version does not know, else None.

    Nothing but the format is asked of such a line: a later version may have changed the rest.
    """
    try:
        fields = strict_json(line)
    except BadJson:
        return None
    if not isinstance(fields, dict) or fields.get("askew") != "case":
        return None
    number = fields.get("format")
    return number if type(number) is int and number > FORMAT else None


_SPLIT = re.compile(rb'(?=\{"seq":)')


def salvage(line: bytes) -> list[Record]:
    """Return the records that stand whole inside a damaged line.

    A line feed that turned into something else joins two records; a record written after a torn one has
    the torn one in front of it. Their seals still prove them.
    """
    found: list[Record] = []
    for piece in _SPLIT.split(line):
        end = piece.rfind(_SEAL) + _SEAL_LENGTH
        if end >= _SEAL_LENGTH:
            try:
                found.append(read_record(piece[:end]))
            except BadLine:
                continue
    return found


def _first_fault(error: ValidationError) -> str:
    fault = error.errors(include_url=False, include_input=False)[0]
    where = safe(".".join(str(part) for part in fault["loc"]))[:60]
    return f'"{where}": {fault["msg"][:1].lower()}{fault["msg"][1:]}.'
