"""Why, for a person: what each rule that fired says of a thing, what it went by, and what it rests on."""

from __future__ import annotations

import re

from askew.engine.findings import Findings, Firing
from askew.engine.remedies.parts import REASONS
from askew.engine.telling import CONCLUDES

_OUT = "out"
_WORKINGS = re.compile(
    r"(?:repeated|doubt|course|gives|wants|proposed|warns|requirement|lacks|refused|without|idle): "
    r"|[a-z_]+ (?:points to|speaks against|suspected:|cleared:|set aside:) .* which is "
)
"""Facts that the rules pass among themselves; nobody has seen them."""


def reasons(findings: Findings, about: str, name: str, *, likely: bool) -> list[str]:
    """Return what the rules say of a thing, under a heading; empty where none spoke of it.

    Args:
        findings: What the rules conclude, with every firing.
        about: The id of a source, check, reading or sign.
        name: What people call it.
        likely: It is a source that stands under suspicion, so that being out of play now is said with care.
    """
    lines: list[str] = []
    said: list[str] = []
    # What rules it out of play comes last: it speaks of the setup now, not of what was found.
    for firing in sorted(findings.trace, key=lambda firing: any(c[0] == _OUT for c in firing.concludes)):
        kinds = [(kind, toward) for kind, subject, toward in firing.concludes if subject == about]
        if not kinds or firing.because in said:
            continue
        lines += _told(firing, kinds[0], name, said, likely=likely)
        said.append(firing.because)
    return [REASONS, *lines] if lines else []


def _told(
    firing: Firing, concluded: tuple[str, str], name: str, said: list[str], *, likely: bool
) -> list[str]:
    kind, toward = concluded
    because = firing.because
    for earlier in said:  # a rule that joins pattern and numbers repeats the pattern's sentence
        because = because.removeprefix(earlier).strip() or because
    if kind == _OUT and likely:
        because = f"As it is set up now: {because}"
    way = f" ({toward})" if toward in ("plus", "minus") else ""
    so = "" if kind == _OUT else f" So: {CONCLUDES[kind]} {name}{way}."
    seen = [fact for fact in firing.facts if not _WORKINGS.match(fact)]
    went_by = [f"  Seen: {'; '.join(seen)}."] if seen and kind != _OUT else []
    return [f"- {because}{so}", *went_by, f"  Rule {firing.rule}; {firing.basis}."]
