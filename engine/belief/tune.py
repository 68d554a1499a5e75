"""Priors and usual sizes fitted to closed cases, shrunk towards the shipped ones.

Closed cases only say which trouble it was when there was one. So they move how the chance is shared out among the
sources, not how much of it there is: the shares are a Dirichlet whose concentration is a number of made-up cases
with the shipped shares. The variance of a size in trouble is a scaled inverse chi-square with a few made-up sizes
(Gelman et al., Bayesian Data Analysis, sections 2.6 and 3.4). With no cases nothing moves.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from pydantic import BaseModel, ConfigDict, Field, FiniteFloat

from askew.knowledge.load import load
from askew.knowledge.schema import MachineKind, Size

CASES = 60.0
"""Made-up causes with the shipped shares."""
SIZES = 6.0
"""Made-up sizes with the shipped variance, for each source."""
LEAST, MOST = 0.001, 0.6
SHOWN = 0.05
"""Changes by less than this fraction are not shown."""


class ClosedCase(BaseModel):
    """A case whose cause is known.

    Attributes:
        machine: The kind of machine.
        causes: What it was, by source id, with its size (mm, or rad for a slope), or null where nobody measured it.
    """

    model_config = ConfigDict(strict=True, extra="forbid", frozen=True)

    machine: MachineKind = "knee_mill"
    causes: dict[str, FiniteFloat | None] = Field(min_length=1, max_length=20)


@dataclass(frozen=True)
class Change:
    """What cases make of a source on a kind of machine. `trouble` in mm or rad.

    Attributes:
        source: Source id.
        machine: Kind of machine, or "any" where the shipped numbers are for any.
        cases: How many cases it was a cause of.
        prior, tuned_prior: Shipped and fitted chance of trouble.
        trouble, tuned_trouble: Shipped and fitted usual size.
    """

    source: str
    machine: str
    cases: int
    prior: float
    tuned_prior: float
    trouble: float
    tuned_trouble: float

    @property
    def moved(self) -> bool:
        """True where either number moved by enough to be shown."""
        return any(
            abs(new / old - 1.0) >= SHOWN
            for old, new in ((self.prior, self.tuned_prior), (self.trouble, self.tuned_trouble))
        )


def tune(cases: Sequence[ClosedCase], strength: float = CASES) -> list[Change]:
    """Return what closed cases make of every source that was a cause or lost its share, by kind of machine.

    Args:
        cases: Closed cases; unknown source ids are refused before.
        strength: How many causes the shipped shares are worth.

    Raises:
        ValueError: A cause is not a source, or the strength is not positive.
    """
    if not strength > 0.0:
        raise ValueError("The strength of the shipped numbers must be more than 0.")
    known = load().sources
    for case in cases:
        for id_ in case.causes:
            if id_ not in known:
                raise ValueError(f"{id_[:40]!r} is not a source of error; `askew explain --list` lists them.")
    found: list[Change] = []
    for machine in sorted({case.machine for case in cases}):
        found += _tuned(machine, [case for case in cases if case.machine == machine], strength)
    return found


def _tuned(machine: str, cases: Sequence[ClosedCase], strength: float) -> list[Change]:
    usual = {id_: _usual(source.size, machine) for id_, source in load().sources.items()}
    whole = sum(size.prior for _, size in usual.values())
    told = sum(len(case.causes) for case in cases)
    changes = []
    for id_, (kind, size) in usual.items():
        seen = [case.causes[id_] for case in cases if id_ in case.causes]
        share = size.prior / whole
        fitted = (len(seen) + strength * share) / (told + strength)
        sizes = [value for value in seen if value is not None]
        variance = (SIZES * size.trouble**2 + sum(v * v for v in sizes)) / (SIZES + len(sizes))
        changes.append(
            Change(
                source=id_,
                machine=kind if kind != "any" else machine,
                cases=len(seen),
                prior=size.prior,
                tuned_prior=min(max(size.prior * fitted / share, LEAST), MOST),
                trouble=size.trouble,
                tuned_trouble=max(float(variance**0.5), 1.01 * size.healthy),
            )
        )
    return changes


def _usual(sizes: Mapping[str, Size], machine: str) -> tuple[str, Size]:
    return (machine, sizes[machine]) if machine in sizes else ("any", sizes["any"])


def as_toml(changes: Sequence[Change]) -> str:
    """Return the fitted numbers as tables in the form of the shipped ones."""
    known = load().sources
    lines: list[str] = ["# Fitted to closed cases; sizes are one standard deviation, mm, or rad for a slope."]
    for change in changes:
        shipped = known[change.source].size.get(change.machine) or known[change.source].size["any"]
        lines += [
            "",
            f"[{change.source}.size.{change.machine}]",
            f"prior = {change.tuned_prior:.4g}",
            f"healthy = {shipped.healthy:g}",
            f"trouble = {change.tuned_trouble:.4g}",
            'basis = "judgement"',
            f'source = "shipped numbers moved by {change.cases} closed cases"',
        ]
    return "\n".join(lines) + "\n"
