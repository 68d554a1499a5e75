"""The story of a case from its journal: every turn that stands, answered again as it was then."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from askew.engine.consult import Consultation
from askew.engine.kept import BadFactError, from_json
from askew.engine.physics.readings import predict
from askew.engine.record.journal import Journal, Record
from askew.engine.record.turns import facts_of, standing
from askew.engine.report.face import DRAWN
from askew.engine.report.moments import judged
from askew.engine.safe import safe
from askew.engine.seam import HeardOut
from askew.engine.setup import Setup
from askew.engine.standing import stand
from askew.engine.story import CaseStory, Event, Range
from askew.engine.turn_out import heard_out

DRAWS = 800
"""Draws from the posterior for the predicted face: forty of them lie beyond either end of a 90% interval."""


def story(journal: Journal, name: str) -> CaseStory:
    """Return the story of a case.

    Args:
        journal: The case; it is not changed.
        name: What to call it.
    """
    copy = Journal.in_memory()
    events: list[Event] = []
    kept: list[Consultation] = []
    for record in journal.records:
        if record.kind == "memory":  # what the case began with
            copy.append("memory", record.data)
    for record in standing(journal.records):
        copy.append("turn", record.data)
        consultation = Consultation(_same(copy))
        kept.append(consultation)
        said = str(record.data.get("text", ""))
        events.append(
            Event(
                day=record.time[:10],
                text="" if said.startswith("{") else safe(said),
                heard=_heard(record),
                turn=consultation.now(),
            )
        )
    unit = kept[-1].unit if kept else "mm"
    at = judged(events)
    if at is None:
        return CaseStory(name, unit, tuple(events), kept[-1].setup if kept else Setup())
    setup, sizes, predicted = _face_of(kept[at])
    return CaseStory(name, unit, tuple(events), setup, predicted, sizes, _budget_of(kept[at]))


def _same(journal: Journal) -> Journal:
    """Return a journal of the records so far, so that each consultation keeps its own end."""
    copy = Journal.in_memory()
    copy.records = list(journal.records)
    return copy


def _heard(record: Record) -> tuple[HeardOut, ...]:
    heard: list[HeardOut] = []
    for fact in facts_of(record):
        try:
            heard.append(heard_out(from_json(fact)))
        except BadFactError:
            continue  # of another version of the knowledge; the consultation leaves it out as well
    return tuple(heard)


def _budget_of(consultation: Consultation) -> dict[str, float]:
    """Return what every source is expected to make of the complaint, mm."""
    budget = consultation.standing.budget
    if budget is None:
        return {}
    numbers = consultation.standing.numbers
    return {n.source: n.expected * budget.complaint for n in numbers if n.source != "unlisted" and n.expected}


def _face_of(consultation: Consultation) -> tuple[Setup, dict[str, float], dict[str, Range]]:
    """Return the setup of the cut complained of, the sizes believed then, and what they make of the face."""
    case = consultation.case
    complaint = case.complaint
    if complaint is None:
        return consultation.setup, {}, {}
    # What is held responsible is what was in force for that cut, not what has been changed since.
    then = stand(replace(case, now=complaint.situation), consultation.unit)
    draws = then.samples(DRAWS, seed=1)
    setup = complaint.situation.setup
    predicted: dict[str, Range] = {}
    for reading in DRAWN:
        values = np.broadcast_to(predict(reading, setup, draws), (DRAWS,))
        low, mid, high = (float(q) for q in np.quantile(values, [0.05, 0.5, 0.95]))
        predicted[reading] = Range(low, mid, high)
    if complaint.situation.setup.value("passes") == 1:
        del predicted["step"]
    return setup, {source: float(np.mean(size)) for source, size in draws.items()}, predicted
