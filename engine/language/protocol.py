"""The JSON form of what was heard: one line in, one object out.

A line in is plain text, or `{"text": ..., "context": id of what was just asked, or null}`. An object out is
`{"heard": [...], "unread": [...]}`; a line that cannot be read answers with `error` besides, and one that tells of
another job, of a plan or a question with `aside`: what would have been heard of it.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from askew.engine.language.model import Context
from askew.engine.language.reader import read
from askew.engine.language.words.tokens import LONGEST
from askew.engine.observations import Action, Command, Observation, Reading, SetupFact, Sign

_LONGEST_LINE = 65_536

Number = Annotated[float, Field(allow_inf_nan=False)]


class _Strict(BaseModel):
    model_config = ConfigDict(strict=True, extra="forbid", frozen=True, allow_inf_nan=False)


class LineIn(_Strict):
    """A message with what was just asked."""

    text: Annotated[str, Field(max_length=LONGEST)]
    context: Annotated[str, Field(max_length=100)] | None = None


class ReadingOut(_Strict):
    """A number somebody measured, in mm, or a complaint without one (value null)."""

    kind: Literal["reading"] = "reading"
    id: str
    value: Number | None
    over: Number | None
    sign_known: bool
    bound: Literal["at_least", "at_most", "about", "between"] | None
    low: Number | None = None
    high: Number | None = None


class SignOut(_Strict):
    """Something seen or felt."""

    kind: Literal["sign"] = "sign"
    id: str
    answer: str


class SetupOut(_Strict):
    """A fact about the machine, the part, the cutter, the grip or the bench; lengths in mm."""

    kind: Literal["setup"] = "setup"
    key: str
    value: Number | int | str | bool | tuple[str, ...] | tuple[Number, ...] | None


class ActionOut(_Strict):
    """Something the person did."""

    kind: Literal["action"] = "action"
    id: str


class CommandOut(_Strict):
    """Something the person wants."""

    kind: Literal["command"] = "command"
    id: str


FactOut = ReadingOut | SignOut | SetupOut | ActionOut | CommandOut


class LineOut(_Strict):
    """What was heard, the words that nothing was made of, and what seems to be told of something else than this job."""

    heard: tuple[FactOut, ...]
    unread: tuple[str, ...]
    aside: tuple[FactOut, ...] = ()


class DuplicateKeyError(ValueError):
    """A JSON object names the same key twice."""


def fact_out(fact: Observation) -> FactOut:
    """Return the JSON form of one observation."""
    match fact:
        case Reading():
            return ReadingOut(
                id=fact.id,
                value=fact.value,
                over=fact.over,
                sign_known=fact.sign_known,
                bound=fact.bound,
                low=fact.low,
                high=fact.high,
            )
        case Sign():
            return SignOut(id=fact.id, answer=fact.answer)
        case SetupFact():
            return SetupOut(key=fact.key, value=fact.value)
        case Action():
            return ActionOut(id=fact.id)
        case Command():
            return CommandOut(id=fact.id)


def read_line(line: str) -> dict[str, object]:
    """Return what a line says, ready to be written as JSON. Never raises.

    A range carries `low` and `high`; other readings leave them out.
    """
    try:
        asked = _line_in(line)
    except (ValueError, RecursionError) as error:
        return {"heard": [], "unread": [], "error": {"message": _why(error), "hint": _HINT}}
    heard = read(asked.text, Context(asked=asked.context))
    facts, aside = (tuple(map(fact_out, told)) for told in (heard.facts, heard.aside))
    out = LineOut(heard=facts, unread=heard.unread, aside=aside)
    made: dict[str, object] = {"heard": [*map(_bare, out.heard)], "unread": list(out.unread)}
    return made | {"aside": [*map(_bare, out.aside)]} if out.aside else made


_HINT = 'Send plain text, or {"text": "...", "context": null} on one line.'


def _bare(fact: FactOut) -> dict[str, object]:
    made: dict[str, object] = fact.model_dump(mode="json")
    if isinstance(fact, ReadingOut) and fact.bound != "between":
        made.pop("low"), made.pop("high")
    return made


def _line_in(line: str) -> LineIn:
    if len(line) > _LONGEST_LINE:
        raise ValueError(f"the line is {len(line)} characters long; {_LONGEST_LINE} is the most")
    if not line.lstrip().startswith("{"):
        return LineIn(text=line.rstrip("\r\n"))
    return LineIn.model_validate(json.loads(line, object_pairs_hook=_once, parse_constant=_no_constant))


def _once(pairs: Iterable[tuple[str, object]]) -> dict[str, object]:
    made: dict[str, object] = {}
    for key, value in pairs:
        if key in made:
            raise DuplicateKeyError(f"the key {key!r} stands there twice")
        made[key] = value
    return made


def _no_constant(name: str) -> object:
    raise ValueError(f"{name} is no JSON number")


def _why(error: Exception) -> str:
    if isinstance(error, ValidationError):
        first = error.errors()[0]
        where = ".".join(str(part) for part in first["loc"])
        return f"The line cannot be read: {where or 'it'}: {first['msg'].lower()}."
    if isinstance(error, json.JSONDecodeError):
        return f"The line is not JSON: {error.msg.lower()} at character {error.pos + 1}."
    if isinstance(error, RecursionError):
        return "The line is nested too deeply."
    return f"The line cannot be read: {error}."
