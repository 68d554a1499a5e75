"""The ways in which a face can be cut with the cutters on hand, and the minutes each takes.

Feeds and speeds are starting values for a plain mill without flood coolant (common practice, no source); give
a cutter its own feed rate where better is known.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from askew.engine.on_hand import kept_cutter
from askew.engine.remedies.result import RemedyError, positive
from askew.engine.setup import Setup, resolve

Contact = Literal["plain", "bar", "paper", "soft"]
Axis = Literal["x", "y"]
Faces = Literal["one", "both in turn"]

# Cutting speed for high-speed steel and for carbide, m/min.
SPEEDS: Mapping[str, tuple[float, float]] = {
    "aluminium": (90, 300), "cast_iron": (20, 80), "mild_steel": (28, 120), "alloy_steel": (18, 90),
    "stainless": (15, 70), "brass": (60, 180), "bronze": (30, 120), "copper": (40, 150), "plastic": (90, 250),
}  # fmt: skip
_TOOTH_FEED = {"end_mill": 0.05, "face_mill": 0.10, "shell_mill": 0.08, "fly_cutter": 0.08}
_TEETH = {"end_mill": 4, "face_mill": 5, "shell_mill": 8, "fly_cutter": 1}
_FASTEST_SPINDLE = {"bench_mill": 2500.0, "knee_mill": 3000.0, "bed_mill": 4000.0}
_FASTEST_FEED = {"bench_mill": 200.0, "knee_mill": 400.0, "bed_mill": 800.0}
_RETURN_FEED = 1200.0
_RUN_OUT = 5.0
_CHANGE_CUTTER = 4.0
_CHANGE_GRIP = 4.0
_TURN_OVER = 6.0
_START = 3.0


@dataclass(frozen=True, slots=True)
class Tool:
    """A cutter on hand.

    Attributes:
        diameter: mm.
        kind: end_mill, face_mill, shell_mill or fly_cutter.
        teeth: Number of teeth; None: usual for the kind.
        carbide: Carbide rather than high-speed steel.
        feed: Feed rate, mm/min; None: from speed and feed for each tooth.
        depth: Depth of the finishing cut, mm.
    """

    diameter: float
    kind: str = "end_mill"
    teeth: int | None = None
    carbide: bool = False
    feed: float | None = None
    depth: float = 0.25

    def __post_init__(self) -> None:
        """Refuse a cutter of no size or of a kind that cannot face."""
        positive("cutter diameter", self.diameter)
        positive("depth of cut", self.depth)
        if self.kind not in _TEETH:
            raise RemedyError(f"A cutter for facing is one of {', '.join(_TEETH)}, not {self.kind[:40]!r}.")
        if self.teeth is not None and not 1 <= self.teeth <= 60:
            raise RemedyError(f"A cutter has from 1 to 60 teeth, not {self.teeth}.")
        if self.feed is not None:
            positive("feed rate", self.feed)

    @property
    def edges(self) -> int:
        """Number of teeth that cut."""
        return self.teeth if self.teeth is not None else _TEETH[self.kind]

    @property
    def tooth_feed(self) -> float:
        """Feed for each tooth, mm."""
        return _TOOTH_FEED[self.kind]

    def feed_rate(self, setup: Setup) -> float:
        """Return the feed rate in a material on a machine, mm/min."""
        facts = resolve(setup)
        if self.feed is not None:
            return self.feed
        speed = SPEEDS[facts["material"] or "mild_steel"][1 if self.carbide else 0]
        turns = min(1000.0 * speed / (math.pi * self.diameter), _FASTEST_SPINDLE[facts["machine"]])
        return min(turns * self.edges * self.tooth_feed, _FASTEST_FEED[facts["machine"]])


def tools_on_hand(setup: Setup) -> list[Tool]:
    """Return the cutters that the person has, the one in use among them; empty where nobody said."""
    if not setup.cutters:
        return []
    listed = [kept_cutter(text) for text in setup.cutters]
    tools = [Tool(cutter.diameter, cutter.kind, cutter.teeth, cutter.carbide) for cutter in listed]
    in_use = setup.cutter_diameter
    if in_use is not None and setup.cutter_kind in _TEETH and not any(_same(in_use, t) for t in tools):
        tools.insert(0, Tool(in_use, str(setup.cutter_kind)))
    return list(dict.fromkeys(tools))


def _same(diameter: float, tool: Tool) -> bool:
    return abs(diameter - tool.diameter) < 0.01 * diameter


@dataclass(frozen=True, slots=True)
class Hold:
    """How the part is gripped: what is at the moving jaw, and the force as a share of the usual one."""

    contact: Contact = "plain"
    force: float = 1.0


@dataclass(frozen=True, slots=True)
class Way:
    """One way to cut the face.

    Attributes:
        tool: The cutter.
        passes: Number of passes across the face.
        spacing: Distance between them, mm; 0 for one pass.
        overrun: Passes run on until the cutter has left both sides.
        feed_axis: "x" or "y".
        one_way: All passes fed the same way, with a return through the air.
        faces: Only this face, or this and the opposite one in turn with light cuts.
        hold: The grip.
    """

    tool: Tool
    passes: int
    spacing: float
    overrun: bool
    feed_axis: Axis
    one_way: bool
    faces: Faces
    hold: Hold

    def setup(self, setup: Setup) -> Setup:
        """Return the setup with this way of cutting in force."""
        facts = resolve(setup)
        across, along = facts["part_across"], facts["part_along"]
        if facts["feed_axis"] != self.feed_axis:
            across, along = along, across
        forward = "front_to_back" if self.feed_axis == "x" else "left_to_right"
        return setup.having(
            cutter_diameter=self.tool.diameter,
            cutter_kind=self.tool.kind,
            cutter_offset=0.0,
            passes=self.passes,
            pass_spacing=self.spacing,
            pass_order=forward,
            overrun=self.overrun,
            feed_axis=self.feed_axis,
            part_across=across,
            part_along=along,
            part_depth=facts["part_depth"],
            part_height=facts["part_height"],
            grip_height=facts["grip_height"],
            moving_jaw_contact=self.hold.contact,
        )

    def minutes(self, setup: Setup) -> float:
        """Return the time for the cut, from the part in the vise to the part out of it."""
        facts = resolve(self.setup(setup))
        stroke: float = facts["part_along"] + self.tool.diameter + _RUN_OUT
        runs = self.passes
        if self.overrun and self.passes > 1:
            reach = (facts["part_across"] + self.tool.diameter - (self.passes - 1) * self.spacing) / 2.0
            runs += 2 * max(0, math.ceil(reach / self.spacing))
        cutting = runs * stroke / self.tool.feed_rate(setup)
        back = runs * stroke / _RETURN_FEED if self.one_way else 0.0
        minutes = _START + cutting + back
        if self.faces == "both in turn":
            minutes += 2.0 * (cutting + back) + 2.0 * _TURN_OVER
        if setup.cutter_diameter is None or abs(setup.cutter_diameter - self.tool.diameter) > 1e-6:
            minutes += _CHANGE_CUTTER
        if self.hold.contact != contact_now(setup) or self.hold.force != 1.0:
            minutes += _CHANGE_GRIP
        return minutes


def contact_now(setup: Setup) -> str:
    """Return what is at the moving jaw now."""
    return str(resolve(setup)["moving_jaw_contact"])


def ways(
    setup: Setup,
    tools: Sequence[Tool],
    holds: Sequence[Hold],
    faces: Sequence[Faces] = ("one", "both in turn"),
) -> Iterator[Way]:
    """Yield every way to cut the face with the cutters and grips on hand.

    One pass where the cutter covers the face with a tenth to spare, and rows of passes at about three
    quarters and half of the cutter's diameter.

    Raises:
        RemedyError: if there is no cutter or no grip.
    """
    if not tools or not holds:
        raise RemedyError("A plan needs at least one cutter and one way to grip.")
    for tool in tools:
        for axis in ("x", "y"):
            for passes, spacing in _rows(tool, axis, setup):
                for one_way in (False, True) if passes > 1 else (False,):
                    for side in faces:
                        for hold in holds:
                            yield Way(tool, passes, spacing, True, axis, one_way, side, hold)


def _rows(tool: Tool, axis: str, setup: Setup) -> list[tuple[int, float]]:
    facts = resolve(setup)
    width = facts["part_across"] if facts["feed_axis"] == axis else facts["part_along"]
    rows: list[tuple[int, float]] = []
    if tool.diameter >= 1.1 * width:
        rows.append((1, 0.0))
    for share in (0.75, 0.5):
        passes = max(2, math.ceil(width / (share * tool.diameter)))
        if passes > 120:
            continue
        spacing = width / passes
        if (passes, spacing) not in rows:
            rows.append((passes, spacing))
    return rows
