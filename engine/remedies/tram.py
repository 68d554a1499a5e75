"""Setting a head true: which way, how far at the tapping point, where to aim before tightening.

Signs as in the readings: a sweep is plus where the cutter plane stands higher at the right (back), which is
where the needle reads *less*. A plus slope means that the top of the head leans left (forward), so it has to
go right (back).

For a small turn of the head by `turn` (rad, plus raises the right or back), a point at distance `x` from the
spindle's middle rises by `turn * (x - pivot)`, and a needle there reads that much less. Source: small
rotation of a rigid body about a pivot.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from askew.engine.remedies.head_need import Need
from askew.engine.remedies.result import Cost, Expect, Fix, RemedyError, angle, finite, positive, side
from askew.engine.remedies.tightening import USUAL_SCATTER, Move, next_move
from askew.engine.units import Habit, format_length, format_slope, format_span
from askew.knowledge.load import load

Axis = Literal["x", "y"]
_ENDS = {"x": ("right", "left"), "y": ("back", "front")}
_LEANS = {"x": ("right", "left"), "y": ("back", "forward")}
_NAME = {"x": "side to side", "y": "front to back"}
_MINUTES_A_ROUND = 8.0
_MINUTES_TO_START = 10.0


@dataclass(frozen=True, slots=True)
class Round:
    """One round of adjusting: the sweep with the bolts snug, then with them tight; mm over the sweep."""

    snug: float
    tight: float


@dataclass(frozen=True, slots=True)
class Head:
    """Where the head turns and where it is tapped.

    Attributes:
        arm: Height of the tapping point above the pivot, mm; minus: below it.
        pivot: Distance of the pivot from the spindle's middle along the sweep, mm; plus: right, back. A
            head that tilts sideways turns about a point above the spindle (0); a nod joint lies well behind.
    """

    arm: float = 150.0
    pivot: float = 0.0


@dataclass(frozen=True, slots=True)
class Aim:
    """One round of tramming worked out.

    Attributes:
        slope: The cutter plane now, rad, against what is wanted.
        snug: What the sweep must read with the bolts snug, before they are tightened, mm.
        turn: By how much the head must turn, rad; plus raises the right (back).
        tap: Movement at the tapping point, mm; plus to the right (back).
        watch: The end where the needle stays while tapping.
        start: What the needle reads there, once zeroed at the other end, mm.
        stop: What it must read there when the tapping is done, mm.
        both_rise: The pivot lies outside the sweep, so that both ends move the same way.
        move: The predicted move on tightening, mm of sweep.
        done: The sweep is already within what the part needs.
    """

    slope: float
    snug: float
    turn: float
    tap: float
    watch: str
    start: float
    stop: float
    both_rise: bool
    move: Move
    done: bool


def aim(
    axis: Axis,
    reading: float,
    sweep: float,
    *,
    need: float,
    rounds: Sequence[Round] = (),
    head: Head | None = None,
    goal: float = 0.0,
) -> Aim:
    """Return the next round of tramming.

    Args:
        axis: "x" for tram, "y" for nod.
        reading: The sweep with the bolts tight, mm over `sweep`; sign as `sweep_x` and `sweep_y`.
        sweep: Diameter of the swept circle, mm.
        need: Largest slope that the part allows, rad; infinite where it does not matter.
        rounds: Earlier rounds, oldest first, over the same circle.
        head: The head's geometry; None for a usual one.
        goal: The slope wanted, rad: that of the slide which carries the feed, 0 where it is not known.

    Raises:
        RemedyError: for a circle or a tolerance that is not positive, or a number that is not finite.
    """
    head = head or Head()
    finite("sweep reading", reading)
    positive("diameter of the sweep", sweep)
    if not need > 0.0:
        raise RemedyError("The tilt that the part allows must be more than zero.")
    if head.arm == 0.0:
        raise RemedyError("The tapping point must be above or below the pivot; nothing moves level with it.")
    move = next_move([r.tight - r.snug for r in rounds], USUAL_SCATTER * sweep)
    wanted = goal * sweep
    snug = wanted - move.mid
    turn = (snug - reading) / sweep
    plus, minus = _ENDS[axis]
    place = -sweep / 2.0 if reading >= 0.0 else sweep / 2.0
    start = abs(reading)
    return Aim(
        slope=(reading - wanted) / sweep,
        snug=snug,
        turn=turn,
        tap=-turn * head.arm,
        watch=minus if reading >= 0.0 else plus,
        start=start,
        stop=start - turn * (place - head.pivot),
        both_rise=abs(head.pivot) > sweep / 2.0,
        move=move,
        done=abs(reading - wanted) <= need * sweep,
    )


def tram(
    axis: Axis,
    reading: float,
    sweep: float,
    *,
    need: Need,
    rounds: Sequence[Round] = (),
    head: Head | None = None,
    goal: float = 0.0,
    habit: Habit = "mm",
) -> Fix:
    """Return the next round of setting the head true, as steps.

    Args and errors as in `aim`; `need` is what the part allows (`head_need`), `habit` the person's unit.
    """
    head = head or Head()
    plan = aim(axis, reading, sweep, need=need.slope, rounds=rounds, head=head, goal=goal)
    allowed = need.slope * sweep
    chance = plan.move.chance_within(plan.move.mid - allowed, plan.move.mid + allowed)
    low, high = plan.move.interval()
    # Nobody stops before the part's need is met; where there is none, the tightening decides.
    reach = min(allowed, (high - low) / 2.0) + 1.645 * load().readings[f"sweep_{axis}"].scatter
    expected = Expect(f"sweep_{axis}", goal * sweep - reach, goal * sweep + reach, sweep)
    numbers = {
        "slope": plan.slope,
        "snug": plan.snug,
        "tap": plan.tap,
        "stop": plan.stop,
        "start": plan.start,
        "move": plan.move.mid,
        "need": need.slope,
        "chance": chance,
        "rounds": float(len(rounds)),
    }
    title = "tram the head" if axis == "x" else "take the nod out of the head"
    if plan.done:
        return Fix(title, _leave(axis, plan, sweep, need, habit), Cost(0.0), numbers)
    return Fix(
        title,
        _steps(axis, reading, sweep, plan, need, head, habit),
        Cost(
            _MINUTES_TO_START + _MINUTES_A_ROUND / max(chance, 0.2),
            "None if the bolts go back to their full torque.",
            ("head",),
        ),
        numbers,
        shows=_shows(need),
        predicts=(expected,),
        cautions=("isolate_power", "sweep_by_hand", "support_head", "spindle_clear"),
        warnings=_warnings(plan, sweep, need, habit),
    )


def _leave(axis: Axis, plan: Aim, sweep: float, need: Need, habit: Habit) -> tuple[str, ...]:
    left = format_slope(abs(plan.slope), sweep, habit)
    allowed = (
        f"this part allows {format_slope(need.slope, sweep, habit)}"
        if need.slope < 1.0
        else "nothing asked of this part depends on it"
    )
    return (f"Leave it: {_NAME[axis]} the head is {left} out and {allowed}.",)


def _steps(
    axis: Axis, reading: float, sweep: float, plan: Aim, need: Need, head: Head, habit: Habit
) -> tuple[str, ...]:
    plus, minus = _ENDS[axis]
    high = side(reading, plus, minus)
    way = side(plan.tap, *_LEANS[axis])
    top = side(-plan.turn, *_LEANS[axis])
    where = f"{format_span(abs(head.arm), habit)} {'above' if head.arm > 0 else 'below'} the pivot"
    steps = [
        "Power off, spindle in neutral. Lock column, quill and knee; they stay locked from here on.",
        "Slacken the head bolts to snug, not slack, and keep the head supported.",
        f"The cutter plane stands {format_slope(abs(reading / sweep), sweep, habit)} high at the {high} "
        f"(the needle reads more at the {minus if high == plus else plus}): "
        f"the top of the head has to go {top}, by {angle(plan.turn)}.",
        f"Tap {where}: it has to move {format_length(abs(plan.tap), habit)} {way}. "
        "A second indicator there shows it.",
    ]
    other = plus if plan.watch == minus else minus
    if abs(reading) > 0.0:
        steps.append(
            f"Zero the needle at the {other}, swing to the {plan.watch} (it reads "
            f"{format_length(plan.start, habit)}) and stay there; tap until it reads "
            f"{format_length(plan.stop, habit)}."
        )
    if plan.both_rise:
        steps.append(
            "Both ends move the same way, since the pivot lies outside the sweep: halfway is not the mark "
            "here."
        )
    if plan.move.rounds:
        steps.append(
            f"Swept snug it should read {_signed(plan.snug, axis, habit)}: tightening has moved it "
            f"{_signed(plan.move.mid, axis, habit)} so far, so aim off by that much."
        )
    steps += [
        "Tighten crosswise in three stages, sweep again and write both sweeps down.",
        f"Stop when the sweep is within {format_slope(need.slope, sweep, habit)}; true enough for this part."
        if need.slope < 1.0
        else "Nothing asked of this part depends on it: one round is enough.",
    ]
    return tuple(steps)


def _signed(value: float, axis: Axis, habit: Habit) -> str:
    text = format_length(abs(value), habit)
    if text.split()[0].strip("0.") == "":
        return "level"
    return f"{text} high at the {side(value, *_ENDS[axis])}"


def _shows(need: Need) -> tuple[str, ...]:
    what = {
        "hollow_across": "The hollow across the feed shrinks in proportion; feed marks cross equally both "
        "ways.",
        "step": "The steps between passes shrink in proportion.",
        "face_out_of_square": "The lean of the face front to back shrinks by what the head gave it, no more.",
        "face_out_of_parallel_across": "The thickness across the feed evens out by what the head gave it.",
    }.get(need.limits)
    return (what,) if what else ("Feed marks cross equally both ways; the size of the error hardly changes.",)


def _warnings(plan: Aim, sweep: float, need: Need, habit: Habit) -> tuple[str, ...]:
    found = []
    low, high = plan.move.interval()
    if plan.move.rounds >= 2 and (high - low) / 2.0 > need.slope * sweep:
        found.append(
            f"Tightening scatters by {format_length((high - low) / 2.0, habit)} either way, more than the "
            "part "
            "allows: clean the joint faces, tighten in smaller stages, or work round the tilt."
        )
    if abs(plan.slope) > 0.02:
        found.append("More than a degree out: set the head by a square first, then sweep.")
    return tuple(found)
