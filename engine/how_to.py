"""What a line asks how to do, and the steps of the check that does it: "how do I sweep the head".

The words of the question are weighed by how few checks have them, as in the retrieval of texts (inverse document
frequency: Sparck Jones, Journal of Documentation 28, 1972). The check is told that has most of that weight.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterable, Mapping
from functools import cache

from askew.engine.language import Heard
from askew.engine.language.commands.how_asked import how_asked
from askew.engine.language.words.stems import stems_of
from askew.engine.language.words.word_tables import table, word_list
from askew.engine.observations import Command
from askew.knowledge.cautions import cautions_for
from askew.knowledge.load import load

ENOUGH = 0.55
"""Such a share of the weight of its words a question must have in common with a check."""

NAMED, GIVEN, DONE = 1.0, 0.8, 0.4
"""What a word weighs that stands in the name of a check, in that of what it gives, and in its steps."""

CLOSE, MOST = 0.05, 3
"""Checks that have nearly as much in common with it are named beside the first, and so many in all."""

_WORD = re.compile(r"[a-z][a-z'-]*")


def steps_asked(line: str, pending: str | None = None) -> list[str]:
    """Return the steps of the check that a line asks how to make, with its cautions; [] where it asks for none.

    Args:
        line: What the person said.
        pending: The check that was named last, which "how do I do that" asks for.
    """
    that = how_asked(line) in word_list("clauses.toml", "words", "how_that")
    found = [pending] if that and pending is not None else checks_asked(line)
    if not found:
        return []
    known = load()
    check = known.checks[found[0]]
    cautions = [f"Take care: {known.cautions[id_].text}" for id_ in cautions_for(known, found[0])]
    others = [f"Or: {known.checks[id_].name}." for id_ in found[1:]]
    steps = [f"{number}. {step}" for number, step in enumerate(check.how, 1)]
    return [f"{check.name}:", *steps, *cautions, *others]


def asks_nothing_else(heard: Heard) -> bool:
    """Tell whether at most a wish for help or a cure was heard in a line, so that it may ask for steps."""
    wished = all(isinstance(fact, Command) and fact.id in ("help", "fix") for fact in heard.facts)
    return heard.question is None and wished


def checks_asked(line: str) -> list[str]:
    """Return the ids of the checks that a line may ask how to make, the likeliest first; [] where it asks for none."""
    words = _stems(how_asked(line))
    if not words:
        return []
    weights, rarity = _words_of_checks()
    unheard = max(rarity.values())
    whole = sum(rarity.get(word, unheard) for word in words)
    shares = {
        check: sum(has.get(word, 0.0) * rarity.get(word, 0.0) for word in words) / whole
        for check, has in weights.items()
    }
    named = _of_weight(weights, words, NAMED) or _of_weight(weights, words, GIVEN)
    least = max([ENOUGH, *(shares[id_] - CLOSE for id_ in named)])
    near = [id_ for id_ in named if shares[id_] >= least]
    return sorted(near, key=lambda id_: (load().checks[id_].name != how_asked(line), -shares[id_]))[:MOST]


def _of_weight(weights: Mapping[str, Mapping[str, float]], words: Iterable[str], least: float) -> list[str]:
    """Return the checks in which one of these words weighs so much: it is not only used in their steps."""
    return [id_ for id_, has in weights.items() if any(has.get(word, 0.0) >= least for word in words)]


@cache
def _words_of_checks() -> tuple[Mapping[str, Mapping[str, float]], Mapping[str, float]]:
    """Return what each word weighs in each check, and how rare each is among them."""
    known = load()
    weights: dict[str, dict[str, float]] = {}
    for id_, check in known.checks.items():
        given = [(known.readings.get(one) or known.signs[one]).name for one in check.gives]
        has = weights[id_] = {}
        for texts, weight in ((check.how, DONE), (given, GIVEN), ([check.name, id_.replace("_", " ")], NAMED)):
            has.update(dict.fromkeys((word for text in texts for word in _stems(text)), weight))
    among = Counter(word for has in weights.values() for word in has)
    return weights, {word: math.log(1.0 + len(weights) / times) for word, times in among.items()}


def _stems(text: str) -> set[str]:
    """Return the words of a text that count, without their endings and by the names that the checks use."""
    small, same = word_list("clauses.toml", "words", "how_small"), table("clauses.toml")["how_same"]
    words = (same.get(word, word) for word in _WORD.findall(text.lower()) if word not in small)
    return {one for word in words for one in stems_of(word)}
