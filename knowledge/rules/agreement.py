"""Where patterns and numbers meet: a rule points or clears only in agreement with the sizes."""

from __future__ import annotations

from askew.knowledge.experta_port import MATCH, NOT, at_least, below, one_of
from askew.knowledge.facts import Conclusion, Numbers
from askew.knowledge.rules.book import AGREE, JUDGEMENT, Conclude, Theme

THEME = Theme("patterns and numbers together")

SAID = {"about": MATCH.source, "because": MATCH.pattern, "rule": MATCH.rule}
CLEARED = Conclusion(kind="clear", about=MATCH.source)

for _toward, _reaches in (("any", {}), ("plus", {"can_plus": True}), ("minus", {"can_minus": True})):
    THEME.rule(
        f"agreed_{_toward}",
        Conclusion(kind="points", toward=_toward, **SAID),
        Numbers(
            source=MATCH.source, standing=one_of("likely", "possible"), probability=MATCH.probability, **_reaches
        ),
        NOT(CLEARED),
        then=(Conclude("suspect", "?source", _toward),),
        because="{pattern} The numbers agree: {probability:percent} likely.",
        basis=JUDGEMENT,
        order=AGREE,
    )
for _toward, _never in (("plus", {"can_plus": False}), ("minus", {"can_minus": False})):
    THEME.rule(
        f"other_way_{_toward}",
        Conclusion(kind="points", toward=_toward, **SAID),
        Numbers(source=MATCH.source, standing=one_of("likely", "possible"), **_never),
        NOT(CLEARED),
        then=(Conclude("aside", "?source"),),
        because="{pattern} But all readings together put the {source:name} the other way.",
        basis=JUDGEMENT,
        order=AGREE,
    )
THEME.rule(
    "outweighed",
    Conclusion(kind="points", **SAID),
    Numbers(source=MATCH.source, standing="unlikely", probability=MATCH.probability),
    NOT(CLEARED),
    then=(Conclude("aside", "?source"),),
    because="{pattern} But all readings together leave the {source:name} only {probability:percent} likely.",
    basis=JUDGEMENT,
    order=AGREE,
)
THEME.rule(
    "there_but_small",
    Conclusion(kind="points", **SAID),
    Conclusion(kind="clear", about=MATCH.source, toward="size"),
    then=(Conclude("aside", "?source"),),
    because="{pattern} It may be there, but it is far too small to have done this.",
    basis=JUDGEMENT,
    order=AGREE,
)
THEME.rule(
    "cleared_together",
    Conclusion(kind="speaks_against", **SAID),
    Numbers(source=MATCH.source, probability=below(0.05, "probability"), share=below(0.1)),
    NOT(Conclusion(kind="clear", about=MATCH.source, toward="size")),
    NOT(Conclusion(kind="points", about=MATCH.source)),
    then=(Conclude("clear", "?source", "pattern"),),
    because="{pattern} The numbers agree: {source:name} is {probability:percent} likely.",
    basis=JUDGEMENT,
    order=AGREE,
)
THEME.rule(
    "not_cleared",
    Conclusion(kind="speaks_against", **SAID),
    Numbers(source=MATCH.source, probability=at_least(0.05, "probability")),
    then=(Conclude("aside", "?source"),),
    because="{pattern} That speaks against {source:name}, but it is still {probability:percent} likely.",
    basis=JUDGEMENT,
    order=AGREE,
)
