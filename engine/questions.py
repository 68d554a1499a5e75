"""What the assistant asks for: only what it cannot infer, and only when the answer would change something."""

from __future__ import annotations

from collections.abc import Sequence

from askew.engine.case import Case
from askew.engine.observations import Reading
from askew.engine.physics.linear import linear, signs_of, source_ids
from askew.engine.planner.outlook import complaint_size, complaint_term
from askew.engine.seam import QuestionOut
from askew.engine.suspects import Numbers
from askew.knowledge.load import load

MATTERS = 0.12
"""Share of the complaint that not knowing a setup fact must leave open before it is asked for."""

MAY_YIELD = 0.02
"""Expected share of what a yielding part makes from which it is asked whether the part is hollow."""

COMPLAINT = "complaint"

ROLLED = frozenset({"face_out_of_square", "face_out_of_parallel_across", "face_out_of_parallel_along"})
"""Complaints in which the way the part is gripped shows."""


def question_for(case: Case, numbers: Sequence[Numbers]) -> QuestionOut | None:
    """Return the one question to ask now, or None."""
    complaint = case.complaint
    if complaint is None:
        return QuestionOut(
            setup=COMPLAINT,
            options=None,
            unit=None,
            because="everything starts from what is wrong, and by how much",
            text="What came out wrong, by how much, and over what length?",
        )
    fact = complaint.fact
    assert isinstance(fact, Reading)
    if fact.value is None and fact.id not in case.dont_know:
        return QuestionOut(
            setup=fact.id,
            options=None,
            unit="mm",
            because="the size is what clears most causes",
            text=f"How much is it, for the {load().readings[fact.id].name}? Say the number, and over what length.",
        )
    if not fact.sign_known and fact.id not in case.dont_know:
        kind = load().readings[fact.id]
        return QuestionOut(
            setup=fact.id,
            options=[kind.plus, kind.minus],
            unit=None,
            because="the direction tells causes apart",
            text=f"Which way: {kind.plus}, or {kind.minus}?",
        )
    wanted = [
        key for key in _wanted(case, numbers) if not case.setup.known(key) and key not in case.dont_know
    ]
    return question_about(wanted[0]) if wanted else None


def question_about(key: str) -> QuestionOut:
    """Return the question for a setup fact."""
    kind = load().setup[key]
    options = [kind.labels.get(choice, choice) for choice in kind.choices] or None
    if kind.kind == "flag":
        options = ["yes", "no"]
    return QuestionOut(
        setup=key,
        options=options,
        unit="mm" if kind.kind == "length" else None,
        because=kind.because,
        text=kind.ask,
    )


def _wanted(case: Case, numbers: Sequence[Numbers]) -> list[str]:
    """Return the setup facts worth asking for, the most telling first."""
    complaint = case.complaint
    if complaint is None or not complaint_size(case):
        return []
    chance = {n.source: n.probability for n in numbers}
    share = {n.source: abs(n.expected) for n in numbers}
    open_ = max(share.values(), default=0.0) < 0.9
    wanted: list[str] = []
    if complaint.fact.id in ROLLED and chance.get("off_centre_push", 0.0) > 0.03 and open_:
        wanted.append("moving_jaw_contact")
    if complaint.fact.id == "face_out_of_square" and open_:
        wanted.append("gripped_face")
    if any(chance.get(tilt, 0.0) > 0.5 and share.get(tilt, 0.0) > 0.2 for tilt in ("tram", "nod")):
        wanted.append("leaned_on_purpose")
    if share.get("wall_squeeze", 0.0) > MAY_YIELD:
        wanted.append("wall")
    if complaint.fact.id.startswith("hole_lean"):
        wanted += ["hole_made_by", "vertical_travel"]
    if complaint.fact.id == "wall_taper":
        wanted += ["wall_side", "milling_sense"]
    if complaint.fact.id in ("step", "ridge") and not case.setup.known("passes"):
        wanted.append("passes")
    return wanted + _lengths(case, numbers)


def _lengths(case: Case, numbers: Sequence[Numbers]) -> list[str]:
    """Return the unknown lengths that leave the most of the complaint open."""
    term, size = complaint_term(case), complaint_size(case)
    if term is None or term.reading is None or not size:
        return []
    setup = term.situation.setup
    row = linear(term.reading, setup, term.over, tuple((n, 1) for n in signs_of(term.reading, setup)))
    expected = {n.source: abs(n.mid) * n.probability for n in numbers}
    weight = [expected.get(id_, 0.0) for id_ in source_ids()]
    known = load().setup
    open_ = {
        key: sum(abs(float(v)) * w for v, w in zip(change, weight, strict=True)) / size
        for key, change in row.spread.items()
        if key in known
    }
    return [key for key, share in sorted(open_.items(), key=lambda x: -x[1]) if share > MATTERS]
