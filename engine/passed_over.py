"""What the person passes over: a check put aside or not to be made here, a question left open."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from askew.engine.answers import name_of
from askew.engine.case import Case
from askew.engine.observations import Command, Observation, Sign
from askew.engine.planner.available import available
from askew.engine.seam import QuestionOut
from askew.knowledge.load import load

ASIDE = {"skip": "Put aside for now", "cannot": "Cannot be made here", "dont_know": "Left open"}
"""What becomes of a check or a question that the person passes over."""


def passed_over(
    command: Command, pending: str | None, question: QuestionOut | None
) -> tuple[Observation, ...]:
    """Return what a refusal comes to: without a name it is about the question or the check just asked for.

    Args:
        command: A skip, cannot or dont_know.
        pending: The check asked for.
        question: The question asked.

    Returns:
        Facts to keep; none where nothing was asked.
    """
    known = load()
    if command.argument in known.checks:
        return (command,)
    if command.id == "dont_know" or (command.id == "skip" and pending is None and question is not None):
        return _left_open(replace(command, id="dont_know"), pending, question)
    named = [
        id_ for id_, check in known.checks.items() if command.argument and command.argument in check.gives
    ]
    if named:
        return tuple(replace(command, argument=id_) for id_ in named)
    return (replace(command, argument=pending),) if pending is not None else ()


def _left_open(
    command: Command, pending: str | None, question: QuestionOut | None
) -> tuple[Observation, ...]:
    """Return the question as left open; where none was asked, all that the check asked for would have told."""
    known = load()
    if question is not None:
        return (replace(command, argument=question.setup),)
    if pending is None:
        return ()
    gives = known.checks[pending].gives
    open_ = [Sign(id_, "unknown", command.words) for id_ in gives if id_ in known.signs]
    return (
        *open_,
        *(replace(command, argument=id_) for id_ in gives),
        replace(command, id="skip", argument=pending),
    )


def aside_words(command: Command) -> str | None:
    """Return what became of what a command passes over, in words; None for a command about nothing."""
    checks = load().checks
    if command.argument is None:
        return None
    if command.argument in checks and command.id in ASIDE:
        return f"{ASIDE[command.id]}: {checks[command.argument].name}"
    return f"{ASIDE['dont_know']}: {name_of(command.argument)}"


def instead_of(facts: Iterable[Observation], case: Case) -> list[str]:
    """Return what serves instead of checks that cannot be made, as far as it can be made in this case."""
    checks = load().checks
    named = [f.argument for f in facts if isinstance(f, Command) and f.id == "cannot" and f.argument]
    refused = [checks[id_] for id_ in named if id_ in checks]
    possible = set(available(case)) if refused else set()
    return [
        f"Instead of {check.name}, this serves: {checks[check.instead].name}."
        for check in refused
        if check.instead is not None and check.instead in possible
    ]
