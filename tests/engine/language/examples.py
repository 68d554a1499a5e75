"""What can be learned from each labelled sentence: what it speaks of, what its numbers are, how its readings go."""

from __future__ import annotations

import math
import os
import random
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from labelled import DATA, FOLLOWS, JUDGED, UNSEEN, Labelled, chatter, load

from askew.engine.language import Context
from askew.engine.language.clauses.message import Message
from askew.engine.language.clauses.prepare import prepare
from askew.engine.language.learned.inputs import features
from askew.engine.language.numbers.quantities import Quantity
from askew.engine.language.together.answers_told import answer_of
from askew.engine.language.together.bearing import meaning_of
from askew.engine.language.together.directions_told import direction_of
from askew.engine.observations import Observation, Reading, SetupFact, name_of

LEFT_OUT = (*UNSEEN, *JUDGED, *os.environ.get("ASKEW_UNSEEN", "").split())
"""Sets that the networks learn nothing from."""

JOINED = 0.2
"""So many messages of several sentences are learned from, beside each sentence."""

ASKED_ELSE, SPLICED = 0.2, 0.3
"""The same of sentences that another thing was asked for before, and of two that are cut and put together."""

_CUT = re.compile(r", | and | but |\. | so | then ")
_HALF = (4, 3)
"""Words that what comes before a cut has at least, and what comes after it."""

_BARE = (0.0254, 0.00254, 25.4, 1.0, 0.001, 0.01)
"""mm. What a number without a unit may have been counted in."""


@dataclass(frozen=True)
class Example:
    """A sentence as the network is told of it, and what is right.

    Attributes:
        tokens: Its tokens as typed.
        features: What is told of each token.
        asked: What was asked for.
        labelled: Whether it is known what is right.
        heads: The heads of all its numbers.
        meanings: What it speaks of.
        answers: What was seen, chosen, done and asked for.
        open: Meanings and answers that follow from its facts and are not labelled again: neither right nor wrong.
        numbers: The head of each of its numbers, and what that is; none where a unit must be asked for first.
        ways: The head of the number of each of its readings (None: the difference of two), its id, and its way.
    """

    tokens: list[str]
    features: list[list[str]]
    asked: str | None
    labelled: bool
    heads: tuple[int, ...]
    meanings: frozenset[str]
    answers: frozenset[str]
    open: frozenset[str]
    numbers: tuple[tuple[int, str], ...]
    ways: tuple[tuple[int | None, str, str], ...]


def sentences() -> list[Labelled]:
    """Return the labelled sentences that may be learned from, and every other line of the idle talk."""
    idle = [Labelled(line, Context(), (), False) for line in chatter()[::2]]
    names = (path.stem.removeprefix("utterances_") for path in sorted(DATA.glob("utterances_*.txt")))
    return [*idle, *(one for name in names if name not in (*LEFT_OUT, "chatter") for one in load(name))]


def material() -> tuple[list[Example], list[Example]]:
    """Return the labelled sentences, and what is made of them: the same at every call."""
    said, rng = sentences(), random.Random(7)
    made = [example(one) for one in (*joined(said, rng), *asked_else(said, rng))]
    made += [replace(example(one), labelled=False) for one in spliced(said, rng)]
    return [example(one) for one in said], made


def joined(said: Sequence[Labelled], rng: random.Random) -> list[Labelled]:
    """Return sentences told in one go, two to five that nothing was asked for before: people tell much at once."""
    alone = _alone(said)
    rng.shuffle(alone)
    told = []
    for _ in range(round(len(said) * JOINED)):
        few = rng.sample(alone, rng.choice((2, 2, 2, 3, 4, 5)))
        text = rng.choice((". ", ". ", ", ", "\n")).join(one.text.rstrip(".") for one in few)
        told.append(Labelled(text, Context(), sum((one.facts for one in few), ()), False))
    return told


def asked_else(said: Sequence[Labelled], rng: random.Random) -> list[Labelled]:
    """Return sentences that say all by themselves as if something had been asked for: people tell something else."""
    asked = [one.context.asked for one in said if one.context.asked]
    alone = [one for one in _alone(said) if len(one.text.split()) > _HALF[0]]
    few = rng.sample(alone, min(len(alone), round(len(said) * ASKED_ELSE)))
    return [replace(one, context=Context(asked=rng.choice(asked))) for one in few]


def spliced(said: Sequence[Labelled], rng: random.Random) -> list[Labelled]:
    """Return sentences that begin as one and end as another; what is right of them is not known."""
    parts = []
    for one in _alone(said):
        before, after = _HALF
        cuts = [
            cut
            for cut in _CUT.finditer(one.text)
            if len(one.text[: cut.start()].split()) >= before and len(one.text[cut.end() :].split()) >= after
        ]
        parts += [(one.text, rng.choice(cuts))] if cuts else []
    told = []
    for _ in range(round(len(said) * SPLICED)):
        (begins, cut), (ends, at) = rng.sample(parts, 2)
        told.append(Labelled(begins[: cut.end()] + ends[at.end() :], Context(), (), False))
    return told


def _alone(said: Sequence[Labelled]) -> list[Labelled]:
    return [one for one in said if one.context == Context() and not one.asks]


def example(one: Labelled) -> Example:
    """Return what can be learned from a sentence."""
    message = prepare(one.text)
    return Example(
        [token.text for token in message.tokens],
        features(message),
        one.context.asked,
        True,
        tuple(quantity.head for quantity in _numbers_said(message)),
        frozenset(map(meaning_of, one.facts)),
        frozenset(filter(None, map(answer_of, one.facts))),
        frozenset(f"!{deed}" for fact in one.facts for deed in FOLLOWS.get(name_of(fact), ())),
        () if one.asks else tuple(_numbers(message, one.facts)),
        tuple(_ways(message, one.facts)),
    )


def _numbers(message: Message, facts: Sequence[Observation]) -> Iterator[tuple[int, str]]:
    left = _numbers_said(message)
    told = {quantity.head: _uses(quantity, facts) for quantity in left}
    for pair in combinations([quantity for quantity in left if not told[quantity.head]], 2):
        for name in _between(*pair, facts):
            told.update({quantity.head: {name} for quantity in pair})
    for quantity in left:
        uses = told[quantity.head]
        strange = quantity.unit is not None and quantity.mm is None
        if len(uses) == 1 or (not uses and not strange):
            yield quantity.head, next(iter(uses), "none")


def _numbers_said(message: Message) -> list[Quantity]:
    return [quantity for quantity in message.prepared if not quantity.box and not quantity.pronoun]


def _uses(quantity: Quantity, facts: Sequence[Observation]) -> set[str]:
    """Return the names of the facts that a number is the value of, "over" where it is what one was taken over."""
    uses: set[str] = set()
    for fact in facts:
        if isinstance(fact, Reading):
            uses |= {fact.id} if fact.value is not None and _is(quantity, fact.value) else set()
            uses |= {"over"} if fact.over is not None and _is(quantity, fact.over) else set()
        elif isinstance(fact, SetupFact) and isinstance(fact.value, float):
            uses |= {fact.key} if _is(quantity, fact.value) else set()
        elif isinstance(fact, SetupFact) and fact.key == "passes":
            uses |= {fact.key} if quantity.unit is None and float(quantity.value) == fact.value else set()
    return uses


def _is(quantity: Quantity, mm: float) -> bool:
    if quantity.mm is not None:
        return math.isclose(abs(quantity.mm), abs(mm), rel_tol=0.02, abs_tol=1e-9)
    if quantity.unit is not None:
        return False
    size = abs(float(quantity.value))
    return any(math.isclose(size * unit, abs(mm), rel_tol=0.02, abs_tol=1e-9) for unit in _BARE)


def _between(one: Quantity, two: Quantity, facts: Sequence[Observation]) -> list[str]:
    """Return the readings that are the difference of two numbers: "4 at the left, 9 at the right"."""
    if one.unit is not None and two.unit is not None and one.unit != two.unit:
        return []
    unit = next((quantity for quantity in (one, two) if quantity.unit is not None), one)
    difference = replace(unit, value=abs(one.value - two.value))
    return [
        name_of(fact) for fact in facts if isinstance(fact, Reading) and fact.value and _is(difference, fact.value)
    ]


def _ways(message: Message, facts: Sequence[Observation]) -> Iterator[tuple[int | None, str, str]]:
    for fact in facts:
        way = direction_of(fact) if isinstance(fact, Reading) and fact.value is not None else None
        if way is not None and isinstance(fact, Reading) and fact.value is not None:
            told = [quantity.head for quantity in message.prepared if _is(quantity, fact.value)]
            yield (told[0] if told else None), fact.id, way
