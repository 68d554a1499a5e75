"""A size of the job that a reading was never taken over: the wall in "the middle fell 0.03, the wall being 8 mm"."""

from __future__ import annotations

from dataclasses import replace
from math import isclose

from askew.engine.language.clauses.message import Message
from askew.engine.observations import Observation, Reading, SetupFact
from askew.engine.units import UNITS

_NEVER_GONE_OVER = {
    *("cutter_diameter", "small_cutter_diameter", "cutter_stickout", "cutter_offset", "wall", "grip_height"),
    *("pass_spacing", "parallel_spacing", "tolerance"),
}
_SAME = 0.02
_ANGLES = {name for name, unit in UNITS.items() if unit.kind == "angle"}
_OVER_NOTHING = {
    *("release_change", "clamp_rise", "clamp_rise_plain", "clamp_jaw_flex", "lock_shift", "holder_mark"),
    "cooled_change",
    *("spring_pass", "step", "reversed_step", "cross_feed_step", "ridge", "twist", "parallels_height"),
}
"""What is the movement or the height of one place, and taken over no length; an angle alone is told over one."""


def drop_sizes_not_gone_over(message: Message, facts: list[Observation]) -> None:
    """Take the size of something else away from the readings that it was given to; the facts change in place.

    Args:
        message: The message the facts were read from.
        facts: The facts.
    """
    sizes = [fact.value for fact in facts if isinstance(fact, SetupFact) and fact.key in _NEVER_GONE_OVER]
    for place, fact in enumerate(facts):
        if not isinstance(fact, Reading) or fact.over is None or fact.value is None:
            continue
        if fact.id in _OVER_NOTHING and fact.unit not in _ANGLES:
            facts[place] = replace(fact, over=None)
            continue
        over = fact.over
        if any(isinstance(size, float) and isclose(size, over, rel_tol=_SAME) for size in sizes) and not any(
            quantity.span and isclose(float(quantity.mm or 0), over, rel_tol=_SAME) for quantity in message.prepared
        ):
            facts[place] = replace(fact, over=None)
