"""Where a case stands, as it goes out: suspects, what is cleared, the next check, cautions and remarks."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from askew.engine.case import Case
from askew.engine.findings import Findings
from askew.engine.planner.choose import Choice, Expectation, Scored, runner_up
from askew.engine.seam import ClearedOut, ExpectOut, NextOut, ProofOut, SizeOut, SuspectOut, VerdictOut
from askew.engine.suspects import Numbers
from askew.knowledge.load import load

SUSPECTS_SHOWN = 12
ASKED_FOR = frozenset({"gripped_face", "leaned_on_purpose"})
"""Preparations that `questions` asks about, so that they are not said twice."""


def suspects_out(numbers: Iterable[Numbers], findings: Findings) -> list[SuspectOut]:
    """Return the sources that may still be it, best first, each with the rules that point to it."""
    away = {finding.about for finding in findings.cleared}
    pointed: dict[str, list[str]] = {}
    for finding in findings.pointed:
        pointed.setdefault(finding.about, []).append(finding.because)
    shown = [n for n in numbers if n.source not in away and (n.probability > 0.005 or n.rank > 0.001)]
    return [
        SuspectOut(
            source=n.source,
            probability=n.probability,
            share=n.share,
            size=SizeOut(mid=n.mid, low=n.low, high=n.high, unit=load().sources[n.source].unit),
            because=pointed.get(n.source, []) + _history(n),
        )
        for n in shown[:SUSPECTS_SHOWN]
    ]


def _history(n: Numbers) -> list[str]:
    return ["It was changed since this cut: what stands now may be different."] if n.old else []


def cleared_out(numbers: Iterable[Numbers], findings: Findings) -> list[ClearedOut]:
    """Return the sources that cannot matter, with the number that says so."""
    by_source = {n.source: n for n in numbers}
    return [
        ClearedOut(
            source=finding.about,
            needed=by_source[finding.about].needed,
            plausible=by_source[finding.about].plausible,
            unit=load().sources[finding.about].unit,
            because=finding.because,
        )
        for finding in {f.about: f for f in findings.cleared}.values()
        if finding.about in by_source
    ]


def next_out(check: Scored, choice: Choice, expects: Iterable[Expectation], findings: Findings) -> NextOut:
    """Return the next check as it goes out: what settles first, then its steps, and why this one.

    Args:
        check: The next check.
        choice: The plan that it is the best of.
        expects: What the leading suspects predict for it.
        findings: What the rules conclude; their preparations come before the steps.
    """
    known = load().checks[check.id]
    settled_first = [finding.because for finding in findings.preparations.get(check.id, ())]
    return NextOut(
        check=check.id,
        minutes=check.minutes,
        readings=list(known.gives),
        how=[*settled_first, *known.how],
        expects=[
            ExpectOut(source=e.source, reading=e.reading, low=e.low, high=e.high, unit="mm") for e in expects
        ],
        because=_why_next(check, choice),
    )


def _why_next(check: Scored, choice: Choice) -> str:
    known = load().checks
    text = f"It should settle {100 * check.share:.0f}% of what is open, for {_minutes(check.minutes)}."
    if check.then is not None:
        text += f" It pays together with the one after it: {known[check.then].name}."
    second = runner_up(choice)
    if second is not None and second.gain > 0.0:
        name = known[second.id].name
        text += f" Next best: {name}, {100 * second.share:.0f}% for {_minutes(second.minutes)}."
    return text


def _minutes(minutes: float) -> str:
    return f"{minutes:.0f} min"


def cautions_out(findings: Findings, check: str | None, remedies: Sequence[str]) -> list[str]:
    """Return the safety sentences of the rules, of the next check and of the first two remedies."""
    known = load()
    wanted = list(findings.cautions)
    if check is not None:
        wanted += known.checks[check].cautions
    for remedy in remedies[:2]:
        wanted += known.remedies[remedy].cautions
    return [known.cautions[id_].text for id_ in dict.fromkeys(wanted) if id_ in known.cautions]


def judged_words(proof: Iterable[ProofOut]) -> list[str]:
    """Return what came of those predictions of a fix that were read since."""
    return [one.says for one in proof if one.read is not None]


def notes_out(
    case: Case, proof: Iterable[ProofOut], findings: Findings, verdict: VerdictOut | None
) -> list[str]:
    """Return the remarks on an open case: what came of a fix, the rules' remarks, contradictions, what is first."""
    proof = tuple(proof)
    lines = judged_words(proof)
    if any(one.outcome == "reopened" for one in proof):
        lines.append("What was done and what it came to count as evidence from here on.")
    lines += [finding.because for finding in (*findings.contradictions, *findings.notes)]
    complaint = case.complaint
    first = findings.preparations.get(complaint.fact.id, ()) if complaint is not None else ()
    lines += [finding.because for finding in first if finding.toward not in ASKED_FOR]
    if verdict is not None and not verdict.sources:
        lines.append("No single cause stands out: this much is what usual small errors add up to here.")
    return list(dict.fromkeys(lines))
