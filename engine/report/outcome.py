"""What came of a case: the error budget, the face, what was done and whether it worked."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from askew.engine.phrases import capital, chance_words
from askew.engine.report.face import DRAWN, Profile, profile
from askew.engine.report.moments import acted
from askew.engine.report.rows import BudgetRow, FaceRow, ProofRow, Sweep
from askew.engine.report.words import (
    Speech,
    fact_words,
    observed_name,
    remedy_name,
    signed_value,
    size_words,
    source_name,
    source_short,
    span_words,
    speech_of,
)
from askew.engine.seam import HeardOut, SuspectOut
from askew.engine.story import CaseStory, Event
from askew.engine.units import Habit, format_length
from askew.knowledge.load import load

SMALL = 0.02
"""Shares of the complaint below this are summed in one row."""

# ---- budget


def budget_of(story: CaseStory, judged: Event | None, complaint: HeardOut | None) -> tuple[BudgetRow, ...]:
    """Return what each cause is expected to make of the complaint, and what none of them does.

    The largest share first; the shares of all rows make one.
    """
    if judged is None or not judged.turn.suspects:
        return ()
    given = float(complaint.value) if complaint and isinstance(complaint.value, int | float) else None
    whole = given or None
    suspects = {s.source: s for s in judged.turn.suspects if s.source != "unlisted"}
    if story.budget and whole is not None:
        shares = {source: mm / whole for source, mm in story.budget.items()}
    else:
        shares = {source: s.share * s.probability for source, s in suspects.items()}
    order = sorted(shares, key=lambda source: -abs(shares[source]))
    large = [source for source in order if abs(shares[source]) >= SMALL]
    size = abs(whole) if whole is not None else None
    rows = [_budget_row(source, shares[source], size, suspects.get(source), story.unit) for source in large]
    small = [shares[source] for source in order[len(large) :] if shares[source]]
    if small:
        rows.append(_plain_row(f"{len(small)} others together", sum(small), size, story.unit))
    return (*rows, _plain_row("Explained by none of these", 1.0 - sum(shares.values()), size, story.unit))


def _budget_row(
    source: str, share: float, whole: float | None, suspect: SuspectOut | None, habit: Habit
) -> BudgetRow:
    row = _plain_row(capital(source_name(source)), share, whole, habit)
    if suspect is None:
        return row
    return replace(
        row, size=size_words(source, suspect.size, habit), chance=chance_words(suspect.probability)
    )


def _plain_row(name: str, share: float, whole: float | None, habit: Habit) -> BudgetRow:
    return BudgetRow(name, share, format_length(share * whole, habit) if whole is not None else "", "", "")


def cleared_of(event: Event | None) -> tuple[tuple[str, str], ...]:
    """Return the name of each source that cannot matter, and why; those of which no size would do in one."""
    if event is None:
        return ()
    sized = [c for c in event.turn.cleared if c.needed is not None]
    others = [c for c in event.turn.cleared if c.needed is None]
    rows = [(capital(source_name(c.source)), c.because) for c in sized]
    if others:
        rows.append(("No size of these would do it", ", ".join(source_short(c.source) for c in others) + "."))
    return tuple(rows)


# ---- face


def face_of(story: CaseStory, events: Sequence[Event]) -> tuple[Profile | None, tuple[FaceRow, ...]]:
    """Return the picture of the face complained of and its readings, predicted and measured."""
    measured: dict[str, float] = {}
    for event in events:
        for fact in event.heard:
            plain = fact.kind == "reading" and fact.sign_known is not False and fact.bound in (None, "about")
            if plain and fact.id in DRAWN and isinstance(fact.value, int | float):
                measured[fact.id] = float(fact.value)
    mids = {id_: p.mid for id_, p in story.predicted.items()}
    picture = profile(story.setup, story.sizes, mids, measured) if events else None
    rows: list[FaceRow] = []
    for id_ in DRAWN:
        expected, value = story.predicted.get(id_), measured.get(id_)
        if expected is None and value is None:
            continue
        agrees = ""
        if expected is not None and value is not None:
            scatter = load().readings[id_].scatter
            inside = expected.low - 2 * scatter <= value <= expected.high + 2 * scatter
            agrees = "agrees" if inside else "does not agree"
        rows.append(
            FaceRow(
                capital(observed_name(id_)),
                signed_value(id_, expected.mid, speech_of(story)) if expected else "",
                span_words(expected.low, expected.high, story.unit) if expected else "",
                signed_value(id_, value, speech_of(story)) if value is not None else "",
                agrees,
            )
        )
    return picture, tuple(rows)


def sweep_of(events: Sequence[Event]) -> Sweep | None:
    """Return the last sweep each way, brought to the length of the latest; None where nothing was swept.

    What was swept before the head was moved is left out.
    """
    found: dict[str, HeardOut] = {}
    latest: HeardOut | None = None
    for event in events:
        for fact in event.heard:
            if fact.kind == "action" and "tram" in load().actions[fact.id].redraws:
                found = {}
            known = (
                isinstance(fact.value, int | float) and fact.sign_known is not False and fact.bound is None
            )
            if fact.kind == "reading" and fact.id in ("sweep_x", "sweep_y") and known:
                found[fact.id] = latest = fact
    if latest is None or not found:
        return None

    def size(id_: str) -> float | None:
        fact = found.get(id_)
        if fact is None or fact.value is None:
            return None
        scale = latest.over / fact.over if latest.over and fact.over else 1.0
        return float(fact.value) * scale

    return Sweep(size("sweep_x"), size("sweep_y"), latest.over)


# ---- what was done, and whether it worked


def advised_of(judged: Event | None) -> tuple[str, ...]:
    """Return the remedies of the verdict, by name."""
    if judged is None or judged.turn.verdict is None:
        return ()
    return tuple(capital(remedy_name(remedy)) for remedy in judged.turn.verdict.remedies)


def verify_of(judged: Event | None) -> tuple[str, ...]:
    """Return what the verdict wants measured after the fix, by name."""
    if judged is None or judged.turn.verdict is None:
        return ()
    return tuple(capital(observed_name(id_)) for id_ in judged.turn.verdict.verify)


def done_of(events: Iterable[Event], speech: Speech) -> tuple[tuple[int, str], ...]:
    """Return every action with the number of its turn."""
    return tuple(
        (number, capital(fact_words(fact, speech)))
        for number, event in enumerate(events, 1)
        for fact in event.heard
        if fact.kind == "action"
    )


def proof_of(
    story: CaseStory, events: Sequence[Event], judged: int | None, complaint: HeardOut | None
) -> tuple[ProofRow, ...]:
    """Return what was read after the fix, and whether the complaint is within its tolerance."""
    if judged is None:
        return ()
    fixed = acted(events[judged])
    changed = any(acted(event) for event in events[: judged + 1])
    rows: list[ProofRow] = []
    for event in events[judged + 1 :]:
        fixed = fixed or acted(event)
        for fact in event.heard:
            # Once anything was changed, the complaint measured again is of a new cut.
            proves = fixed or (changed and complaint is not None and fact.id == complaint.id)
            if proves and fact.kind == "reading" and isinstance(fact.value, int | float):
                rows.append(_proof_row(story, fact, complaint, event))
    return tuple(rows)


def _proof_row(story: CaseStory, fact: HeardOut, complaint: HeardOut | None, event: Event) -> ProofRow:
    value = fact_words(fact, speech_of(story)).split(": ", 1)[1]
    tolerance = story.setup.tolerance
    promised = next((p for p in event.turn.proof if p.reading == fact.id and p.read is not None), None)
    predicted = ""
    if promised is not None:
        ends = [format_length(end, story.unit) for end in (promised.low, promised.high)]
        predicted = f"predicted {ends[0]} to {ends[1]}"
    if complaint is None or fact.id != complaint.id or tolerance is None or fact.value is None:
        result = "" if promised is None else "as predicted" if promised.as_predicted else "not as predicted"
        return ProofRow(capital(observed_name(fact.id)), value, predicted, result)
    inside = abs(float(fact.value)) <= tolerance
    wanted = f"within {format_length(tolerance, story.unit)}" + (f"; {predicted}" if predicted else "")
    return ProofRow(capital(observed_name(fact.id)), value, wanted, "holds" if inside else "does not hold")
