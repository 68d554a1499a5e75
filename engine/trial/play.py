"""One simulated shop from its first sentence to the verdict."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass, field
from typing import Any

import numpy as np

from askew.engine.case import Case, tell
from askew.engine.consult import Consultation
from askew.engine.planner.available import available, minutes_of
from askew.engine.record.journal import Journal
from askew.engine.said import parse
from askew.engine.seam import Turn
from askew.engine.standing import Standing, stand
from askew.engine.trial.person import Person
from askew.engine.trial.policies import OURS, RIVALS, Rank
from askew.engine.trial.shop import Shop, draw_shop
from askew.knowledge.load import load

MOST_CHECKS = 30
SETTLED = 0.9
"""Probability of the cause at which the rivals stop. Ours stops by its own rule."""


@dataclass
class Played:
    """What came of a shop. mm and minutes.

    Attributes:
        seed: The shop.
        policy: Who chose the checks.
        complaint: Reading id of what came out wrong.
        main: The largest contributor; `large`: all above a quarter of the complaint.
        made: What each contributor makes of the complaint as a fraction, those above a twentieth.
        first: The source ranked first at the verdict; `named`: all that the verdict names.
        minutes: Minutes of the checks; `checks`: which, in order.
        cleared: Sources that were cleared at the verdict.
        stated: Probability stated of each suspect, and whether it really was in trouble.
        sure: Probability stated that the leading cause is the whole cause.
        sizes: Of sources named and in trouble: true size, low, high.
    """

    seed: int
    policy: str
    complaint: str
    main: str
    large: list[str]
    made: dict[str, float]
    first: str | None = None
    named: list[str] = field(default_factory=list)
    minutes: float = 0.0
    checks: list[str] = field(default_factory=list)
    cleared: list[str] = field(default_factory=list)
    stated: list[tuple[str, float, bool]] = field(default_factory=list)
    sure: float = 0.0
    sizes: list[tuple[str, float, float, float]] = field(default_factory=list)

    @property
    def right(self) -> bool:
        """True where the largest contributor was ranked first."""
        return self.first == self.main

    @property
    def whole(self) -> bool:
        """True where every large contributor was named."""
        return set(self.large) <= set(self.named)

    def row(self) -> dict[str, Any]:
        """Return it as a JSON object."""
        return asdict(self)


def play(seed: int, policy: str = OURS) -> Played:
    """Return what comes of a shop when a policy chooses the checks."""
    shop = draw_shop(seed)
    return _ours(shop)[0] if policy == OURS else _rival(shop, policy, RIVALS[policy])


def conversation(seed: int) -> list[tuple[str, Turn]]:
    """Return a shop's whole consultation: each line said, with the answer."""
    return _ours(draw_shop(seed))[1]


def _blank(shop: Shop, policy: str) -> Played:
    made = {s: round(mm / shop.value, 4) for s, mm in shop.made.items() if abs(mm) > 0.05 * abs(shop.value)}
    return Played(shop.seed, policy, shop.complaint, shop.main, sorted(shop.large), made)


def _ours(shop: Shop) -> tuple[Played, list[tuple[str, Turn]]]:
    """Through the same door as the chat, one JSON line at a time."""
    person, desk, played = Person(shop), Consultation(Journal.in_memory("1")), _blank(shop, OURS)
    talk: list[tuple[str, Turn]] = []

    def say(line: str) -> Turn:
        turn = desk.say(line)
        if turn.error is not None:
            message = f"Shop {shop.seed} said {line}, and it was refused: {turn.error.message}"
            raise AssertionError(message)
        talk.append((line, turn))
        return turn

    asked: set[str] = set()

    def answered(turn: Turn) -> Turn:
        """Answer what is asked about the job, each question once."""
        while turn.question is not None and (key := turn.question.setup) not in asked:
            asked.add(key)
            line = person.answers(key) if key in load().setup else None
            turn = say(line) if line is not None else turn
        return turn

    turn = answered([say(line) for line in person.opens()][-1])
    while turn.verdict is None and turn.next is not None and len(played.checks) < MOST_CHECKS:
        check, cost = turn.next.check, turn.next.minutes
        if not person.can(check):
            turn = say(json.dumps({"cannot": check}))
            continue
        played.checks.append(check)
        played.minutes += cost
        for line in person.makes(check, desk.case.states):
            turn = say(line)
        turn = answered(turn)
    _judge(played, shop, desk.standing)
    return played, talk


def _rival(shop: Shop, policy: str, rank: Rank) -> Played:
    """With the same belief, without rules and screens: what is said goes straight into the case."""
    person, case, played = Person(shop), Case(), _blank(shop, policy)
    rng = np.random.default_rng((shop.seed, 23))
    for line in person.opens():
        case = _told(case, line, None)
    refused: set[str] = set()
    while len(played.checks) < MOST_CHECKS:
        standing = stand(case, "mm")
        if _settled(standing, shop, policy):
            break
        left = [id_ for id_ in available(case) if id_ not in refused and id_ not in played.checks]
        if not left:
            break
        check = rank(left, standing.outlook, rng, shop.main)
        if not person.can(check):
            refused.add(check)
            continue
        played.checks.append(check)
        played.minutes += minutes_of(check, case)
        for line in person.makes(check, case.states):
            case = _told(case, line, check)
    _judge(played, shop, stand(case, "mm"))
    return played


def _told(case: Case, line: str, asked: str | None) -> Case:
    return tell(case, parse(json.loads(line)).facts, asked)


def _settled(standing: Standing, shop: Shop, policy: str) -> bool:
    label, chance = standing.outlook.explanations.leading
    right = policy != "oracle" or label[:1] == (shop.main,)
    return chance >= SETTLED and right


def _judge(played: Played, shop: Shop, standing: Standing) -> None:
    ours = played.policy == OURS
    # What was out and is gone, like dirt that was wiped away, is judged by what is said of it in the end.
    standing = (standing.before_it_closed or standing) if ours else standing
    label, played.sure = standing.outlook.explanations.leading
    named = standing.held(label) if ours else label
    played.named = list(named)
    played.first = named[0] if named else (standing.numbers[0].source if standing.numbers else None)
    if not ours:
        return
    played.cleared = sorted({out.source for out in standing.cleared})
    for n in standing.numbers:
        if n.source in shop.made:
            played.stated.append((n.source, round(n.probability, 5), n.source in shop.troubled))
        if n.source in named and n.source in shop.troubled:
            played.sizes.append((n.source, shop.moment.sizes[n.source], n.low, n.high))
