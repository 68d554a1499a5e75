"""The length a reading was taken over, told elsewhere in the message: a sweep's circle, the depth of a hole."""

from __future__ import annotations

from dataclasses import replace

from askew.engine.language.clauses.message import PLACES, Message
from askew.engine.language.numbers.measured import LARGEST_VALUE, is_span
from askew.engine.language.numbers.quantities import Quantity
from askew.engine.language.observed.length_over import span_mm
from askew.engine.language.observed.run_lengths import run_before
from askew.engine.observations import Observation, Reading, SetupFact
from askew.engine.units import Habit

_LEAST_CIRCLE = 3
"""What a bare number must be at least to be the circle of a sweep, in inches or mm."""

_SWEEPS = ("sweep_x", "sweep_y")

_PART_SIZES = {"part_across", "part_along", "part_depth"}

_DEPTHS = {
    "jaw_run": "jaw_width",
    "hole_lean_x": "hole_depth",
    "hole_lean_y": "hole_depth",
    "wall_taper": "wall_height",
}


def share_circle(message: Message, facts: list[Observation], habit: Habit | None) -> None:
    """Take one circle for both axes of a sweep told together, and one that was named in a clause of its own.

    Args:
        message: The message the facts were read from.
        facts: The facts, changed in place.
        habit: The unit that a bare number is in.
    """
    for place, fact in enumerate(facts):
        only = isinstance(fact, Reading) and fact.value == 0 and len([f for f in facts if isinstance(f, Reading)]) == 1
        if isinstance(fact, Reading) and fact.id in _SWEEPS and (fact.value or only) and fact.over is None:
            circles = _circles(message)
            if len(circles) == 1:
                facts[place] = replace(fact, over=span_mm(message, circles[0], habit))
    _give_circle_to_nothing(facts)
    sweeps = [fact for fact in facts if isinstance(fact, Reading) and fact.id in _SWEEPS and fact.value]
    overs = {fact.over for fact in sweeps} - {None}
    both = [fact for fact in facts if isinstance(fact, Reading) and fact.id in _SWEEPS]
    if len(both) == 2 and not both[0].value and both[1].over is not None and _led_by_circle(message):
        facts[facts.index(both[0])] = replace(both[0], over=both[1].over)
    if len(both) == 2 and both[1].value == 0 and both[1].over is None:  # it is swung round on one circle
        facts[facts.index(both[1])] = replace(both[1], over=both[0].over)
    if len(sweeps) == 2 and len(overs) == 1:
        over = overs.pop()
        facts[:] = [
            replace(fact, over=over) if isinstance(fact, Reading) and fact in sweeps else fact for fact in facts
        ]


def _give_circle_to_nothing(facts: list[Observation]) -> None:
    """Turn a circle told for the job into that of the only sweep, which found nothing on it."""
    readings = [fact for fact in facts if isinstance(fact, Reading)]
    told = [fact for fact in facts if isinstance(fact, SetupFact) and fact.key == "sweep_diameter"]
    if len(readings) != 1 or len(told) != 1 or readings[0].id not in _SWEEPS:
        return
    circle = told[0].value
    if readings[0].value == 0 and readings[0].over is None and isinstance(circle, float):
        kept = [fact for fact in facts if fact is not told[0]]
        facts[:] = [replace(fact, over=circle) if fact is readings[0] else fact for fact in kept]


def _led_by_circle(message: Message) -> bool:
    """Tell whether a circle opens the message, so that all that follows was read on it: "6 inch circle: x nothing"."""
    opened = next((at for at, token in enumerate(message.tokens) if token.kind == "mark"), 0)
    return any(quantity.end <= opened for quantity in _circles(message))


_CLIMBED = "square_travel_"
"""What is read on two sides of one square while the spindle goes up once."""


def _run_first(message: Message) -> bool:
    """Tell whether it is told how far the spindle went, what was read on one side, and then of the other.

    "Up 80 mm, it drifts 0.02 left, front to back nothing".
    """
    told = [quantity for quantity in message.prepared if not quantity.junk and not quantity.pronoun]
    nothing = [spot.start for spot in message.spots if spot.name in ("nothing", "not_move")]
    climbed = bool(told) and (told[0].mm or 0) > LARGEST_VALUE
    return climbed and len(told) > 1 and bool(nothing) and told[1].head < max(nothing)


def share_length(message: Message, facts: list[Observation]) -> None:
    """Give a reading told "over the same depth" the length of the one before it; the facts change in place."""
    over: float | None = None
    for place, fact in enumerate(facts):
        if not isinstance(fact, Reading) or fact.value is None:
            continue
        beside = facts[place - 1] if place else None
        climbed = isinstance(beside, Reading) and beside.id.startswith(_CLIMBED) and fact.id.startswith(_CLIMBED)
        if climbed and fact.value == 0 and fact.over is None and isinstance(beside, Reading) and _run_first(message):
            facts[place] = replace(fact, over=beside.over)
        texts = [message.text_at(at) for at in message.tokens_of(fact.words)]
        same = any(
            one in ("over", "in", "on", "across") and two in ("the", "that") and three == "same"
            and four in ("", "again", "length", "depth", "height", "distance", "travel", "circle", "span")
            for one, two, three, four in zip(texts, texts[1:], texts[2:], [*texts[3:], ""], strict=False)
        )
        if same and fact.over is None and over is not None:
            facts[place] = replace(fact, over=over)
        over = fact.over or over


def take_run_length(message: Message, facts: list[Observation], habit: Habit | None) -> None:
    """Give the only reading of a needle that ran somewhere the length that was told in a clause of its own.

    Args:
        message: The message the facts were read from.
        facts: The facts, changed in place.
        habit: The unit that a bare number is in.
    """
    readings = [place for place, fact in enumerate(facts) if isinstance(fact, Reading)]
    if len(readings) != 1:
        return
    fact = facts[readings[0]]
    if not isinstance(fact, Reading) or not fact.value or fact.over is not None:
        return
    ran = run_before(message, fact.id)
    if ran and not any(_is_size_of(other, ran[0]) for other in facts):
        facts[readings[0]] = replace(fact, over=span_mm(message, ran[0], habit))


def _is_size_of(fact: Observation, quantity: Quantity) -> bool:
    """Tell whether a fact of the setup is made of a quantity."""
    return isinstance(fact, SetupFact) and fact.value == (None if quantity.mm is None else float(quantity.mm))


def _circles(message: Message) -> list[Quantity]:
    """Return the quantities that are told for the circle of a sweep."""
    return [
        quantity
        for quantity in message.quantities
        if (is_span(quantity) or (quantity.mm or 0) > LARGEST_VALUE or _bare_size(quantity))
        and (message.names(quantity.end, quantity.end + 3) | message.names(quantity.start - 2, quantity.start))
        & {"circle", "sweep", "length:sweep_diameter"}
        and (quantity.unit is not None or not message.names(quantity.start - 1, quantity.start) & PLACES)
    ]  # "sweep front 5" is read at the front


def _bare_size(quantity: Quantity) -> bool:
    """Tell whether a number without a unit is too large for an error."""
    return quantity.unit is None and not quantity.junk and not quantity.pronoun and quantity.value >= _LEAST_CIRCLE


def take_hole_depth(message: Message, facts: list[Observation]) -> None:
    """Take the depth of a hole, the height of a wall or the length of a jaw as what its lean was taken over.

    Args:
        message: The message the facts were read from.
        facts: The facts, changed in place.
    """
    depths = {fact.key: fact.value for fact in facts if isinstance(fact, SetupFact)}
    tapers = [fact for fact in facts if isinstance(fact, Reading) and fact.id == "wall_taper"]
    if tapers and tapers[0].value is not None and tapers[0].over is None and "wall_height" not in depths:
        deep = depths.get("part_depth")  # "1.25 deep" beside a taper is the wall's, not the part's
        if isinstance(deep, float):
            _give_depth_to_taper(facts, tapers[0], deep)
        if isinstance(depths.get("part_height"), float) and not _PART_SIZES & depths.keys():
            _call_height_the_walls(facts)
            depths["wall_height"] = depths["part_height"]
    for place, fact in enumerate(facts):
        if isinstance(fact, Reading) and fact.id == "jaw_run" and not message.has("over_jaw"):
            continue  # that the jaws are six inches wide does not say that all of it was measured
        if isinstance(fact, Reading) and fact.value is not None and fact.over is None:
            depth = depths.get(_DEPTHS.get(fact.id, ""))
            if isinstance(depth, float):
                facts[place] = replace(fact, over=depth)
    _tell_depth_once(facts)


def _give_depth_to_taper(facts: list[Observation], taper: Reading, deep: float) -> None:
    """Turn the depth of the part into what the taper of a wall was taken over."""
    facts[:] = [
        replace(fact, over=deep) if fact is taper else fact
        for fact in facts
        if not (isinstance(fact, SetupFact) and fact.key == "part_depth")
    ]


def _call_height_the_walls(facts: list[Observation]) -> None:
    """Turn the height of the part into that of its wall."""
    facts[:] = [
        replace(fact, key="wall_height") if isinstance(fact, SetupFact) and fact.key == "part_height" else fact
        for fact in facts
    ]


def _tell_depth_once(facts: list[Observation]) -> None:
    """Leave out the depth of a hole that its lean was told over."""
    leans = [fact for fact in facts if isinstance(fact, Reading) and fact.id.startswith("hole_lean")]
    overs = {fact.over for fact in leans if fact.value}
    told = [fact for fact in facts if isinstance(fact, SetupFact) and fact.key == "hole_depth" and fact.value in overs]
    facts[:] = [fact for fact in facts if fact not in told]
