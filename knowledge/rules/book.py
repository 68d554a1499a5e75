"""What a rule is: conditions, conclusions, why, and what it rests on.

A rule explains itself or does not load: without an id, a because-line whose every name is bound by its
conditions, a basis and a conclusion it is a `RuleError`.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any, Literal

from askew.knowledge.experta_port import AND, NOT, OR, bound_names
from askew.knowledge.facts import TradeFact
from askew.knowledge.schema import BasisKind

Kind = Literal[
    "points", "speaks_against", "suspect", "clear", "aside", "contradiction", "first", "out", "stop", "hold",
    "caution", "note",
]  # fmt: skip
KINDS: tuple[str, ...] = Kind.__args__  # type: ignore[attr-defined]
Stage = Literal["in_play", "case", "agreement"]
"""When a rule runs: on the bench alone, on the case, or on what the patterns and the numbers came to."""

PLACEHOLDER = re.compile(r"\{(\w+)(?::(\w+))?\}")
WAYS = frozenset({"", "name", "size", "length", "percent", "minutes", "signed"})
"""How a value can be put into a because-line: `{value:length}`, `{source:name}`, `{needed:size}` (of "
"`source`)."""


class RuleError(ValueError):
    """A rule is incomplete; the message names it and says what is missing."""


@dataclass(frozen=True, slots=True)
class Basis:
    """What a rule rests on."""

    kind: BasisKind
    source: str

    def __str__(self) -> str:
        """Return it in words, for the chain that `why` prints."""
        return self.source if self.kind in self.source else f"{self.kind}: {self.source}"


PRACTICE = Basis("practice", "common practice, no source")
GEOMETRY = Basis("handbook", "geometry of the cutting circle (sagitta of a chord)")
HOLDING = Basis("handbook", "rigid-body geometry of the part in the vise")
REVERSAL = Basis("handbook", "reversal: a half turn changes the sign of one of two errors")
CUT_MODEL = Basis("judgement", "follows from the project's own prediction of the reading")
JUDGEMENT = Basis("judgement", "judgement")


@dataclass(frozen=True, slots=True)
class Conclude:
    """One conclusion: `about` is an id, or "?name" for what a condition bound to that name.

    `toward` is plus, minus or any for a source that is pointed to; for `first`, the action or setup key that
    has to be settled; for `clear`, "size" where a size says so.
    """

    kind: Kind
    about: str
    toward: str = "any"


@dataclass(frozen=True)
class TradeRule:
    """A rule of the trade, ready to be compiled."""

    id: str
    theme: str
    when: tuple[Any, ...]
    then: tuple[Conclude, ...]
    because: str
    basis: Basis
    stage: Stage


def points(*sources: str) -> tuple[Conclude, ...]:
    """Conclude that sources are suspect; "tram+" and "tram-" say which way."""
    ways = {"+": "plus", "-": "minus"}
    return tuple(Conclude("points", s.rstrip("+-"), ways.get(s[-1], "any")) for s in sources)


def against(*sources: str) -> tuple[Conclude, ...]:
    """Conclude that a pattern speaks against sources."""
    return tuple(Conclude("speaks_against", source) for source in sources)


def first(about: str, need: str) -> tuple[Conclude, ...]:
    """Conclude that `need` (an action or setup key) comes before reading `about` is trusted."""
    return (Conclude("first", about, need),)


def conclude(kind: Kind, *about: str) -> tuple[Conclude, ...]:
    """Conclude the same about several things."""
    return tuple(Conclude(kind, one) for one in about)


class Theme:
    """The rules of one file. Calling `rule` checks a rule and keeps it."""

    def __init__(self, name: str, stage: Stage = "case") -> None:
        """Open a theme whose rules all run at one stage."""
        if not name.strip():
            raise RuleError("a theme needs a name")
        self.name = name
        self.stage: Stage = stage
        self.rules: list[TradeRule] = []

    def rule(
        self,
        id_: str,
        *when: Any,
        then: tuple[Conclude, ...],
        because: str,
        basis: Basis,
    ) -> TradeRule:
        """Keep a rule.

        Args:
            id_: Its id, unique over all themes.
            when: experta patterns, AND, OR (flat) and NOT; all must hold.
            then: What it concludes.
            because: One sentence for the person, with `{name:way}` for what the conditions bind (see `WAYS`).
            basis: What it rests on.

        Raises:
            RuleError: Where something is missing or names a field, a name or a way that does not exist.
        """
        made = TradeRule(id_, self.name, when, then, because, basis, self.stage)
        for problem in problems_of(made):
            raise RuleError(f"rule {id_!r} of {self.name!r}: {problem}")
        if any(other.id == id_ for other in self.rules):
            raise RuleError(f"rule {id_!r} of {self.name!r}: the id is taken")
        self.rules.append(made)
        return made


def problems_of(rule: TradeRule) -> Iterator[str]:
    """Yield a sentence for everything that keeps a rule from loading."""
    if not re.fullmatch(r"[a-z][a-z0-9_]*", rule.id):
        yield "the id must be lower-case letters, digits and underscores"
    if not rule.because.strip():
        yield "it gives no because-line"
    if not isinstance(rule.basis, Basis) or not rule.basis.source.strip():
        yield "it names no basis"
    if not rule.when:
        yield "it has no conditions"
    if not rule.then:
        yield "it concludes nothing"
    for pattern in patterns(rule.when):
        unknown = [key for key in pattern if not pattern.is_special(key) and key not in pattern.fields]
        if unknown:
            yield f"{type(pattern).__name__} has no field {unknown[0]!r}"
    for name in ("value", "over"):
        if sum(name in bound_names([condition]) for condition in rule.when) > 1:
            yield f"two conditions bind {name!r}, so they would match only where it is the same"
    bound = bound_names(rule.when)
    for name, way in PLACEHOLDER.findall(rule.because):
        if name not in bound:
            yield f"the because-line speaks of {name!r}, which no condition binds"
        if way not in WAYS:
            yield f"the because-line asks for {way!r}, which is no way to speak"
        if way == "size" and "source" not in bound:
            yield "a size needs the condition to bind 'source'"
    for conclusion in rule.then:
        if conclusion.about.startswith("?") and conclusion.about[1:] not in bound:
            yield f"it concludes about {conclusion.about!r}, which no condition binds"


def patterns(conditions: tuple[Any, ...]) -> Iterator[TradeFact]:
    """Yield every fact pattern of conditions, those under NOT and OR included."""
    for condition in conditions:
        if isinstance(condition, TradeFact):
            yield condition
        elif isinstance(condition, AND | OR | NOT):
            yield from patterns(tuple(condition))
        else:
            raise RuleError(f"{condition!r} is no condition; use facts, AND, OR and NOT")


def fill(because: str, bound: dict[str, Any], speak: Callable[[str, dict[str, Any], str], str]) -> str:
    """Return a because-line with its values put in by `speak(name, bound, way)`."""
    return PLACEHOLDER.sub(lambda found: speak(found[1], bound, found[2] or ""), because)
