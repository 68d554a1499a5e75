"""What is known of the job: machine, cutter, part, grip and bench, with stand-ins for what is not known.

Lengths in mm. An attribute is None until the person says it; `resolve` fills the gaps with typical values and
remembers which ones are assumed, so that predictions can carry their uncertainty (`Unknown`).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields, replace
from functools import cache, cached_property, lru_cache
from typing import Any

from askew.engine.on_hand import MOST, CutterError, kept_cutter
from askew.knowledge.load import load
from askew.knowledge.schema import SetupKey

Value = float | int | str | bool | tuple[str, ...] | tuple[float, ...]


class SetupError(ValueError):
    """A setup fact that cannot be: the message says what was wrong, `hint` what would be right."""

    def __init__(self, message: str, hint: str) -> None:
        """Keep both sentences."""
        super().__init__(message)
        self.hint = hint


@dataclass(frozen=True)
class Setup:
    """Facts about the job, None where not known. The keys are those of `knowledge/setup.toml`."""

    machine: str | None = None
    cutter_diameter: float | None = None
    cutter_kind: str | None = None
    cutter_offset: float | None = None
    passes: int | None = None
    pass_spacing: float | None = None
    pass_order: str | None = None
    overrun: bool | None = None
    feed_axis: str | None = None
    feed_sense: str | None = None
    milling_sense: str | None = None
    part_across: float | None = None
    part_along: float | None = None
    part_height: float | None = None
    part_depth: float | None = None
    grip_height: float | None = None
    parallel_spacing: float | None = None
    seat: str | None = None
    moving_jaw_contact: str | None = None
    gripped_face: str | None = None
    material: str | None = None
    wall: float | None = None
    vertical_travel: str | None = None
    hole_made_by: str | None = None
    hole_depth: float | None = None
    wall_height: float | None = None
    wall_side: str | None = None
    cutter_stickout: float | None = None
    sweep_diameter: float | None = None
    instruments: tuple[str, ...] | None = None
    cutters: tuple[str, ...] | None = None
    leaves: tuple[float, ...] | None = None
    tolerance: float | None = None
    leaned_on_purpose: bool | None = None
    travel: float | None = None
    run_x: float | None = None
    run_y: float | None = None
    jaw_width: float | None = None
    jaw_height: float | None = None
    bed_length: float | None = None
    square_blade: float | None = None
    block_travel: float | None = None
    block_depth: float | None = None
    small_cutter_diameter: float | None = None

    def __hash__(self) -> int:
        """Hash once: setups are the keys of every cache of the forward model."""
        return self._hash

    @cached_property
    def _hash(self) -> int:
        return hash(tuple(getattr(self, name) for name in NAMES))

    @cached_property
    def _told(self) -> Mapping[str, Value]:
        return {name: value for name in NAMES if (value := getattr(self, name)) is not None}

    def known(self, key: str) -> bool:
        """Say whether the person has told this fact."""
        return getattr(self, key) is not None

    def value(self, key: str) -> Any:
        """Return the fact, or what follows from the others, or what is typical (None where nothing is)."""
        return resolve(self)[key]

    def told(self) -> Mapping[str, Value]:
        """Return the facts that the person has told."""
        return self._told

    def having(self, **facts: Any) -> Setup:
        """Return a copy with other facts."""
        return replace(self, **facts)


ON_THE_BENCH = frozenset({"instruments", "cutters", "leaves"})
"""What lies ready: to name more or less of it changes nothing about a cut that was made."""
NAMES = tuple(field.name for field in fields(Setup))
KEYS = frozenset(NAMES)


@dataclass(frozen=True)
class Unknown:
    """A number of the setup that is not known: its middle and one standard deviation."""

    key: str
    mid: float
    spread: float


def checked(key: str, value: Any) -> Value:
    """Return a setup fact in its proper type, or say what is wrong with it.

    Args:
        key: A key of `knowledge/setup.toml`.
        value: What was said: a number in mm, a count, a choice, a truth value, or names.

    Raises:
        SetupError: The key does not exist, or the value has the wrong type or is out of range.
    """
    kind = load().setup.get(key)
    if kind is None or key not in KEYS:
        raise SetupError(
            f"There is no setup fact called {key[:60]!r}.", "See askew talk --schema for the keys."
        )
    return _CHECKS[kind.kind](key, kind, value)


def _length(key: str, kind: SetupKey, value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise SetupError(
            f"{kind.name.capitalize()} must be a length in mm.", f'For example {{"{key}": 25.0}}.'
        )
    low, high = kind.low or 0.0, kind.high or 5000.0
    if not low <= value <= high:
        raise SetupError(f"{value:g} mm is not a sensible {kind.name}.", f"Between {low:g} and {high:g} mm.")
    return float(value)


def _count(_key: str, kind: SetupKey, value: Any) -> int:
    whole = not isinstance(value, bool) and isinstance(value, int | float) and float(value).is_integer()
    low, high = int(kind.low or 0), int(kind.high or 1000)
    if not whole or not low <= value <= high:
        raise SetupError(f"{kind.name.capitalize()} must be a whole number.", f"Between {low} and {high}.")
    return int(value)


def _choice(_key: str, kind: SetupKey, value: Any) -> str:
    if value not in kind.choices:
        raise SetupError(f"That is not a {kind.name} I know.", "One of: " + ", ".join(kind.choices) + ".")
    return str(value)


def _flag(key: str, kind: SetupKey, value: Any) -> bool:
    if not isinstance(value, bool):
        raise SetupError(
            f"{kind.name.capitalize()} must be true or false.", f'For example {{"{key}": true}}.'
        )
    return value


def _names(_key: str, _kind: SetupKey, value: Any) -> tuple[str, ...]:
    known = load().instruments
    names = value if isinstance(value, list | tuple) else None
    if names is None or any(not isinstance(name, str) or name not in known for name in names):
        raise SetupError("That names an instrument I do not know.", "Of these: " + ", ".join(known) + ".")
    return tuple(dict.fromkeys(names))


def _lengths(key: str, kind: SetupKey, value: Any) -> tuple[float, ...]:
    listed = list(value) if isinstance(value, list | tuple) else None
    if listed is None or len(listed) > MOST or any(not _is_length(v, kind) for v in listed):
        raise SetupError(
            f"{kind.name.capitalize()} must be a list of thicknesses in mm.",
            f'For example {{"{key}": [0.05, 0.1, 0.2]}}, each from {kind.low:g} to {kind.high:g} mm.',
        )
    return tuple(sorted(dict.fromkeys(float(v) for v in listed)))


def _is_length(value: object, kind: SetupKey) -> bool:
    low, high = kind.low or 0.0, kind.high or 5000.0
    return isinstance(value, int | float) and not isinstance(value, bool) and low <= value <= high


def _cutters(key: str, kind: SetupKey, value: Any) -> tuple[str, ...]:
    hint = f'For example {{"{key}": ["76.2 mm face_mill", "12.7 mm end_mill 4 teeth"]}}.'
    listed = list(value) if isinstance(value, list | tuple) else None
    if listed is None or len(listed) > MOST or any(not isinstance(text, str) for text in listed):
        raise SetupError(f"{kind.name.capitalize()} must be a list of cutters.", hint)
    try:
        return tuple(dict.fromkeys(kept_cutter(text).kept() for text in listed))
    except CutterError as error:
        raise SetupError(str(error), hint) from None


_CHECKS: Mapping[str, Callable[[str, SetupKey, Any], Value]] = {
    "length": _length,
    "count": _count,
    "choice": _choice,
    "flag": _flag,
    "names": _names,
    "lengths": _lengths,
    "cutters": _cutters,
}


def machine_of(setup: Setup) -> str:
    """Return the kind of machine, typical if not told."""
    return setup.machine or str(load().setup["machine"].typical)


@lru_cache(maxsize=512)
def resolve(setup: Setup) -> Mapping[str, Any]:
    """Return every fact of the setup, with what is not known filled in.

    What follows from other facts comes first (a plain block's depth is its width front to back), then the
    typical value. Sizes of the other sides scale with the ones that are known, since parts come in all sizes.
    """
    keys = load().setup
    facts: dict[str, Any] = {name: getattr(setup, name) for name in NAMES}
    facts["feed_axis"] = setup.feed_axis or "x"
    _fill_part(facts, setup)
    for name, kind in keys.items():
        if facts.get(name) is None:
            facts[name] = kind.typical
    if facts["passes"] > 1 and facts["pass_spacing"] is None:
        facts["pass_spacing"] = min(0.75 * facts["cutter_diameter"], facts["part_across"] / facts["passes"])
    if facts["passes"] == 1 and not setup.known("cutter_diameter"):
        facts["cutter_diameter"] = max(facts["cutter_diameter"], 1.25 * facts["part_across"])
    if facts["parallel_spacing"] is None:
        facts["parallel_spacing"] = 0.7 * facts["part_depth"]
    if facts["vertical_travel"] is None:
        facts["vertical_travel"] = load().machines[facts["machine"]].vertical_travel
    return facts


def _fill_part(facts: dict[str, Any], setup: Setup) -> None:
    """A plain block: front to back is both its depth in the jaws and its width (or length) under the cutter."""
    front_to_back = "part_across" if facts["feed_axis"] == "x" else "part_along"
    if facts["part_depth"] is None and setup.known(front_to_back):
        facts["part_depth"] = facts[front_to_back]
    elif not setup.known(front_to_back) and setup.known("part_depth"):
        facts[front_to_back] = facts["part_depth"]
    told = [facts[key] for key in ("part_across", "part_along", "part_height", "part_depth") if facts[key]]
    usual = sum(told) / len(told) if told else 60.0
    for key in ("part_across", "part_along", "part_height", "part_depth"):
        if facts[key] is None:
            facts[key] = usual if key != "part_along" else 1.3 * usual
    if facts["part_depth"] != facts[front_to_back] and not setup.known("part_depth"):
        facts["part_depth"] = facts[front_to_back]
    if facts["grip_height"] is None:
        facts["grip_height"] = 0.5 * facts["part_height"]


@cache
def _length_keys() -> tuple[str, ...]:
    return tuple(name for name, kind in load().setup.items() if kind.kind == "length" and name in KEYS)


@lru_cache(maxsize=512)
def unknowns(setup: Setup) -> tuple[Unknown, ...]:
    """Return the lengths that are not known, each with its middle and spread (mm).

    A length that follows from what the person told keeps a spread of a sixth of itself, one that is only
    typical a third, unless `knowledge/setup.toml` gives one.
    """
    facts = resolve(setup)
    part_told = any(setup.known(key) for key in ("part_across", "part_along", "part_height", "part_depth"))
    found: list[Unknown] = []
    for key in _length_keys():
        mid = facts[key]
        if setup.known(key) or mid is None or key in ("tolerance", "wall"):
            continue
        if key == "part_depth" and setup.known("part_across" if facts["feed_axis"] == "x" else "part_along"):
            continue  # a plain block, unless said otherwise
        spread = load().setup[key].spread
        if key in ("part_across", "part_along", "part_height", "part_depth", "grip_height"):
            spread = mid / (4.0 if part_told else 3.0)
        found.append(Unknown(key, float(mid), float(spread if spread is not None else abs(mid) / 4.0)))
    return tuple(found)
