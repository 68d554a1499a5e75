"""Observations as JSON, for the record on disk: strict both ways, so that what is read is what was written."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

from pydantic import ConfigDict, TypeAdapter, ValidationError

from askew.engine.observations import Action, Command, Observation, Reading, SetupFact, Sign
from askew.engine.setup import KEYS
from askew.knowledge.load import load

KINDS: dict[str, type] = {
    "reading": Reading, "sign": Sign, "setup": SetupFact, "action": Action, "command": Command,
}
_NAMES = {kind: name for name, kind in KINDS.items()}
_ADAPTERS = {
    name: TypeAdapter(kind, config=ConfigDict(strict=False, extra="forbid", allow_inf_nan=False))
    for name, kind in KINDS.items()
}


class BadFactError(ValueError):
    """A fact on record that cannot be read; the message says which and why."""


def to_json(fact: Observation) -> dict[str, Any]:
    """Return an observation as JSON values, without the fields at their default."""
    data: dict[str, Any] = {"kind": _NAMES[type(fact)]}
    for field in fields(fact):
        value = getattr(fact, field.name)
        if value != field.default:
            data[field.name] = list(value) if isinstance(value, tuple) else value
    return data


def from_json(data: dict[str, Any]) -> Observation:
    """Return the observation that `to_json` wrote.

    Raises:
        BadFactError: It has another shape, or names an id that the knowledge does not have.
    """
    adapter = _ADAPTERS.get(str(data.get("kind")))
    if adapter is None:
        raise BadFactError(f"a fact of unknown kind {str(data.get('kind'))[:40]!r}")
    rest = {key: value for key, value in data.items() if key != "kind"}
    if data["kind"] == "setup" and isinstance(rest.get("value"), list):
        rest["value"] = tuple(rest["value"])
    try:
        fact: Observation = adapter.validate_python(rest)
    except ValidationError as error:
        first = error.errors()[0]
        raise BadFactError(f"a {data['kind']} whose {'.'.join(map(str, first['loc']))}: {first['msg']}") from None
    if not _exists(fact):
        raise BadFactError(f"a {data['kind']} {str(rest.get('id', rest.get('key')))[:60]!r} that is not known any more")
    return fact


def _exists(fact: Observation) -> bool:
    known = load()
    if isinstance(fact, SetupFact):
        return fact.key in KEYS
    if isinstance(fact, Reading):
        return fact.id in known.readings
    if isinstance(fact, Sign):
        return fact.id in known.signs
    if isinstance(fact, Action):
        return fact.id in known.actions
    return True
