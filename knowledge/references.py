"""Cross-references between the knowledge files: what is named must exist, what must be served is served."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from askew.knowledge.load import Knowledge

DERIVED = frozenset({"heel", "seat_gap", "bed_gap"})
"""Predicted by the forward model for the signs, never entered: see `engine.physics.readings`."""


def problems(known: Knowledge) -> Iterator[str]:
    """Yield a sentence for every cross-reference that leads nowhere."""
    yield from _source_problems(known)
    yield from _reading_problems(known)
    yield from _sign_problems(known)
    yield from _action_problems(known)
    yield from _setup_problems(known)
    yield from _check_problems(known)
    yield from _state_problems(known)
    yield from _remedy_problems(known)
    yield from _caution_problems(known)
    yield from _picture_problems(known)
    clashing = set(known.readings) & set(known.signs)
    yield from (f"signs.toml: [{id_}]: a reading has the same id" for id_ in sorted(clashing))


def _unknown(where: str, ids: Iterable[str], known: Iterable[str], what: str) -> Iterator[str]:
    existing = set(known)
    yield from (f"{where}: no {what} {id_!r}" for id_ in ids if id_ not in existing)


def _needs_problems(
    where: str, needs: Mapping[str, Sequence[str | bool | float]], known: Knowledge
) -> Iterator[str]:
    yield from _unknown(where, needs, known.setup, "setup key")
    for key, values in needs.items():
        if key in known.setup and known.setup[key].kind == "choice":
            yield from _unknown(f"{where}.{key}", map(str, values), known.setup[key].choices, "choice")


def _source_problems(known: Knowledge) -> Iterator[str]:
    for id_, source in known.sources.items():
        where = f"sources.toml: [{id_}]"
        yield from _needs_problems(f"{where} needs", source.needs, known)
        for other in source.likelier:
            yield from _needs_problems(f"{where} likelier", {other.key: other.values}, known)
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
        yield from _needs_problems(f"{where} needs", sign.needs, known)
        yield from _unknown(f"{where} found_by", sign.found_by, known.actions, "action")
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


def _setup_problems(known: Knowledge) -> Iterator[str]:
    for id_, key in known.setup.items():
        where = f"setup.toml: [{id_}]"
        yield from _unknown(f"{where} labels", key.labels, key.choices, "choice")
        yield from _unknown(f"{where} choices", key.choices, key.labels, "label for")
        if (key.kind == "choice") != bool(key.choices):
            yield f"{where} choices: give them for a choice, and for nothing else"
        if isinstance(key.typical, str):
            yield from _unknown(f"{where} typical", [key.typical], key.choices, "choice")


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
        yield from _needs_problems(f"{where} needs", check.needs, known)
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
        if other is None:
            continue
        if (other.opposite, other.enter, other.leave) != (id_, state.leave, state.enter):
            yield f"{where} opposite: [{state.opposite}] must name it back, with enter and leave exchanged"


def _caution_problems(known: Knowledge) -> Iterator[str]:
    callers = [*known.checks, *known.remedies, *known.states, "always"]
    listed = {id_ for check in known.checks.values() for id_ in check.cautions}
    listed |= {id_ for remedy in known.remedies.values() for id_ in remedy.cautions}
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
        yield from _unknown(f"{where} before", remedy.before, known.steps, "step")
        yield from _unknown(f"{where} after", remedy.after, known.steps, "step")
        proofs = [*known.readings, *known.signs]
        yield from _unknown(f"{where} verify", remedy.verify, proofs, "reading or sign")
    served = {source for remedy in known.remedies.values() for source in remedy.serves}
    yield from (f"remedies.toml: no remedy serves {id_!r}" for id_ in known.sources if id_ not in served)


def _picture_problems(known: Knowledge) -> Iterator[str]:
    kinds = ("sources", "readings", "signs", "setup", "checks", "glossary")
    shown = [
        (f"{kind}.toml: [{id_}] picture", table.picture)
        for kind in kinds
        for id_, table in getattr(known, kind).items()
        if table.picture is not None
    ]
    for where, picture in shown:
        yield from _unknown(where, [picture], known.pictures, "picture")
    used = {picture for _, picture in shown}
    yield from (f"pictures/{name}.txt: nothing shows it" for name in known.pictures if name not in used)
