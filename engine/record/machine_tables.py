"""A machine's record as CSV and as JSON, out and back in, strictly.

CSV is one table, one row an entry, with the columns of `COLUMNS`; numbers have a decimal point and the full
precision of a double. JSON is one object that also carries the machine's name and kind.
"""

from __future__ import annotations

import csv
import io
import json
import re
from typing import Any

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from askew.engine.record.machine import MAX_ENTRIES, Entry, MachineError, checked, entry_from, first_fault
from askew.engine.safe import BadJson, safe, strict_json
from askew.knowledge.schema import MachineKind

COLUMNS = {
    "date": "date", "kind": "kind", "id": "id", "value_mm": "value", "over_mm": "over", "sd_mm": "sd",
    "case": "case", "note": "note",
}  # fmt: skip
"""Column of the table -> field of the entry."""
MAX_BYTES = 20 * 1000 * 1000
_NUMBERS = ("value", "over", "sd")
_NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d{1,3})?")
# A spreadsheet takes a cell that begins so for a formula.
_FORMULA = ("=", "+", "-", "@", "'")


class MachineDocument(BaseModel):
    """The JSON form of a machine's record."""

    model_config = ConfigDict(strict=True, extra="forbid", frozen=True)

    askew: str = Field(default="machine", pattern="^machine$")
    format: int = Field(default=1, ge=1, le=1)
    name: str = Field(pattern=r"^[a-z0-9][a-z0-9_-]{0,39}$")
    machine: MachineKind
    entries: list[Entry] = Field(max_length=MAX_ENTRIES)


def to_json(name: str, machine: MachineKind, entries: tuple[Entry, ...]) -> str:
    """Return the record as indented JSON."""
    document = MachineDocument(name=name, machine=machine, entries=list(entries))
    data = document.model_dump()
    data["entries"] = [entry.model_dump(exclude_defaults=True, exclude_none=True) for entry in entries]
    return json.dumps(data, indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def from_json(text: str) -> MachineDocument:
    """Read what `to_json` writes.

    Raises:
        MachineError: With one sentence saying what was wrong and where.
    """
    try:
        data = strict_json(text, max_bytes=MAX_BYTES)
        document = MachineDocument.model_validate(data)
    except BadJson as error:
        raise MachineError(str(error).replace("The line", "The file", 1)) from None
    except ValidationError as error:
        raise MachineError(f"The file is not a machine's record: {first_fault(error)}") from None
    for number, entry in enumerate(document.entries, 1):
        try:
            checked(entry)
        except MachineError as error:
            raise MachineError(f"Entry {number}: {error}") from None
    return document


def to_csv(entries: tuple[Entry, ...]) -> str:
    """Return the entries as a CSV table (RFC 4180, LF lines)."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for entry in entries:
        writer.writerow([_cell(getattr(entry, field)) for field in COLUMNS.values()])
    return out.getvalue()


def from_csv(text: str) -> list[Entry]:
    """Read what `to_csv` writes; columns may stand in any order, optional ones may be left out.

    Raises:
        MachineError: With one sentence saying what was wrong and in which line.
    """
    if len(text.encode(errors="replace")) > MAX_BYTES:
        raise MachineError(f"The table is larger than {MAX_BYTES // 10**6} MB.")
    reader = csv.reader(io.StringIO(text.removeprefix("\ufeff"), newline=""), strict=True)
    try:
        header = next(reader, [])
        _check_header(header)
        entries: list[Entry] = []
        for row in reader:
            if not any(cell.strip() for cell in row):
                continue
            if len(row) != len(header):
                raise MachineError(f"it has {len(row)} cells, the heading {len(header)}.")
            if len(entries) >= MAX_ENTRIES:
                raise MachineError(f"a machine's record holds at most {MAX_ENTRIES:,} entries.")
            entries.append(entry_from(_fields(header, row)))
    except csv.Error as error:
        raise MachineError(f"Line {reader.line_num}: {error}.") from None
    except MachineError as error:
        raise MachineError(f"Line {reader.line_num}: {error}") from None
    return entries


def _check_header(header: list[str]) -> None:
    if "\t" in "".join(header) or ";" in "".join(header):
        raise MachineError("the cells must be separated by commas.")
    unknown = [name for name in header if name not in COLUMNS]
    missing = [name for name in ("date", "kind", "id") if name not in header]
    if unknown or missing or len(set(header)) != len(header):
        wrong = f"there is no column {safe(unknown[0])[:30]!r}" if unknown else "a column is missing or twice"
        raise MachineError(f"{wrong}; the columns are {', '.join(COLUMNS)}.")


def _fields(header: list[str], row: list[str]) -> dict[str, Any]:
    fields: dict[str, Any] = {}
    for column, cell in zip(header, row, strict=True):
        field = COLUMNS[column]
        if field in _NUMBERS:
            if cell.strip():
                fields[field] = _number(column, cell.strip())
        elif cell:
            fields[field] = cell[1:] if cell.startswith("'") and cell[1:].startswith(_FORMULA) else cell
    return fields


def _number(column: str, cell: str) -> float:
    if not _NUMBER.fullmatch(cell):
        raise MachineError(f"{column}: {safe(cell)[:20]!r} is not a number in mm with a decimal point.")
    return float(cell)


def _cell(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, float):
        return repr(value)
    text = str(value)
    return f"'{text}" if text.startswith(_FORMULA) else text
