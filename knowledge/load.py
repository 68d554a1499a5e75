"""Read the TOML files once, validate them, and check every cross-reference between them."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from typing import TypeVar

from pydantic import ValidationError

from askew.knowledge.schema import (
    ActionKind,
    Caution,
    Check,
    CommandKind,
    Instrument,
    Machine,
    ReadingKind,
    Remedy,
    SetupKey,
    SignKind,
    Source,
    State,
    Table,
)

VERSION = "1"
"""Version of the knowledge, kept in the header of every case."""

DERIVED = frozenset({"heel", "seat_gap", "bed_gap"})
"""Predicted by the forward model for the signs, but never entered as a number: see `engine.physics.readings`."""

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
    cautions: Mapping[str, Caution]
    instruments: Mapping[str, Instrument]
    machines: Mapping[str, Machine]
    states: Mapping[str, State]


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
        raise KnowledgeError(f"{name}: {error}") from None
    tables: dict[str, T] = {}
    for id_, table in data.items():
        try:
            tables[id_] = model.model_validate(table)
        except ValidationError as error:
            first = error.errors()[0]
            key = ".".join(str(part) for part in first["loc"])
            raise KnowledgeError(f"{name}: [{id_}] {key}: {first['msg']}") from None
    return tables


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
        cautions=tables("cautions", Caution),
        instruments=tables("instruments", Instrument),
        machines=tables("machines", Machine),
        states=tables("states", State),
    )
    for problem in problems(knowledge):
        raise KnowledgeError(problem)
    return knowledge


def problems(known: Knowledge) -> Iterator[str]:
    """Yield a sentence for every cross-reference that leads nowhere."""
    yield from _source_problems(known)
    yield from _reading_problems(known)
    yield from _sign_problems(known)
    yield from _action_problems(known)
    yield from _check_problems(known)
    yield from _state_problems(known)
    yield from _remedy_problems(known)
    yield from _caution_problems(known)
    clashing = set(known.readings) & set(known.signs)
    yield from (f"signs.toml: [{id_}]: a reading has the same id" for id_ in sorted(clashing))


def _unknown(where: str, ids: Iterable[str], known: Iterable[str], what: str) -> Iterator[str]:
    existing = set(known)
    yield from (f"{where}: no {what} {id_!r}" for id_ in ids if id_ not in existing)


def _needs_problems(where: str, needs: Mapping[str, list[str | bool]], known: Knowledge) -> Iterator[str]:
    yield from _unknown(f"{where} needs", needs, known.setup, "setup key")
    for key, values in needs.items():
        if key in known.setup and known.setup[key].kind == "choice":
            yield from _unknown(f"{where} needs.{key}", map(str, values), known.setup[key].choices, "choice")


def _source_problems(known: Knowledge) -> Iterator[str]:
    for id_, source in known.sources.items():
        where = f"sources.toml: [{id_}]"
        yield from _needs_problems(where, source.needs, known)
        yield from _unknown(f"{where} size", source.size, [*known.machines, "any"], "kind of machine")
        if "any" not in source.size and set(known.machines) - set(source.size):
            yield f"{where} size: give a size for every kind of machine, or one for 'any'"
        for kind, size in source.size.items():
            if size.trouble <= size.healthy:
                yield f"{where} size.{kind}.trouble: must be larger than healthy"


def _reading_problems(known: Knowledge) -> Iterator[str]:
    for id_, reading in known.readings.items():
        where = f"readings.toml: [{id_}]"
        yield from _unknown(f"{where} implies", reading.implies, known.actions, "action")
        yield from _unknown(f"{where} instrument", reading.instrument, known.instruments, "instrument")
        if reading.over is not None:
            yield from _unknown(f"{where} over", [reading.over], known.setup, "setup key")


def _sign_problems(known: Knowledge) -> Iterator[str]:
    for id_, sign in known.signs.items():
        where = f"signs.toml: [{id_}]"
        yield from _needs_problems(where, sign.needs, known)
        yield from _unknown(f"{where} evidence", sign.evidence, ["yes", "no", *sign.places], "answer")
        for answer, parts in sign.evidence.items():
            for part in parts:
                here = f"{where} evidence.{answer}"
                if sum((part.reading is not None, part.source is not None, bool(part.troubled))) != 1:
                    yield f"{here}: give exactly one of reading, source, troubled"
                if part.reading is not None:
                    yield from _unknown(here, [part.reading], [*known.readings, *DERIVED], "reading")
                sources = [*part.troubled, *([part.source] if part.source else [])]
                yield from _unknown(here, sources, known.sources, "source")


def _action_problems(known: Knowledge) -> Iterator[str]:
    for id_, action in known.actions.items():
        where = f"actions.toml: [{id_}]"
        yield from _unknown(f"{where} redraws", action.redraws, known.sources, "source")
        yield from _unknown(f"{where} sets", action.sets, known.setup, "setup key")
        for pair in action.swaps:
            yield from _unknown(f"{where} swaps", pair, known.setup, "setup key")


def _check_problems(known: Knowledge) -> Iterator[str]:
    gives = [*known.readings, *known.signs]
    for id_, check in known.checks.items():
        where = f"checks.toml: [{id_}]"
        yield from _unknown(f"{where} gives", check.gives + check.also, gives, "reading or sign")
        yield from _unknown(f"{where} minutes_on", check.minutes_on, known.machines, "kind of machine")
        for choice in check.instruments:
            yield from _unknown(f"{where} instruments", choice, known.instruments, "instrument")
        yield from _unknown(f"{where} states", check.states, known.states, "state")
        yield from _unknown(f"{where} first", check.first + check.disturbs, known.actions, "action")
        yield from _unknown(f"{where} cautions", check.cautions, known.cautions, "caution")
        yield from _needs_problems(where, check.needs, known)
        yield from _unknown(f"{where} known", [*check.known, *check.more_than], known.setup, "setup key")
        yield from _unknown(f"{where} after", check.after, gives, "reading or sign")
        if check.instead is not None:
            yield from _unknown(f"{where} instead", [check.instead], known.checks, "check")
    given = {id_ for check in known.checks.values() for id_ in (*check.gives, *check.also)}
    yield from (f"checks.toml: no check gives {id_!r}" for id_ in gives if id_ not in given)


def _state_problems(known: Knowledge) -> Iterator[str]:
    for id_, state in known.states.items():
        where = f"states.toml: [{id_}]"
        yield from _unknown(f"{where} does", state.does, known.actions, "action")
        if state.opposite is None:
            continue
        yield from _unknown(f"{where} opposite", [state.opposite], known.states, "state")
        other = known.states.get(state.opposite)
        if other is not None and (other.opposite, other.enter, other.leave) != (id_, state.leave, state.enter):
            yield f"{where} opposite: [{state.opposite}] must name it back, with enter and leave exchanged"


def _caution_problems(known: Knowledge) -> Iterator[str]:
    callers = [*known.checks, *known.remedies, *known.states, "always"]
    listed = {id_ for calling in (*known.checks.values(), *known.remedies.values()) for id_ in calling.cautions}
    for id_, caution in known.cautions.items():
        where = f"cautions.toml: [{id_}]"
        yield from _unknown(f"{where} when", caution.when, callers, "check, remedy or state")
        if not caution.when and id_ not in listed:
            yield f"{where}: nothing calls for it"


def _remedy_problems(known: Knowledge) -> Iterator[str]:
    for id_, remedy in known.remedies.items():
        where = f"remedies.toml: [{id_}]"
        yield from _unknown(f"{where} serves", remedy.serves, known.sources, "source")
        yield from _unknown(f"{where} does", remedy.does, known.actions, "action")
        yield from _unknown(f"{where} cautions", remedy.cautions, known.cautions, "caution")
        yield from _unknown(f"{where} verify", remedy.verify, [*known.readings, *known.signs], "reading or sign")
    served = {source for remedy in known.remedies.values() for source in remedy.serves}
    yield from (f"remedies.toml: no remedy serves {id_!r}" for id_ in known.sources if id_ not in served)
