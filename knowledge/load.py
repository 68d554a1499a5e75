"""Read the TOML files once, validate them, and check every cross-reference between them."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from typing import TypeVar

from pydantic import ValidationError

from askew.knowledge.references import problems
from askew.knowledge.schema import (
    ActionKind,
    Caution,
    Check,
    CommandKind,
    Instrument,
    Machine,
    Picture,
    ReadingKind,
    Remedy,
    SetupKey,
    SignKind,
    Source,
    State,
    Step,
    Table,
    Word,
)

VERSION = "1"
"""Version of the knowledge, kept in the header of every case."""

WIDEST = 58
"""Columns that a drawing may take."""

ID = re.compile(r"[a-z][a-z0-9_]*")

T = TypeVar("T", bound=Table)


class KnowledgeError(ValueError):
    """Something is wrong in a knowledge file; the message names file, table and key."""


@dataclass(frozen=True)
class Knowledge:
    """Everything the trade knows, by id. Immutable; `load` makes the one that ships."""

    sources: Mapping[str, Source]
    readings: Mapping[str, ReadingKind]
    signs: Mapping[str, SignKind]
    actions: Mapping[str, ActionKind]
    commands: Mapping[str, CommandKind]
    setup: Mapping[str, SetupKey]
    checks: Mapping[str, Check]
    remedies: Mapping[str, Remedy]
    steps: Mapping[str, Step]
    cautions: Mapping[str, Caution]
    instruments: Mapping[str, Instrument]
    machines: Mapping[str, Machine]
    states: Mapping[str, State]
    glossary: Mapping[str, Word]
    pictures: Mapping[str, Picture]

    def steps_of(self, remedy: Remedy, own: Sequence[str] = ()) -> tuple[str, ...]:
        """Return what to do for a remedy, shared steps included.

        Args:
            remedy: The remedy.
            own: Steps that its arithmetic worked out, in the place of those that it has itself.
        """
        before, after = ([self.steps[id_].text for id_ in ids] for ids in (remedy.before, remedy.after))
        return (*before, *(own or remedy.how), *after)


def read_tables(name: str, model: type[T], text: str) -> dict[str, T]:
    """Validate one TOML file of tables.

    Args:
        name: The file's name, for messages.
        model: The pydantic model of every table.
        text: The file's content.

    Raises:
        KnowledgeError: Where the file does not parse or a table does not fit; says file, table and key.
    """
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise KnowledgeError(f"{name}: {_place(text, str(error))}{error}") from None
    tables: dict[str, T] = {}
    for id_, table in data.items():
        if not ID.fullmatch(id_):
            raise KnowledgeError(f"{name}: [{id_}]: an id is small letters, digits and underscores")
        try:
            tables[id_] = model.model_validate(table)
        except ValidationError as error:
            first = error.errors()[0]
            key = ".".join(str(part) for part in first["loc"])
            raise KnowledgeError(f"{name}: [{id_}] {key}: {first['msg']}") from None
    return tables


def _place(text: str, message: str) -> str:
    """Return the table and key of the line that a message of the TOML reader points at, as a prefix."""
    found = re.search(r"at line (\d+)", message)
    if found is None:
        return ""
    lines = text.splitlines()[: int(found[1])]
    table = next((line.strip() for line in reversed(lines) if line.startswith("[")), "")
    key = lines[-1].partition("=")[0].strip() if lines and "=" in lines[-1] else ""
    return "".join(f"{part} " for part in (table, f"{key}:" if key else "") if part)


def read_pictures(folder: Traversable) -> Iterator[tuple[str, Picture]]:
    """Yield the name and the picture of every text file of a folder.

    A file holds the drawing, a line of two hyphens, and the sentences that say the same without it.

    Raises:
        KnowledgeError: Where folder or sentences are missing, or a drawing is too wide or not plain ASCII.
    """
    if not folder.is_dir():
        raise KnowledgeError("pictures: the folder is missing")
    for file in sorted(folder.iterdir(), key=lambda file: file.name):
        if not file.name.endswith(".txt"):
            continue
        drawing, _, says = file.read_text(encoding="utf-8").partition("\n--\n")
        yield file.name.removesuffix(".txt"), picture_of(f"pictures/{file.name}", drawing, says.strip())


def picture_of(name: str, drawing: str, says: str) -> Picture:
    """Return a drawing with its sentences, checked; `name` is for messages.

    Raises:
        KnowledgeError: As `read_pictures`.
    """
    for number, line in enumerate(drawing.split("\n"), 1):
        if not (line.isascii() and (line.isprintable() or not line)):
            raise KnowledgeError(f"{name}: line {number}: a drawing is printable ASCII")
        if len(line) > WIDEST:
            raise KnowledgeError(f"{name}: line {number}: {len(line)} columns, at most {WIDEST}")
    if not says:
        raise KnowledgeError(f"{name}: give its sentences after a line of two hyphens")
    try:
        return Picture(drawing=drawing, says=says)
    except ValidationError as error:
        raise KnowledgeError(f"{name}: {error.errors()[0]['msg']}") from None


@cache
def load() -> Knowledge:
    """Return the knowledge that ships with askew, read and checked once.

    Raises:
        KnowledgeError: Where a file is wrong.
    """
    return load_from(files("askew.knowledge"))


def load_from(folder: Traversable) -> Knowledge:
    """Read the knowledge of a folder of TOML files and check its cross-references.

    Raises:
        KnowledgeError: Where a file is missing or wrong, or an id does not exist.
    """

    def tables(name: str, model: type[T]) -> dict[str, T]:
        file = folder / f"{name}.toml"
        if not file.is_file():
            raise KnowledgeError(f"{name}.toml: the file is missing")
        return read_tables(f"{name}.toml", model, file.read_text(encoding="utf-8"))

    knowledge = Knowledge(
        sources=tables("sources", Source),
        readings=tables("readings", ReadingKind),
        signs=tables("signs", SignKind),
        actions=tables("actions", ActionKind),
        commands=tables("commands", CommandKind),
        setup=tables("setup", SetupKey),
        checks=tables("checks", Check),
        remedies=tables("remedies", Remedy),
        steps=tables("steps", Step),
        cautions=tables("cautions", Caution),
        instruments=tables("instruments", Instrument),
        machines=tables("machines", Machine),
        states=tables("states", State),
        glossary=tables("glossary", Word),
        pictures=dict(read_pictures(folder / "pictures")),
    )
    for problem in problems(knowledge):
        raise KnowledgeError(problem)
    return knowledge
