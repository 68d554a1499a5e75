"""What a report says, section by section, as plain data: everything computed, nothing laid out."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from askew.engine.phrases import capital, chance_words, share_words
from askew.engine.report.face import Profile
from askew.engine.report.moments import complaint_of, judged, status_of, steps_of
from askew.engine.report.outcome import (
    advised_of,
    budget_of,
    cleared_of,
    done_of,
    face_of,
    proof_of,
    sweep_of,
    verify_of,
)
from askew.engine.report.rows import BeliefLine, BudgetRow, FaceRow, ProofRow, Seen, Sweep
from askew.engine.report.words import (
    Speech,
    caution_text,
    check_name,
    fact_words,
    observed_name,
    setup_value,
    source_name,
    source_short,
    speech_of,
)
from askew.engine.seam import HeardOut
from askew.engine.story import CaseStory, Event
from askew.engine.units import Habit, format_length
from askew.knowledge.load import load

MOST_LINES = 5
"""Suspects whose belief is drawn; more lines than that cannot be followed."""
STANDING_CAUTION = (
    "The numbers are estimates. Local rules and the machine's own manual stand above this report; electrical "
    "and structural work belongs to a qualified person."
)


@dataclass(frozen=True)
class Report:
    """A report, ready to be laid out.

    Attributes:
        title: What the case is.
        status: "open", "found" or "closed".
        headline: The outcome in one sentence.
        points: Short facts beside it: (label, value).
        setup: (label, value) pairs.
        seen: Everything said, in order.
        steps: What each step of the belief plot was.
        belief: One line a suspect.
        budget: Rows of the error budget; the last is what nobody explains.
        face: The picture of the face.
        face_rows: Predicted and measured face readings.
        sweep: The last spindle sweep.
        cleared: (name, why) of what cannot matter.
        found: Names of the causes held responsible.
        advised: Remedies advised.
        done: Actions done, with their step number.
        verify: What was to prove it.
        proof: Readings after the fix.
        doubts: Sentences about what could not be settled.
        cautions: Sentences.
    """

    title: str
    status: str
    headline: str
    points: tuple[tuple[str, str], ...]
    setup: tuple[tuple[str, str], ...]
    seen: tuple[Seen, ...]
    steps: tuple[str, ...]
    belief: tuple[BeliefLine, ...]
    budget: tuple[BudgetRow, ...]
    face: Profile | None
    face_rows: tuple[FaceRow, ...]
    sweep: Sweep | None
    cleared: tuple[tuple[str, str], ...]
    found: tuple[str, ...]
    advised: tuple[str, ...]
    done: tuple[tuple[int, str], ...]
    verify: tuple[str, ...]
    proof: tuple[ProofRow, ...]
    doubts: tuple[str, ...]
    cautions: tuple[str, ...]


def build(story: CaseStory) -> Report:
    """Return the report of a case's story."""
    events = [event for event in story.events if event.turn.error is None]
    at = judged(events)
    found = events[at] if at is not None else None
    until = events[: at + 1] if at is not None else events
    complaint = complaint_of(until)
    budget = budget_of(story, found, complaint)
    speech = speech_of(story)
    face, face_rows = face_of(story, until)
    return Report(
        title=_title(story, complaint),
        status=status_of(events),
        headline=_headline(events, found, complaint, story.unit),
        points=_points(story, events, found, complaint),
        setup=_setup(story),
        seen=_seen(events, speech),
        steps=tuple(_step_words(event, speech) for event in steps_of(events)),
        belief=_belief(events),
        budget=budget,
        face=face,
        face_rows=face_rows,
        sweep=sweep_of(events),
        cleared=cleared_of(found or (events[-1] if events else None)),
        found=_held(found),
        advised=advised_of(found),
        done=done_of(events, speech),
        verify=verify_of(found),
        proof=proof_of(story, events, at, complaint),
        doubts=_doubts(events),
        cautions=_cautions(events),
    )


def _held(found: Event | None) -> tuple[str, ...]:
    if found is None or found.turn.verdict is None:
        return ()
    return tuple(source_name(source) for source in found.turn.verdict.sources)


# ---- head


def _title(story: CaseStory, complaint: HeardOut | None) -> str:
    what = observed_name(complaint.id) if complaint else "no complaint yet"
    return f"{story.name}: {what}"


def _headline(events: list[Event], judged: Event | None, complaint: HeardOut | None, habit: Habit) -> str:
    if judged is None or not judged.turn.suspects:
        return "Nothing has been said yet that points to a cause."
    best = judged.turn.suspects[0]
    verdict = judged.turn.verdict
    if verdict is None:
        leader = f"{source_name(best.source)} (chance {chance_words(best.probability)})"
        if events[-1].turn.closed:
            return f"Put right and proved. Most probably it was: {leader}."
        return f"Not settled yet. The leading suspect is: {leader}."
    names = [source_name(source) for source in verdict.sources] or ["no single cause"]
    listed = names[0] if len(names) == 1 else ", ".join(names[:-1]) + " and " + names[-1]
    size = ""
    if complaint is not None and isinstance(complaint.value, int | float):
        size = f" of {format_length(abs(float(complaint.value)), habit)}"
    tail = " Put right and proved." if events[-1].turn.closed else ""
    return f"{capital(listed)}: {share_words(verdict.explained)} of the error{size}.{tail}"


def _points(
    story: CaseStory, events: list[Event], judged: Event | None, complaint: HeardOut | None
) -> tuple[tuple[str, str], ...]:
    points: list[tuple[str, str]] = []
    if complaint is not None:
        points.append(("Complaint", capital(fact_words(complaint, speech_of(story)))))
    if story.setup.tolerance is not None:
        points.append(("Allowed", format_length(story.setup.tolerance, story.unit)))
    days = [event.day for event in story.events if event.day]
    if days:
        points.append(("When", days[0] if days[0] == days[-1] else f"{days[0]} to {days[-1]}"))
    spent = max((event.turn.spent for event in events), default=0.0)
    if spent > 0:
        points.append(("Spent on checks", f"about {spent:.0f} minutes"))
    if advised := advised_of(judged):
        points.append(("Advised", "; ".join(advised)))
    return tuple(points)


def _setup(story: CaseStory) -> tuple[tuple[str, str], ...]:
    known = load().setup
    told = story.setup.told()
    return tuple((capital(known[k].name), setup_value(k, told[k], story.unit)) for k in known if k in told)


# ---- what was seen, and how belief moved


def _seen(events: Iterable[Event], speech: Speech) -> tuple[Seen, ...]:
    return tuple(
        Seen(
            number,
            event.day,
            event.text,
            _facts(event, speech),
            _answer(event),
        )
        for number, event in enumerate(events, 1)
    )


def _facts(event: Event, speech: Speech) -> tuple[str, ...]:
    """Return what was understood, a phrase a fact; facts of the setup, which has its own section, in one."""
    told = [fact_words(f, speech) for f in event.heard if f.kind == "setup"]
    others = [capital(fact_words(f, speech)) for f in event.heard if f.kind not in ("setup", "command")]
    return (*([capital("; ".join(told))] if told else []), *others)


def _answer(event: Event) -> str:
    turn = event.turn
    if turn.verdict is not None:
        return "Enough is known."
    if turn.question is not None:
        return turn.question.text
    return f"Next: {check_name(turn.next.check)}." if turn.next is not None else ""


def _step_words(event: Event, speech: Speech) -> str:
    facts = [fact_words(f, speech) for f in event.heard if f.kind in ("reading", "sign", "action")]
    return capital("; ".join(facts))


def _belief(events: list[Event]) -> tuple[BeliefLine, ...]:
    steps = steps_of(events)
    by_step = [{s.source: s.probability for s in event.turn.suspects} for event in steps]
    highest: dict[str, float] = {}
    for chances in by_step:
        for source, chance in chances.items():
            highest[source] = max(chance, highest.get(source, 0.0))
    last = by_step[-1] if by_step else {}
    held = {s for event in events if event.turn.verdict for s in event.turn.verdict.sources}
    order = sorted(highest, key=lambda s: (s not in held, -highest[s]))[:MOST_LINES]
    order.sort(key=lambda s: -last.get(s, 0.0))
    return tuple(BeliefLine(source_short(s), tuple(c.get(s, 0.0) for c in by_step)) for s in order)


def _doubts(events: list[Event]) -> tuple[str, ...]:
    if not events:
        return ()
    last = events[-1].turn
    groups: list[set[str]] = []
    for pair in last.together:
        joined = set(pair).union(*(group for group in groups if group & set(pair)))
        groups = [group for group in groups if not group & joined] + [joined]
    alike = [
        "No reading so far can tell these apart: " + "; ".join(sorted(map(source_name, group))) + "."
        for group in groups
    ]
    return (*alike, *map(_doubt, last.doubtful))


def _doubt(doubt: str) -> str:
    reading = load().readings.get(doubt)
    return f"Probably taken wrongly: {reading.name}." if reading else doubt


def _cautions(events: list[Event]) -> tuple[str, ...]:
    said = dict.fromkeys(caution_text(c) for event in events for c in event.turn.cautions)
    return (*said, STANDING_CAUTION)
