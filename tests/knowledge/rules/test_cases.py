"""Every case of cases.toml through the rules: what fires, what stays silent, and what follows."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from askew.engine.reasoner import Findings, conclude
from askew.engine.snapshot import BestCheck, Snapshot, SourceNumbers, ToldAction, ToldReading, ToldSign
from askew.knowledge.load import load
from askew.knowledge.rules import rules

USUAL: dict[str, Any] = {
    "probability": 0.3, "share": 0.3, "mid": 0.0, "low": -1.0, "high": 1.0,
    "needed": 1.0, "plausible": 1.0, "reach": 1.0,
}  # fmt: skip


@cache
def cases() -> tuple[Mapping[str, Any], ...]:
    """Return the cases of cases.toml."""
    return tuple(tomllib.loads(Path(__file__).with_name("cases.toml").read_text(encoding="utf-8"))["case"])


def numbers(over: Mapping[str, Mapping[str, Any]] | None = None) -> tuple[SourceNumbers, ...]:
    """Return numbers of every source: possible, and well able to do anything, unless told otherwise."""
    made = []
    for id_, source in load().sources.items():
        values = {**USUAL, **(over or {}).get(id_, {})}
        if values["needed"] == "none":
            values["needed"] = None
        made.append(SourceNumbers(id_, source.group, **values))
    return tuple(made)


def snapshot(case: Mapping[str, Any]) -> Snapshot:
    """Return the snapshot that a case of cases.toml describes."""
    setup = {"machine": case.get("machine", "knee_mill"), **case.get("setup", {})}
    tolerance = setup.get("tolerance", 0.03)
    course = case.get("course", {"decided": 0.0, "explained": 0.0})
    complaint = case.get("complaint")
    return Snapshot(
        setup=setup,
        machine=case.get("machine", "knee_mill"),
        readings=tuple(reading(told) for told in case.get("readings", ())),
        signs=tuple(ToldSign(*told) for told in case.get("signs", ())),
        actions=tuple(ToldAction(*told) for told in case.get("actions", ())),
        complaint=tuple([*complaint, None, None][:3]) if complaint else None,
        sizes=numbers(case.get("numbers")),
        doubtful=tuple(case.get("doubtful", {}).items()),
        best_check=BestCheck(course["best"], course["worth"], 0.1) if "best" in course else None,
        decided=course["decided"],
        explained=course["explained"],
        next_check=case.get("next_check"),
        remedies=tuple(case.get("remedies", ())),
        tolerance=tolerance,
    )


def reading(told: Any) -> ToldReading:
    """Return a reading told as a list or a table."""
    table = told if isinstance(told, dict) else dict(zip(("id", "value", "over"), told, strict=False))
    return ToldReading(of=load().readings[table["id"]].of, **table)


def ids(findings: Any) -> set[str]:
    return {finding.about for finding in findings}


@pytest.mark.parametrize("case", cases(), ids=lambda case: case["name"])
def test_case(case: Mapping[str, Any]) -> None:
    known = {rule.id for rule in rules()}
    assert known.issuperset([*case.get("fires", ()), *case.get("silent", ())]), "the case names no such rule"
    found = conclude(snapshot(case))
    fired = {firing.rule for firing in found.trace}
    assert set(case.get("fires", ())) <= fired
    assert not set(case.get("silent", ())) & fired
    assert set(case.get("points", ())) <= ids(found.pointed)
    if "points_exactly" in case:
        assert ids(found.pointed) == set(case["points_exactly"])
    assert set(case.get("cleared", ())) <= ids(found.cleared)
    assert set(case.get("notes", ())) <= ids(found.notes)
    assert set(case.get("doubts", ())) <= ids(found.contradictions)
    assert set(case.get("cautions", ())) <= set(found.cautions)
    needs = {f"{about}:{one.toward}" for about, all_of in found.preparations.items() for one in all_of}
    assert set(case.get("first", ())) <= needs
    if "stop" in case:
        assert found.stop is case["stop"]
    never_opposite(found)


def never_opposite(found: Findings) -> None:
    assert not ids(found.pointed) & ids(found.cleared)
    assert all("{" not in firing.because for firing in found.trace)
    assert all(firing.facts and firing.basis and firing.because for firing in found.trace)


def test_without_anything_told_nothing_is_concluded() -> None:
    found = conclude(Snapshot(setup={}, machine="knee_mill"))
    assert (found.pointed, found.cleared, found.contradictions, found.notes) == ((), (), (), ())
    assert (found.preparations, found.cautions) == ({}, ())
    assert found.stop  # there is no check to make, and it says so
    assert found.stop_because.startswith("There is no check left")


def test_a_sign_beyond_its_time_is_told_but_does_not_point() -> None:
    told = {"setup": {"moving_jaw_contact": "bar"}, "signs": [["needle_moves_on_tightening", "yes"]]}
    grip = {**told, "readings": [{"id": "face_out_of_square", "value": 0.2, "over": 60, "when": 1}]}
    grip |= {"complaint": ["face_out_of_square", 0.2, 60], "actions": [["bar_removed", 1]]}
    assert ids(conclude(snapshot(told)).pointed) == {"off_centre_push", "jaw_lift"}
    assert ids(conclude(snapshot(grip)).pointed) == {"jaw_lift"}  # the bar was drawn afresh, the jaw was not
