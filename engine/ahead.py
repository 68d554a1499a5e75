"""Looking ahead in a consultation: what a cut would look like in another setup, and the arithmetic of a fix."""

from __future__ import annotations

import re
from collections.abc import Sequence

import numpy as np

from askew.engine.foresee import ForeseeError, look_ahead
from askew.engine.mend import Mend, asked_fix, last_sweep, proof_out, rounds_of, swept_over
from askew.engine.next_cut import ENOUGH, LEANING, NextCut, alongside, next_cut
from askew.engine.observations import Observation, SetupFact
from askew.engine.phrases import capital, chance_words
from askew.engine.remedies.advise import Advice, advise
from askew.engine.remedies.arithmetic import handy
from askew.engine.remedies.first import remedy_for
from askew.engine.remedies.parts import ALONGSIDE, ASSUMED, CARE, PROOF, TO_DO, laid_out, merged
from askew.engine.remedies.result import RemedyError
from askew.engine.remedies.shims import PLACES
from askew.engine.remedies.tram import Round
from askew.engine.seam import ProofOut
from askew.engine.setup import Setup
from askew.engine.standing import Standing
from askew.engine.units import Habit, format_length, format_span
from askew.knowledge.load import load

DRAWS = 400
HARDLY = 0.6
"""Part of the complaint that a fix leaves from which it is said to leave most of it."""
BY_TOLERANCE = frozenset({"tram", "nod", "hollow_work", "cooling", "squaring_block", "plan"})
"""Reckonings that go by what the part may be out."""
UNTOLD = (
    "sweep_diameter", "bed_length", "travel", "jaw_height", "jaw_width", "part_depth", "part_height",
    "small_cutter_diameter",
)  # fmt: skip
"""Lengths that a remedy goes by, told or not."""
GUESSED = {
    "shim": ("bed_length", "jaw_height"), "jaw_lift": ("part_depth", "part_height"),
    "hollow_work": ("part_depth", "part_height"), "clamp_force": ("part_depth",),
}  # fmt: skip
"""Those that are said to be guessed where a reckoning goes by them and nobody told."""

HELD = {
    "hollow_across": "flatness", "hollow_along": "flatness", "ridge": "flatness", "twist": "flatness",
    "face_out_of_parallel_across": "parallelism", "face_out_of_parallel_along": "parallelism", "step": "step",
}  # fmt: skip
"""The tolerance that a plan must hold, by complaint; squareness for the others."""
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
    # Another cutter, or another number of passes, is spaced anew.
    anew = {"pass_spacing": None} if changes.keys() & {"cutter_diameter", "passes"} else {}
    try:
        before = look_ahead(now, sizes).readings
        after = look_ahead(now.having(**{**anew, **changes}), sizes)
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


def how_to_fix(about: str | None, standing: Standing, unit: Habit) -> tuple[list[str], Mend | None]:
    """Return a remedy worked out in the person's units, and what it promises.

    Args:
        about: A source, a remedy, or None for what leads.
        standing: Where the case stands.
        unit: The person's unit.

    Returns:
        Lines of plain text, and the fix asked for; None where there is none to make.
    """
    known = load()
    if not standing.numbers:
        return ["There is nothing to fix yet. Say what came out wrong."], None
    source, remedy = _meant(about, standing)
    advice = worked_out(source, remedy, standing, unit)
    if isinstance(advice, str):
        return [advice], None
    needless = bool(advice.fix and advice.fix.steps and advice.fix.steps[0].startswith("Leave it"))
    guessed = _guessed(remedy, advice, standing.case.setup, unit)
    assumed = (ASSUMED, (*guessed, *_assumed(remedy, standing, unit)))
    if needless:
        return [advice.title, *laid_out([(TO_DO, advice.lines[1:2]), assumed])], None
    cut = next_cut(standing, [source])
    more = alongside(standing, [source], cut)
    mend = asked_fix(source, remedy, standing)
    promised = proof_out(mend, standing.case, unit)
    hardly = (
        ("By itself this would leave most of what you complained of.",) if _hardly(promised, standing) else ()
    )
    parts = [
        *advice.parts,
        (TO_DO, tuple(_needled(remedy, standing))),
        assumed,
        (ALONGSIDE, tuple(_in_one_go(more))),
        (PROOF, (*(proof.says for proof in promised), *hardly, *_odds(cut, standing, unit))),
        (CARE, tuple(known.cautions[id_].text for id_ in advice.cautions if id_ in known.cautions)),
    ]
    lines = [advice.title, *laid_out(merged(parts))]
    if standing.verdict is None and standing.next is not None:
        lines.insert(
            0, f"It is not settled yet; a check comes first. If it is {known.sources[source].short}:"
        )
    return lines, mend


def _needled(remedy: str, standing: Standing) -> list[str]:
    """Return the steps by which a needle sees before the cut that the part leans, where the fix has none of its own."""
    known, complaint = load(), standing.case.complaint
    of = known.remedies[remedy]
    if complaint is None or complaint.fact.id not in LEANING or "needle" in (*of.before, *of.after):
        return []
    return [known.steps[id_].text for id_ in ("needle", "strip")]


def _odds(cut: NextCut | None, standing: Standing, unit: Habit) -> list[str]:
    """Say how likely the next cut is good with all of it done, where a tolerance was told to be good by."""
    if cut is None or not standing.case.setup.known("tolerance"):
        return []
    goal = format_length(cut.goal, unit)
    said = f"With that done, the chance that the next cut is within {goal} is {chance_words(cut.chance)}"
    if cut.chance >= ENOUGH or cut.by_needle is None or cut.by_needle < cut.chance + 0.01:
        return [f"{said}."]
    return [f"{said}; {chance_words(cut.by_needle)} once the needle up the reference face agrees."]


def _in_one_go(sources: Sequence[str]) -> list[str]:
    """Return the remedies of lesser suspects, each once, with what it is for."""
    known, wanted = load(), dict[str, list[str]]()
    for source in sources:
        wanted.setdefault(remedy_for(source), []).append(known.sources[source].short)
    return [
        f"{capital(known.remedies[id_].name)}, for {' and '.join(names)}." for id_, names in wanted.items()
    ]


def made_from(mend: Mend) -> str | None:
    """Return the setup key of what lies on the bench that a fix is made from; None where it needs nothing such."""
    shimmed = load().remedies[mend.remedy].arithmetic == "shim" and any(s in PLACES for s in mend.sources)
    return "leaves" if shimmed else None


def _hardly(promised: Sequence[ProofOut], standing: Standing) -> bool:
    """Say whether a fix would leave most of the complaint, as far as is believed."""
    wanted = [proof for proof in promised if proof.goal is not None]
    return bool(wanted and standing.size) and abs(wanted[0].mid) > HARDLY * abs(standing.size or 0.0)


def _meant(about: str | None, standing: Standing) -> tuple[str, str]:
    """Return the source and the remedy that are asked about: fixes before ways round, the quickest first."""
    known = load()
    if about in known.remedies:
        served = known.remedies[str(about)].serves
        return next((n.source for n in standing.numbers if n.source in served), served[0]), str(about)
    if about in known.sources:
        source = str(about)
    else:
        source = standing.named[0] if standing.named else standing.numbers[0].source
    return source, remedy_for(source)


def worked_out(source: str, remedy: str, standing: Standing, unit: Habit) -> Advice | str:
    """Return a remedy worked out for a source from what is believed; a sentence where it cannot be."""
    numbers = next((n for n in standing.numbers if n.source == source), None)
    if numbers is None:
        return f"{capital(load().sources[source].short)} does not come into it here."
    axis = "y" if load().remedies[remedy].arithmetic == "nod" else "x"
    setup = _in_round_inches(standing.case.setup, unit)
    if not standing.case.setup.known("sweep_diameter"):
        swept = swept_over(standing.case, axis) or setup.value("sweep_diameter")
        setup = setup.having(sweep_diameter=swept)
    rounds = [
        Round(snug, tight) for snug, tight in rounds_of(standing.case, axis, setup.value("sweep_diameter"))
    ]
    try:
        return advise(
            source, remedy, (numbers.mid, numbers.low, numbers.high), setup, unit,
            samples=_as_swept(standing, axis, rounds), rounds=rounds, holds=_to_hold(standing),
        )  # fmt: skip
    except RemedyError as error:
        return str(error)


def _to_hold(standing: Standing) -> str:
    """Return what of the face is to be held: that which came out wrong."""
    complaint = standing.case.complaint
    return HELD.get(complaint.fact.id, "squareness") if complaint is not None else "squareness"


def _in_round_inches(setup: Setup, unit: Habit) -> Setup:
    """Return a setup whose untold lengths are such as the person has, where they do not follow from told ones."""
    if unit != "in":
        return setup
    told = {value for value in setup.told().values() if isinstance(value, float)}
    untold = {key: setup.value(key) for key in UNTOLD if not setup.known(key)}
    return setup.having(
        **{
            key: handy(value, unit)
            for key, value in untold.items()
            if value is not None and value not in told
        }
    )


def _guessed(remedy: str, advice: Advice, setup: Setup, unit: Habit) -> list[str]:
    """Return the untold lengths of the part and the vise that stand in what is said, for the person to put right."""
    text, taken, names = " ".join(advice.lines), _in_round_inches(setup, unit), load().setup
    sizes = {
        names[key].name: format_span(taken.value(key), unit)
        for key in GUESSED.get(load().remedies[remedy].arithmetic or "", ())
        if not setup.known(key) and taken.value(key) not in setup.told().values()
    }
    return [
        f"The {name} is taken as {size}. Say yours to change it."
        for name, size in sizes.items()
        if re.search(rf"(?<![0-9.]){re.escape(size)}\b", text)
    ]


def _as_swept(standing: Standing, axis: str, rounds: Sequence[Round]) -> dict[str, np.ndarray]:
    """Return draws of what is believed; while a head is being set, with it as the last tightening left it.

    Belief weighs all sweeps since the head was moved alike; the last of a round alone knows what tightening did.
    """
    samples = standing.samples(DRAWS)
    last = last_sweep(standing.case, axis)
    if rounds and last is not None:
        tilt, lean = {"x": ("tram", "lean_side"), "y": ("nod", "lean_fore")}[axis]
        samples[tilt] = samples[tilt] + last - np.median(samples[tilt] - samples[lean])
    return samples


def _assumed(remedy: str, standing: Standing, unit: Habit) -> list[str]:
    """Say which tolerance was reckoned with, where nobody told one and the arithmetic needs it."""
    if standing.case.setup.known("tolerance") or load().remedies[remedy].arithmetic not in BY_TOLERANCE:
        return []
    return [
        f"No tolerance was told; {format_length(standing.tolerance, unit)} is assumed. Say yours to change it."
    ]


def live_with(standing: Standing, unit: Habit) -> tuple[list[str], str | None]:
    """Return how to cut within tolerance with the machine as it stands, and the setup key of what it chooses from."""
    known = load()
    served = [n.source for n in standing.numbers]
    if not served:
        return ["Say what came out wrong first; then I can reckon with what is known of the machine."], None
    # A squareness, flatness or step is planned for; what bends, slips or has slack has a way round of its own.
    plans = [id_ for id_, remedy in known.remedies.items() if remedy.arithmetic == "plan"]
    rank = {
        id_: min((served.index(s) for s in known.remedies[id_].serves if s in served), default=99)
        for id_ in plans
    }
    remedy = min(plans, key=rank.__getitem__)
    source = next((s for s in served if s in known.remedies[remedy].serves), served[0])
    advice = worked_out(source, remedy, standing, unit)
    if isinstance(advice, str):
        return [advice], None
    # The plan says for itself which way of cutting it means; another way round has a name and minutes.
    planned = bool(advice.fix and advice.fix.parts)
    head = "To cut it within tolerance with the machine as it is now believed to be:"
    parts = [
        *advice.parts,
        (ASSUMED, tuple(_assumed(remedy, standing, unit))),
        (CARE, tuple(known.cautions[id_].text for id_ in advice.cautions if id_ in known.cautions)),
    ]
    return [head if planned else advice.title, *laid_out(merged(parts))], "cutters" if planned else None
