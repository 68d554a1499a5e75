"""From a snapshot to facts: what a size or a comparison amounts to, in words that rules match."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from askew.engine.snapshot import Snapshot, SourceNumbers, ToldReading
from askew.engine.validity import ended
from askew.knowledge import facts
from askew.knowledge.facts import PAIRS, UNDOES, TradeFact
from askew.knowledge.load import Knowledge

SCATTERS = 2.0
"""A reading is seen when it is beyond this many standard deviations of its scatter."""


def case_facts(known: Knowledge, case: Snapshot, idle: frozenset[str]) -> Iterator[TradeFact]:
    """Yield the facts of a case.

    Args:
        known: The knowledge whose ids the case uses.
        case: The case at one moment.
        idle: Signs that mean nothing here, which are left out.
    """
    yield from _setup_facts(case)
    yield from _sign_facts(known, case, idle)
    yield from _reading_facts(known, case)
    yield from _action_facts(case)
    yield from _complaint_facts(known, case)
    complaint = case.complaint[1] if case.complaint else None
    yield from (numbers_fact(numbers, complaint, case.tolerance) for numbers in case.sizes)
    yield from (facts.Doubt(reading=id_, chance=chance) for id_, chance in case.doubtful)
    yield from _plan_facts(known, case)


def _setup_facts(case: Snapshot) -> Iterator[TradeFact]:
    for key, value in case.setup.items():
        if value is not None and not isinstance(value, tuple):
            yield facts.Known(key=key, value=value)
    passes = case.setup.get("passes")
    if isinstance(passes, int | float):
        yield facts.Known(key="many_passes", value=passes > 1)


def _outdated(case: Snapshot, what: str, of: str, when: int) -> Iterator[TradeFact]:
    later = dict.fromkeys(action.id for action in case.actions if action.when > when)
    yield from (facts.Outdated(what=what, of=of, action=action) for action in later)


def _sign_facts(known: Knowledge, case: Snapshot, idle: frozenset[str]) -> Iterator[TradeFact]:
    told = [sign for sign in case.signs if sign.id not in idle]
    for index, sign in enumerate(told):
        of = known.signs[sign.id].of
        again = next((other for other in told[index + 1 :] if other.id == sign.id), None)
        if again is not None and not ended(known, case, sign.id, of, sign.when, again.when):
            continue  # corrected, not changed
        yes = sign.answer if sign.answer in {"yes", "no", "unknown"} else "yes"
        if sign.id == "heel_marks" and sign.answer == "none":
            yes = "no"  # no second arcs either way
        current = not ended(known, case, sign.id, of, sign.when)
        yield facts.Seen(sign=sign.id, answer=sign.answer, yes=yes, when=sign.when, current=current)
        if again is None:
            yield from _outdated(case, sign.id, of, sign.when)


def _reading_facts(known: Knowledge, case: Snapshot) -> Iterator[TradeFact]:
    for index, reading in enumerate(case.readings):
        of = reading.of
        again = next((other for other in case.readings[index + 1 :] if other.id == reading.id), None)
        if again is not None and not ended(known, case, reading.id, of, reading.when, again.when):
            if again.when == reading.when:
                yield from _repeated(known, reading, again)
            continue  # taken again, and the later one counts
        side, size = side_and_size(reading, known.readings[reading.id].scatter)
        yield facts.Measured(
            reading=reading.id,
            side=side,
            size=size,
            value=reading.value,
            over=reading.over,
            of=of,
            when=reading.when,
            current=not ended(known, case, reading.id, of, reading.when),
        )
        if again is None:
            yield from _outdated(case, reading.id, of, reading.when)
    yield from _compared(known, case)


def side_and_size(reading: ToldReading, scatter: float) -> tuple[str, str]:
    """Say which side a reading is on, and whether it is there at all, beyond its scatter (mm).

    Returns:
        (plus, minus, nil, either or open; seen, nil or open), as in `askew.knowledge.facts.Measured`.
    """
    value = reading.value
    if value is None:
        return "open", "open"
    limit = SCATTERS * scatter * (2.0 if reading.bound == "about" else 1.0)
    signed = "plus" if value > 0 else "minus"
    if not reading.sign_known:
        value, signed = abs(value), "either"
    if reading.bound == "at_least" and value <= limit:
        return "open", "open"  # says next to nothing
    if reading.bound == "at_most" and abs(value) > limit:
        return ("minus", "seen") if value < 0 else ("open", "open")
    return (signed, "seen") if abs(value) > limit else ("nil", "nil")


def _same_span(reading: ToldReading, other: ToldReading) -> float | None:
    """Return the value of `reading` over the length of `other`, mm."""
    if reading.value is None or reading.bound in {"at_least", "at_most"}:
        return None
    if reading.over and other.over:
        return reading.value * other.over / reading.over
    return reading.value


def _repeated(known: Knowledge, first: ToldReading, second: ToldReading) -> Iterator[TradeFact]:
    one, two = _same_span(first, second), _same_span(second, second)
    if one is None or two is None:
        return
    if not (first.sign_known and second.sign_known):
        one, two = abs(one), abs(two)
    # The difference of two readings scatters by the square root of two more than one; a tenth is no quarrel.
    limit = max(SCATTERS * 1.5 * known.readings[first.id].scatter, 0.1 * max(abs(one), abs(two)))
    outcome = "differs" if abs(one - two) > limit else "same"
    yield facts.Repeated(reading=first.id, first=one, second=two, outcome=outcome)


def _compared(known: Knowledge, case: Snapshot) -> Iterator[TradeFact]:
    for id_, pair in PAIRS.items():
        after = next((r for r in reversed(case.readings) if r.id == pair.after), None)
        if after is None:
            continue
        earlier = (r for r in reversed(case.readings) if r.id == pair.before and r.when <= after.when)
        before = next(earlier, None)
        if before is None:
            continue
        one, two = _same_span(before, after), _same_span(after, after)
        if one is None or two is None:
            continue
        between = [a.id for a in case.actions if before.when < a.when <= after.when]
        also = next((a for a in between if a not in pair.changes), "")
        signs = before.sign_known and after.sign_known
        scatter = max(known.readings[pair.before].scatter, known.readings[pair.after].scatter)
        yield facts.Compared(
            pair=id_,
            before=one,
            after=two,
            outcome="mixed" if also else outcome_of(one, two, SCATTERS * scatter, signs),
            side=side_and_size(before, scatter)[0],
            also=also,
            when=before.when,
        )


def outcome_of(before: float, after: float, limit: float, signs: bool = True) -> str:
    """Say what a change did to a reading, as in `askew.knowledge.facts.Compared`.

    Args:
        before: The reading before the change.
        after: The reading after it, over the same length.
        limit: What counts as nothing.
        signs: False where the direction of one of them is not known, so that only sizes can be compared.
    """
    if abs(before) <= limit:
        return "nil" if abs(after) <= limit else "more"
    ratio = after / before if signs else abs(after / before)
    if abs(after) <= limit or abs(ratio) < 1 / 3:
        return "gone"
    if ratio < 0:
        return "over"
    if ratio < 0.7:
        return "less"
    if ratio > 1.4:
        return "more"
    return "same" if signs else "same_size"


def _action_facts(case: Snapshot) -> Iterator[TradeFact]:
    latest = {action.id: action.when for action in case.actions}
    for action, when in latest.items():
        undone = any(a.when > when and a.id in UNDOES.get(action, ()) for a in case.actions)
        yield facts.Done(action=action, holds=not undone)


def _complaint_facts(known: Knowledge, case: Snapshot) -> Iterator[TradeFact]:
    best = case.best_check
    number = "missing" if case.complaint is not None and case.complaint[1] is None else "given"
    yield facts.Course(
        decided=case.decided,
        explained=case.explained,
        best=best.id if best else "",
        worth=best.worth if best else None,
        number=number,
    )
    if case.complaint is None:
        return
    id_, value, over = case.complaint
    told = next((r for r in reversed(case.readings) if r.id == id_ and r.value == value), None)
    side, _ = side_and_size(told or ToldReading(id_, value, over), known.readings[id_].scatter)
    yield facts.Complaint(reading=id_, side=side, value=value, over=over, number=number)


def numbers_fact(numbers: SourceNumbers, complaint: float | None, tolerance: float) -> TradeFact:
    """Return the numbers of one source as a fact.

    Args:
        numbers: What the numbers say.
        complaint: The complaint, mm; None (or nothing) where it has no size to hold a reach against.
        tolerance: The zone that matters, mm.
    """
    likely = "likely" if numbers.probability >= 0.5 else "possible"
    explains = "open"
    if complaint:
        explains = "never" if numbers.needed is None else "by_size"
    return facts.Numbers(
        source=numbers.source,
        group=numbers.group,
        standing=likely if numbers.probability >= 0.1 else "unlikely",
        probability=numbers.probability,
        share=abs(numbers.share),
        needed=None if numbers.needed is None else abs(numbers.needed),
        plausible=abs(numbers.plausible),
        reach=abs(numbers.reach),
        explains=explains,
        reach_ratio=abs(numbers.reach / complaint) if complaint else None,
        reach_zone=abs(numbers.reach) / tolerance if complaint else None,
        can_plus=numbers.high > 0,
        can_minus=numbers.low < 0,
    )


def _plan_facts(known: Knowledge, case: Snapshot) -> Iterator[TradeFact]:
    if case.next_check is not None and case.next_check in known.checks:
        id_, check = case.next_check, known.checks[case.next_check]
        yield from (facts.Gives(check=id_, what=what) for what in check.gives)
        yield from (facts.Wants(check=id_, action=action) for action in check.first)
        entered = {state for state in check.states if state not in case.held}
        yield from _warnings(known, id_, check.cautions, {id_, *entered})
    for id_ in case.remedies:
        remedy = known.remedies[id_]
        yield from (facts.Proposed(remedy=id_, source=source) for source in remedy.serves)
        yield from (facts.Wants(check=id_, action=action) for action in remedy.does)
        yield from _warnings(known, id_, remedy.cautions, {id_, "always"})


def _warnings(known: Knowledge, item: str, carried: Iterable[str], calls: set[str]) -> Iterator[TradeFact]:
    called = (id_ for id_, caution in known.cautions.items() if calls.intersection(caution.when))
    yield from (facts.Warns(item=item, caution=id_) for id_ in dict.fromkeys((*carried, *called)))
