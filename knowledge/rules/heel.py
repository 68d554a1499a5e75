"""Heel cutting by feed sense: which way the trailing edge of the cutter cuts again."""

from __future__ import annotations

from askew.knowledge.experta_port import NOT
from askew.knowledge.rules.book import GEOMETRY, PRACTICE, Theme, against, conclude, points
from askew.knowledge.rules.shorthand import FEED_X, FEED_Y, known, told, yes

THEME = Theme("heel cutting by feed sense")

MEANT = known("leaned_on_purpose", True)

for _sense, _rises, _suspects in (
    ("right", "to the right", points("tram+", "lean_side-", "table_slope-")),
    ("left", "to the left", points("tram-", "lean_side+", "table_slope+")),
    ("back", "to the back", points("nod+", "lean_fore-", "saddle_slope-")),
    ("front", "to the front", points("nod-", "lean_fore+", "saddle_slope+")),
):
    THEME.rule(
        f"heel_{_sense}",
        told("heel_marks", _sense),
        NOT(MEANT),
        then=_suspects,
        because=f"Second arcs only when the cutter moves {_sense}: there its trailing edge is the low "
        f"one, so the cutter plane rises {_rises} against the slide.",
        basis=GEOMETRY,
    )

for _axis, _feed, _suspect, _way in (
    ("x", FEED_X, "tram", "side to side"),
    ("y", FEED_Y, "nod", "front to back"),
):
    THEME.rule(
        f"heel_somewhere_{_axis}",
        told("heel_marks", "yes"),
        _feed,
        NOT(MEANT),
        then=points(_suspect),
        because=f"A second set of arcs behind the cut, feeding along {_axis.upper()}: the head is out "
        f"{_way}; which way, the feed sense would tell.",
        basis=GEOMETRY,
    )
    THEME.rule(
        f"heel_even_{_axis}",
        told("heel_marks", "both"),
        _feed,
        then=against(_suspect),
        because=f"Equal cross-hatch both ways is the mark of a head that is square {_way}.",
        basis=PRACTICE,
    )

THEME.rule(
    "heel_meant",
    yes("heel_marks"),
    MEANT,
    then=conclude("note", "heel_marks"),
    because="The head is leaned on purpose, so arcs one way only are meant and are no sign of trouble.",
    basis=PRACTICE,
)
