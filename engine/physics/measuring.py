"""What an instrument shows, and how far to trust it. Lengths mm, angles rad."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from itertools import pairwise
from typing import Literal

from askew.engine.physics.limits import PhysicsError, between, number, positive
from askew.knowledge.schema import Positive, Table, Text

SquareGrade = Literal["00", "0", "1", "2"]
PlateGrade = Literal["0", "I", "II", "III"]

LIGHT_GAP = 0.002
"""Smallest gap that shows light at a lapped straight edge on a ground face, mm (common reference)."""

MILLED_LIGHT_GAP = 0.006
"""The same on a milled face, mm; 0.005 to 0.01, common practice, no source."""


def lever_true(reading: float, angle: float) -> float:
    """Return the true movement from a lever indicator's reading, mm.

    Args:
        reading: What the dial shows, mm.
        angle: Between the stylus and the surface, rad: 0 lying along it, which is right.

    Source: true = reading * cos(angle), as printed in gauge makers' catalogues; for a plain ball stylus.
    """
    return number("reading", reading) * math.cos(between("stylus angle", angle, 0.0, math.radians(75), "rad"))


def lever_error(angle: float) -> float:
    """Return by what part of the true movement a lever indicator reads too much at a stylus angle."""
    return 1.0 / math.cos(between("stylus angle", angle, 0.0, math.radians(75), "rad")) - 1.0


def rounded(value: float, resolution: float) -> float:
    """Return a value as a dial of that resolution shows it."""
    positive("resolution", resolution)
    return round(number("value", value) / resolution) * resolution


def resolution_scatter(resolution: float) -> float:
    """Return one standard deviation that a resolution alone gives, mm: resolution/sqrt(12).

    Source: JCGM 100:2008 (GUM), F.2.2.1: even over the interval of one digit.
    """
    return positive("resolution", resolution) / math.sqrt(12.0)


def hysteresis_shown(value: float, before: float, slack: float) -> float:
    """Return what an instrument with slack shows at `value` after it stood at `before`, mm.

    The needle follows only once the slack is taken up: half of it is missing on the way up, half too much on
    the way down; inside the slack the needle stays.
    """
    between("hysteresis", slack, 0.0, 10.0)
    half = slack / 2
    if value - before > half:
        return value - half
    if before - value > half:
        return value + half
    return before


@dataclass(frozen=True, slots=True)
class Reversal:
    """Two readings with the square turned round between them.

    Attributes:
        part: What the part or the travel is out, in the unit of the readings.
        square: What the square is out.
    """

    part: float
    square: float


def reverse(first: float, turned: float) -> Reversal:
    """Split two readings of one thing, square as it was and turned round, into part and square.

    As it was the square's own error adds to the reading, turned round it takes off: half the sum is the
    part, half the difference the square.
    """
    a, b = number("first reading", first), number("reading with the square turned", turned)
    return Reversal((a + b) / 2, (a - b) / 2)


def two_corners(fixed_side: float, moving_side: float, taper: float = 0.0) -> Reversal:
    """Split the corners at the fixed and the moving jaw's side into tilt of the cut and the square's error.

    Args:
        fixed_side: Corner at the reference face, plus open, slope.
        moving_side: Corner at the opposite face, plus open, slope.
        taper: Taper of the blank, plus thicker at the top, slope.

    A tilt opens one corner and closes the other; a square that is out does the same to both.
    """
    tilt = (number("second corner", moving_side) - number("first corner", fixed_side) + taper) / 2
    return Reversal(tilt, (moving_side + fixed_side + taper) / 2)


class LengthLaw(Table):
    """A grade or tolerance that grows with the length: `base` + L/`per` micrometres over L mm."""

    name: Text
    base: float
    per: Positive
    source: Text

    def over(self, length: float) -> float:
        """Return it over a length in mm, mm."""
        return (self.base + length / self.per) / 1000


@cache
def standards() -> Mapping[str, LengthLaw]:
    """Return the length laws of published standards, by id."""
    text = files("askew.knowledge").joinpath("standards.toml").read_text(encoding="utf-8")
    return {id_: LengthLaw.model_validate(table) for id_, table in tomllib.loads(text).items()}


def square_grade(grade: SquareGrade, length: float) -> float:
    """Return how far a square of a grade may be out over a length, mm, rounded half up to whole micrometres.

    Source: DIN 875-1: 2 + L/100, 5 + L/50, 10 + L/20, 20 + L/10 micrometres for grades 00, 0, 1, 2.
    """
    positive("length of the square", length, high=5000)
    law = standards()[f"square_{_known('grade', grade, '00 0 1 2')}"]
    return math.floor(1000 * law.over(length) + 0.5 + 1e-9) / 1000


def plate_grade(grade: PlateGrade, length: float) -> float:
    """Return the flatness a surface plate of a grade must keep over its longer side, mm.

    Source: DIN 876: 4 + L/250, 10 + L/100, 20 + L/50, 40 + L/25 micrometres for grades 0, I, II, III.
    """
    positive("length of the plate", length, high=10000)
    return standards()[f"plate_{_known('grade', grade, '0 I II III')}"].over(length)


def spindle_square_tolerance(length: float, wide: bool = False) -> float:
    """Return what an accepted machine's spindle may be out of square to its table over a length, mm.

    0.02 mm over 300 mm: ISO 10791-2 and Schlesinger's acceptance charts; `wide`: 0.025, ISO 1701-2 and ISO
    1984-2. All from memory.
    """
    positive("length", length, high=10000)
    return standards()["spindle_square_wide" if wide else "spindle_square"].over(length)


def _known(name: str, value: str, choices: str) -> str:
    if value not in choices.split():
        raise PhysicsError(f"The {name} must be one of {', '.join(choices.split())}, not {value!r}.")
    return value


def gap_under_straight_edge(
    heights: list[float] | tuple[float, ...], places: list[float] | tuple[float, ...]
) -> float:
    """Return the largest gap under a straight edge laid on a face, mm.

    Args:
        heights: Heights of the face along the edge, mm.
        places: Where, mm, ascending.

    The edge rests on the upper hull of the heights: on the ends of a hollow face, on the top of a crown
    (where the gap is then taken with the edge level with the ends' line, as a person balances it).
    """
    if len(heights) != len(places) or len(heights) < 3:
        raise PhysicsError("The heights must be at least three, one for each place.")
    hull: list[int] = []
    for i in range(len(places)):
        while len(hull) >= 2 and _over(places, heights, hull[-2], hull[-1], i):
            hull.pop()
        hull.append(i)
    worst = 0.0
    for a, b in pairwise(hull):
        for i in range(a + 1, b):
            line = heights[a] + (heights[b] - heights[a]) * (places[i] - places[a]) / (places[b] - places[a])
            worst = max(worst, line - heights[i])
    return worst


def _over(
    x: list[float] | tuple[float, ...], z: list[float] | tuple[float, ...], a: int, b: int, c: int
) -> bool:
    """Say whether b lies on or under the line from a to c."""
    return (z[b] - z[a]) * (x[c] - x[a]) <= (z[c] - z[a]) * (x[b] - x[a])


def light_shows(gap: float, ground: bool = False) -> bool:
    """Say whether light is seen through a gap under a straight edge on a ground, or else a milled, face."""
    return gap >= (LIGHT_GAP if ground else MILLED_LIGHT_GAP)
