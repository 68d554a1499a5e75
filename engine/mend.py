"""A fix in a case: what it mends, what the proving cut must then read, and what the reading came to.

A fix is asked for, or recognised from what was done once the causes are named. Its prediction is made from the
belief before it and kept with the case, so that no later belief can bend it; the reading that follows closes
the case or reopens it, with the fix as evidence.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cache
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from pydantic import ConfigDict, TypeAdapter, ValidationError

from askew.engine.case import Case, Evidence
from askew.engine.observations import Reading, Sign
from askew.engine.phrases import capital
from askew.engine.remedies.head_need import Axis, head_need
from askew.engine.remedies.proof import Judgement, Proof, in_words, judge, proofs
from askew.engine.remedies.tightening import USUAL_SCATTER, next_move
from askew.engine.seam import ProofOut
from askew.engine.setup import Setup
from askew.engine.units import Habit, format_span
from askew.knowledge.load import load
from askew.knowledge.schema import Remedy

if TYPE_CHECKING:
    from askew.engine.standing import Standing

DRAWS = 400
MOST_PROOFS = 4
ALONG_THE_WAY = frozenset({"locked", "cleaned", "regripped", "recut"})
"""Actions that go with many fixes and name none of them."""


@dataclass(frozen=True)
class Mend:
    """A fix, asked for or made.

    Attributes:
        remedy: Remedy id.
        sources: What it mends, or works round.
        actions: What was done for it; what it amounts to where it is only asked for.
        asked: It was asked for, so that its steps were before the person.
        proofs: What the readings must come to; the complaint's first.
        when: When the last of it was done, in observations; -1 where it is only asked for.
    """

    __pydantic_config__ = ConfigDict(extra="forbid", allow_inf_nan=False)

    remedy: str
    sources: tuple[str, ...]
    actions: tuple[str, ...]
    asked: bool
    proofs: tuple[Proof, ...]
    when: int = -1


@cache
def _kept() -> TypeAdapter[Mend]:
    return TypeAdapter(Mend)


def to_json(mend: Mend) -> dict[str, Any]:
    """Return a fix as JSON values, for the record on disk."""
    found: dict[str, Any] = _kept().dump_python(mend, mode="json")
    return found


def from_json(data: object) -> Mend | None:
    """Return the fix that `to_json` wrote; None where it is not one, or names what is not known any more."""
    known = load()
    try:
        mend = _kept().validate_json(json.dumps(data), strict=True)
    except (ValidationError, TypeError, ValueError):
        return None
    of = {*mend.sources, *(source for proof in mend.proofs for source in proof.sources)}
    there = mend.remedy in known.remedies and of <= set(known.sources) and set(mend.actions) <= set(known.actions)
    whole = bool(mend.sources) and all(p.reading in known.readings and p.sources for p in mend.proofs)
    return mend if there and whole else None


# --- which fix ---------------------------------------------------------------------------------------------


def asked_fix(source: str, remedy: str, standing: Standing) -> Mend:
    """Return a fix that the person asked for, with what it promises from the belief as it stands."""
    does = tuple(load().remedies[remedy].does)
    return _promised(Mend(remedy, (source,), does, True, ()), standing, standing.case.setup)


def made_fix(actions: Sequence[str], standing: Standing, asked: Mend | None, after: Case) -> Mend | None:
    """Return the fix that some actions amount to, with what it promises; None where they are none.

    Args:
        actions: Action ids just told, or not counted before, in order.
        standing: Where the case stood before them.
        asked: The fix asked for last, not made yet.
        after: The case after them.
    """
    before = open_fix(standing.case)
    goes_on = ALONG_THE_WAY | set(before.actions if before else ()) - {"trammed", "shimmed"}
    if asked is None and before is not None and set(actions) <= goes_on:
        return None  # a head or a shim set once more is a fix anew
    so_far = tuple(dict.fromkeys((*(before.actions if before else ()), *actions)))
    first, last = [asked.remedy] if asked else [], [before.remedy] if before else []
    remedy = _remedy_of(so_far, [*first, *_serving(standing.named), *last])
    if remedy is None:
        return None
    known = load()
    touched = set(known.remedies[remedy].serves) | {s for action in so_far for s in known.actions[action].redraws}
    sources = [*(asked.sources if asked and asked.remedy == remedy else ()), *(before.sources if before else ())]
    sources += [source for source in standing.named if source in touched]
    if not sources:
        return None
    when = max((done.when for done in after.done if done.id in so_far), default=after.when)
    bare = Mend(remedy, tuple(dict.fromkeys(sources)), so_far, asked is not None and asked.remedy == remedy, (), when)
    return _promised(bare, standing, after.setup)


def redrawn(mend: Mend, actions: Iterable[str]) -> tuple[str, ...]:
    """Return the sources that start afresh with a fix and not with its actions alone, given what was just done."""
    known, done = load(), set(actions)
    remedy = known.remedies[mend.remedy]
    if remedy.kind != "fix" or not done & _own(mend.remedy):
        return ()
    by_action = {source for action in done for source in known.actions[action].redraws}
    return tuple(s for s in mend.sources if s in remedy.serves and s not in by_action and s != "unlisted")


def unmade(case: Case) -> list[str]:
    """Return what was done since the complaint, or since a fix was judged, and counts for none yet."""
    since = case.mends[-1].when if case.mends else -1
    return [done.id for done in case.done if done.when > since]


def _serving(sources: Iterable[str]) -> list[str]:
    """Return the remedies of some sources, fixes before ways round."""
    known = load().remedies
    return [
        id_
        for source in sources
        for id_ in sorted((i for i, r in known.items() if source in r.serves), key=lambda i: known[i].kind != "fix")
    ]


def _remedy_of(actions: Iterable[str], remedies: Iterable[str]) -> str | None:
    """Return the first remedy whose own actions were all done."""
    known, done = load().remedies, set(actions)
    for id_ in dict.fromkeys(remedies):
        if known[id_].does and _own(id_) <= done:
            return id_
    return None


def _own(remedy: str) -> set[str]:
    """Return the actions by which a remedy is known: those that go with few others, else the first."""
    does = load().remedies[remedy].does
    return set(does) - ALONG_THE_WAY or set(does[:1])


def open_fix(case: Case) -> Mend | None:
    """Return the fix in force that no reading of the complaint has judged yet."""
    mend = case.mends[-1] if case.mends else None
    return mend if mend is not None and proving(mend, case) is None else None


# --- what it promises --------------------------------------------------------------------------------------


def _promised(mend: Mend, standing: Standing, setup: Setup) -> Mend:
    """Return the fix with its predictions: the complaint first, then what else proves the remedy."""
    complaint, remedy = standing.case.complaint, load().remedies[mend.remedy]
    if complaint is None:
        return mend
    samples = standing.samples(DRAWS)
    mended = mend.sources if remedy.kind == "fix" else ()
    found = proofs(
        tuple(dict.fromkeys((complaint.fact.id, *remedy.verify)))[:MOST_PROOFS], mended, samples, standing.case.setup,
        actions=mend.actions, setup_after=setup, left=left_by(remedy, mend.sources, standing),
    )  # fmt: skip
    goals = {complaint.fact.id: standing.goal}
    found = (_as_measured(found[0], complaint.fact), *_telling(found[1:]))
    told = (replace(p, sources=mend.sources, tolerance=goals.get(p.reading)) for p in found)
    return replace(mend, proofs=tuple(told))


def _as_measured(proof: Proof, fact: Reading | Sign) -> Proof:
    """Return a prediction over the length that the complaint was measured over, where that was told."""
    over = fact.over if isinstance(fact, Reading) else None
    if not over or not proof.over or proof.reading != fact.id:
        return proof
    scale = over / proof.over
    return replace(
        proof, low=proof.low * scale, mid=proof.mid * scale, high=proof.high * scale,
        before=proof.before * scale, over=over,
    )  # fmt: skip


def _telling(found: Sequence[Proof]) -> tuple[Proof, ...]:
    """Return the predictions that differ from how things are by more than they scatter; the first where none does."""
    apart = tuple(p for p in found if abs(p.mid - p.before) > (p.high - p.low) / 2.0)
    return apart or tuple(found[:1])


def left_by(remedy: Remedy, sources: Sequence[str], standing: Standing) -> dict[str, float]:
    """Return what a fix leaves of each source, one standard deviation (rad), where that is more than usual.

    A head is set to what the part needs and no truer; a shim comes as near as leaves do, a tenth of the slope.
    """
    left: dict[str, float] = {}
    for n in standing.numbers:
        if n.source not in sources or n.source not in remedy.serves:
            continue
        if remedy.arithmetic in ("tram", "nod"):
            axis: Axis = "y" if remedy.arithmetic == "nod" else "x"
            asked = standing.tolerance
            need = head_need(axis, standing.case.setup, squareness=asked, flatness=asked, step=asked)
            left[n.source] = min(need.slope, abs(n.mid)) / 2.0
        elif remedy.arithmetic == "shim" and load().sources[n.source].unit == "slope":
            left[n.source] = max(0.1 * abs(n.mid), 0.005 / 300.0) / 2.0
    return {source: spread for source, spread in left.items() if spread > 0.0}


# --- what came of it ---------------------------------------------------------------------------------------


def read_since(reading: str, mend: Mend, case: Case) -> Evidence | None:
    """Return the last plain number read of something since the fix was made; None where there is none."""
    if mend.when < 0:
        return None
    found = [
        e for e in case.evidence
        if e.fact.id == reading and e.when >= mend.when and isinstance(e.fact, Reading)
        and e.fact.value is not None and e.fact.bound != "at_least"
    ]
    return found[-1] if found else None


def proving(mend: Mend, case: Case) -> Evidence | None:
    """Return the reading of the complaint that judges the fix; None where it has not been taken."""
    complaint = case.complaint
    return read_since(complaint.fact.id, mend, case) if complaint is not None else None


def judged(mend: Mend, proof: Proof, case: Case, unit: Habit) -> Judgement | None:
    """Return what came of one prediction of a fix; None where it was not read since."""
    evidence = read_since(proof.reading, mend, case)
    if evidence is None or not isinstance(evidence.fact, Reading):
        return None
    value = _over(evidence.fact, proof)
    complaint = case.complaint
    before = _before(proof.reading, mend, case)
    if complaint is not None and proof.reading == complaint.fact.id:
        return judge(proof, value, unit, before)
    inside = proof.low <= value <= proof.high
    name = load().readings[proof.reading].name
    said = "as the fix predicts" if inside else f"not the {in_words(proof, unit)} that the fix predicts"
    return Judgement("closed" if inside else "reopened", f"{name[0].upper()}{name[1:]}: {said}.", inside, None)


def _over(fact: Reading, proof: Proof) -> float:
    """Return a reading's value brought to the length of the prediction; where its sign is open, the nearer one."""
    assert fact.value is not None
    value = fact.value * (proof.over / fact.over if proof.over and fact.over else 1.0)
    if fact.sign_known:
        return value
    return min((abs(value), -abs(value)), key=lambda v: abs(v - proof.mid))


def _before(reading: str, mend: Mend, case: Case) -> float | None:
    earlier = [
        e.fact.value for e in case.evidence
        if e.fact.id == reading and e.when < mend.when and isinstance(e.fact, Reading) and e.fact.sign_known
    ]
    return next((value for value in reversed(earlier) if value is not None), None)


def proof_out(mend: Mend, case: Case, unit: Habit) -> list[ProofOut]:
    """Return the predictions of a fix as they go out, each with what came of it."""
    out = []
    for proof in mend.proofs:
        found, evidence = judged(mend, proof, case, unit), read_since(proof.reading, mend, case)
        value = _over(evidence.fact, proof) if evidence is not None and isinstance(evidence.fact, Reading) else None
        out.append(
            ProofOut(
                reading=proof.reading, low=proof.low, mid=proof.mid, high=proof.high, before=proof.before,
                over=proof.over, unit="mm", remedy=mend.remedy, sources=list(mend.sources), goal=proof.tolerance,
                read=value, as_predicted=found.as_predicted if found else None,
                outcome=found.outcome if found and proof.tolerance is not None else None,
                says=found.sentence if found else f"{capital(load().readings[proof.reading].name)} "
                f"should then read {in_words(proof, unit)}{_told_over(proof, case, unit)}.",
            )
        )  # fmt: skip
    return out


def _told_over(proof: Proof, case: Case, unit: Habit) -> str:
    """Return the length that the complaint was measured over, where the person told it."""
    told = case.complaint.fact if case.complaint is not None else None
    if not isinstance(told, Reading) or told.id != proof.reading or not told.over:
        return ""
    return f" over {format_span(told.over, unit)}"


# --- rounds of setting the head ----------------------------------------------------------------------------


def rounds_of(case: Case, axis: str, sweep: float) -> list[tuple[float, float]]:
    """Return the rounds of setting the head made in a case: the sweep with bolts snug, then tight, mm over `sweep`.

    Two sweeps after one adjustment are a round. One alone is one only where the steps had been asked for: then the
    bolts were tightened from where those steps put it, which is off level by what earlier rounds had moved.

    Args:
        case: The case.
        axis: "x" for tram, "y" for nod.
        sweep: Diameter to bring every sweep to, mm.
    """
    moved = [done.when for done in case.done if done.id == "trammed"]
    asked = {mend.when for mend in case.mends if mend.asked and "trammed" in mend.actions}
    found: list[tuple[float, float]] = []
    for start, end in pairwise([*moved, case.when + 1]):
        read = [
            e.fact.value * sweep / e.fact.over for e in case.evidence
            if e.fact.id == f"sweep_{axis}" and start <= e.when < end and isinstance(e.fact, Reading)
            and e.fact.value is not None and e.fact.over and e.fact.sign_known
        ]
        if len(read) >= 2:
            found.append((read[-2], read[-1]))
        elif read and any(start <= when < end for when in asked):
            moves = [tight - snug for snug, tight in found]
            found.append((-next_move(moves, USUAL_SCATTER * sweep).mid, read[0]))
    return found


def last_sweep(case: Case, axis: str) -> float | None:
    """Return the slope that was swept last along an axis, rad; None where none was with its length and direction."""
    read = [
        e.fact.value / e.fact.over for e in case.evidence
        if e.fact.id == f"sweep_{axis}" and isinstance(e.fact, Reading) and e.fact.value is not None
        and e.fact.over and e.fact.sign_known
    ]
    return read[-1] if read else None


def swept_over(case: Case, axis: str) -> float | None:
    """Return the diameter that was swept last along an axis, mm; None where it was not swept."""
    over = [e.fact.over for e in case.evidence if e.fact.id == f"sweep_{axis}" and isinstance(e.fact, Reading)]
    return over[-1] if over else None
