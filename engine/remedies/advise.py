"""From a cause that is believed to its remedy, worked out, said, and with what must prove it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from askew.engine.physics.limits import PhysicsError
from askew.engine.remedies.arithmetic import ARITHMETIC, Case, plain
from askew.engine.remedies.draws import Samples
from askew.engine.remedies.parts import ASSUMED, BEWARE, COSTS, SHOWS, TO_DO, Part, sentences
from askew.engine.remedies.proof import Proof, proofs
from askew.engine.remedies.result import Cost, Fix, RemedyError
from askew.engine.remedies.shims import PLACES
from askew.engine.remedies.tram import Round
from askew.engine.setup import Setup
from askew.engine.units import Habit
from askew.knowledge.load import load


@dataclass(frozen=True, slots=True)
class Advice:
    """A remedy worked out for one case.

    Attributes:
        title: What it is, and how long it takes.
        parts: Steps, what the cut will show, what it costs and what to beware of, in the person's units.
        cautions: Ids of cautions.
        predicts: By reading id, the 90% interval that the proving reading must lie in, mm.
        fix: The arithmetic behind it; None where the remedy has none.
        proofs: The predictions that `proof.judge` takes; empty without draws.
    """

    title: str
    parts: tuple[Part, ...]
    cautions: tuple[str, ...]
    predicts: Mapping[str, tuple[float, float]]
    fix: Fix | None = None
    proofs: tuple[Proof, ...] = ()

    @property
    def lines(self) -> tuple[str, ...]:
        """All of it as sentences, without headings."""
        return (self.title, *sentences(self.parts))


def advise(
    source: str,
    remedy_id: str,
    size: tuple[float, float, float],
    setup: Setup,
    unit: Habit,
    samples: Samples | None = None,
    rounds: Sequence[Round] = (),
    holds: str = "squareness",
) -> Advice:
    """Return a remedy for a source, worked out in the person's units.

    Args:
        source: The cause, as a source id.
        remedy_id: A remedy id.
        size: Its middle and the ends of its interval, mm or rad.
        setup: The setup in force.
        unit: The person's habit.
        samples: Draws of every source as now believed, each shape (n,); with them the proving readings are
            predicted from the whole belief, without them from the fix alone.
        rounds: Rounds of adjusting the head made so far, oldest first.
        holds: What of the face is to be held: squareness, flatness, parallelism or step.

    Raises:
        RemedyError: if there is no such source or remedy.
    """
    known = load()
    remedy = known.remedies.get(remedy_id)
    if remedy is None or source not in known.sources:
        raise RemedyError(f"There is no remedy {remedy_id[:60]!r} for {source[:60]!r}.")
    case = Case(source, size[0], setup, unit, samples, rounds, holds)
    reckon = ARITHMETIC.get(remedy.arithmetic or "none", plain)
    try:
        fix = reckon(case)
    except PhysicsError as error:
        # A size that no shop has: the steps still stand, and the reason is said.
        fix = Fix(remedy.name, (), Cost(remedy.minutes), warnings=(str(error),))
    proven: tuple[Proof, ...] = ()
    if samples is not None and remedy.kind == "fix" and not _leave_it(fix):
        proven = proofs(
            remedy.verify,
            (source,),
            samples,
            setup,
            actions=remedy.does,
            tolerance=setup.tolerance,
            left=_left(source, size[0], fix),
        )
    predicts = {e.reading: (e.low, e.high) for e in fix.predicts} | {
        p.reading: (p.low, p.high) for p in proven
    }
    return Advice(
        _title(remedy.name, remedy.minutes, fix),
        _parts(known.steps_of(remedy, fix.steps), fix, size, case),
        tuple(dict.fromkeys((*fix.cautions, *remedy.cautions))),
        predicts,
        fix,
        proven,
    )


def _title(name: str, minutes: float, fix: Fix) -> str:
    took = fix.cost.minutes or minutes
    does = "not needed" if _leave_it(fix) else f"about {took:.0f} min"
    return f"{name[0].upper()}{name[1:]}: {does}."


def _parts(steps: Sequence[str], fix: Fix, size: tuple[float, float, float], case: Case) -> tuple[Part, ...]:
    unsure = _unsure(size, case) if fix.predicts and not fix.parts else ()
    parts: list[Part] = [
        *(fix.parts or [(TO_DO, tuple(steps))]),
        (SHOWS, fix.shows),
        (COSTS, costs(fix)),
        (BEWARE, (*fix.warnings, *unsure)),
        (ASSUMED, fix.assumed),
    ]
    return tuple((heading, tuple(texts)) for heading, texts in parts if texts)


def costs(fix: Fix) -> tuple[str, ...]:
    """Return what a fix costs besides its minutes."""
    found = (
        [f"Stiffness: {fix.cost.stiffness[0].lower()}{fix.cost.stiffness[1:]}"] if fix.cost.stiffness else []
    )
    if fix.cost.disturbs:
        found.append(f"What was read of the {' and the '.join(fix.cost.disturbs)} before no longer counts.")
    return tuple(found)


def _unsure(size: tuple[float, float, float], case: Case) -> tuple[str, ...]:
    """Say so where even the direction of the correction is not known."""
    _, low, high = size
    if low < 0.0 < high and not load().sources[case.source].one_sided:
        return ("Even its direction is not certain yet: measure it before turning a bolt.",)
    return ()


def _leave_it(fix: Fix) -> bool:
    """Say whether the arithmetic found that the part does not need the fix."""
    return bool(fix.steps) and fix.steps[0].startswith("Leave it")


def _left(source: str, mid: float, fix: Fix) -> dict[str, float]:
    """Return one standard deviation of what the fix leaves, where that is more than on a healthy machine."""
    if "need" in fix.numbers:
        return {source: min(fix.numbers["need"], abs(mid)) / 2.0}
    if "left" in fix.numbers and source in PLACES:
        return {source: max(abs(fix.numbers["left"]), 1e-5)}
    return {}
