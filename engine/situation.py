"""From a snapshot to facts: what a size, a comparison or a bench amounts to, in words that rules match."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from askew.engine.snapshot import Snapshot, SourceNumbers, ToldReading, Value
from askew.knowledge import facts
from askew.knowledge.facts import ENDS, PAIRS, UNDOES, VISE_READINGS, TradeFact
from askew.knowledge.load import Knowledge
from askew.knowledge.schema import Check

SCATTERS = 2.0
"""A reading is seen when it is beyond this many standard deviations of its scatter."""


def bench_facts(
    known: Knowledge,
    machine: str,
    setup: Mapping[str, Value],
    instruments: frozenset[str] | None,
    refused: frozenset[str],
    taken: frozenset[str] | None,
) -> Iterator[TradeFact]:
    """Yield what decides which sources, checks and signs are in play; see `Reasoner.in_play`."""
    for id_, source in known.sources.items():
        for key, value in _unmet(source.needs, setup):
            yield facts.Requirement(subject=id_, kind="source", key=key, value=value, met="no")
    for id_, sign in known.signs.items():
        for key, value in _unmet(sign.needs, setup):
            yield facts.Idle(sign=id_, key=key, value=value)
    for id_, check in known.checks.items():
        yield from _check_facts(known, id_, check, setup, instruments, taken)
    yield from (facts.Refused(check=id_) for id_ in sorted(refused) if id_ in known.checks)
    if machine in known.machines:
        for id_ in known.machines[machine].without:
            yield facts.Without(
                subject=id_, kind="check" if id_ in known.checks else "source", machine=machine
            )


def _unmet(needs: Mapping[str, list[str | bool]], here: Mapping[str, Value]) -> Iterator[tuple[str, Value]]:
    """Yield the keys whose known value is not among those needed; what is not known rules nothing out."""
    yield from (
        (key, here[key]) for key, allowed in needs.items() if key in here and here[key] not in allowed
    )


def _check_facts(
    known: Knowledge,
    id_: str,
    check: Check,
    here: Mapping[str, Value],
    bench: frozenset[str] | None,
    taken: frozenset[str] | None,
) -> Iterator[TradeFact]:
    def needs(key: str, value: Value, met: str) -> TradeFact:
        return facts.Requirement(subject=id_, kind="check", key=key, value=value, met=met)

    for key, value in _unmet(check.needs, here):
        yield needs(key, value, "no")
    for key, bound in check.more_than.items():
        size = here.get(key)
        if isinstance(size, int | float) and not size > bound:
            yield needs(key, size, "no")
    for key in check.known:
        if key not in here:
            yield needs(key, "", "unknown")
    if check.after and taken is not None and not taken.intersection(check.after):
        yield needs(check.after[0], "", "later")
    missing = "" if bench is None else _missing(check, bench)
    if missing and bench is not None:
        instead = _makeable_instead(known, check, bench)
        yield facts.Lacks(check=id_, missing=missing, instead=instead, has_trick=bool(instead))


def _missing(check: Check, bench: frozenset[str]) -> str:
    """Return what the bench lacks for a check: one of the set that comes nearest; "" where it can be made."""
    lacking = [[tool for tool in choice if tool not in bench] for choice in check.instruments]
    nearest = min(lacking, key=len, default=[])
    return nearest[0] if nearest else ""


def _makeable_instead(known: Knowledge, check: Check, bench: frozenset[str]) -> str:
    """Follow `instead` to the first check that this bench can make; "" if there is none."""
    tried: set[str] = set()
    instead = check.instead
    while instead is not None and instead not in tried:
        if not _missing(known.checks[instead], bench):
            return instead
        tried.add(instead)
        instead = known.checks[instead].instead
    return ""


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


def _ended(
    known: Knowledge, case: Snapshot, what: str, of: str, since: int, until: int | None = None
) -> bool:
    """Tell whether an action after state `since`, up to `until`, ended what an observation speaks for."""
    ends = ENDS["vise" if what in VISE_READINGS else of] if of != "cut" else ()
    return any(
        action.when > since
        and (until is None or action.when <= until)
        and (action.id in ends or (of == "cut" and known.actions[action.id].recuts))
        for action in case.actions
    )


def of_one_time(known: Knowledge, case: Snapshot, matched: Iterable[TradeFact]) -> bool:
    """Tell whether the readings and signs that a rule matched speak for things as they were at one time.

    They do where nothing done between them ended what any of them speaks for: a cut and a sweep are not of
    one time when the head was adjusted between them, although the cut is still there.
    """
    told = [fact for fact in matched if isinstance(fact, facts.Seen | facts.Measured)]
    last = max((fact["when"] for fact in told), default=0)
    subjects = [_subject(known, fact) for fact in told]
    return not any(
        _ended(known, case, what, of, fact["when"], last) for fact in told for what, of in subjects
    )


def _subject(known: Knowledge, fact: TradeFact) -> tuple[str, str]:
    if isinstance(fact, facts.Seen):
        return fact["sign"], known.signs[fact["sign"]].of
    return fact["reading"], fact["of"]


def speaks_of(known: Knowledge, case: Snapshot, matched: Iterable[TradeFact], source: str) -> bool:
    """Tell whether what a rule matched speaks of a source as it was when the complaint arose.

    A source that was changed between the two (a head adjusted, a part gripped again) is not the same one: the
    old cut is not blamed on the new head, nor the new cut on the old one.
    """
    arose = _complaint_state(case)
    for fact in matched:
        if isinstance(fact, facts.Seen | facts.Measured | facts.Compared):
            first, last = sorted((fact["when"], arose))
            if any(first < a.when <= last and source in known.actions[a.id].redraws for a in case.actions):
                return False
    return True


def _complaint_state(case: Snapshot) -> int:
    if case.complaint is None:
        return 0
    told = [r.when for r in case.readings if r.id == case.complaint[0] and r.value == case.complaint[1]]
    return told[-1] if told else 0


def _outdated(case: Snapshot, what: str, of: str, when: int) -> Iterator[TradeFact]:
    later = dict.fromkeys(action.id for action in case.actions if action.when > when)
    yield from (facts.Outdated(what=what, of=of, action=action) for action in later)


def _sign_facts(known: Knowledge, case: Snapshot, idle: frozenset[str]) -> Iterator[TradeFact]:
    told = [sign for sign in case.signs if sign.id not in idle]
    for index, sign in enumerate(told):
        of = known.signs[sign.id].of
        again = next((other for other in told[index + 1 :] if other.id == sign.id), None)
        if again is not None and not _ended(known, case, sign.id, of, sign.when, again.when):
            continue  # corrected, not changed
        yes = sign.answer if sign.answer in {"yes", "no", "unknown"} else "yes"
        if sign.id == "heel_marks" and sign.answer == "none":
            yes = "no"  # no second arcs either way
        current = not _ended(known, case, sign.id, of, sign.when)
        yield facts.Seen(sign=sign.id, answer=sign.answer, yes=yes, when=sign.when, current=current)
        if again is None:
            yield from _outdated(case, sign.id, of, sign.when)


def _reading_facts(known: Knowledge, case: Snapshot) -> Iterator[TradeFact]:
    for index, reading in enumerate(case.readings):
        of = reading.of
        again = next((other for other in case.readings[index + 1 :] if other.id == reading.id), None)
        if again is not None and not _ended(known, case, reading.id, of, reading.when, again.when):
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
            current=not _ended(known, case, reading.id, of, reading.when),
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
        yield from _warnings(known, id_, check.cautions, {id_, *check.states})
    for id_ in case.remedies:
        remedy = known.remedies[id_]
        yield from (facts.Proposed(remedy=id_, source=source) for source in remedy.serves)
        yield from (facts.Wants(check=id_, action=action) for action in remedy.does)
        yield from _warnings(known, id_, remedy.cautions, {id_, "always"})


def _warnings(known: Knowledge, item: str, carried: Iterable[str], calls: set[str]) -> Iterator[TradeFact]:
    called = (id_ for id_, caution in known.cautions.items() if calls.intersection(caution.when))
    yield from (facts.Warns(item=item, caution=id_) for id_ in dict.fromkeys((*carried, *called)))
