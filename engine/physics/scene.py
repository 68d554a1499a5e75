"""One situation of machine, vise, part and cutter: the derived slopes that every reading is made of.

`Scene` is evaluated with plain numbers, with arrays of samples, or with the identity matrix (one row a
source), which turns every formula into its Jacobian: all formulas are linear in the sources once the sign
of each absolute value is fixed (`senses`).

Frame: X right, Y away from the operator, Z up; mm and rad. Sources and signs as in `knowledge/sources.toml`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from askew.engine.physics import face
from askew.engine.physics.limits import PhysicsError
from askew.engine.setup import Setup, Unknown, resolve, unknowns

Number = NDArray[np.float64]

SHARES: Mapping[str, tuple[float, float]] = {
    # how much of the blank's taper a grip turns into roll: 0 to 1, evenly
    "taper_share": (0.5, 0.29),
    # how much of the squeeze is left as hollow after release, across and along: 0.2 to 1
    "squeeze_share": (0.6, 0.23),
    "squeeze_along": (0.3, 0.3),
    # movement of a wall of the part beside the rise of its front edge
    "wall_share": (0.6, 0.3),
    # a bow along the face beside the bow across it
    "bow_along": (0.6, 0.5),
    # conventional milling pulls the cutter in or pushes it off
    "conventional_bend": (-0.3, 0.6),
    # a square used without turning it round adds its own error, either way
    "square_either_way": (0.0, 1.0),
    # a part creeps evenly from pass to pass (0), or slips at one joint (1)
    "slip_at_once": (0.0, 0.7),
    # what a part that slips between passes leaves of it as hollow or crown: the middle stays with one side
    "slip_beside_middle": (0.0, 0.4),
    # which way the teeth of a tilt across the feed fall about the middle of the face
    "teeth_either_way": (0.0, 1.0),
    # how a slack slide happens to lie during a reading, either way
    "slack_either_way": (0.0, 0.5),
}
"""Mid and one standard deviation of factors that no setup fact gives. Judgement, within stated limits."""


def seat_share(facts: Mapping[str, Any]) -> tuple[float, float]:
    """Return how far the part follows the fixed jaw (1) rather than the bed (0), and its uncertainty.

    Judgement: jaw from a grip of half the depth, bed from a fifth of it, in between in proportion.
    """
    if facts["seat"] is not None:
        return (1.0 if facts["seat"] == "jaw" else 0.0), 0.0
    ratio = facts["grip_height"] / facts["part_depth"]
    share = float(np.clip((ratio - 0.2) / 0.3, 0.0, 1.0))
    return share, float(np.sqrt(share * (1.0 - share)))


def parameters(setup: Setup) -> tuple[Unknown, ...]:
    """Return every number of the situation that is not known, with middle and spread."""
    facts = facts_of(setup)
    share, spread = seat_share(facts)
    seat = (Unknown("seat_share", share, spread),) if spread > 0.0 else ()
    swivels = facts["moving_jaw_contact"] in ("bar", "ball")
    shares = [Unknown(k, *v) for k, v in SHARES.items() if not (k == "taper_share" and swivels)]
    return (*unknowns(setup), *seat, *shares)


def facts_of(setup: Setup, changes: Mapping[str, float] | None = None) -> dict[str, Any]:
    """Return the facts of a setup with every gap filled and every share at its middle, then changed."""
    facts = dict(resolve(setup))
    facts["seat_share"] = seat_share(facts)[0]
    facts.update({key: value[0] for key, value in SHARES.items()})
    if facts["moving_jaw_contact"] in ("bar", "ball"):
        facts["taper_share"] = 0.0  # the contact swivels, so that the blank's taper does not turn it
    facts["pushes"] = setup.moving_jaw_contact != "plain"  # where nobody said, there may be a bar
    facts.update(changes or {})
    return facts


@dataclass
class Scene:
    """The derived quantities of one situation.

    Attributes:
        facts: From `facts_of`.
        sources: Size of every source, mm or rad; all of one shape.
        senses: Fixed sign of each absolute value by name (1, -1, or 0 inside a dead zone); where a name is
            missing the true absolute value is taken.
        limits: After a formula was evaluated with fixed senses: the quantities that must be positive for
            those senses to hold, by name.
    """

    facts: Mapping[str, Any]
    sources: Mapping[str, Number]
    senses: Mapping[str, int] = field(default_factory=dict)
    limits: dict[str, list[Number]] = field(default_factory=dict)

    def __getitem__(self, source: str) -> Number:
        """Return a source's size."""
        return self.sources[source]

    def size(self, key: str) -> float:
        """Return a number of the setup, or a share of `SHARES`; draws of one where the facts hold an array."""
        value: float = self.facts[key]
        return value

    # --- machine -------------------------------------------------------------------------------------

    @property
    def t_x(self) -> Number:
        """Cutter plane against the table, plus rises to the right."""
        return self["tram"] - self["lean_side"]

    @property
    def t_y(self) -> Number:
        """Cutter plane against the table, plus rises to the back."""
        return self["nod"] - self["lean_fore"]

    @property
    def p_x(self) -> Number:
        """Cutter plane against the X slide."""
        return self.t_x - self["table_slope"]

    @property
    def p_y(self) -> Number:
        """Cutter plane against the Y slide."""
        return self.t_y - self["saddle_slope"]

    @property
    def v_x(self) -> Number:
        """Lean of the vertical travel in use, top right."""
        return -self.t_x if self.facts["vertical_travel"] == "quill" else self["lean_side"]

    @property
    def v_y(self) -> Number:
        """Lean of the vertical travel in use, top back."""
        return -self.t_y if self.facts["vertical_travel"] == "quill" else self["lean_fore"]

    @property
    def jaw(self) -> Number:
        """Lean of the fixed jaw with its plate, from the square of the vise bed."""
        return self["fixed_jaw_lean"] + self["jaw_plate_seat"]

    # --- grip ----------------------------------------------------------------------------------------

    @property
    def push(self) -> Number:
        """What lifts the front edge by the grip, mm; a plain jaw has nothing that pushes off centre."""
        push = self["off_centre_push"] if self.facts["pushes"] else 0.0 * self["off_centre_push"]
        return self["jaw_lift"] + push

    @property
    def flex(self) -> Number:
        """Lean of the fixed jaw under load, as far as the part follows it."""
        return self.size("seat_share") * self["fixed_jaw_flex"]

    @property
    def jaw_roll(self) -> Number:
        """Roll of a part that follows the fixed jaw, plus: front lifts."""
        return (
            self.jaw
            - self["bed_tilt_y"]
            + self["fixed_jaw_flex"]
            + self.push / self.size("part_depth")
            + (self["chip_behind_jaw"] + self["reference_rock"]) / self.size("grip_height")
            + self.size("taper_share") * self["blank_taper"]
        )

    @property
    def bed_roll(self) -> Number:
        """Roll of a part that sits down on the bed or the parallels, plus: front lifts."""
        return (
            -self["bed_tilt_y"]
            + (self["chip_under_part"] + self.push) / self.size("part_depth")
            + self["parallels_uneven"] / self.size("parallel_spacing")
        )

    @property
    def roll(self) -> Number:
        """Roll of the gripped part about X, plus: front lifts, the top of the reference face leans back."""
        share = self.size("seat_share")
        return share * self.jaw_roll + (1.0 - share) * self.bed_roll

    @property
    def squeeze(self) -> Number:
        """Elastic tilt of the face while it is cut, plus: front up."""
        return self["wall_squeeze"] / self.size("part_depth")

    # --- cut -----------------------------------------------------------------------------------------

    def absolute(self, name: str, value: Number) -> Number:
        """Return the size of a value, or the value times its fixed sense."""
        sense = self.senses.get(name)
        if sense is None:
            return np.abs(value)
        self.limits[name] = [sense * value]
        return sense * value

    def beyond(self, name: str, value: Number, zone: Number) -> Number:
        """Return what of a value reaches beyond a dead zone of +-`zone`, with its sign."""
        sense = self.senses.get(name)
        if sense is None:
            return np.sign(value) * np.maximum(0.0, np.abs(value) - zone)
        if sense == 0:
            self.limits[name] = [zone - value, zone + value]
            return 0.0 * value
        self.limits[name] = [sense * value - zone]
        return value - sense * zone

    def tilts(self, axis: str) -> tuple[Number, Number, Number, Number]:
        """Return cutter plane against the slides along and across the feed, and the slopes of those slides."""
        if axis == "x":
            return self.p_x, self.p_y, self["table_slope"], self["saddle_slope"]
        return self.p_y, self.p_x, self["saddle_slope"], self["table_slope"]

    @property
    def later_is_back(self) -> float:
        """1 where the later passes lie at the back (right for feed along Y), else -1."""
        return 1.0 if self.facts["pass_order"] in ("front_to_back", "left_to_right") else -1.0

    @property
    def drift(self) -> Number:
        """How much deeper the cut was at its end than at its start, mm."""
        return self["tool_pullout"] + self["spindle_growth"] + self["part_slip"]

    def slope_across(self, axis: str) -> Number:
        """Slope of the cut across the feed, plus: rises to the back (right for feed along Y)."""
        f = self.facts
        along, across, _, slide = self.tilts(axis)
        diameter, width, passes = self.size("cutter_diameter"), f["part_across"], f["passes"]
        if passes == 1:
            return slide + across + self._chord(axis, along)
        row = (diameter, width, passes, min(f["pass_spacing"], diameter), f["overrun"])
        try:
            share = face.envelope_slope_share(*row)
            lean, jump = (face.drift_lean(*row, steadily=steadily) for steadily in (True, False))
        except PhysicsError:
            share, lean, jump = 0.2, 1.0 / width, 1.5 / width
        grown = lean * (self["tool_pullout"] + self["spindle_growth"])
        once = self.size("slip_at_once")
        slipped = (once * jump + (1.0 - once) * lean) * self["part_slip"]
        return slide + share * across - self.later_is_back * (grown + slipped)

    def _chord(self, axis: str, along: Number) -> Number:
        """Slope of the chord of the hollow left by a cutter off the middle."""
        f = self.facts
        diameter, offset = self.size("cutter_diameter"), f["cutter_offset"]
        if offset == 0.0:
            return 0.0 * along
        width = min(f["part_across"], diameter - 2.0 * abs(offset))
        if width <= 0.0:
            return 0.0 * along
        return self.absolute(f"p_{axis}", along) * face.chord_slope(1.0, diameter, width, offset)

    @property
    def rise_x(self) -> Number:
        """Slope of the cut to the right."""
        return self["table_slope"] if self.facts["feed_axis"] == "x" else self.slope_across("y")

    @property
    def rise_y(self) -> Number:
        """Slope of the cut to the back, whatever the feed axis."""
        return self["saddle_slope"] if self.facts["feed_axis"] == "y" else self.slope_across("x")

    @property
    def tip(self) -> Number:
        """Tilt of the cut face to the reference face's square: roll + squeeze + slope of the cut."""
        return self.roll + self.squeeze + self.rise_y

    def arch(self, axis: str, width: float) -> Number:
        """Hollow across that a tilt along the feed leaves, mm."""
        f = self.facts
        along = self.tilts(axis)[0]
        diameter = self.size("cutter_diameter")
        try:
            if f["passes"] == 1:
                offset = f["cutter_offset"]
                reach = min(width, diameter - 2.0 * abs(offset))
                share = face.hollow_share(diameter, reach, 1, 0.0, True, offset)
            else:
                spacing = min(f["pass_spacing"], diameter)
                share = face.hollow_share(diameter, width, f["passes"], spacing, f["overrun"])
        except PhysicsError:
            share = face.hollow(1.0, diameter, min(width, diameter))
        return self.absolute(f"p_{axis}", along) * share

    def stepped(self, axis: str, width: float) -> Number:
        """Hollow across that is left of steps: of what grew deeper from pass to pass, and of a tilt across, mm."""
        f = self.facts
        diameter = self.size("cutter_diameter")
        row = (diameter, width, f["passes"], min(f["pass_spacing"], diameter), f["overrun"])
        try:
            deeper, teeth = face.drift_hollow(row), face.teeth_hollow(row)
        except PhysicsError:
            deeper = teeth = 0.0
        grown = self["tool_pullout"] + self["spindle_growth"]
        return deeper * grown + teeth * self.size("teeth_either_way") * self.tilts(axis)[1]

    def joint(self, axis: str, spacing: float, moved: Number) -> Number:
        """True step at a joint between passes, back (right) minus front (left), mm.

        Args:
            axis: Feed axis.
            spacing: Distance between the passes, mm.
            moved: How much higher the back (right) pass ran than the front (left) one, mm.
        """
        along, across, *_ = self.tilts(axis)
        spacing = min(spacing, self.size("cutter_diameter"))
        zone = self.absolute(f"p_{axis}", along) * face.dead_zone(1.0, self.size("cutter_diameter"), spacing)
        return self.beyond("step", moved - across * spacing, zone)
