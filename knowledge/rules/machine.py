"""What is measured on the machine and the vise themselves: a true reading clears, a crooked one points."""

from __future__ import annotations

from askew.knowledge.experta_port import OR
from askew.knowledge.rules.book import GEOMETRY, HOLDING, PRACTICE, Basis, Theme, against, points
from askew.knowledge.rules.shorthand import moves, no, reads, still, yes

THEME = Theme("measured on the machine")

# reading, what a plus and a minus point to, what a reading of nothing speaks against, and what was measured
DIRECTED: tuple[tuple[str, tuple[str, ...], tuple[str, ...], tuple[str, ...], str, Basis], ...] = (
    (
        "sweep_x", ("tram+", "lean_side-"), ("tram-", "lean_side+"), ("tram",),
        "The sweep of the table side to side", GEOMETRY,
    ),
    (
        "sweep_y", ("nod+", "lean_fore-"), ("nod-", "lean_fore+"), ("nod",),
        "The sweep of the table front to back", GEOMETRY,
    ),
    (
        "table_run_x", ("table_slope-",), ("table_slope+",), ("table_slope", "table_droop"),
        "The table running under a still indicator in X", GEOMETRY,
    ),
    (
        "table_run_y", ("saddle_slope-",), ("saddle_slope+",), ("saddle_slope",),
        "The table running under a still indicator in Y", GEOMETRY,
    ),
    (
        "square_travel_x", ("lean_side+",), ("lean_side-",), ("lean_side",),
        "The vertical travel along a square, side to side,", GEOMETRY,
    ),
    (
        "square_travel_y", ("lean_fore+",), ("lean_fore-",), ("lean_fore",),
        "The vertical travel along a square, front to back,", GEOMETRY,
    ),
    ("jaw_run", ("vise_skew+",), ("vise_skew-",), ("vise_skew",), "The fixed jaw along the X travel",
    HOLDING), (
        "fixed_jaw_square", ("fixed_jaw_lean+", "jaw_plate_seat+"), ("fixed_jaw_lean-", "jaw_plate_seat-"),
        ("fixed_jaw_lean", "jaw_plate_seat"), "The fixed jaw against a square", HOLDING,
    ),
    (
        "fixed_jaw_travel", ("fixed_jaw_lean+", "jaw_plate_seat+", "bed_tilt_y-", "lean_fore-"),
        ("fixed_jaw_lean-", "jaw_plate_seat-", "bed_tilt_y+", "lean_fore+"), ("fixed_jaw_lean",
        "jaw_plate_seat"), "The indicator up the fixed jaw", HOLDING,
    ),
    ("vise_bed_x", ("bed_tilt_x+",), ("bed_tilt_x-",), ("bed_tilt_x",), "The vise bed side to side", HOLDING),
    ("vise_bed_y", ("bed_tilt_y+",), ("bed_tilt_y-",), ("bed_tilt_y",), "The vise bed front to back",
    HOLDING),
)  # fmt: skip

for _reading, _plus, _minus, _cleared, _what, _basis in DIRECTED:
    for _side, _suspects in (("plus", _plus), ("minus", _minus)):
        THEME.rule(
            f"{_reading}_{_side}",
            reads(_reading, _side),
            then=points(*_suspects),
            because=f"{_what} is out by {{value:length}}.",
            basis=_basis,
        )
    THEME.rule(
        f"{_reading}_true",
        still(_reading),
        then=against(*_cleared),
        because=f"{_what} reads {{value:length}}, which is as good as true.",
        basis=_basis,
    )

for _reading, _source, _where in (
    ("push_pull_x", "gib_play_x", "The table in X"),
    ("push_pull_y", "gib_play_y", "The saddle in Y"),
    ("push_pull_z", "gib_play_z", "The head or knee"),
):
    THEME.rule(
        f"{_reading}_gives",
        moves(_reading),
        then=points(_source),
        because=f"{_where} gives by {{value:length}} when pushed and pulled by hand.",
        basis=PRACTICE,
    )
    THEME.rule(
        f"{_reading}_firm",
        still(_reading),
        then=against(_source),
        because=f"{_where} does not give when pushed and pulled by hand.",
        basis=PRACTICE,
    )
THEME.rule(
    "locks_loose",
    OR(yes("locks_were_loose"), moves("lock_shift")),
    then=points("gib_play_z"),
    because="Head, quill, column or knee was not locked, or moves when it is: it can move under the cut.",
    basis=PRACTICE,
)
THEME.rule(
    "locks_hold",
    no("locks_were_loose"),
    still("lock_shift"),
    then=against("gib_play_z"),
    because="The locks were on, and nothing moves when they are tightened.",
    basis=PRACTICE,
)
THEME.rule(
    "sweeps_differ",
    OR(moves("sweep_shift_x"), moves("sweep_shift_y")),
    then=points("adjustment_creep", "gib_play_z"),
    because="Two sweeps with nothing adjusted differ by {value:length}: the head moves by itself.",
    basis=PRACTICE,
)
THEME.rule(
    "sweeps_agree",
    still("sweep_shift_x", spoken=False),
    still("sweep_shift_y", spoken=False),
    then=against("adjustment_creep"),
    because="Two sweeps with nothing adjusted agree.",
    basis=PRACTICE,
)
