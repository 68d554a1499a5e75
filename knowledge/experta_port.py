"""The one door to experta, so that it could be replaced.

experta is unmaintained. It needs `collections.Mapping`, which left Python in 3.10, and its package
swallows every ImportError and then shows up empty; both are dealt with here, and nothing else in askew
imports it.
"""

from __future__ import annotations

import collections
import collections.abc
import sys
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
                if isinstance(child.node, FeatureTesterNode) and not isinstance(
                    child.node.matcher, FactCapture
                ):
                    node.children[index] = child._replace(callback=_tested_first(child.node))

    def _get_conflict_set_nodes(self) -> tuple[Any, ...]:
        return tuple(node for node in self._ends if node.added or node.removed)


def _below(node: Any) -> Iterator[Any]:
    for child in node.children:
        yield child.node
        yield from _below(child.node)


def _tested_first(node: Any) -> Callable[[Any], None]:
    """Return the node's entrance with its test made before the token is copied."""
    check, enter = node.matcher, node.activate
    if isinstance(check, TypeCheck):
        kind = check.fact_type

        def passes(fact: Any) -> bool:
            return type(fact) is kind
    elif isinstance(check.how, L) and check.how.__bind__ is None and isinstance(check.what, str):
        field, wanted = check.what, check.how.value

        def passes(fact: Any) -> bool:
            return bool(fact.get(field, _ABSENT) == wanted)
    else:
        passes = check

    def callback(token: Any) -> None:
        (fact,) = token.data
        if passes(fact):
            enter(token)

    return callback


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
    members = {id_: Rule(*_named(conditions))(body) for id_, conditions, body in rules}
    return type("TradeEngine", (_Engine,), members)()


def _named(conditions: tuple[Any, ...]) -> list[Any]:
    """Bind every positive pattern, so that the body sees the facts that it fired on."""

    def name(condition: Any, path: str) -> Any:
        if isinstance(condition, Fact):
            pattern = condition.copy()
            pattern.__bind__ = path
            return pattern
        if isinstance(condition, AND | OR):
            kind = AND if isinstance(condition, AND) else OR
            return kind(*(name(part, f"{path}_{index}") for index, part in enumerate(condition)))
        return condition

    return [name(condition, f"fact_{index}") for index, condition in enumerate(conditions)]
