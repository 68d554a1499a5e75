"""What a request comes to, worked out: a change thought through, a fix, a plan that lives with the machine."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from askew.engine.answers import meant
from askew.engine.language import Context, read
from askew.engine.mend import Mend
from askew.engine.observations import Command
from askew.engine.remedies.parts import differing
from askew.engine.standing import Standing


@dataclass(frozen=True)
class WorkedOut:
    """What a request comes to as the case stands.

    Attributes:
        request: The request.
        says: The answer, in lines.
        goes_by: Setup key of what lies on the bench that it goes by, or None.
        asked: The fix that it asks for, or None.
    """

    request: Command
    says: Sequence[str]
    goes_by: str | None = None
    asked: Mend | None = None


def work_out(request: Command, standing: Standing, context: Context) -> WorkedOut:
    """Return what a request comes to.

    Args:
        request: A `what_if`, a `fix` or a `live_with`.
        standing: Where the case stands.
        context: What gives the words of a `what_if` their meaning.
    """
    # the arithmetic of remedies is wanted only now: it would make every start slower
    from askew.engine import ahead  # noqa: PLC0415

    if request.id == "what_if":
        facts = read(request.argument or "", context).facts
        return WorkedOut(request, ahead.what_if(facts, standing, standing.unit))
    if request.id == "live_with":
        says, goes_by = ahead.live_with(standing, standing.unit)
        return WorkedOut(request, says, goes_by)
    says, asked = ahead.how_to_fix(meant(request.argument), standing, standing.unit)
    return WorkedOut(request, says, ahead.made_from(asked) if asked is not None else None, asked)


def worked_anew(before: WorkedOut, now: WorkedOut) -> list[str]:
    """Return what a request comes to now where that differs from before."""
    if list(now.says) == list(before.says):
        return ["With those it stays as it was worked out."]
    return ["With those:", *differing(now.says, before.says)]
