"""A rule explains itself or does not load; each can fire, and is silent when any of its facts is missing."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from typing import Any

import pytest

from askew.engine.reasoner import Reasoner
from askew.engine.telling import Teller
from askew.knowledge.experta_port import AND, MATCH, NOT, OR, L, P, W
from askew.knowledge.facts import Known, Measured, Seen, TradeFact
from askew.knowledge.load import load
from askew.knowledge.rules import THEMES, problems, rules
from askew.knowledge.rules.book import PRACTICE, Basis, Conclude, RuleError, Theme, TradeRule, points

GOOD: dict[str, Any] = {"then": points("tram"), "because": "The arcs say so.", "basis": PRACTICE}


def test_a_whole_rule_loads() -> None:
    theme = Theme("a theme")
    rule = theme.rule("arcs", Seen(sign="heel_marks", answer="right"), **GOOD)
    assert theme.rules == [rule]


@pytest.mark.parametrize(
    ("id_", "changes", "when", "says"),
    [
        ("", {}, None, "the id must be"),
        ("Heel Right", {}, None, "the id must be"),
        ("arcs", {"because": "  "}, None, "no because-line"),
        ("arcs", {"basis": None}, None, "names no basis"),
        ("arcs", {"basis": Basis("practice", "")}, None, "names no basis"),
        ("arcs", {"then": ()}, None, "concludes nothing"),
        ("arcs", {}, (), "no conditions"),
        ("arcs", {}, (Seen(sgn="heel_marks"),), "Seen has no field 'sgn'"),
        ("arcs", {"because": "It is {value:length}."}, None, "speaks of 'value', which no condition binds"),
        (
            "arcs",
            {"because": "It is {value:furlongs}."},
            (Measured(reading="step", value=MATCH.value),),
            "'furlongs', which is no way to speak",
        ),
        (
            "arcs",
            {"because": "It is {value:size}."},
            (Measured(reading="step", value=MATCH.value),),
            "a size needs the condition to bind 'source'",
        ),
        ("arcs", {"then": (Conclude("clear", "?source"),)}, None, "'?source', which no condition binds"),
        # What only one branch binds cannot be spoken of.
        (
            "arcs",
            {"because": "It is {value:length}."},
            (OR(Measured(reading="step", value=MATCH.value), Seen(sign="step_felt")),),
            "speaks of 'value'",
        ),
        # Nor what is bound by its absence.
        (
            "arcs",
            {"because": "{value:name}"},
            (NOT(Known(key="wall", value=MATCH.value)),),
            "speaks of 'value'",
        ),
    ],
)
def test_an_incomplete_rule_does_not_load(id_: str, changes: dict[str, Any], when: Any, says: str) -> None:
    conditions = (Seen(sign="heel_marks", answer="right"),) if when is None else when
    with pytest.raises(RuleError) as caught:
        Theme("a theme").rule(id_, *conditions, **{**GOOD, **changes})
    assert says in str(caught.value)
    assert "a theme" in str(caught.value)


def test_an_id_is_taken_once() -> None:
    theme = Theme("a theme")
    theme.rule("arcs", Seen(sign="heel_marks"), **GOOD)
    with pytest.raises(RuleError, match="taken"):
        theme.rule("arcs", Seen(sign="heel_marks"), **GOOD)


def test_ids_are_unique_over_all_themes() -> None:
    assert len(rules()) == sum(len(theme.rules) for theme in THEMES)


def test_rules_name_only_what_the_knowledge_has() -> None:
    assert list(problems(load())) == []


def test_a_wrong_id_in_a_rule_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    theme = Theme("a theme")
    theme.rule("arcs", Seen(sign="heel_marks", answer="sideways"), Known(key="feed_axis", value="z"), **GOOD)
    theme.rule("push", Measured(reading="no_such"), **{**GOOD, "then": points("no_such_source")})
    monkeypatch.setattr("askew.knowledge.rules.rules", lambda: tuple(theme.rules))
    found = "\n".join(problems(load()))
    for wrong in ("'sideways'", "'z'", "'no_such'", "'no_such_source'"):
        assert wrong in found


def test_a_broken_experta_is_heard() -> None:
    """Without one of its own dependencies experta imports as an empty package; the port says why."""
    code = "import sys; sys.modules['schema'] = None\nimport askew.knowledge.experta_port"
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert ran.returncode != 0
    assert "schema" in ran.stderr.splitlines()[-1]


# --- every rule, on facts made to fit it ----------------------------------------------------------


def fitting(conditions: tuple[Any, ...]) -> Iterator[list[TradeFact]]:
    """Yield sets of facts that meet conditions, one for every way through their OR branches."""
    ways: list[list[TradeFact]] = [[]]
    for condition in conditions:
        if isinstance(condition, OR):
            branches = [made for branch in condition for made in fitting((branch,))]
            ways = [way + branch for way in ways for branch in branches]
        elif isinstance(condition, AND):
            ways = [way + made for way in ways for made in fitting(tuple(condition))]
        elif isinstance(condition, TradeFact):
            ways = [[*way, fact_for(condition)] for way in ways]
    yield from ways


BOUND = {
    "source": "tram",
    "subject": "tram",
    "check": "sweep_table",
    "what": "face_out_of_square",
    "key": "passes",
}
"""What a variable stands for where a real id is wanted."""


def fact_for(pattern: TradeFact) -> TradeFact:
    """Return a fact that matches a pattern; variables get a value of their own name, so that joins agree."""
    values: dict[str, Any] = {}
    for field in pattern.fields:
        wanted = pattern.get(field, W())
        if isinstance(wanted, P):
            op, bound = wanted.op, wanted.bound
            values[field] = bound[0] if op == "in" else bound + 0.01 if op == ">=" else bound - 0.01
        elif isinstance(wanted, W):
            name = wanted.__bind__ or field
            values[field] = BOUND.get(name, 0.25 if field in NUMBERS else name)
        else:
            values[field] = wanted.value if isinstance(wanted, L) else wanted
    return type(pattern)(**values)


NUMBERS = {
    "value", "over", "before", "after", "first", "second", "needed", "plausible", "reach", "probability",
    "chance", "share", "decided", "explained", "worth", "when", "reach_ratio", "reach_zone",
}  # fmt: skip


@pytest.fixture(scope="module")
def reasoner() -> Reasoner:
    return Reasoner(load())


@pytest.mark.parametrize("rule", rules(), ids=lambda rule: rule.id)
def test_a_rule_fires_on_its_facts_and_not_without_any_of_them(rule: TradeRule, reasoner: Reasoner) -> None:
    teller = Teller(load())
    ways = list(fitting(rule.when))
    assert ways
    for facts in ways:
        fired = {match.rule.id: match for match in reasoner.run(rule.stage, list(map(again, facts)), teller)}
        assert rule.id in fired
        assert fired[rule.id].because.strip()
        assert "{" not in fired[rule.id].because
        for missing in range(len(facts)):
            rest = [again(fact) for index, fact in enumerate(facts) if index != missing]
            fired_without = {match.rule.id for match in reasoner.run(rule.stage, rest, teller)}
            assert rule.id not in fired_without


def again(fact: TradeFact) -> TradeFact:
    """Return a fresh copy: a fact belongs to the run it was declared in."""
    return type(fact)(**{key: value for key, value in fact.items() if not fact.is_special(key)})


def test_a_name_that_has_its_own_article_is_told_with_one() -> None:
    known = load()
    teller = Teller(known)
    for name in ("other_corner", "axes_square", "sweep_x"):
        said = teller.fill("reading", {"reading": name}, "name")
        assert not said.startswith("the ")
        assert known.readings[name].name.endswith(said)
