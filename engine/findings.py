"""What the rules hand back: conclusions, each with the rule that drew it, and every firing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Firing:
    """One rule that fired: what it said, what it rests on, and the facts it matched, in words.

    `concludes` holds (kind, about, toward) of every conclusion; see `askew.knowledge.rules.book.Conclude`.
    """

    rule: str
    theme: str
    because: str
    basis: str
    facts: tuple[str, ...]
    concludes: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True, slots=True)
class Finding:
    """A conclusion about one thing: its id, the rule that drew it, and why.

    `toward` is plus, minus or any for a source that is pointed to; for a preparation, the action or setup key
    that has to be settled first; for a cleared source, "size" or "pattern".
    """

    about: str
    rule: str
    because: str
    toward: str = "any"


@dataclass(frozen=True, slots=True)
class InPlay:
    """What is in play, and for every source, check or sign that is not, why not."""

    sources: frozenset[str]
    checks: frozenset[str]
    signs: frozenset[str]
    out: Mapping[str, Finding] = field(default_factory=dict)
    trace: tuple[Firing, ...] = ()


@dataclass(frozen=True, slots=True)
class Findings:
    """What the rules conclude from a snapshot.

    Attributes:
        pointed: Sources that a pattern points to, in agreement with the numbers; one entry a pattern.
        cleared: Sources that cannot matter, with the number that says so.
        in_play: Sources, checks and signs in play, and why the others are not.
        preparations: By check, reading or source id, what must be settled first.
        contradictions: Readings and signs that cannot all be right, one entry for each of them.
        stop: True when further checks cannot change what to do.
        stop_because: Why to stop, or why not yet; empty where no rule spoke.
        cautions: Caution ids that belong here.
        notes: Other remarks worth a sentence (an old cut that does not speak for a new head).
        trace: Every firing, in the order of the themes.
    """

    pointed: tuple[Finding, ...]
    cleared: tuple[Finding, ...]
    in_play: InPlay
    preparations: Mapping[str, tuple[Finding, ...]]
    contradictions: tuple[Finding, ...]
    stop: bool
    stop_because: str
    cautions: tuple[str, ...]
    notes: tuple[Finding, ...]
    trace: tuple[Firing, ...]
