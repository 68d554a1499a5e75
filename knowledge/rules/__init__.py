"""Rules of the trade, one theme a file."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from askew.knowledge.facts import (
    PAIRS,
    Compared,
    Done,
    Known,
    Measured,
    Numbers,
    Seen,
    TradeFact,
)
from askew.knowledge.load import Knowledge
from askew.knowledge.rules import (
    agreement,
    cautions,
    changes,
    clamping,
    contradiction,
    halfway,
    heel,
    hollow,
    in_play,
    machine,
    material,
    measuring,
    part_or_machine,
    preparation,
    size,
    step,
    stop,
    tool,
)
from askew.knowledge.rules.book import RuleError, Theme, TradeRule, patterns

THEMES: tuple[Theme, ...] = tuple(
    module.THEME
    for module in (
        in_play,
        halfway,
        preparation,
        contradiction,
        heel,
        step,
        hollow,
        clamping,
        part_or_machine,
        changes,
        tool,
        machine,
        measuring,
        material,
        size,
        agreement,
        stop,
        cautions,
    )
)
"""Every theme, in the order in which their firings are told."""

DERIVED_KEYS = frozenset({"many_passes"})
"""Setup facts that are worked out from others before the rules run."""


@cache
def rules() -> tuple[TradeRule, ...]:
    """Return every rule.

    Raises:
        RuleError: Where two themes use one id.
    """
    found: dict[str, TradeRule] = {}
    for theme in THEMES:
        for rule in theme.rules:
            if rule.id in found:
                raise RuleError(f"rule {rule.id!r} stands in {found[rule.id].theme!r} and in {rule.theme!r}")
            found[rule.id] = rule
    return tuple(found.values())


def problems(known: Knowledge) -> Iterator[str]:
    """Yield a sentence for every id in a rule that the knowledge does not have."""
    for rule in rules():
        for pattern in patterns(rule.when):
            for what, ids, existing in _names(pattern, known):
                for id_ in ids:
                    if id_ not in existing:
                        yield f"rule {rule.id!r} of {rule.theme!r}: no {what} {id_!r}"
        for conclusion in rule.then:
            subjects = _subjects(conclusion.kind, known)
            given = not conclusion.about.startswith("?")
            if subjects is not None and given and conclusion.about not in subjects:
                yield f"rule {rule.id!r} of {rule.theme!r}: concludes about unknown {conclusion.about!r}"


def literals(value: object) -> tuple[object, ...]:
    """Return the plain values that a field of a pattern asks for; nothing for a variable or a comparison."""
    if getattr(value, "op", None) == "in":
        return tuple(value.bound)  # type: ignore[attr-defined]
    return () if isinstance(value, tuple) else (value,)


def _names(
    pattern: TradeFact, known: Knowledge
) -> Iterator[tuple[str, tuple[object, ...], frozenset[object]]]:
    if isinstance(pattern, Seen):
        signs = literals(pattern["sign"])
        yield "sign", signs, frozenset(known.signs)
        for sign in signs:
            if sign in known.signs and "answer" in pattern:
                answers = frozenset({"yes", "no", "unknown", *known.signs[str(sign)].places})
                yield f"answer to {sign!r}", literals(pattern["answer"]), answers
    elif isinstance(pattern, Measured):
        yield "reading", literals(pattern["reading"]), frozenset(known.readings)
    elif isinstance(pattern, Known):
        keys = literals(pattern["key"])
        yield "setup key", keys, frozenset({*known.setup, *DERIVED_KEYS})
        for key in keys:
            if key in known.setup and known.setup[str(key)].choices and "value" in pattern:
                yield (
                    f"choice of {key!r}",
                    literals(pattern["value"]),
                    frozenset(known.setup[str(key)].choices),
                )
    elif isinstance(pattern, Done):
        yield "action", literals(pattern["action"]), frozenset(known.actions)
    elif isinstance(pattern, Numbers):
        yield "source", literals(pattern["source"]), frozenset(known.sources)
    elif isinstance(pattern, Compared):
        yield "pair", literals(pattern["pair"]), frozenset(PAIRS)


def _subjects(kind: str, known: Knowledge) -> frozenset[str] | None:
    if kind in {"points", "speaks_against"}:
        return frozenset(known.sources)
    if kind == "caution":
        return frozenset(known.cautions)
    if kind == "contradiction":
        return frozenset({*known.readings, *known.signs, *known.setup})
    return None
