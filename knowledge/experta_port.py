"""The one door to experta, so that it could be replaced.

experta is unmaintained. It needs `collections.Mapping`, which left Python in 3.10, and its package
swallows every ImportError and then shows up empty; both are dealt with here, and nothing else in askew
imports it.
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

from experta import AND, MATCH, NOT, OR, Fact, KnowledgeEngine, Rule  # noqa: E402
from experta.fact import InitialFact  # noqa: E402
from experta.factlist import FactList  # noqa: E402
from experta.fieldconstraint import L, P, W  # noqa: E402
from experta.matchers import ReteMatcher  # noqa: E402
from experta.matchers.rete.abstract import TwoInputNode  # noqa: E402
from experta.matchers.rete.check import FactCapture, TypeCheck  # noqa: E402
from experta.matchers.rete.nodes import ConflictSetNode, FeatureTesterNode  # noqa: E402
from experta.matchers.rete.token import Token  # noqa: E402

__all__ = [
    "AND", "MATCH", "NOT", "OR", "ConflictSetNode", "Fact", "FactCapture", "FactList", "FeatureTesterNode",
    "InitialFact", "KnowledgeEngine", "L", "P", "ReteMatcher", "Rule", "Token", "TwoInputNode", "TypeCheck", "W",
    "at_least", "below", "bound_names", "one_of",
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
