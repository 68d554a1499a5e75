"""A second forward model of the readings, in plain scalar arithmetic, derived apart from the engine's own.

Axes: x to the right, y away from the operator, z up; mm and rad. A job is a mapping of setup facts with no gaps.
Every function returns what one reading should be (mm over the job's own lengths), from sizes by source.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import copysign, sqrt
from typing import Any

Job = Mapping[str, Any]
Sizes = Mapping[str, float]

TAPER_SHARE, HOLLOW_SHARE, HOLLOW_SHARE_ALONG, BOW_SHARE_ALONG = 0.5, 0.6, 0.3, 0.6
WALL_SHARE, CONVENTIONAL_SHARE = 0.6, -0.3
"""Middles of what only a range is known of."""


class Shop:
    """One job with its troubles; a source that is not named is zero."""

    def __init__(self, job: Job, sizes: Sizes) -> None:
        """Keep both."""
        self.job, self.sizes = job, sizes

    def __getitem__(self, source: str) -> float:
        """Return the size of a source."""
        return self.sizes.get(source, 0.0)

    # ---- machine

    def plane(self, axis: str) -> float:
        """Return the slope of the cutter plane against the table: the head rotates it up, a leaning column down."""
        return self["tram"] - self["lean_side"] if axis == "x" else self["nod"] - self["lean_fore"]

    def slide(self, axis: str) -> float:
        """Return how the cut climbs when the table travels along an axis."""
        return self["table_slope"] if axis == "x" else self["saddle_slope"]

    def plane_on_slide(self, axis: str) -> float:
        """Return the slope of the cutter plane against the travel."""
        return self.plane(axis) - self.slide(axis)

    def rise(self, axis: str) -> float:
        """Return the lean of whatever moves up and down; a quill stands on the cutter plane."""
        if self.job["vertical_travel"] == "quill":
            return -self.plane(axis)
        return self["lean_side"] if axis == "x" else self["lean_fore"]

    @property
    def feed(self) -> str:
        """Return the axis of the feed."""
        return str(self.job["feed_axis"])

    @property
    def cross(self) -> str:
        """Return the other axis."""
        return "y" if self.feed == "x" else "x"

    # ---- grip

    @property
    def on_jaw(self) -> bool:
        """Say whether the part follows the fixed jaw."""
        return bool(self.job["seat"] == "jaw")

    @property
    def push(self) -> float:
        """Return the lift of the front edge by a contact at one height; a flat jaw has no such contact."""
        return 0.0 if self.job["moving_jaw_contact"] == "plain" else self["off_centre_push"]

    def roll(self, depth: float | None = None) -> float:
        """Return the turn of the part about x, front up: what lifts its front over its depth, what leans its back."""
        lifted, depth = self["jaw_lift"] + self.push, depth or self.job["part_depth"]
        if self.on_jaw:
            swivels = self.job["moving_jaw_contact"] in ("bar", "ball")
            packed = (self["chip_behind_jaw"] + self["reference_rock"]) / self.job["grip_height"]
            shared = 0.0 if swivels else TAPER_SHARE * self["blank_taper"]
            leaning = self.jaw() - self["bed_tilt_y"] + self["fixed_jaw_flex"]
            return float(leaning + lifted / depth + packed + shared)
        under = self["parallels_uneven"] / self.job["parallel_spacing"]
        return float((lifted + self["chip_under_part"]) / depth + under - self["bed_tilt_y"])

    def jaw(self) -> float:
        """Return the lean of the fixed jaw from the square of the vise bed, with its plate."""
        return self["fixed_jaw_lean"] + self["jaw_plate_seat"]

    def squeeze(self) -> float:
        """Return the elastic tilt of the face while it is cut."""
        return self["wall_squeeze"] / self.job["part_depth"]

    # ---- cut

    def centres(self) -> list[float]:
        """Return where the passes run, across, from low to high; with run-off they go on until the face is left."""
        if self.job["passes"] == 1:
            return [self.job["cutter_offset"]]
        reach = 0.5 * (self.job["part_across"] + self.job["cutter_diameter"])
        count, s = self.job["passes"], self.job["pass_spacing"]
        found = [(k - 0.5 * (count - 1)) * s for k in range(count)]
        while self.job["overrun"] and found[-1] < reach:
            found = [found[0] - s, *found, found[-1] + s]
        return found

    def height(self, y: float) -> float:
        """Return the cut surface across at y: the lowest that any pass leaves there, less what no pass reaches."""
        r, tilt = 0.5 * self.job["cutter_diameter"], abs(self.plane_on_slide(self.feed))
        left = [
            self.slide(self.cross) * c + self.plane(self.cross) * (y - c) - tilt * sqrt(r * r - (y - c) ** 2)
            for c in self.centres()
            if abs(y - c) <= r
        ]
        return min(left)

    def across(self) -> float:
        """Return the slope of the face across: the chord in one pass, the straight line of best fit in many."""
        w = self.job["part_across"]
        if self.job["passes"] == 1:
            return (self.height(w / 2) - self.height(-w / 2)) / w
        n = 1501
        ys = [w * ((k + 0.5) / n - 0.5) for k in range(n)]
        zs = [self.height(y) for y in ys]
        return sum(y * z for y, z in zip(ys, zs, strict=True)) / sum(y * y for y in ys)

    def later_lower(self) -> float:
        """Return how much higher the last pass at the back (right) is; tools sink in time."""
        sunk = self["spindle_growth"] + self["tool_pullout"] + self["part_slip"]
        return -sunk if self.job["pass_order"] in ("front_to_back", "left_to_right") else sunk

    def to_back(self) -> float:
        """Return how the face climbs to the back: across for feed along x, else along the feed with the slide."""
        return self.across() if self.feed == "x" else self.slide("y")

    def to_right(self) -> float:
        """Return how the face climbs to the right."""
        return self.slide("x") if self.feed == "x" else self.across()


def out_of_square(shop: Shop) -> float:
    """A face that climbs to the back in the machine, or a part tipped front up, closes the corner at the fixed jaw."""
    h = shop.job["part_height"]
    lean = shop.roll() + shop.squeeze() + shop.to_back()
    return float(h * (shop["square_error"] - lean) + shop["dirt_at_check"])


def other_corner(shop: Shop) -> float:
    """The same lean opens the corner on the far side, less the taper between the two sides."""
    lean = shop.roll() + shop.squeeze() + shop.to_back()
    return float(
        shop.job["part_height"] * (lean - shop["blank_taper"] + shop["square_error"]) + shop["dirt_at_check"]
    )


def out_of_square_clamped(shop: Shop) -> float:
    """The reference face leans with the part; the needle itself is carried along the vertical travel."""
    return float((shop.roll() - shop.rise("y")) * shop.job["part_height"])


def _front_to_back(shop: Shop) -> float:
    return shop.roll() + shop.squeeze() + shop.to_back()


def _left_to_right(shop: Shop) -> float:
    return shop.to_right() - shop["bed_tilt_x"]


def out_of_parallel_across(shop: Shop) -> float:
    """Thickness grows with the climb of the face against the bottom."""
    slope = _front_to_back(shop) if shop.feed == "x" else _left_to_right(shop)
    return float(slope * shop.job["part_across"])


def out_of_parallel_along(shop: Shop) -> float:
    """The same, along the feed."""
    slope = _left_to_right(shop) if shop.feed == "x" else _front_to_back(shop)
    return float(slope * shop.job["part_along"])


def hollow_across(shop: Shop) -> float:
    """A rim tilted along its feed scoops by its sagitta; what bulged in the grip sinks, what bows comes up."""
    w = shop.job["part_across"]
    scoop = 0.5 * (shop.height(w / 2) + shop.height(-w / 2)) - shop.height(0.0)
    if shop.feed == "y" and shop.job["passes"] > 1:  # only then does the table travel across the face
        scoop += shop["table_droop"] * (w / shop.job["table_travel"]) ** 2
    return scoop + HOLLOW_SHARE * shop["wall_squeeze"] - shop["stress_bow"] - shop["part_deflect"]


def hollow_along(shop: Shop) -> float:
    """Along the feed the slide rules straight; a table that droops under it leaves its parabola."""
    share = (shop.job["part_along"] / shop.job["table_travel"]) ** 2 if shop.feed == "x" else 0.0
    bow = BOW_SHARE_ALONG * (shop["stress_bow"] + shop["part_deflect"])
    return float(shop["table_droop"] * share + HOLLOW_SHARE_ALONG * shop["wall_squeeze"] - bow)


def step(shop: Shop) -> float:
    """Between two passes the back one is up by the slide's climb, down by the plane's; the scoop hides some."""
    s, r = shop.job["pass_spacing"], 0.5 * shop.job["cutter_diameter"]
    rise = -shop.plane_on_slide(shop.cross) * s + shop.later_lower() / max(1, shop.job["passes"] - 1)
    hidden = abs(shop.plane_on_slide(shop.feed)) * sqrt(max(0.0, 2 * r * s - s * s))
    return copysign(max(0.0, abs(rise) - hidden), rise)


def ridge(shop: Shop) -> float:
    """Two equal scoops meet half a spacing from the bottom of each."""
    s, r = shop.job["pass_spacing"], 0.5 * shop.job["cutter_diameter"]
    return abs(shop.plane_on_slide(shop.feed)) * (r - sqrt(r * r - s * s / 4))


def depth_drift(shop: Shop) -> float:
    """All that lets the tool sink or the work rise as the cut goes on."""
    return shop["tool_pullout"] + shop["spindle_growth"] + shop["part_slip"]


def wall_taper(shop: Shop) -> float:
    """A spindle whose top leans to the front leaves the foot of a front wall back; a bent cutter leaves it proud."""
    job = shop.job
    side = job["wall_side"]
    if side in ("front", "back"):
        lean = -(shop.plane("y") + shop.roll()) * (1 if side == "front" else -1)
    else:
        lean = (shop.plane("x") - shop["bed_tilt_x"]) * (1 if side == "right" else -1)
    bend = shop["cutter_bend"] * (1.0 if job["milling_sense"] == "climb" else CONVENTIONAL_SHARE)
    return float(lean * job["wall_height"] + bend + shop["dull_edge"])


def hole_lean_x(shop: Shop) -> float:
    """A part whose right side is high is itself turned to the left, so that a plumb hole leans right in it."""
    wander = shop["drill_wander"] if shop.job["hole_made_by"] == "drilled" else 0.0
    return float((shop.rise("x") + shop["bed_tilt_x"]) * shop.job["hole_depth"] + wander)


def hole_lean_y(shop: Shop) -> float:
    """A part rolled back takes its own vertical with it."""
    wander = shop["drill_wander"] if shop.job["hole_made_by"] == "drilled" else 0.0
    return float((shop.rise("y") - shop.roll()) * shop.job["hole_depth"] + wander)


def end_out_of_square_plan(shop: Shop) -> float:
    """In plan: the side runs to the front as it goes right, the end drifts right as it goes back."""
    open_by = (shop["vise_skew"] - shop["axis_skew"] + shop["square_error"]) * shop.job["part_depth"]
    return float(open_by + shop["dirt_at_check"])


def block_out_of_square(shop: Shop) -> float:
    """A true block is gripped like the part, with its own depth and without the part's own faults."""
    trusted = {k: v for k, v in shop.sizes.items() if k not in ("reference_rock", "blank_taper")}
    roll = Shop(shop.job, trusted).roll(shop.job["block_depth"])
    return float((roll - shop.rise("y")) * shop.job["block_travel"])


def clamp_rise(shop: Shop) -> float:
    """All that lifts the front edge; a jaw that yields turns a part that follows it."""
    return shop["jaw_lift"] + shop.push + shop["wall_squeeze"] + _flex(shop)


def _flex(shop: Shop) -> float:
    return float(shop["fixed_jaw_flex"] * shop.job["part_depth"]) if shop.on_jaw else 0.0


def _run(source: str, sign: float, length: str) -> Callable[[Shop], float]:
    return lambda shop: float(sign * shop[source] * shop.job[length])


MODEL: Mapping[str, Callable[[Shop], float]] = {
    "face_out_of_square": out_of_square,
    "other_corner": other_corner,
    "face_out_of_square_clamped": out_of_square_clamped,
    "face_out_of_parallel_across": out_of_parallel_across,
    "face_out_of_parallel_along": out_of_parallel_along,
    "hollow_across": hollow_across,
    "hollow_along": hollow_along,
    "step": step,
    "ridge": ridge,
    "depth_drift": depth_drift,
    "wall_taper": wall_taper,
    "hole_lean_x": hole_lean_x,
    "hole_lean_y": hole_lean_y,
    "end_out_of_square_plan": end_out_of_square_plan,
    "block_out_of_square": block_out_of_square,
    "clamp_rise": clamp_rise,
    "clamp_rise_plain": clamp_rise,
    "clamp_wall": lambda s: WALL_SHARE * s["wall_squeeze"],
    "release_change": clamp_rise,
    "release_bow": lambda s: s["stress_bow"] - HOLLOW_SHARE * s["wall_squeeze"],
    # the disc of the sweep: half a turn apart, over the diameter
    "sweep_x": lambda s: float(s.plane("x") * s.job["sweep_diameter"]),
    "sweep_y": lambda s: float(s.plane("y") * s.job["sweep_diameter"]),
    "square_travel_x": lambda s: float(s.rise("x") * s.job["travel"]),
    "square_travel_y": lambda s: float(s.rise("y") * s.job["travel"]),
    # where the cut would climb, the table under a still needle falls
    "table_run_x": _run("table_slope", -1, "run_x"),
    "table_run_y": _run("saddle_slope", -1, "run_y"),
    "vise_bed_x": lambda s: float((s["bed_tilt_x"] - s.slide("x")) * s.job["jaw_width"]),
    "vise_bed_y": lambda s: float((s["bed_tilt_y"] - s.slide("y")) * s.job["bed_length"]),
    # a bed that is high at the back throws the jaw forward
    "fixed_jaw_travel": lambda s: float((s.jaw() - s["bed_tilt_y"] - s.rise("y")) * s.job["jaw_height"]),
    "fixed_jaw_square": lambda s: float((s.jaw() + s["square_error"]) * s.job["jaw_height"]),
    "jaw_run": _run("vise_skew", 1, "jaw_width"),
    "clamp_jaw_flex": _run("fixed_jaw_flex", 1, "jaw_height"),
    "square_flip": _run("square_error", 2, "square_blade"),
    "blank_thickness": _run("blank_taper", 1, "part_height"),
    "backlash_check_x": lambda s: s["backlash_x"],
    "backlash_check_y": lambda s: s["backlash_y"],
    "backlash_check_z": lambda s: s["backlash_z"],
    "push_pull_x": lambda s: s["gib_play_x"],
    "push_pull_y": lambda s: s["gib_play_y"],
    "push_pull_z": lambda s: s["gib_play_z"],
    "lock_shift": lambda s: s["gib_play_z"],
    "spindle_push_pull": lambda s: s["spindle_play"],
    "holder_mark": lambda s: s["tool_pullout"],
    "twist": lambda s: s["clamp_bend"],
}
