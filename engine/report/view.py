"""What a report says, section by section, as plain data: everything computed, nothing laid out."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from askew.engine.report.face import DRAWN, Profile, profile
from askew.engine.report.words import (
    Speech,
    capital,
    caution_text,
    check_name,
    fact_words,
    observed_name,
    percent,
    remedy_name,
    setup_value,
    signed_value,
    size_words,
    source_name,
    source_short,
    span_words,
)
from askew.engine.seam import HeardOut, SuspectOut
from askew.engine.story import CaseStory, Event
from askew.engine.units import Habit, format_length
from askew.knowledge.load import load

MOST_LINES = 5
"""Suspects whose belief is drawn; more lines than that cannot be followed."""
SMALL = 0.02
"""Shares of the complaint below this are summed in one row."""
STANDING_CAUTION = (
    "The numbers are estimates. Local rules and the machine's own manual stand above this report; electrical "
    "and structural work belongs to a qualified person."
)


@dataclass(frozen=True, slots=True)
class Seen:
    """One thing said: its number, the words, what was understood, what was answered."""

    number: int
    day: str
    text: str
    facts: tuple[str, ...]
    answer: str


@dataclass(frozen=True, slots=True)
class BeliefLine:
    """Chance of trouble of one suspect after each step, 0 to 1."""

    name: str
    chances: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class BudgetRow:
    """One cause's part of what was complained of: share (signed), mm, size and chance in words."""

    name: str
    share: float
    makes: str
    size: str
    chance: str


@dataclass(frozen=True, slots=True)
class FaceRow:
    """One face reading: predicted (with interval) and measured, in words; empty where there is none."""

    name: str
    predicted: str
    interval: str
    measured: str
    agrees: str


@dataclass(frozen=True, slots=True)
class ProofRow:
    """One reading after the fix, and what it was to be."""

    name: str
    value: str
    wanted: str
    result: str


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
    complaint = _complaint(until)
    budget = _budget(found, complaint, story.unit)
    speech = _speech(story)
    face, face_rows = _face(story, until)
    return Report(
        title=_title(story, complaint),
        status=_status(events),
        headline=_headline(events, found, complaint, story.unit),
        points=_points(story, events, found, complaint),
        setup=_setup(story),
        seen=_seen(events, speech),
        steps=tuple(_step_words(event, speech) for event in _steps(events)),
        belief=_belief(events),
        budget=budget,
        face=face,
        face_rows=face_rows,
        cleared=_cleared(found or (events[-1] if events else None)),
        found=_held(found),
        advised=_advised(found),
        done=_done(events, speech),
        verify=_verify(found),
        proof=_proof(story, events, at, complaint),
        doubts=_doubts(events),
        cautions=_cautions(events),
    )


def _held(found: Event | None) -> tuple[str, ...]:
    if found is None or found.turn.verdict is None:
        return ()
    return tuple(source_name(source) for source in found.turn.verdict.sources)


def _speech(story: CaseStory) -> Speech:
    return Speech(story.unit, story.setup.feed_axis or "x")


# ---- which turns matter


def judged(events: Sequence[Event]) -> int | None:
    """Return the place of the verdict that was acted on last, before it was acted on.

    The last verdict where none was acted on; without any, the last turn with suspects (of a closed case, the
    last before what closed it); None without one.
    """
    ends = [
        i
        for i, event in enumerate(events)
        if event.turn.verdict is not None
        and (i + 1 == len(events) or _acted(events[i + 1]) or events[i + 1].turn.verdict is None)
    ]
    acted_on = [i for i in ends if any(_acted(event) for event in events[i + 1 :])]
    suspected = [i for i, event in enumerate(events) if event.turn.suspects and not event.turn.closed]
    for places in (acted_on, ends, suspected):
        if places:
            return places[-1]
    return None


def _acted(event: Event) -> bool:
    return any(fact.kind == "action" for fact in event.heard)


def _complaint(events: Sequence[Event]) -> HeardOut | None:
    """Return what was complained of first, with the last number that was given for it."""
    known, found = load().readings, None
    for event in events:
        for fact in event.heard:
            if fact.kind != "reading" or fact.id not in known or not known[fact.id].complaint:
                continue
            if found is None or (fact.id == found.id and fact.value is not None):
                found = fact
    return found


def _steps(events: list[Event]) -> list[Event]:
    """Return the turns that could move the belief: something was read, seen or done."""
    return [event for event in events if any(f.kind in ("reading", "sign", "action") for f in event.heard)]


def _status(events: list[Event]) -> str:
    if events and events[-1].turn.closed:
        return "closed"
    return "found" if any(event.turn.verdict for event in events) else "open"


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
        leader = f"{source_name(best.source)} (chance {percent(best.probability)})"
        if events[-1].turn.closed:
            return f"Put right and proved. Most probably it was: {leader}."
        return f"Not settled yet. The leading suspect is: {leader}."
    names = [source_name(source) for source in verdict.sources] or ["no single cause"]
    listed = names[0] if len(names) == 1 else ", ".join(names[:-1]) + " and " + names[-1]
    size = ""
    if complaint is not None and isinstance(complaint.value, int | float):
        size = f" of {format_length(abs(float(complaint.value)), habit)}"
    tail = " Put right and proved." if events[-1].turn.closed else ""
    return f"{capital(listed)}: {percent(verdict.explained)} of the error{size}.{tail}"


def _points(
    story: CaseStory, events: list[Event], judged: Event | None, complaint: HeardOut | None
) -> tuple[tuple[str, str], ...]:
    points: list[tuple[str, str]] = []
    if complaint is not None:
        points.append(("Complaint", capital(fact_words(complaint, _speech(story)))))
    if story.setup.tolerance is not None:
        points.append(("Allowed", format_length(story.setup.tolerance, story.unit)))
    days = [event.day for event in story.events if event.day]
    if days:
        points.append(("When", days[0] if days[0] == days[-1] else f"{days[0]} to {days[-1]}"))
    spent = max((event.turn.spent for event in events), default=0.0)
    if spent > 0:
        points.append(("Spent on checks", f"about {spent:.0f} minutes"))
    if advised := _advised(judged):
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
            tuple(capital(fact_words(f, speech)) for f in event.heard if f.kind != "command"),
            _answer(event),
        )
        for number, event in enumerate(events, 1)
    )


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
    steps = _steps(events)
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


# ---- budget


def _budget(judged: Event | None, complaint: HeardOut | None, habit: Habit) -> tuple[BudgetRow, ...]:
    if judged is None or not judged.turn.suspects:
        return ()
    whole = abs(float(complaint.value)) if complaint and isinstance(complaint.value, int | float) else None

    def makes(share: float) -> str:
        return format_length(share * whole, habit) if whole is not None else ""

    suspects = sorted(judged.turn.suspects, key=lambda s: -abs(s.share))
    large = [s for s in suspects if abs(s.share) >= SMALL]
    small = sum(s.share for s in suspects if abs(s.share) < SMALL)
    rows = [_budget_row(s, makes(s.share), habit) for s in large]
    if len(large) < len(suspects):
        rows.append(BudgetRow(f"{len(suspects) - len(large)} others together", small, makes(small), "", ""))
    rest = 1.0 - sum(s.share for s in suspects)
    if judged.turn.verdict is not None and whole:
        rest = judged.turn.verdict.unexplained / whole
    rows.append(BudgetRow("Explained by none of these", rest, makes(rest), "", ""))
    return tuple(rows)


def _budget_row(suspect: SuspectOut, makes: str, habit: Habit) -> BudgetRow:
    return BudgetRow(
        capital(source_name(suspect.source)),
        suspect.share,
        makes,
        size_words(suspect.source, suspect.size, habit),
        percent(suspect.probability),
    )


def _cleared(event: Event | None) -> tuple[tuple[str, str], ...]:
    if event is None:
        return ()
    return tuple((capital(source_name(c.source)), c.because) for c in event.turn.cleared)


# ---- face


def _face(story: CaseStory, events: list[Event]) -> tuple[Profile | None, tuple[FaceRow, ...]]:
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
                signed_value(id_, expected.mid, _speech(story)) if expected else "",
                span_words(expected.low, expected.high, story.unit) if expected else "",
                signed_value(id_, value, _speech(story)) if value is not None else "",
                agrees,
            )
        )
    return picture, tuple(rows)


# ---- what was done, and whether it worked


def _advised(judged: Event | None) -> tuple[str, ...]:
    if judged is None or judged.turn.verdict is None:
        return ()
    return tuple(capital(remedy_name(remedy)) for remedy in judged.turn.verdict.remedies)


def _verify(judged: Event | None) -> tuple[str, ...]:
    if judged is None or judged.turn.verdict is None:
        return ()
    return tuple(capital(observed_name(id_)) for id_ in judged.turn.verdict.verify)


def _done(events: Iterable[Event], speech: Speech) -> tuple[tuple[int, str], ...]:
    return tuple(
        (number, capital(fact_words(fact, speech)))
        for number, event in enumerate(events, 1)
        for fact in event.heard
        if fact.kind == "action"
    )


def _proof(
    story: CaseStory, events: list[Event], judged: int | None, complaint: HeardOut | None
) -> tuple[ProofRow, ...]:
    if judged is None:
        return ()
    fixed = _acted(events[judged])
    changed = any(_acted(event) for event in events[: judged + 1])
    rows: list[ProofRow] = []
    for event in events[judged + 1 :]:
        fixed = fixed or _acted(event)
        for fact in event.heard:
            # Once anything was changed, the complaint measured again is of a new cut.
            proves = fixed or (changed and complaint is not None and fact.id == complaint.id)
            if proves and fact.kind == "reading" and isinstance(fact.value, int | float):
                rows.append(_proof_row(story, fact, complaint))
    return tuple(rows)


def _proof_row(story: CaseStory, fact: HeardOut, complaint: HeardOut | None) -> ProofRow:
    value = fact_words(fact, _speech(story)).split(": ", 1)[1]
    tolerance = story.setup.tolerance
    if complaint is None or fact.id != complaint.id or tolerance is None or fact.value is None:
        return ProofRow(capital(observed_name(fact.id)), value, "", "")
    inside = abs(float(fact.value)) <= tolerance
    wanted = f"within {format_length(tolerance, story.unit)}"
    return ProofRow(capital(observed_name(fact.id)), value, wanted, "holds" if inside else "does not hold")


def _doubts(events: list[Event]) -> tuple[str, ...]:
    if not events:
        return ()
    last = events[-1].turn
    pairs = [
        "No reading so far can tell these apart: " + ", ".join(source_name(s) for s in group) + "."
        for group in last.together
    ]
    return (*pairs, *last.doubtful)


def _cautions(events: list[Event]) -> tuple[str, ...]:
    said = dict.fromkeys(caution_text(c) for event in events for c in event.turn.cautions)
    return (*said, STANDING_CAUTION)
