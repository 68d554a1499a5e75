"""Where patterns and numbers meet: a rule points or clears only in agreement with the sizes."""

from __future__ import annotations

from typing import Any

from askew.knowledge.experta_port import MATCH, at_least, below, one_of
from askew.knowledge.facts import Opinion
from askew.knowledge.rules.book import JUDGEMENT, Conclude, Theme

THEME = Theme("patterns and numbers together", stage="agreement")


def opinion(kind: str, **numbers: Any) -> Opinion:
    """Match what a pattern says, with the numbers beside it; binds `source`, `pattern` and `rule`."""
    return Opinion(kind=kind, source=MATCH.source, because=MATCH.pattern, rule=MATCH.rule, **numbers)


OPEN = {"cleared": False, "standing": one_of("likely", "possible")}

for _toward, _reaches in (("any", {}), ("plus", {"can_plus": True}), ("minus", {"can_minus": True})):
    THEME.rule(
        f"agreed_{_toward}",
        opinion("points", toward=_toward, probability=MATCH.probability, **OPEN, **_reaches),
        then=(Conclude("suspect", "?source", _toward),),
        because="{pattern} The numbers agree: {source:name} is {probability:percent} likely.",
        basis=JUDGEMENT,
    )
for _toward, _never in (("plus", {"can_plus": False}), ("minus", {"can_minus": False})):
    THEME.rule(
        f"other_way_{_toward}",
        opinion("points", toward=_toward, **OPEN, **_never),
        then=(Conclude("aside", "?source"),),
        because="{pattern} But all readings together put the {source:name} the other way.",
        basis=JUDGEMENT,
    )
THEME.rule(
    "outweighed",
    opinion("points", cleared=False, standing="unlikely", probability=MATCH.probability),
    then=(Conclude("aside", "?source"),),
    because="{pattern} But all readings together leave the {source:name} only {probability:percent} likely.",
    basis=JUDGEMENT,
)
THEME.rule(
    "there_but_small",
    opinion("points", cleared=True),
    then=(Conclude("aside", "?source"),),
    because="{pattern} The {source:name} may be there, but it is far too small to have done this.",
    basis=JUDGEMENT,
)
THEME.rule(
    "cleared_together",
    opinion(
        "speaks_against",
        cleared=False,
        contested=False,
        probability=below(0.05, "probability"),
        share=below(0.1),
    ),
    then=(Conclude("clear", "?source", "pattern"),),
    because="{pattern} The numbers agree: {source:name} is {probability:percent} likely.",
    basis=JUDGEMENT,
)
THEME.rule(
    "not_cleared",
    opinion("speaks_against", cleared=False, probability=at_least(0.05, "probability")),
    then=(Conclude("aside", "?source"),),
    because="{pattern} That speaks against {source:name}, but it is still {probability:percent} likely.",
    basis=JUDGEMENT,
)
