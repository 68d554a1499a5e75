"""experta's RETE network, with the shortcuts that most of its time goes into.

The nodes are experta's, and so is what they mean; only the ways between them are new. A fact is handed at once to
the tests of its own type and values instead of being refused by all the others, and no token is copied before it is
tested.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import Any

from askew.knowledge.experta_port import (
    ConflictSetNode,
    FactCapture,
    FeatureTesterNode,
    L,
    P,
    ReteMatcher,
    Token,
    TwoInputNode,
    TypeCheck,
)

Way = Callable[[Any], object]
"""Where a token goes next."""


class Network(ReteMatcher):  # type: ignore[misc]
    """The network of an engine's rules: facts in, what matched out."""

    def __init__(self, engine: Any) -> None:
        """Build experta's network, then lay the shorter ways through it."""
        super().__init__(engine)
        nodes = tuple(dict.fromkeys(_below(self.root_node)))
        self._joins = tuple(node for node in nodes if isinstance(node, TwoInputNode))
        self._ends: list[_End] = []
        for node in reversed(nodes):  # a way goes on along those laid before, further down
            for index, child in enumerate(node.children):
                node.children[index] = child._replace(callback=self._way(child))
        tests = (child.node for child in self.root_node.children)
        self._ways = {test.matcher.fact_type: _onward(test.children) for test in tests}

    def _way(self, child: Any) -> Way:
        """Return the way into a node; the end of a rule becomes one of ours."""
        if isinstance(child.node, ConflictSetNode):
            self._ends.append(_End(child.node.rule))
            return self._ends[-1].take
        way: Way = _tested_first(child.node) if isinstance(child.node, FeatureTesterNode) else child.callback
        return way

    def reset(self) -> None:
        """Forget all facts."""
        for node in self._joins:
            node._reset()
        for end in self._ends:
            end.found.clear()

    def add(self, facts: Iterable[Any]) -> None:
        """Take facts in; one of a type that no rule speaks of goes nowhere."""
        for fact in facts:
            way = self._ways.get(type(fact))
            if way is not None:
                way(_Token.valid(fact))

    def matched(self) -> Iterator[tuple[Any, dict[str, Any]]]:
        """Yield every rule that matches, with what its conditions bound."""
        for end in self._ends:
            for info in end.found:
                yield end.rule, dict(info.context)


class _Token(Token):  # type: ignore[misc]
    """A token whose copies are not examined once more."""

    def copy(self) -> _Token:
        made: _Token = tuple.__new__(_Token, (self.tag, self.data.copy(), self.context.copy()))
        return made


class _End:
    """The end of a rule's conditions: what came through, and was not taken back by an absence that ended."""

    def __init__(self, rule: Any) -> None:
        self.rule = rule
        self.found: dict[Any, None] = {}

    def take(self, token: Any) -> None:
        if token.is_valid():
            self.found[token.to_info()] = None
        else:
            self.found.pop(token.to_info(), None)


def _below(node: Any) -> Iterator[Any]:
    for child in node.children:
        yield child.node
        yield from _below(child.node)


_ABSENT = object()


def _onward(children: Iterable[Any]) -> Way:
    """Return the way to some nodes; of those that ask for a value of a field, to that of the fact's value only."""
    by_value: dict[str, dict[Any, Way]] = {}
    others: list[Way] = []
    for child in children:
        asked = _asked(child.node)
        if asked is None:
            others.append(child.callback)
        else:
            field, value = asked
            by_value.setdefault(field, {})[value] = _onward(child.node.children)
    fields = tuple(by_value.items())

    def onward(token: Any) -> None:
        (fact,) = token.data
        for field, ways in fields:
            way = ways.get(fact.get(field, _ABSENT))
            if way is not None:
                way(token)
        for other in others:
            other(token)

    return onward


def _asked(node: Any) -> tuple[str, Any] | None:
    """Return the field and the value that a node asks for; None where it asks for something else or binds."""
    check = node.matcher if isinstance(node, FeatureTesterNode) else None
    if check is None or isinstance(check, TypeCheck | FactCapture):
        return None
    literal = isinstance(check.how, L) and check.how.__bind__ is None and isinstance(check.what, str)
    return (check.what, check.how.value) if literal else None


def _tested_first(node: Any) -> Way:
    """Return a node's entrance with its test made before the token is copied.

    A test that binds nothing leaves the token as it is, so it goes on uncopied; whoever changes it copies it.
    """
    check, onward = node.matcher, _onward(node.children)
    if isinstance(check, FactCapture):

        def capture(token: Any) -> None:
            (fact,) = token.data
            held = token.copy()
            held.context[check.bind] = fact
            onward(held)

        return capture
    if isinstance(check.how, P) and check.how.__bind__ is None:
        field, match = check.what, check.how.match

        def pass_on(token: Any) -> None:
            (fact,) = token.data
            if match(fact[field]):
                onward(token)

        return pass_on

    def enter(token: Any) -> None:
        (fact,) = token.data
        if check(fact):
            node.activate(token)

    return enter
