"""The shape of the knowledge, as strict pydantic models.

Every table of every TOML file is one of these. A wrong field, a missing one or a wrong type is reported by
`askew.knowledge.load` with file, table and key.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

MachineKind = Literal["bench_mill", "knee_mill", "bed_mill"]
Group = Literal["machine", "vise", "holding", "tool", "material", "measuring", "unlisted"]
Arithmetic = Literal[
    "tram",
    "nod",
    "shim",
    "clamp_force",
    "jaw_lift",
    "hollow_work",
    "square_reversal",
    "cosine",
    "cooling",
    "squaring_block",
    "plan",
    "stress",
    "none",
]
BasisKind = Literal["standard", "handbook", "practice", "judgement"]
Positive = Annotated[float, Field(gt=0, allow_inf_nan=False)]
Probability = Annotated[float, Field(gt=0, lt=1)]
Minutes = Annotated[float, Field(ge=0, allow_inf_nan=False)]
Text = Annotated[str, Field(min_length=1, max_length=2000)]


class Table(BaseModel):
    """Base of every table: strict types, no unknown keys, immutable."""

    model_config = ConfigDict(strict=True, extra="forbid", frozen=True)


class Size(Table):
    """How often a source is the trouble and how large it is, for a kind of machine (or "any").

    `healthy` and `trouble` are one standard deviation, mm or rad (a slope).
    """

    prior: Probability
    healthy: Positive
    trouble: Positive
    basis: BasisKind
    source: Text


class Likelier(Table):
    """Another prior where a setup fact is one of `values`, is known at all (`known`), or is not known."""

    key: str
    values: list[str | bool | float] = []
    known: bool | None = None
    prior: Probability


class Source(Table):
    """A source of error: what the assistant infers."""

    name: Text
    short: Text
    group: Group
    unit: Literal["slope", "mm"]
    plus: Text
    span: Positive = 100.0
    one_sided: bool = False
    iso: str | None = None
    needs: dict[str, list[str | bool]] = {}
    likelier: list[Likelier] = []
    explain: Text
    picture: str | None = None
    size: dict[str, Size]


class ReadingKind(Table):
    """A number a person can enter."""

    name: Text
    plus: Text
    minus: Text
    over: str | None = None
    limit: Positive
    scatter: Positive
    of: Literal["cut", "part", "machine", "grip", "tool"]
    size_only: bool = False
    complaint: bool = False
    implies: list[str] = []
    instrument: list[str] = []
    explain: Text
    picture: str | None = None


class Evidence(Table):
    """What one answer to a sign stands for: exactly one of three forms.

    - `reading` with `at_least`, `at_most` (signed mm) or `outside`, `within` (size in mm);
    - `source` with the same bounds, in the source's own unit;
    - `troubled`: at least one of these is in trouble, seen with chance `hit`, and `false_alarm` otherwise.
    """

    reading: str | None = None
    source: str | None = None
    troubled: list[str] = []
    at_least: float | None = None
    at_most: float | None = None
    outside: float | None = None
    within: float | None = None
    hit: Probability = 0.8
    false_alarm: Probability = 0.1
    blur: Positive | None = None


class SignKind(Table):
    """Something seen or felt without a number; `places` are answers beside yes, no and unknown.

    `found_by` are actions that find it and end it: told in one breath with one of them, it was there before.
    """

    name: Text
    ask: Text
    of: Literal["cut", "part", "machine", "grip", "tool"]
    places: list[str] = []
    misread: Probability = 0.03
    found_by: list[str] = []
    needs: dict[str, list[str | bool]] = {}
    evidence: dict[str, list[Evidence]]
    explain: Text
    picture: str | None = None


class ActionKind(Table):
    """Something a person does that starts new instances of the sources it touches."""

    name: Text
    redraws: list[str]
    prior_factor: Positive = 1.0
    sets: dict[str, str | bool] = {}
    swaps: list[list[str]] = []
    recuts: bool = False
    explain: Text


class CommandKind(Table):
    """Something the person can ask of the assistant in plain words."""

    name: Text
    usage: Text
    explain: Text


class SetupKey(Table):
    """A fact about the job; lengths in mm."""

    kind: Literal["length", "count", "choice", "flag", "names", "lengths", "cutters"]
    name: Text
    ask: Text
    because: Text
    low: float | None = None
    high: float | None = None
    typical: float | str | bool | None = None
    spread: Positive | None = None
    choices: list[str] = []
    labels: dict[str, str] = {}
    zero: str | None = None
    explain: Text
    picture: str | None = None


class Check(Table):
    """What a person does to get readings or signs.

    `minutes` is with the machine in the `states` named ("vise_off", "part_gripped", ...); what getting into
    them costs is in `states.toml`. `instruments` lists alternatives: each inner list is one sufficient set.
    `needs`: where the setup key is known, its value must be one of these; `known`: it must have been said;
    `more_than`: its value must be larger; `after`: one of these readings must have been taken before.
    `first` names actions that come before the readings (they start new instances); `disturbs` those after.
    `also` are readings and signs that may be noticed on the way. `blur` multiplies the reading's usual
    scatter, where this way of taking it is coarser. `risk` (0 to 1): how much it disturbs what is looked for.
    """

    name: Text
    gives: list[str]
    also: list[str] = []
    minutes: Positive
    minutes_on: dict[str, Positive] = {}
    instruments: list[list[str]] = []
    states: list[str] = []
    needs: dict[str, list[str | bool]] = {}
    known: list[str] = []
    more_than: dict[str, float] = {}
    after: list[str] = []
    first: list[str] = []
    disturbs: list[str] = []
    how: list[Text] = Field(min_length=1)
    spoils: list[Text] = []
    cautions: list[str] = []
    instead: str | None = None
    blur: Positive = 1.0
    risk: Annotated[float, Field(ge=0, le=1, allow_inf_nan=False)] = 0.0
    explain: Text
    picture: str | None = None


class Remedy(Table):
    """A fix or a way to live with it, for the sources it serves.

    `does` names the actions it amounts to, `arithmetic` the reckoning that gives it its numbers, and `verify`
    the readings and signs that prove it. `before` and `after` name shared steps around its own; `Knowledge.steps_of`
    puts them together.
    """

    name: Text
    serves: list[str]
    minutes: Positive
    how: list[Text] = Field(min_length=1)
    before: list[str] = []
    after: list[str] = []
    does: list[str] = []
    cautions: list[str] = []
    arithmetic: Arithmetic
    verify: list[str] = []
    kind: Literal["fix", "work_round"] = "fix"
    explain: Text


class Step(Table):
    """A step that several remedies share."""

    text: Text


class Caution(Table):
    """A safety sentence. `when` names what calls for it: checks, remedies, states, or "always"."""

    text: Text
    when: list[str] = []


class Instrument(Table):
    """Something to measure with. `resolution` and `repeat` in mm (slope instruments: mm per 100 mm)."""

    name: Text
    resolution: Positive | None = None
    repeat: Positive | None = None
    common: bool = False
    trick: str | None = None
    basis: BasisKind
    source: Text
    explain: Text


class State(Table):
    """A state of the machine that a check can need, and the minutes to get there and back.

    `opposite` is the state that this one ends; its `enter` is this one's `leave`. `does` names the actions
    that entering it amounts to.
    """

    name: Text
    enter: Minutes
    leave: Minutes
    opposite: str | None = None
    does: list[str] = []


class Machine(Table):
    """A kind of machine."""

    name: Text
    travel_x: Positive
    travel_y: Positive
    vertical_travel: Literal["quill", "knee", "head"]
    without: list[str] = []
    explain: Text


class Word(Table):
    """A word of the trade in plain words; `also` are other words for the same thing."""

    name: Text
    also: list[str] = []
    explain: Text
    picture: str | None = None


class Picture(Table):
    """A drawing in plain ASCII, and the sentences that say the same to somebody who does not see it."""

    drawing: Text
    says: Text
