"""Which fix was made, as far as what was said tells: the person says what was done, seldom what for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from askew.engine.case import Case, tell
from askew.engine.lasting import MOST_MENDS
from askew.engine.mend import Mend, made_fix, open_fix, redrawn, unmade
from askew.engine.observations import Action, Observation, Reading
from askew.engine.standing import Standing
from askew.knowledge.load import load


def fix_told(
    facts: Sequence[Observation], standing: Standing, after: Case, asked: Mend | None
) -> Mend | None:
    """Return the fix that what was said amounts to, promised from what was believed before it; None for none.

    Once the cause is named every action may be one. What was done earlier is seen to have been one when the
    complaint is measured again.

    Args:
        facts: What was said.
        standing: Where the case stood before it.
        after: The case after it.
        asked: The fix asked for last, not made yet.
    """
    case = standing.case
    done = [fact.id for fact in facts if isinstance(fact, Action)]
    read = {fact.id for fact in facts if isinstance(fact, Reading) and fact.value is not None}
    proving = case.complaint is not None and case.complaint.fact.id in read and open_fix(case) is None
    if proving:
        done = [*unmade(case), *done]
    if not done or not (proving or standing.verdict is not None or asked is not None):
        return None
    if not proving and asked is None and set(done) <= _left_by_check(case):
        return None
    return made_fix(done, standing, asked, after)


def _left_by_check(case: Case) -> frozenset[str]:
    """What the check just made ends with (a part out of the vise): no fix, even where it settled the case."""
    last = case.evidence[-1] if case.evidence else None
    if last is None or any(done.when > last.when for done in case.done):
        return frozenset()
    checks = load().checks
    made = [checks[id_] for id_ in case.made if last.fact.id in checks[id_].gives]
    return frozenset(action for check in made for action in check.disturbs)


def mended(case: Case, mend: Mend, facts: Sequence[Observation], pending: str | None) -> Case:
    """Return the case after facts that are a fix, or prove one; `pending` is the check that was asked for."""
    done = [fact.id for fact in facts if isinstance(fact, Action)]
    after = tell(case, facts, pending, redrawn(mend, done))
    return replace(after, mends=(*after.mends, mend)[-MOST_MENDS:])
