"""The one door to experta, so that it could be replaced.

experta is unmaintained. It needs `collections.Mapping`, which left Python in 3.10, and its package swallows every
ImportError and then shows up empty; both are dealt with here, and nothing else in askew imports it.
"""

from __future__ import annotations

import collections
import collections.abc
import sys
from collections.abc import Callable, Iterable
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

from experta import AND, AS, MATCH, NOT, OR, Fact, KnowledgeEngine, Rule  # noqa: E402
from experta.fieldconstraint import FieldConstraint, L, P, W  # noqa: E402
from experta.matchers import ReteMatcher  # noqa: E402
from experta.matchers.rete.nodes import ConflictSetNode  # noqa: E402

__all__ = [
    "AND", "AS", "MATCH", "NOT", "OR", "Fact", "FieldConstraint", "KnowledgeEngine", "L", "P", "Rule", "W",
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


class _Matcher(ReteMatcher):
    """The RETE matcher, with its list of end nodes kept by network.

    experta caches that list for the last network used only, so that two engines in turn rebuild it each time.
    """

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._ends: tuple[ConflictSetNode, ...] = tuple(dict.fromkeys(_end_nodes(self.root_node)))

    def _get_conflict_set_nodes(self) -> tuple[ConflictSetNode, ...]:
        return self._ends


def _end_nodes(node: Any) -> Iterable[ConflictSetNode]:
    if isinstance(node, ConflictSetNode):
        yield node
    for child in node.children:
        yield from _end_nodes(child.node)


class _Engine(KnowledgeEngine):
    """An engine that looks at its end nodes only when a fact came or went."""

    __matcher__ = _Matcher

    def get_activations(self) -> tuple[list[Any], list[Any]]:
        if not self.facts.added and not self.facts.removed:
            return [], []
        added, removed = super().get_activations()
        return list(added), list(removed)


def engine_of(rules: Iterable[tuple[str, tuple[Any, ...], int, Callable[..., None]]]) -> Any:
    """Build an engine from rules given as (id, conditions, salience, body).

    The body is called as `body(engine, **bound)` with every bound name, and with the facts matched under
    `fact_0`, `fact_1`, ... in the order of the conditions.
    """
    members = {id_: Rule(*_named(conditions), salience=salience)(body) for id_, conditions, salience, body in rules}
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
