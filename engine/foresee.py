"""Looking ahead: what a cut will look like and what each reading will be, and the other way round.

`foresee` takes a setup and any sources of error and returns the surface and every reading, free of scatter.
What the cut face shows is read from the simulated surface; the rest from the forward model. `needed` turns
it round: how far out would each source have to be, alone, to make a reading.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from pydantic import BaseModel, ConfigDict, Field, FiniteFloat

from askew.engine.case import Situation, after_action
from askew.engine.physics.envelope import Array
from askew.engine.physics.limits import PhysicsError
from askew.engine.physics.readings import default_over, predict
from askew.engine.physics.scene import Scene, facts_of
from askew.engine.physics.surface import FaceCut, FaceReadings, FaceSurface, simulate_face
from askew.engine.setup import Setup, SetupError, checked
from askew.knowledge.load import load
from askew.knowledge.schema import Source

GRID = 61
"""Places along each side of the surface that is returned."""

STEEPEST, LARGEST = 0.1, 50.0
"""Largest size of a source that is still believed: a slope, and mm."""

_SENSES = {"x": ("right", "left"), "y": ("back", "front")}
_BENDS = ("wall_squeeze", "stress_bow", "part_deflect")
_FACE = frozenset(
    {"face_out_of_square", "turned_error", "fine_cutter_error", "other_corner", "face_out_of_parallel_across"}
    | {"face_out_of_parallel_along", "hollow_across", "hollow_along", "ridge", "step", "reversed_step"}
    | {"cross_feed_hollow", "cross_feed_step"}
)


class ForeseeError(ValueError):
    """A request that cannot be: the message says what was wrong, `hint` what would be right."""

    def __init__(self, message: str, hint: str) -> None:
        """Keep both sentences."""
        super().__init__(message)
        self.hint = hint


class Request(BaseModel):
    """What is asked: `{"setup": {...}, "sources": {...}}`, and for the inverse a `reading` with its `value`.

    Lengths in mm; a source in mm, or a slope as a plain number (0.0003 is 0.3 mm over a metre).
    """

    model_config = ConfigDict(strict=True, extra="forbid")

    setup: dict[str, Any] = Field(default_factory=dict, max_length=100)
    sources: dict[str, FiniteFloat] = Field(default_factory=dict, max_length=100)
    reading: str | None = Field(default=None, max_length=100)
    value: FiniteFloat | None = None
    over: FiniteFloat | None = Field(default=None, gt=0, le=10_000)


@dataclass(frozen=True, slots=True)
class Foreseen:
    """A reading as it should be.

    Attributes:
        value: mm, plus as the reading's definition says.
        over: The length it is defined over, mm; None where it has none.
    """

    value: float
    over: float | None


@dataclass(frozen=True, slots=True)
class Foresight:
    """What is to be expected.

    Attributes:
        readings: Every reading by id.
        surface: The face as cut and let go, against the table.
        face: What a person reads from the cut alone.
        setup: The setup with what was assumed to make the cut possible.
        assumed: Facts of the cut that were not told, with the value taken.
    """

    readings: Mapping[str, Foreseen]
    surface: FaceSurface
    face: FaceReadings
    setup: Setup
    assumed: Mapping[str, float | int | str | bool]

    def as_json(self) -> dict[str, Any]:
        """Return it as plain data: readings in mm, `z[j][i]` the height at `y[j]`, `x[i]`."""
        readings = {
            id_: {"value": one.value, "over": one.over, "unit": "mm"} for id_, one in self.readings.items()
        }
        z = np.round(self.surface.z, 9) + 0.0
        surface = {"x": self.surface.x.tolist(), "y": self.surface.y.tolist(), "z": z.tolist()}
        return {
            "readings": readings,
            "surface": surface,
            "heel": self.face.heel,
            "assumed": dict(self.assumed),
        }


def checked_request(request: Request) -> tuple[Setup, dict[str, float]]:
    """Return setup and sources of a request.

    Raises:
        ForeseeError: A key, a source or a size that cannot be.
    """
    setup = Setup()
    for key, value in request.setup.items():
        if value is None:
            continue
        try:
            setup = setup.having(**{key: checked(key, value)})
        except SetupError as error:
            raise ForeseeError(str(error), error.hint) from None
    for id_, size in request.sources.items():
        kind = load().sources.get(id_)
        if kind is None:
            raise ForeseeError(
                f"There is no source of error called {id_[:60]!r}.", "See askew explain sources."
            )
        most = STEEPEST if kind.unit == "slope" else LARGEST
        if abs(size) > most:
            unit = "as a slope" if kind.unit == "slope" else "mm"
            raise ForeseeError(f"{kind.name.capitalize()} cannot be {size:g} {unit}.", f"At most {most:g}.")
    return setup, dict(request.sources)


def foresee(request: Request) -> Foresight:
    """Return what a cut will look like and every reading.

    Raises:
        ForeseeError: for a request that cannot be, or a cut that leaves part of the face standing.
    """
    return look_ahead(*checked_request(request))


def look_ahead(told: Setup, sources: Mapping[str, float]) -> Foresight:
    """Return the same from a setup that is at hand, as in a consultation ("what if I used ...").

    Args:
        told: The setup as told so far.
        sources: Sizes by source id, mm or slope; what is left out is zero.

    Raises:
        ForeseeError: for a cut that leaves part of the face standing.
    """
    setup = _possible(told)
    try:
        cut = face_cut(setup, sources)
        surface = simulate_face(cut, GRID, GRID)
    except PhysicsError as error:
        raise ForeseeError(str(error), "Change the cutter, the passes or the size of the face.") from None
    readings = {}
    for id_ in load().readings:
        over = default_over(id_, facts_of(setup)) if load().readings[id_].over else None
        readings[id_] = Foreseen(_reading(id_, setup, sources), over)
    facts = facts_of(setup)
    assumed = {
        key: int(facts[key]) if key == "passes" else facts[key]
        for key in ("cutter_diameter", "passes", "pass_spacing", "part_across", "part_along", "part_height")
        if not told.known(key) and (key != "pass_spacing" or cut.passes > 1)
    }
    return Foresight(readings, _let_go(surface, setup, sources), surface.readings, setup, assumed)


def _possible(setup: Setup) -> Setup:
    """Return a setup whose assumed sizes allow the cut: a narrower face, or passes enough to cover it."""
    facts = facts_of(setup)
    diameter, width = facts["cutter_diameter"], facts["part_across"]
    reach = diameter - 2 * abs(facts["cutter_offset"])
    if facts["passes"] > 1 or width <= reach or not setup.known("cutter_diameter"):
        return setup
    if not setup.known("part_across"):
        return setup.having(part_across=0.75 * reach)
    if setup.known("passes"):
        return setup
    spacing = setup.pass_spacing or 0.75 * diameter
    return setup.having(passes=math.ceil((width - diameter) / spacing - 1e-9) + 1, pass_spacing=spacing)


def face_cut(setup: Setup, sources: Mapping[str, float]) -> FaceCut:
    """Return the face cut of a setup with its errors; what is left out is zero."""
    f = facts_of(setup)

    def of(id_: str) -> float:
        return float(sources.get(id_, 0.0))

    return FaceCut(
        diameter=f["cutter_diameter"],
        across=f["part_across"],
        along=f["part_along"],
        passes=f["passes"],
        spacing=f["pass_spacing"] or 0.0,
        offset=f["cutter_offset"],
        overrun=f["overrun"],
        feed_axis=f["feed_axis"],
        feed_sense=f["feed_sense"] if f["feed_sense"] in _SENSES[f["feed_axis"]] else "both",
        order=f["pass_order"],
        tilt_x=of("tram") - of("lean_side"),
        tilt_y=of("nod") - of("lean_fore"),
        slide_x=of("table_slope"),
        slide_y=of("saddle_slope"),
        droop=of("table_droop"),
        travel=load().machines[f["machine"]].travel_x,
        # Growth, pull-out and a part that creeps all make later passes deeper.
        rise=-(of("spindle_growth") + of("tool_pullout") + of("part_slip")),
    )


def _let_go(surface: FaceSurface, setup: Setup, sources: Mapping[str, float]) -> FaceSurface:
    """Return the surface with what the part does when it is let go: squeeze, bow and deflection."""
    bent = {id_: sources.get(id_, 0.0) for id_ in _BENDS}
    if not any(bent.values()):
        return surface
    across, along = (float(predict(id_, setup, bent)) for id_ in ("hollow_across", "hollow_along"))
    x, y = surface.x / surface.x[-1], surface.y / surface.y[-1]
    to_right, to_back = (along, across) if facts_of(setup)["feed_axis"] == "x" else (across, along)
    return FaceSurface(
        surface.x,
        surface.y,
        surface.z + to_back * y[:, None] ** 2 + to_right * x[None, :] ** 2,
        surface.readings,
    )


def _reading(id_: str, setup: Setup, sources: Mapping[str, float]) -> float:
    """Return one reading, in the situation that it needs."""
    kind = load().readings[id_]
    before, there = Situation(setup, (), ()), dict(sources)
    for action in kind.implies:
        holds = action == "bar_removed" and facts_of(setup)["moving_jaw_contact"] == "plain"
        if holds or (kind.of == "cut" and not load().actions[action].recuts):
            continue
        before = after_action(before, action)
        if action != "block_gripped":  # the same grip, by definition
            there.update(dict.fromkeys(load().actions[action].redraws, 0.0))
    value = float(predict(id_, before.setup, there))
    if id_ not in _FACE:
        return value
    try:
        read = simulate_face(face_cut(before.setup, there), 3, 3).readings
    except PhysicsError:
        return value  # a cut that only the reading supposes, and that this cutter cannot make in one go
    return _from_face(id_, value, read, before.setup, there)


def _from_face(
    id_: str, value: float, read: FaceReadings, setup: Setup, sources: Mapping[str, float]
) -> float:
    """Return a reading of the cut face, its share of the cut taken from the simulated surface."""
    if id_ in ("step", "reversed_step", "cross_feed_step"):
        return read.step
    if id_ == "ridge":
        return read.ridge
    if id_ in ("hollow_across", "hollow_along", "cross_feed_hollow"):
        bent = float(predict(id_, setup, {k: sources.get(k, 0.0) for k in _BENDS}))
        return bent + (read.hollow_along if id_ == "hollow_along" else read.hollow_across)
    facts = facts_of(setup)
    scene = Scene(facts, {k: np.asarray(sources.get(k, 0.0)) for k in load().sources})
    back = read.slope_back - float(scene.rise_y)
    right = read.slope_right - float(scene.rise_x)
    if id_.startswith("face_out_of_parallel"):
        along_y = (id_.endswith("across")) == (facts["feed_axis"] == "x")
        return value + default_over(id_, facts) * (back if along_y else right)
    return value + default_over(id_, facts) * (back if id_ == "other_corner" else -back)


@dataclass(frozen=True, slots=True)
class Needed:
    """How far out one source would have to be, alone, to make a reading.

    Attributes:
        source: Its id.
        size: mm or slope; None where no size of it would do.
        unit: "mm" or "slope".
        usual: Its usual size when it is the trouble, in the same unit.
        believable: Whether the needed size is at most three times the usual one.
    """

    source: str
    size: float | None
    unit: str
    usual: float
    believable: bool


def needed(request: Request) -> list[Needed]:
    """Return for each source the size that alone makes the request's reading, likeliest first.

    The other sources of the request stay as they are. Uses the forward model, which is exact for one pass and
    for the slopes and steps of many.

    Raises:
        ForeseeError: without a reading and a value, or for a request that cannot be.
    """
    if request.reading is None or request.value is None:
        raise ForeseeError("Which reading, and how much?", "Give a reading id and its value in mm.")
    if request.reading not in load().readings:
        raise ForeseeError(
            f"There is no reading called {request.reading[:60]!r}.", "See askew explain readings."
        )
    setup, sources = checked_request(request)
    setup = _possible(setup)
    machine = facts_of(setup)["machine"]
    wanted = (request.reading, request.value, request.over)
    found = []
    for id_, kind in load().sources.items():
        if id_ == "unlisted":
            continue
        size = _size_for(kind, id_, wanted, setup, sources) if _in_play(kind, setup) else None
        usual = (kind.size.get(machine) or kind.size["any"]).trouble
        found.append(Needed(id_, size, kind.unit, usual, size is not None and abs(size) <= 3 * usual))
    return sorted(found, key=lambda n: math.inf if n.size is None else abs(n.size) / n.usual)


def _in_play(kind: Source, setup: Setup) -> bool:
    """Say whether nothing that was told of the setup rules a source out."""
    return all(not setup.known(key) or setup.value(key) in allowed for key, allowed in kind.needs.items())


def _size_for(
    kind: Source,
    id_: str,
    wanted: tuple[str, float, float | None],
    setup: Setup,
    sources: Mapping[str, float],
) -> float | None:
    """Return the smallest size that reaches the value: exact where the reading is made of straight pieces."""
    reading, value, over = wanted
    ladder = np.geomspace(1e-7, 1.0, 141) * (STEEPEST if kind.unit == "slope" else LARGEST)
    below = np.empty(0) if kind.one_sided else -ladder[::-1]
    sizes = np.concatenate((below, [0.0], ladder))
    others = {k: np.full(sizes.size, v) for k, v in sources.items() if k != id_}
    values = np.asarray(predict(reading, setup, {**others, id_: sizes}, over), dtype=float)
    return _first_reach(sizes, np.broadcast_to(values, sizes.shape) - value)


def _first_reach(sizes: Array, off: Array) -> float | None:
    if float(np.ptp(off)) < 1e-12:
        return None  # the reading does not know this source
    cross = np.flatnonzero((off[:-1] <= 0) != (off[1:] <= 0))
    if cross.size == 0:
        return None
    reach = sizes[cross] - off[cross] * (sizes[cross + 1] - sizes[cross]) / (off[cross + 1] - off[cross])
    return float(reach[np.argmin(np.abs(reach))])
