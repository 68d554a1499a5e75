"""The scriptable seam: what goes in as a line of JSON, and the Turn that comes out.

Both directions are pydantic models, so that the JSON Schema that the command prints is generated from
what is enforced. Lengths in mm; slopes as mm with `over` mm.
"""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel, ConfigDict


class Out(BaseModel):
    """Base of everything that goes out."""

    model_config = ConfigDict(extra="forbid")


class HeardOut(Out):
    """An observation taken from the line, and the words it came from."""

    kind: str
    id: str
    value: Any = None
    unit: str | None = None
    over: float | None = None
    bound: str | None = None
    low: float | None = None
    high: float | None = None
    sign_known: bool | None = None
    answer: str | None = None
    words: str = ""


class SizeOut(Out):
    """A size with its 90% interval, mm, or rad for a slope (then `unit` is "slope")."""

    mid: float
    low: float
    high: float
    unit: str


class SuspectOut(Out):
    """A source that may be in trouble, best first.

    `probability` that it is troubled, `share` of the complaint that it makes (signed fraction), its size.
    """

    source: str
    probability: float
    share: float
    size: SizeOut
    because: list[str]


class ClearedOut(Out):
    """A source that cannot matter: the size it would need, and the largest that is plausible."""

    source: str
    needed: float | None
    plausible: float
    unit: str
    because: str


class ExpectOut(Out):
    """What a suspect predicts that a reading of the next check will be (90% interval, mm)."""

    source: str
    reading: str
    low: float
    high: float
    unit: str


class NextOut(Out):
    """The next check: what to do, what it gives, and what each leading suspect predicts."""

    check: str
    minutes: float
    readings: list[str]
    how: list[str]
    expects: list[ExpectOut]
    because: str


class VerdictOut(Out):
    """Why it came out wrong, as far as it will be known."""

    sources: list[str]
    explained: float
    unexplained: float
    remedies: list[str]
    verify: list[str]


class QuestionOut(Out):
    """Something the assistant needs to be told. `setup` is a setup key, a reading or a sign id."""

    setup: str
    options: list[str] | None
    unit: str | None
    because: str
    text: str


class ProofOut(Out):
    """What a reading must come to once a fix is made (90% interval, mm), and what it came to.

    `goal` is how large the complaint may be, null for the other readings; `read` null until it was read since;
    `outcome` "closed" or "reopened" for the complaint.
    """

    reading: str
    low: float
    mid: float
    high: float
    before: float
    over: float | None
    unit: str
    remedy: str
    sources: list[str]
    goal: float | None
    read: float | None
    as_predicted: bool | None
    outcome: str | None
    says: str


class BudgetOut(Out):
    """One entry of the error budget: what a cause makes of the complaint, mm (plus: with it), and as a fraction.

    `source` is null for what all the others make together, and for what nothing explains.
    """

    source: str | None
    name: str
    makes: float
    share: float


class ErrorOut(Out):
    """What was wrong with the line, and what would be right. The case is unchanged."""

    message: str
    hint: str


class Turn(Out):
    """One answer of the assistant."""

    turn: int
    heard: list[HeardOut] = []
    unread: list[str] = []
    question: QuestionOut | None = None
    suspects: list[SuspectOut] = []
    cleared: list[ClearedOut] = []
    next: NextOut | None = None
    verdict: VerdictOut | None = None
    proof: list[ProofOut] = []
    budget: list[BudgetOut] = []
    cautions: list[str] = []
    error: ErrorOut | None = None
    says: list[str] = []
    together: list[list[str]] = []
    doubtful: list[str] = []
    closed: bool = False
    saved: bool = True
    spent: float = 0.0
