"""A plan in shop words and in the person's units."""

from __future__ import annotations

from askew.engine.phrases import chance_words
from askew.engine.remedies.parts import BEWARE, CARRY_OUT, HOLDING, NEAREST, WORTH, Part, sentences
from askew.engine.remedies.plan import Outlook, Plan
from askew.engine.remedies.result import Habit
from askew.engine.remedies.ways import Way
from askew.engine.units import format_length, format_span
from askew.knowledge.load import load

_KINDS = {
    "end_mill": "end mill",
    "face_mill": "face mill",
    "shell_mill": "shell mill",
    "fly_cutter": "fly cutter",
}
_CONTACTS = {
    "plain": "plain jaw", "bar": "round bar at the moving jaw", "paper": "paper over the whole moving jaw",
    "soft": "soft sheet over the whole moving jaw",
}  # fmt: skip
_ASKED = {
    "flatness": "flat within", "squareness": "square to the reference face within",
    "parallelism": "parallel to the bottom within", "step": "no step above",
}  # fmt: skip


def plan_parts(answer: Plan, habit: Habit, corrections: bool = True) -> tuple[Part, ...]:
    """Return what holds, or that none does and why, and the cheapest correction where one was looked for."""
    if answer.holding:
        parts: list[Part] = [
            (HOLDING, tuple(outlook_line(found, habit) for found in answer.holding)),
            (CARRY_OUT, way_steps(answer.holding[0].way, habit)),
        ]
    else:
        parts = [(NEAREST, tuple(_none(answer, habit)))]
    if answer.correction is not None:
        fixes = " and ".join(load().remedies[id_].name for id_ in answer.correction.remedies)
        then = outlook_line(answer.correction.outlook, habit)
        parts.append((WORTH, (f"{fixes} ({answer.correction.minutes:.0f} min once); then {then}",)))
    elif not answer.holding and corrections:
        parts.append((BEWARE, ("No one or two corrections of the machine or the vise would make one hold.",)))
    return tuple(parts)


def asked_line(answer: Plan, habit: Habit) -> str:
    """Return what was asked of a plan, in one sentence."""
    asked = ", ".join(f"{_ASKED[name]} {format_length(mm, habit)}" for name, mm in answer.asked.items())
    return f"Asked: {asked}, in {100 * answer.sure:.0f} parts of 100. {answer.tried} ways were tried."


def plan_lines(answer: Plan, habit: Habit, corrections: bool = True) -> tuple[str, ...]:
    """Return the same as sentences, without headings."""
    said = ("None holds.",) if not answer.holding else ()
    return (asked_line(answer, habit), *said, *sentences(plan_parts(answer, habit, corrections)))


def outlook_line(found: Outlook, habit: Habit) -> str:
    """Return one way with its minutes and chances."""
    each = ", ".join(f"{name} in {chance_words(chance)}" for name, chance in found.chances.items())
    together = f"; all together in {chance_words(found.together)}" if len(found.chances) > 1 else ""
    return f"{way_name(found.way, habit)}: {found.minutes:.0f} min; {each}{together}."


def way_name(way: Way, habit: Habit) -> str:
    """Return a way of cutting in one phrase."""
    cutter = f"{format_span(way.tool.diameter, habit)} {_KINDS[way.tool.kind]}"
    passes = (
        "one pass"
        if way.passes == 1
        else f"{way.passes} passes {format_span(way.spacing, habit)} apart, "
        f"{'all fed the same way' if way.one_way else 'to and fro'}"
    )
    grip = _CONTACTS[way.hold.contact] + (
        "" if way.hold.force == 1.0 else f" at {100 * way.hold.force:.0f}% force"
    )
    sides = ", both sides in turn" if way.faces == "both in turn" else ""
    return f"{cutter}, {passes}, feed along {way.feed_axis.upper()}{sides}, {grip}"


def way_steps(way: Way, habit: Habit) -> tuple[str, ...]:
    """Return what to do to carry a way out."""
    steps = [f"Clean and deburr; grip with a {_CONTACTS[way.hold.contact]}, snug, tap down, tighten."]
    if way.hold.force != 1.0:
        steps[0] += f" Pull to {100 * way.hold.force:.0f}% of the usual torque."
    if way.passes == 1:
        steps.append(
            "Set the cutter over the middle of the part, to a millimetre: off centre a tilt leans the face."
        )
    else:
        steps.append(
            f"Run the passes {format_span(way.spacing, habit)} apart and on until the cutter has left "
            "both sides."
        )
        steps.append(
            "Feed every pass the same way and lift off for the return."
            if way.one_way
            else "Feed to and fro; lock what does not move."
        )
    if way.faces == "both in turn":
        steps.append("Skim this face, turn over and skim the other, then finish this one lightly.")
    return tuple(steps)


def _none(answer: Plan, habit: Habit) -> list[str]:
    near = answer.nearest
    lines = [
        outlook_line(near, habit),
        f"What limits it is {answer.limits}: nine in ten come out within "
        f"{format_length(near.reach[answer.limits], habit)}, "
        f"{format_length(answer.asked[answer.limits], habit)} is asked.",
    ]
    if answer.blame:
        names = ", ".join(
            f"{load().sources[source].short} (+{100 * gain:.0f} in 100)" for source, gain in answer.blame
        )
        lines.append(f"It would gain most without: {names}.")
    return lines
