"""A line of JSON on the scriptable seam, as observations: strict, bounded, and clear about what is wrong."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from askew.engine.observations import Action, Bound, Command, Observation, Reading, SetupFact, Sign
from askew.engine.on_hand import EXAMPLES, MOST
from askew.engine.setup import SetupError, checked
from askew.knowledge.load import load
from askew.knowledge.schema import SetupKey

Number = Annotated[float, Field(allow_inf_nan=False)]
Id = Annotated[str, Field(min_length=1, max_length=80)]


class LineError(ValueError):
    """What was wrong with a line, and in `hint` what would be right."""

    def __init__(self, message: str, hint: str) -> None:
        """Keep both sentences."""
        super().__init__(message)
        self.hint = hint


class _In(BaseModel):
    model_config = ConfigDict(strict=True, extra="forbid")


class SetupLine(_In):
    """Facts about the job; a key with null is left as it is."""

    setup: dict[str, Any]


class ReadingLine(_In):
    """A reading in mm over `over` mm. `about` is its own spread (one standard deviation), or true."""

    reading: Id
    value: Number | None = None
    over: Annotated[float, Field(gt=0, le=10000)] | None = None
    at_least: Number | None = None
    at_most: Number | None = None
    about: Number | bool | None = None
    sign_known: bool = True


class SignLine(_In):
    """A sign with its answer: yes, no, unknown, or one of its places or senses."""

    sign: Id
    answer: Id


class CannotLine(_In):
    """A check that cannot be made here."""

    cannot: Id


class SkipLine(_In):
    """A check put aside for now."""

    skip: Id


class DoneLine(_In):
    """Something that was done."""

    done: Id


class UndoLine(_In):
    """Take back so many turns."""

    undo: Annotated[int, Field(ge=1, le=1_000_000)]


class AskLine(_In):
    """A question in plain words: why jaw_lift, next, report, help."""

    ask: Annotated[str, Field(min_length=1, max_length=400)]


FORMS: Mapping[str, type[_In]] = {
    "setup": SetupLine,
    "reading": ReadingLine,
    "sign": SignLine,
    "cannot": CannotLine,
    "skip": SkipLine,
    "done": DoneLine,
    "undo": UndoLine,
    "ask": AskLine,
}
KEYS_HINT = "One of: " + ", ".join(FORMS) + "; askew talk --schema prints the forms."


@dataclass(frozen=True)
class Said:
    """A line as understood: facts, or turns to take back, or a question."""

    facts: tuple[Observation, ...] = ()
    undo: int = 0
    ask: str | None = None


def parse(data: object) -> Said:
    """Return what a JSON line says.

    Raises:
        LineError: It has another shape, names something unknown, or a number cannot be.
    """
    if not isinstance(data, dict):
        raise LineError("A line of JSON must be an object.", KEYS_HINT)
    forms = [key for key in data if key in FORMS]
    if len(forms) != 1:
        what = "no key that I know" if not forms else "more than one of " + ", ".join(forms)
        raise LineError(f"The line has {what}.", KEYS_HINT)
    try:
        line = FORMS[forms[0]].model_validate(data)
    except ValidationError as error:
        first = error.errors()[0]
        where = ".".join(str(part) for part in first["loc"][:1]) or forms[0]
        raise LineError(f"{where[:60]}: {_sentence(first['msg'])}", _hint(forms[0])) from None
    return _READERS[forms[0]](line)


def _sentence(message: str) -> str:
    return message[:1].lower() + message[1:] + "."


def _hint(form: str) -> str:
    fields = ", ".join(FORMS[form].model_fields)
    return f"A line with {form!r} takes: {fields}."


def setup_schema() -> dict[str, Any]:
    """Return the JSON Schema of the facts that a line with `setup` takes, from the knowledge that checks them."""
    instruments = list(load().instruments)
    return {
        "additionalProperties": False,
        "properties": {
            key: {"description": kind.name, "anyOf": [_value_schema(kind, instruments), {"type": "null"}]}
            for key, kind in load().setup.items()
        },
    }


def _value_schema(kind: SetupKey, instruments: list[str]) -> dict[str, Any]:
    size = {"type": "number", "minimum": kind.low or 0.0, "maximum": kind.high or 5000.0}
    shapes: dict[str, dict[str, Any]] = {
        "length": size,
        "count": {"type": "integer", "minimum": int(kind.low or 0), "maximum": int(kind.high or 1000)},
        "choice": {"type": "string", "enum": kind.choices},
        "flag": {"type": "boolean"},
        "names": {"type": "array", "items": {"type": "string", "enum": instruments}},
        "lengths": {"type": "array", "items": size, "maxItems": MOST},
        "cutters": {"type": "array", "items": {"type": "string", "examples": EXAMPLES}, "maxItems": MOST},
    }
    return shapes[kind.kind]


def known_id(id_: str, known: Mapping[str, Any], what: str) -> str:
    """Return an id that exists.

    Raises:
        LineError: It does not; the hint offers the nearest.
    """
    if id_ not in known:
        near = get_close_matches(id_, list(known), n=3, cutoff=0.5)
        hint = ("Did you mean " + " or ".join(near) + "?") if near else f"askew explain lists every {what}."
        raise LineError(f"There is no {what} called {id_[:60]!r}.", hint)
    return id_


def _setup(line: SetupLine) -> Said:
    facts = []
    for key, value in line.setup.items():
        if value is None:
            continue
        try:
            facts.append(SetupFact(key, checked(key, value), "mm", f"{key}: {value}"))
        except SetupError as error:
            raise LineError(str(error), error.hint) from None
    return Said(tuple(facts))


def _reading(line: ReadingLine) -> Said:
    id_ = known_id(line.reading, load().readings, "reading")
    bound, value, low, high = _bound(line)
    reading = Reading(id_, value, line.over, bound, low, high, line.sign_known, "mm", "")
    check_range(reading)
    return Said((reading,))


def _bound(line: ReadingLine) -> tuple[Bound | None, float | None, float | None, float | None]:
    low, high, value = line.at_least, line.at_most, line.value
    if low is not None and high is not None:
        if low > high:
            raise LineError("at_least is more than at_most.", "The smaller number goes with at_least.")
        return "between", (low + high) / 2.0, low, high
    if value is not None and (low is not None or high is not None):
        raise LineError("A reading has a value or a bound, not both.", "Leave one of them out.")
    if low is not None or high is not None:
        return ("at_least", low, None, None) if low is not None else ("at_most", high, None, None)
    if isinstance(line.about, float) and value is None:
        return "about", line.about, None, None
    if isinstance(line.about, float) and value is not None:
        half = abs(line.about) * 3.0**0.5  # an even range with this standard deviation
        return "between", value, value - half, value + half
    return ("about" if line.about else None), value, None, None


def check_range(reading: Reading) -> None:
    """Check that a reading is physically possible.

    Raises:
        LineError: It is larger than such a reading can be.
    """
    kind = load().readings[reading.id]
    numbers = [v for v in (reading.value, reading.low, reading.high) if v is not None]
    if any(abs(number) > kind.limit for number in numbers):
        worst = max(numbers, key=abs)
        raise LineError(
            f"{worst:g} mm is not a sensible {kind.name}.",
            f"It must lie within {kind.limit:g} mm; check the unit.",
        )
    if reading.over is not None and not 0.1 <= reading.over <= 5000.0:
        raise LineError(f"{reading.over:g} mm is not a length to measure over.", "Between 0.1 and 5000 mm.")


def _sign(line: SignLine) -> Said:
    id_ = known_id(line.sign, load().signs, "sign")
    return Said((Sign(id_, checked_answer(id_, line.answer)),))


def checked_answer(sign_id: str, answer: str) -> str:
    """Return an answer that a sign takes.

    Raises:
        LineError: The sign takes other answers.
    """
    allowed = ["yes", "no", "unknown", *load().signs[sign_id].places]
    if answer not in allowed:
        raise LineError(f"{answer[:40]!r} is no answer to {sign_id}.", "One of: " + ", ".join(allowed) + ".")
    return answer


def _cannot(line: CannotLine) -> Said:
    return Said((Command("cannot", known_id(line.cannot, load().checks, "check")),))


def _skip(line: SkipLine) -> Said:
    return Said((Command("skip", known_id(line.skip, load().checks, "check")),))


def _done(line: DoneLine) -> Said:
    return Said((Action(known_id(line.done, load().actions, "action")),))


_READERS: Mapping[str, Callable[[Any], Said]] = {
    "setup": _setup,
    "reading": _reading,
    "sign": _sign,
    "cannot": _cannot,
    "skip": _skip,
    "done": _done,
    "undo": lambda line: Said(undo=line.undo),
    "ask": lambda line: Said(ask=line.ask),
}

Form = Literal["setup", "reading", "sign", "cannot", "skip", "done", "undo", "ask"]
