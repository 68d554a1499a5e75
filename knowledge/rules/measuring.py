"""Measuring: the square's own error."""

from __future__ import annotations

from askew.knowledge.rules.book import REVERSAL, Theme, against, points
from askew.knowledge.rules.shorthand import change, reads, still

THEME = Theme("measuring")

for _side, _tilt in (("plus", "+"), ("minus", "-")):
    THEME.rule(
        f"square_out_{_side}",
        reads("square_flip", _side),
        then=points(f"square_error{_tilt}"),
        because="The square turned round reads {value:length} different, and half of that is its own error.",
        basis=REVERSAL,
    )
THEME.rule(
    "square_true",
    still("square_flip"),
    then=against("square_error"),
    because="The square agrees with itself turned round.",
    basis=REVERSAL,
)
THEME.rule(
    "corners_both_open_or_closed",
    change("corners", "same"),
    then=points("square_error", "blank_taper"),
    because="Both corners are out the same way ({before:length} and {after:length}). A tilted face "
    "opens one and closes the other, so the square itself or a tapered blank is in it.",
    basis=REVERSAL,
)
THEME.rule(
    "corners_opposite",
    change("corners", "over"),
    then=against("square_error", "dirt_at_check"),
    because="One corner is open and the other closed by as much ({before:length} and "
    "{after:length}): the face is tilted, and the square is true.",
    basis=REVERSAL,
)
