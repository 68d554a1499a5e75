"""An engine that runs the rules of the trade: experta's, told everything at once and asked once what matches."""

from __future__ import annotations

import inspect
from collections import Counter
from collections.abc import Callable, Iterable
from typing import Any

from askew.knowledge.experta_port import AND, OR, Fact, FactList, InitialFact, KnowledgeEngine, P, Rule, W
from askew.knowledge.network import Network


class _Facts(FactList):  # type: ignore[misc]
    """A list of facts whose fields are all plain, so that what tells them apart is taken whole."""

    @staticmethod
    def _get_fact_id(fact: Any) -> Any:
        return type(fact), frozenset(fact.items())


class RuleEngine(KnowledgeEngine):  # type: ignore[misc]
    """An engine whose rules only conclude.

    No rule declares a fact or takes one back, so that what matches once all is told is what fires: there is no agenda
    to keep, and its order, which experta leaves to chance, is the caller's to make.
    """

    __matcher__ = Network

    def fire(self, told: Iterable[Any]) -> None:
        """Forget what was told before, take these facts and run every rule that matches them."""
        self.facts = _Facts()
        self.matcher.reset()
        for fact in (InitialFact(), *told):
            self.facts.declare(fact)
        added, _ = self.facts.changes
        self.matcher.add(added)
        for rule, bound in self.matcher.matched():
            rule(self, **{name: value for name, value in bound.items() if _spoken(name)})


def _spoken(name: Any) -> bool:
    """Say whether a name was bound by a condition of ours; experta has some of its own."""
    return isinstance(name, str) and not name.startswith("__")


def engine_of(rules: Iterable[tuple[str, tuple[Any, ...], Callable[..., None]]]) -> RuleEngine:
    """Build an engine from rules given as (id, conditions, body).

    The body is called as `body(engine, **bound)` with every bound name, and with the facts matched under
    `fact_0`, `fact_1`, ... in the order of the conditions.
    """
    members = {id_: _compiled(conditions, body) for id_, conditions, body in rules}
    engine: RuleEngine = type("TradeEngine", (RuleEngine,), members)()
    return engine


def _compiled(conditions: tuple[Any, ...], body: Callable[..., None]) -> Any:
    """Return an experta rule that binds only what joins its patterns; the rest is read off the facts matched.

    Each binding costs experta a copy of the token for every fact, and most are wanted for speaking only.
    """
    joins = _joining(conditions)
    reads: list[tuple[str, str, str]] = []
    patterns = [_lean(condition, f"fact_{i}", joins, reads) for i, condition in enumerate(conditions)]

    def fire(engine: Any, **bound: Any) -> None:
        for place, field, name in reads:
            if place in bound:
                bound[name] = bound[place][field]
        body(engine, **bound)

    # experta works the signature out anew each time it rearranges the conditions; told once, it is free.
    fire.__signature__ = inspect.signature(fire)  # type: ignore[attr-defined]
    return Rule(*patterns)(fire)


def _joining(conditions: Iterable[Any]) -> frozenset[str]:
    """Return the names that more than one condition speaks of, where the facts must agree."""
    spoken = Counter(name for condition in conditions for name in _names(condition))
    return frozenset(name for name, times in spoken.items() if times > 1)


def _names(condition: Any) -> set[str]:
    if isinstance(condition, Fact):
        return {value.__bind__ for value in condition.values() if isinstance(value, P | W) and value.__bind__}
    return {name for part in condition for name in _names(part)}


def _lean(condition: Any, place: str, joins: frozenset[str], reads: list[tuple[str, str, str]]) -> Any:
    """Return a condition without bindings that join nothing, noting in `reads` where their values are."""
    if isinstance(condition, AND | OR):
        parts = (_lean(part, f"{place}_{i}", joins, reads) for i, part in enumerate(condition))
        return (AND if isinstance(condition, AND) else OR)(*parts)
    if not isinstance(condition, Fact):
        return condition
    fields: dict[str, Any] = {}
    for field, value in condition.items():
        name = value.__bind__ if isinstance(value, P | W) else None
        if name is None or name in joins:
            fields[field] = value
            continue
        reads.append((place, field, name))
        if isinstance(value, P):
            fields[field] = P(value.match)
    pattern = type(condition)(**fields)
    pattern.__bind__ = place
    return pattern
