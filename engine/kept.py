"""Observations as JSON, for the record on disk: strict both ways, so that what is read is what was written."""

from __future__ import annotations

from dataclasses import MISSING, fields, replace
from typing import Any, get_type_hints

from pydantic import BaseModel, ConfigDict, ValidationError, create_model

from askew.engine.observations import Action, Command, Observation, Reading, SetupFact, Sign
from askew.engine.said import LineError, check_range, checked_answer
from askew.engine.setup import KEYS, SetupError, checked
from askew.knowledge.load import load

KINDS: dict[str, type] = {
    "reading": Reading,
    "sign": Sign,
    "setup": SetupFact,
    "action": Action,
    "command": Command,
}
_NAMES = {kind: name for name, kind in KINDS.items()}


def _model(kind: type) -> type[BaseModel]:
    hints = get_type_hints(kind)
    shape: dict[str, Any] = {
        field.name: (hints[field.name], ... if field.default is MISSING else field.default)
        for field in fields(kind)
    }
    config = ConfigDict(strict=True, extra="forbid", allow_inf_nan=False)
    return create_model(f"{kind.__name__}Kept", __config__=config, **shape)


_MODELS = {name: _model(kind) for name, kind in KINDS.items()}


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
    model = _MODELS.get(str(data.get("kind")))
    if model is None:
        raise BadFactError(f"a fact of unknown kind {str(data.get('kind'))[:40]!r}")
    rest = {key: value for key, value in data.items() if key != "kind"}
    if data["kind"] == "setup" and isinstance(rest.get("value"), list):
        rest["value"] = tuple(rest["value"])
    try:
        model.model_validate(rest)
        fact: Observation = KINDS[data["kind"]](**rest)
    except ValidationError as error:
        first = error.errors()[0]
        raise BadFactError(
            f"a {data['kind']} whose {'.'.join(map(str, first['loc']))}: {first['msg']}"
        ) from None
    if not _exists(fact):
        raise BadFactError(
            f"a {data['kind']} {str(rest.get('id', rest.get('key')))[:60]!r} that is not known any more"
        )
    return _within_reason(fact)


def _within_reason(fact: Observation) -> Observation:
    """Return the fact if it could have been said: a file is held to what a person is held to."""
    try:
        if isinstance(fact, Reading):
            check_range(fact)
        elif isinstance(fact, SetupFact) and fact.value is not None:
            return replace(fact, value=checked(fact.key, fact.value))
        elif isinstance(fact, Sign):
            checked_answer(fact.id, fact.answer)
    except (LineError, SetupError) as error:
        raise BadFactError(f"something that cannot be ({str(error).rstrip('.')})") from None
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
