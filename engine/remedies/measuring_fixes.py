"""Fixes of the measuring: the square's own error taken out, the lever's cosine, the wait for a warm part."""

from __future__ import annotations

import math

from askew.engine.physics.heat import FILM, REFERENCE, cooling_of_block, expansion, time_to_cool
from askew.engine.physics.materials import Material
from askew.engine.remedies.result import Cost, Expect, Fix, RemedyError, finite, positive, side
from askew.engine.units import Habit, format_length, format_slope, format_span


def square_reversal(
    one_corner: float,
    other_corner: float,
    over: float,
    *,
    blank_taper: float = 0.0,
    scatter: float = 0.008,
    habit: Habit = "mm",
) -> Fix:
    """Work the square's own error out of the two corners of one cut face.

    The cut face's tilt opens one corner as much as it closes the other, while the square's error opens both:
    half the difference is tilt, half the sum the square's own (each shifted by half the blank's taper).
    Source: reversal, as in any text on dimensional metrology.

    Args:
        one_corner: Out of square at the reference face, plus: open, mm over `over`.
        other_corner: The same at the moving-jaw side, mm.
        over: Height it was taken over, mm.
        blank_taper: How much thicker the blank is at the top than at the bottom, over the same height, mm.
        scatter: One standard deviation of each reading, mm.
        habit: The person's unit.

    Raises:
        RemedyError: if a number is not finite or the height is not positive.
    """
    for name, value in (("corner", one_corner), ("other corner", other_corner), ("taper", blank_taper)):
        finite(name, value)
    positive("height", over)
    tilt = (one_corner - other_corner - blank_taper) / 2.0
    own = (one_corner + other_corner + blank_taper) / 2.0
    unsure = positive("scatter of a reading", scatter) / math.sqrt(2.0)
    corner = side(tilt, "open", "closed")
    return Fix(
        title="take the square's own error out",
        steps=(
            f"Half the difference of the two corners: the part's corner is truly {corner} by "
            f"{format_length(abs(tilt), habit)} over {format_span(over, habit)}, "
            f"give or take {format_length(1.645 * unsure, habit)}.",
            f"Half their sum: the square itself reads a true corner {side(own, 'open', 'closed')} by "
            f"{format_length(abs(own), habit)} over {format_span(over, habit)}.",
            f"Take {format_length(own, habit)} off every reading over {format_span(over, habit)} made with "
            "it, "
            "or use it both ways round and take the mean.",
        ),
        cost=Cost(5.0),
        numbers={"tilt": tilt, "square_error": own / over, "own": own, "unsure": unsure},
        shows=("The cut has not changed; only the number for it has.",),
        predicts=(Expect("square_flip", 2.0 * own - 3.29 * unsure, 2.0 * own + 3.29 * unsure, over),),
        cautions=("sharp_burrs",),
        warnings=(
            ("The square's error is no larger than the readings scatter: nothing to correct yet.",)
            if abs(own) < 1.645 * unsure
            else ()
        ),
    )


def cosine(reading: float, degrees: float, *, habit: Habit = "mm") -> Fix:
    """Correct a lever indicator whose finger lies at an angle to the surface.

    True movement = reading times the cosine of the angle between finger and surface. Source: gauge makers'
    catalogues (10 deg 0.98 ... 60 deg 0.50).

    Args:
        reading: What the needle moved, mm.
        degrees: Angle between finger and surface, 0 to 75.
        habit: The person's unit.

    Raises:
        RemedyError: if the angle is out of range.
    """
    finite("reading", reading)
    finite("angle of the finger", degrees)
    if not 0.0 <= degrees <= 75.0:
        raise RemedyError(f"The finger's angle to the surface must be from 0 to 75 degrees, not {degrees:g}.")
    factor = math.cos(math.radians(degrees))
    true = reading * factor
    return Fix(
        title="allow for the finger's angle",
        steps=(
            f"At {degrees:g} degrees to the surface the needle moves 1/{factor:.3f} times too far: "
            f"{format_length(reading, habit)} read is {format_length(true, habit)} true.",
            "Lay the finger near parallel to the surface: up to 8 degrees it is within 1 in 100.",
            "A zero stays a zero: readings that should be equal at two places need no correction.",
        ),
        cost=Cost(1.0),
        numbers={"factor": factor, "true": true, "error": reading - true},
        shows=(f"Every reading so taken is {100.0 * (1.0 - factor):.1f}% smaller than it looked.",),
    )


def square_error_in_use(slope: float, over: float, *, habit: Habit = "mm") -> str:
    """Return one sentence on what a square that is out by `slope` does to a reading over `over` mm."""
    return (
        f"The square is out by {format_slope(abs(slope), over, habit)}: a true corner looks "
        f"{side(slope, 'open', 'closed')} by that."
    )


def cooling_wait(
    part: Material,
    sides: tuple[float, float, float],
    *,
    warmer: float,
    tolerance: float,
    place: str = "still_air",
    room: float = REFERENCE,
    habit: Habit = "mm",
) -> Fix:
    """Return how long a warm part has to lie before it is measured or finished.

    Until its longest side is within a tenth of the tolerance of its cold length. Lumped cooling and linear
    expansion from `physics.heat`.

    Args:
        part: What it is made of.
        sides: Its sides, mm.
        warmer: How much warmer than the room it is, K.
        tolerance: What it has to hold, mm.
        place: still_air, moving_air, iron_plate or coolant.
        room: Room temperature, degrees Celsius.
        habit: The person's unit.

    Raises:
        RemedyError: for a place or a size that cannot be.
    """
    if place not in FILM:
        raise RemedyError(f"A part cools in one of {', '.join(FILM)}, not {place[:40]!r}.")
    positive("tolerance", tolerance)
    if not 0.0 <= finite("how much warmer it is", warmer) <= 300.0:
        raise RemedyError(
            f"A part that can be handled is from 0 to 300 K warmer than the room, not {warmer:g}."
        )
    longest = max(sides)
    grown = expansion(part, longest, warmer)
    wanted = 0.1 * tolerance / (part.expansion * longest)
    minutes = {}
    for name, film in FILM.items():
        cool = cooling_of_block(part, sides, film)
        minutes[name] = time_to_cool(cool, room + warmer, room, wanted) / 60.0
    where = place.replace("_", " ")
    steps = [
        f"{warmer:.0f} K warm it is {format_length(grown, habit)} long over {format_span(longest, habit)}.",
        f"In {where} leave it {_wait(minutes[place])}: then it is within a tenth of the tolerance.",
    ]
    if place not in ("iron_plate", "coolant"):
        steps.append(
            f"On an iron plate it takes {_wait(minutes['iron_plate'])}, in coolant "
            f"{_wait(minutes['coolant'])}."
        )
    steps.append("Lay square, gauge and part side by side until they feel alike, and measure then.")
    return Fix(
        title="let it cool",
        steps=tuple(steps),
        cost=Cost(max(minutes[place], 0.0)),
        numbers={"grown": grown, **{f"minutes_{name}": value for name, value in minutes.items()}},
        shows=(f"The reading should change by up to {format_length(grown, habit)} and then stay.",),
        predicts=(Expect("cooled_change", -grown - 0.01, grown + 0.01),),
        cautions=("hot_work",),
    )


def _wait(minutes: float) -> str:
    if minutes < 1.0:
        return "a minute"
    return f"{minutes:.0f} minutes" if minutes < 90 else f"{minutes / 60:.1f} hours"
