"""The one door to experta, so that it could be replaced.

experta is unmaintained. It needs `collections.Mapping`, which left Python in 3.10, and its package
swallows every ImportError and then shows up empty; both are dealt with here, and nothing else in askew
imports it.
"""

from __future__ import annotations

import collections
import collections.abc
import inspect
import sys
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from typing import Any

for _name in ("Mapping", "MutableMapping"):
    if not hasattr(collections, _name):
        setattr(collections, _name, getattr(collections.abc, _name))

import experta  # noqa: E402  (the names above must be back first)

if not hasattr(experta, "KnowledgeEngine"):
    # Import the part that failed again, to hear the reason that the package kept to itself.
    sys.modules.pop("experta.engine", None)
    import experta.engine

    raise ImportError("experta is installed but did not load; reinstall it with its dependencies")

from experta import AND, MATCH, NOT, OR, Fact, KnowledgeEngine, Rule  # noqa: E402
from experta.fieldconstraint import L, P, W  # noqa: E402
from experta.matchers import ReteMatcher  # noqa: E402
from experta.matchers.rete.check import FactCapture, TypeCheck  # noqa: E402
from experta.matchers.rete.nodes import ConflictSetNode, FeatureTesterNode  # noqa: E402

__all__ = [
    "AND", "MATCH", "NOT", "OR", "Fact", "KnowledgeEngine", "L", "P", "Rule", "W",
    "at_least", "below", "bound_names", "engine_of", "one_of",
]  # fmt: skip


def _comparison(op: str, bound: object, test: Callable[[Any], bool], name: str | None) -> Any:
    """Return a predicate that remembers what it compares with, so that another engine can be told."""
    predicate = P(test)
    predicate.op, predicate.bound = op, bound
    return (name << predicate) if name else predicate


def at_least(bound: float, name: str | None = None) -> Any:
    """Match a number of at least `bound`, and bind it to `name`. None never matches."""
    return _comparison(">=", bound, lambda value: value is not None and value >= bound, name)


def below(bound: float, name: str | None = None) -> Any:
    """Match a number below `bound`, and bind it to `name`. None never matches."""
    return _comparison("<", bound, lambda value: value is not None and value < bound, name)


def one_of(*choices: object, name: str | None = None) -> Any:
    """Match any of `choices`, and bind it to `name`."""
    return _comparison("in", choices, lambda value: value in choices, name)


def bound_names(conditions: Iterable[Any]) -> frozenset[str]:
    """Return the names that a rule's conditions bind; those inside a NOT bind nothing."""
    names: set[str] = set()
    for condition in conditions:
        if isinstance(condition, Fact):
            names.update(v.__bind__ for v in condition.values() if isinstance(v, L | P | W) and v.__bind__)
        elif isinstance(condition, OR):
            # Only what every branch binds can be spoken of.
            branches = [bound_names([branch]) for branch in condition]
            names.update(frozenset.intersection(*branches))
        elif isinstance(condition, AND):
            names.update(bound_names(condition))
    return frozenset(names)


class _Matcher(ReteMatcher):  # type: ignore[misc]
    """The RETE matcher, with the two shortcuts that most of its time goes into.

    experta copies a token before it tests it, and remembers the end nodes of the network used last only,
    so that several engines in turn look for them again each time.
    """

    def __init__(self, engine: Any) -> None:
        super().__init__(engine)
        nodes = dict.fromkeys(_below(self.root_node))
        self._ends = tuple(node for node in nodes if isinstance(node, ConflictSetNode))
        for node in (self.root_node, *nodes):
            for index, child in enumerate(node.children):
                tests = isinstance(child.node, FeatureTesterNode)
                if tests and not isinstance(child.node.matcher, FactCapture):
                    node.children[index] = child._replace(callback=_tested_first(child.node))

    def _get_conflict_set_nodes(self) -> tuple[Any, ...]:
        return tuple(node for node in self._ends if node.added or node.removed)


def _below(node: Any) -> Iterator[Any]:
    for child in node.children:
        yield child.node
        yield from _below(child.node)


def _tested_first(node: Any) -> Callable[[Any], None]:
    """Return the node's entrance with its test made before the token is copied.

    A test that binds nothing leaves the token as it is, so it goes on uncopied; whoever changes it copies it.
    """
    check = node.matcher
    if isinstance(check, TypeCheck):
        kind = check.fact_type

        def pass_on_type(token: Any) -> None:
            (fact,) = token.data
            if type(fact) is kind:
                for child in node.children:
                    child.callback(token)

        return pass_on_type
    if isinstance(check.how, L) and check.how.__bind__ is None and isinstance(check.what, str):
        field, wanted = check.what, check.how.value

        def pass_on_value(token: Any) -> None:
            (fact,) = token.data
            if fact.get(field, _ABSENT) == wanted:
                for child in node.children:
                    child.callback(token)

        return pass_on_value

    if getattr(check.how, "__bind__", None) is None and isinstance(check.how, P):
        field, match = check.what, check.how.match

        def pass_on_test(token: Any) -> None:
            (fact,) = token.data
            if match(fact[field]):
                for child in node.children:
                    child.callback(token)

        return pass_on_test

    def enter(token: Any) -> None:
        (fact,) = token.data
        if check(fact):
            node.activate(token)

    return enter


_ABSENT = object()


class _Engine(KnowledgeEngine):  # type: ignore[misc]
    """An engine that looks at its end nodes only when a fact came or went."""

    __matcher__ = _Matcher

    def get_activations(self) -> tuple[list[Any], list[Any]]:
        if not self.facts.added and not self.facts.removed:
            return [], []
        added, removed = super().get_activations()
        return list(added), list(removed)


def engine_of(rules: Iterable[tuple[str, tuple[Any, ...], Callable[..., None]]]) -> Any:
    """Build an engine from rules given as (id, conditions, body).

    The body is called as `body(engine, **bound)` with every bound name, and with the facts matched under
    `fact_0`, `fact_1`, ... in the order of the conditions.
    """
    members = {id_: _compiled(conditions, body) for id_, conditions, body in rules}
    return type("TradeEngine", (_Engine,), members)()


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
