"""The choices on which a row depends: signs of absolute values, and whether a part sits on the jaw or on the bed."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

from askew.engine.belief.columns import Column, column_of
from askew.engine.belief.items import Term
from askew.engine.case import Situation
from askew.engine.physics.linear import signs_of
from askew.engine.physics.scene import facts_of, seat_share
from askew.engine.setup import Setup

SignKey = tuple[str, tuple[Column, ...]] | tuple[str, int]


@lru_cache(maxsize=512)
def seat_key(setup: Setup) -> tuple[SignKey, float] | None:
    """Return what names the seat of a part that may follow the jaw or the bed, with the chance of the jaw.

    None where it is known, or sure from how deep the part is gripped. A part seats on one or the other, so the
    two are told apart like the sign of an absolute value.
    """
    share, spread = seat_share(facts_of(setup))
    return (("seat", round(1000.0 * share)), share) if spread > 0.0 else None


def seated(setup: Setup, choice: Mapping[SignKey, int]) -> Setup:
    """Return a setup with the seat that a choice stands for."""
    found = seat_key(setup)
    if found is None or found[0] not in choice:
        return setup
    return placed_on(setup, "jaw" if choice[found[0]] else "bed")


@lru_cache(maxsize=256)
def placed_on(setup: Setup, seat: str) -> Setup:
    """Return the setup with the part on the jaw or on the bed."""
    return setup.having(seat=seat)


@lru_cache(maxsize=1024)
def keys_of(term: Term) -> tuple[SignKey, ...]:
    """Return the choices that a term's row depends on."""
    if term.reading is None:
        return ()
    setup = term.situation.setup
    seat = seat_key(setup)
    setups = [setup] if seat is None else [setup, placed_on(setup, "jaw"), placed_on(setup, "bed")]
    names = dict.fromkeys(name for one in setups for name in signs_of(term.reading, one))
    signs = [sign_key(name, term.situation) for name in names]
    return tuple(signs if seat is None else [seat[0], *signs])


def sign_key(name: str, situation: Situation) -> SignKey:
    """Return what tells apart the absolute values of different states of the machine."""
    parts: tuple[str, ...] = ("tram", "nod", "lean_side", "lean_fore", "table_slope", "saddle_slope")
    if name == "step":
        parts = (*parts, "spindle_growth", "tool_pullout", "part_slip", "gib_play_z")
    return name, tuple(column_of(part, situation) for part in parts)
