"""The whole rule base through a second engine: CLIPS itself, on the same facts, must conclude the same.

CLIPS (C Language Integrated Production System, NASA, from memory) is the engine whose semantics the
rules assume. Every rule is translated from its conditions; nothing is written twice by hand.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from typing import Any

import clips
import pytest

from askew.engine.reasoner import Reasoner
from askew.engine.telling import Teller
from askew.knowledge import facts
from askew.knowledge.experta_port import AND, NOT, OR, L, P, W, bound_names
from askew.knowledge.facts import TradeFact
from askew.knowledge.load import load
from askew.knowledge.rules import rules
from askew.knowledge.rules.book import Stage, TradeRule, patterns

STAGES: tuple[Stage, ...] = ("in_play", "case", "agreement")

# --- translation ----------------------------------------------------------------------------------


def literal(value: object) -> str:
    """Return a value as CLIPS writes it."""
    if value is None:
        return "nil"
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if isinstance(value, int | float):
        return repr(float(value))
    return '"' + str(value).replace("\\", "\\\\").replace('"', '\\"') + '"'


def constraint(field: str, wanted: object, place: str) -> str:
    """Return one slot of a pattern."""
    if isinstance(wanted, P):
        name = wanted.__bind__ or f"{field}_{place}"
        if wanted.op == "in":
            test = f"(member$ ?{name} (create$ {' '.join(map(literal, wanted.bound))}))"
        else:
            test = f"(and (numberp ?{name}) ({wanted.op} ?{name} {literal(wanted.bound)}))"
        return f"({field} ?{name}&:{test})"
    if isinstance(wanted, W):
        return f"({field} ?{wanted.__bind__})"
    return f"({field} {literal(wanted.value if isinstance(wanted, L) else wanted)})"


def condition(wanted: Any, place: str) -> str:
    """Return one condition of a rule."""
    for kind, word in ((AND, "and"), (OR, "or"), (NOT, "not")):
        if isinstance(wanted, kind):
            parts = (condition(part, f"{place}_{index}") for index, part in enumerate(wanted))
            return f"({word} {' '.join(parts)})"
    slots = (constraint(f, v, place) for f, v in wanted.items() if not wanted.is_special(f))
    return f"({type(wanted).__name__} {' '.join(slots)})"


def defrule(rule: TradeRule) -> str:
    """Return a rule as CLIPS: it states its id and everything that its conditions bound."""
    when = " ".join(condition(wanted, str(index)) for index, wanted in enumerate(rule.when))
    bound = " ".join(f"?{name}" for name in sorted(bound_names(rule.when)))
    return f'(defrule {rule.id} {when} => (assert (drew (rule "{rule.id}") (bound {bound}))))'


def environment(stage: Stage) -> Any:
    """Return CLIPS with every fact type, and every rule of a stage."""
    env = clips.Environment()
    env.build("(deftemplate drew (slot rule) (multislot bound))")
    for kind in fact_types():
        env.build(f"(deftemplate {kind.__name__} {' '.join(f'(slot {field})' for field in kind.fields)})")
    for rule in rules():
        if rule.stage == stage:
            env.build(defrule(rule))
    return env


def fact_types() -> list[type[TradeFact]]:
    found = (kind for kind in vars(facts).values() if isinstance(kind, type) and issubclass(kind, TradeFact))
    return [kind for kind in found if kind is not TradeFact]


Drawn = set[tuple[str, tuple[object, ...]]]


def by_clips(env: Any, told: list[TradeFact]) -> Drawn:
    env.reset()
    for fact in told:
        slots = {f: literal_value(fact[f]) for f in fact.fields}
        env.find_template(type(fact).__name__).assert_fact(**slots)
    env.run()
    return {
        (str(fact["rule"]), tuple(map(plain, fact["bound"])))
        for fact in env.facts()
        if fact.template.name == "drew"
    }


def literal_value(value: object) -> object:
    if value is None:
        return clips.Symbol("nil")
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else value


def plain(value: object) -> object:
    if isinstance(value, clips.Symbol):
        return {"nil": None, "TRUE": True, "FALSE": False}[str(value)]
    return value


def by_rules(reasoner: Reasoner, stage: Stage, told: list[TradeFact]) -> Drawn:
    names = {rule.id: sorted(bound_names(rule.when)) for rule in rules()}
    matches = reasoner.run(stage, told, Teller(load()))
    return {(m.rule.id, tuple(m.bound[name] for name in names[m.rule.id])) for m in matches}


# --- facts that meet the rules often --------------------------------------------------------------

IDS = ("tram", "face_out_of_square", "sweep_table")
NUMBERED = {
    "value", "over", "before", "after", "first", "second", "needed", "plausible", "reach", "probability",
    "chance", "share", "decided", "explained", "worth", "when", "reach_ratio", "reach_zone",
}  # fmt: skip


def told_at_random(stage: Stage, rng: random.Random, count: int) -> Iterator[TradeFact]:
    """Yield facts made from the rules' own patterns, so that joins, negations and thresholds are all met."""
    wanted = [pattern for rule in rules() if rule.stage == stage for pattern in patterns(rule.when)]
    for pattern in rng.choices(wanted, k=count):
        yield type(pattern)(**{field: one(field, pattern.get(field), rng) for field in pattern.fields})


def one(field: str, wanted: Any, rng: random.Random) -> object:
    if isinstance(wanted, P) and wanted.op == "in":
        return rng.choice(wanted.bound)
    if isinstance(wanted, P):
        return rng.choice([wanted.bound, wanted.bound * 0.9, wanted.bound + 0.05, None])
    if isinstance(wanted, L):
        return wanted.value
    if wanted is not None and not isinstance(wanted, W):
        return wanted
    if field in NUMBERED:
        return rng.choice(
            [0.02, 0.25, 0.75, None] if field in {"value", "over", "worth"} else [0.02, 0.25, 0.75]
        )
    return (
        rng.choice(["tram", True, False])
        if field.startswith(("can_", "cleared", "contested"))
        else rng.choice(IDS)
    )


@pytest.mark.parametrize("stage", STAGES)
def test_every_rule_draws_the_same_in_clips(stage: Stage) -> None:
    rng = random.Random(f"askew {stage}")
    env, reasoner = environment(stage), Reasoner(load())
    drawn: set[str] = set()
    for _ in range(60):
        told = list(told_at_random(stage, rng, 25))
        again = [type(fact)(**fact) for fact in told]
        clipped = by_clips(env, told)
        assert by_rules(reasoner, stage, again) == clipped
        drawn |= {rule for rule, _ in clipped}
    # The comparison is worth little where nothing fires.
    mine = {rule.id for rule in rules() if rule.stage == stage}
    assert len(drawn) >= 0.6 * len(mine), sorted(mine - drawn)


def test_a_condition_in_clips() -> None:
    heel = next(rule for rule in rules() if rule.id == "heel_right")
    assert defrule(heel) == (
        '(defrule heel_right (Seen (sign "heel_marks") (answer "right")) '
        '(not (Known (key "leaned_on_purpose") (value TRUE))) '
        '=> (assert (drew (rule "heel_right") (bound ))))'
    )


def test_the_translation_can_tell_a_difference() -> None:
    """A threshold moved in one engine only must show."""
    env = clips.Environment()
    env.build("(deftemplate drew (slot rule) (multislot bound))")
    for kind in fact_types():
        env.build(f"(deftemplate {kind.__name__} {' '.join(f'(slot {field})' for field in kind.fields)})")
    doubt = next(rule for rule in rules() if rule.id == "wild_reading")
    env.build(defrule(doubt).replace("0.35", "0.75"))
    told = [facts.Doubt(reading="sweep_x", chance=0.5)]
    assert by_rules(Reasoner(load()), "case", [facts.Doubt(**told[0])]) == {
        ("wild_reading", (0.5, "sweep_x"))
    }
    assert by_clips(env, told) == set()
