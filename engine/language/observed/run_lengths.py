"""How far a needle ran: a length too large for an error beside the number that was read over it, "75 mm up it"."""

from __future__ import annotations

from askew.engine.language.clauses.message import Message
from askew.engine.language.numbers.quantities import Quantity

_RUN_OVER = (
    *("sweep_", "table_run_", "vise_bed_", "fixed_jaw_", "square_travel_", "jaw_run", "block_out"),
    "face_out_of_square_c",
)
"""What the readings begin with that are taken over a length that was run."""

_RAN = {
    *("table_run", "saddle_run", "x_run", "ran_it", "indicator_up", "up_jaw", "square_on_table", "across_jaw"),
    *("quill", "knee", "head", "up", "rise", "z"),
}
_LEAST_RUN = 10
"""mm. Nothing shorter is run over without being told as the length it was taken over."""


def is_run_over(name: str) -> bool:
    """Tell whether a reading is taken over a length that was run."""
    return name.startswith(_RUN_OVER)


def run_lengths(message: Message, start: int, end: int, name: str) -> list[Quantity]:
    """Return the one length too large for an error that stands between two tokens; none where there are more.

    Args:
        message: The message; what is of its setup has been taken out of it.
        start: The first token.
        end: The token after the last.
        name: The reading told there.
    """
    if not is_run_over(name):
        return []
    large = [
        quantity
        for quantity in message.within(start, end)
        if (quantity.mm or 0) >= _LEAST_RUN
        and not (quantity.junk or quantity.box or quantity.size or quantity.pronoun)
    ]
    return large if len(large) == 1 else []


def run_before(message: Message, name: str) -> list[Quantity]:
    """Return the length that a clause of its own says was run: "ran the knee up 2 inches | and the top leans back"."""
    large = run_lengths(message, 0, len(message.tokens), name)
    for clause in message.clauses:
        if large and clause.start <= large[0].head < clause.end:
            return large if message.names(clause.start, clause.end) & _RAN else []
    return []
