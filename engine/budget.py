"""The error budget: how much of what was measured each cause explains, and how much nobody explains."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from askew.engine.suspects import Numbers

SHOWN = 0.03
"""Share of the complaint below which an entry is summed with the rest."""


@dataclass(frozen=True)
class Budget:
    """Where a complaint comes from. mm, with the sign of the complaint.

    Attributes:
        complaint: What was measured.
        entries: Source ids with what each is expected to make of it, the largest first.
        rest: What all the other sources in the list make together.
        unexplained: What nothing explains, something unlisted included.
    """

    complaint: float
    entries: tuple[tuple[str, float], ...]
    rest: float
    unexplained: float

    def explained_by(self, sources: Sequence[str]) -> float:
        """Return the fraction of the complaint that some sources explain together."""
        return (
            sum(mm for source, mm in self.entries if source in sources) / self.complaint
            if self.complaint
            else 0.0
        )


def budget_of(complaint: float, numbers: Sequence[Numbers]) -> Budget:
    """Return the error budget of a complaint (mm) from the expected contribution of every source."""
    listed = [(n.source, n.expected * complaint) for n in numbers if n.source != "unlisted"]
    listed.sort(key=lambda entry: -abs(entry[1]))
    shown = tuple(entry for entry in listed if abs(entry[1]) >= SHOWN * abs(complaint))
    rest = sum(mm for _, mm in listed[len(shown) :])
    return Budget(complaint, shown, rest, complaint - sum(mm for _, mm in listed))
