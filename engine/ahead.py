"""Looking ahead in a consultation: what a cut would look like in another setup, and the arithmetic of a fix."""

from __future__ import annotations

from collections.abc import Sequence

from askew.engine.foresee import ForeseeError, look_ahead
from askew.engine.observations import Observation, SetupFact
from askew.engine.remedies.advise import advise
from askew.engine.remedies.result import RemedyError
from askew.engine.standing import Standing
from askew.engine.units import Habit, format_length, format_span
from askew.knowledge.load import load

DRAWS = 400

SHOWN = (
    "face_out_of_square",
    "hollow_across",
    "hollow_along",
    "step",
    "ridge",
    "face_out_of_parallel_across",
    "face_out_of_parallel_along",
)
"""Readings worth telling of a cut that is not made yet, in this order."""


def what_if(facts: Sequence[Observation], standing: Standing, unit: Habit) -> list[str]:
    """Return what the cut would read with some setup facts changed, from the sizes believed now."""
    changes = {
        fact.key: fact.value for fact in facts if isinstance(fact, SetupFact) and fact.value is not None
    }
    if not changes:
        return ["Say what would be different, for example: what if I used a 50 mm cutter in three passes?"]
    sizes = {n.source: n.probability * n.mid for n in standing.numbers if n.source != "unlisted"}
    now = standing.case.setup
    try:
        before = look_ahead(now, sizes).readings
        after = look_ahead(now.having(**changes), sizes)
    except ForeseeError as error:
        return [f"{error} {error.hint}"]
    lines = ["From what is believed of this machine and grip so far, the cut would read:"]
    known = load().readings
    for id_ in SHOWN:
        was, will = before[id_], after.readings[id_]
        if max(abs(was.value), abs(will.value)) < 1e-4:
            continue
        over = f" over {format_span(will.over, unit)}" if will.over else ""
        way = known[id_].plus if will.value >= 0 else known[id_].minus
        then = f"{format_length(abs(will.value), unit)}{over}, {way}"
        lines.append(f"  {known[id_].name}: {then} (as it is: {format_length(abs(was.value), unit)})")
    assumed = [load().setup[key].name for key in after.assumed]
    if assumed:
        lines.append("Taken as usual, since nobody said: " + ", ".join(assumed) + ".")
    return lines if len(lines) > 1 else ["Nothing that is known so far would show in it."]


def how_to_fix(about: str | None, standing: Standing, unit: Habit) -> list[str]:
    """Return the first remedy of a cause, or a named remedy, worked out in the person's units."""
    known = load()
    if not standing.numbers:
        return ["There is nothing to fix yet. Say what came out wrong."]
    remedy, source = about if about in known.remedies else None, None
    if about in known.sources:
        source = about
    elif remedy is not None:
        served = known.remedies[remedy].serves
        source = next((n.source for n in standing.numbers if n.source in served), served[0])
    else:
        source = standing.named[0] if standing.named else standing.numbers[0].source
    if remedy is None:
        serving = [id_ for id_, r in known.remedies.items() if source in r.serves]
        remedy = min(
            serving, key=lambda id_: (known.remedies[id_].kind != "fix", known.remedies[id_].minutes)
        )
    numbers = next((n for n in standing.numbers if n.source == source), None)
    if numbers is None:
        return [f"{known.sources[str(source)].short} does not come into it here."]
    try:
        advice = advise(
            str(source),
            remedy,
            (numbers.mid, numbers.low, numbers.high),
            standing.case.setup,
            unit,
            samples=standing.samples(DRAWS),
        )
    except RemedyError as error:
        return [str(error)]
    lines = list(advice.lines)
    if standing.verdict is None and standing.next is not None:
        lines.insert(0, "It is not settled yet; a check comes first. If it is so:")
    for id_, (low, high) in advice.predicts.items():
        name = known.readings[id_].name
        lines.append(
            f"Proof: {name} should then read {format_length(low, unit)} to {format_length(high, unit)}."
        )
    lines += [f"Take care: {known.cautions[id_].text}" for id_ in advice.cautions if id_ in known.cautions]
    return lines


def live_with(standing: Standing, unit: Habit) -> list[str]:
    """Return how to cut within tolerance with the machine as it stands."""
    known = load().remedies
    plans = [id_ for id_, remedy in known.items() if remedy.arithmetic == "plan"]
    if not standing.numbers or not plans:
        return ["Say what came out wrong first; then I can reckon with what is known of the machine."]
    served = [n.source for n in standing.numbers]
    best = min(
        plans, key=lambda id_: min((served.index(s) for s in known[id_].serves if s in served), default=99)
    )
    return how_to_fix(best, standing, unit)
