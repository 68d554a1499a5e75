"""Hollow along one axis and not the other."""

from __future__ import annotations

from askew.knowledge.experta_port import OR
from askew.knowledge.rules.book import GEOMETRY, PRACTICE, Theme, against, points
from askew.knowledge.rules.shorthand import FEED_X, FEED_Y, change, no, reads, still, yes

THEME = Theme("hollow along one axis and not the other")

ACROSS = OR(yes("light_in_middle"), reads("hollow_across", "plus", spoken=False))
ALONG = OR(yes("light_in_middle_along"), reads("hollow_along", "plus", spoken=False))
FLAT_ACROSS = OR(no("light_in_middle"), still("hollow_across", spoken=False))
FLAT_ALONG = OR(no("light_in_middle_along"), still("hollow_along", spoken=False))

for _axis, _feed, _suspect, _way in (
    ("x", FEED_X, "tram", "side to side"),
    ("y", FEED_Y, "nod", "front to back"),
):
    THEME.rule(
        f"hollow_across_only_{_axis}",
        ACROSS,
        FLAT_ALONG,
        _feed,
        then=points(_suspect),
        because="Hollow across the feed and true along it: the mark of a cutter tilted along the "
        f"feed, so the head is out {_way}.",
        basis=GEOMETRY,
    )
    THEME.rule(
        f"flat_across_{_axis}",
        FLAT_ACROSS,
        _feed,
        then=against(_suspect),
        because=f"No hollow across the feed: the head is not out {_way} by anything that shows.",
        basis=GEOMETRY,
    )
THEME.rule(
    "hollow_both_ways",
    ACROSS,
    ALONG,
    then=points("stress_bow-", "wall_squeeze", "table_droop+"),
    because="Hollow both across and along: a tilted cutter hollows one way only, so the part was "
    "bent when it was cut or has moved since.",
    basis=GEOMETRY,
)
THEME.rule(
    "hollow_along_only",
    ALONG,
    FLAT_ACROSS,
    then=points("table_droop+", "stress_bow-"),
    because="Hollow along the feed and true across: the table rocks as it travels, or the part has bowed.",
    basis=GEOMETRY,
)
THEME.rule(
    "crowned_across",
    OR(yes("light_at_ends"), reads("hollow_across", "minus")),
    then=points("stress_bow+"),
    because="The middle stands high across the feed. A tilted cutter can only hollow a face, so the "
    "part has bowed.",
    basis=GEOMETRY,
)
THEME.rule(
    "crowned_along",
    OR(yes("light_at_ends_along"), reads("hollow_along", "minus")),
    then=points("table_droop-", "stress_bow+", "part_deflect"),
    because="The middle stands high along the feed: worn ways let the table rock, the part bowed, or "
    "it was pushed away.",
    basis=PRACTICE,
)
# After a cross cut the feed in force is the second one.
for _axis, _feed, _suspect, _first in (("x", FEED_Y, "tram", "X"), ("y", FEED_X, "nod", "Y")):
    THEME.rule(
        f"hollow_left_with_feed_{_axis}",
        change("crossed", "gone", "less"),
        _feed,
        then=points(_suspect) + against("stress_bow"),
        because=f"Fed along the other axis the hollow falls from {{before:length}} to "
        f"{{after:length}}: the head is out along {_first} and nearly true along the other.",
        basis=GEOMETRY,
    )
THEME.rule(
    "hollow_stays_across",
    change("crossed", "same", "same_size"),
    then=points("stress_bow-", "wall_squeeze"),
    because="The hollow is {after:length} fed along the other axis as well: the part moves, not the head.",
    basis=GEOMETRY,
)
