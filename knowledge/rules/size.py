"""Cleared by size: what could not do this even at its worst."""

from __future__ import annotations

from askew.knowledge.experta_port import MATCH, below
from askew.knowledge.facts import Numbers
from askew.knowledge.rules.book import CUT_MODEL, Conclude, Theme

THEME = Theme("cleared by size")

SMALL = {"reach_ratio": below(0.14), "reach_zone": below(1.0), "share": below(0.1)}
"""Under a seventh of the complaint and under the tolerance that matters."""

THEME.rule(
    "too_small",
    Numbers(
        source=MATCH.source,
        explains="by_size",
        needed=MATCH.needed,
        plausible=MATCH.plausible,
        reach=MATCH.reach,
        **SMALL,
    ),
    then=(Conclude("clear", "?source", "size"),),
    because="The {source:name} would have to be {needed:size} to do this alone; {plausible:size} is "
    "the most that is plausible, and that makes no more than {reach:length} of it.",
    basis=CUT_MODEL,
)
THEME.rule(
    "never_this",
    Numbers(source=MATCH.source, explains="never", **SMALL),
    then=(Conclude("clear", "?source", "size"),),
    because="No size of {source:name} would do this.",
    basis=CUT_MODEL,
)
