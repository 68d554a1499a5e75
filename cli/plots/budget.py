"""The error budget as bars: what each cause makes of the complaint, and what nobody explains."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from askew.cli.plots.canvas import NARROW, stacked, wrapped
from askew.engine.phrases import share_words

if TYPE_CHECKING:
    from askew.engine.report.rows import BudgetRow


def budget(rows: Sequence[BudgetRow], width: int = NARROW, *, ascii_: bool = False) -> list[str]:
    """Return one bar a cause, those that work against the error to the left of the axis.

    Args:
        rows: From `askew.engine.report.view.build`.
        width: Columns to use; under 60 only the numbers are given.
        ascii_: Plain ASCII.
    """
    if not rows:
        return ["No error budget yet."]
    if width < NARROW:
        return stacked([(row.name, _share(row)) for row in rows])
    shares = [_share(row) for row in rows]
    room = max(len(share) for share in shares)
    low = min(0.0, *(row.share for row in rows))
    high = max(0.0, *(row.share for row in rows))
    columns = width - room - 2
    axis = round(-low / max(high - low, 1e-9) * (columns - 1))
    out: list[str] = []
    for row, share in zip(rows, shares, strict=True):
        out += wrapped(row.name, width)
        out.append(
            f"{_bar(row.share, axis, columns, max(high - low, 1e-9), ascii_=ascii_):<{columns}}  {share}"
        )
    return out


def _share(row: BudgetRow) -> str:
    return f"{share_words(row.share):>4}  {row.makes}".rstrip()


def _bar(share: float, axis: int, columns: int, size: float, *, ascii_: bool) -> str:
    solid, against, stem = ("#", "=", "|") if ascii_ else ("\u2588", "\u2592", "\u2502")
    length = round(abs(share) / size * (columns - 1))
    if share < 0:
        return " " * (axis - length) + against * length + stem
    return " " * axis + stem + solid * length
