"""Requests that carry a sentence of their own: what if, how to fix it, how to live with it."""

from __future__ import annotations

import re
from collections.abc import Mapping

from askew.engine.observations import Command

PATTERNS: Mapping[str, re.Pattern[str]] = {
    "what_if": re.compile(
        r"^(?:and |but |so )?(?:what|how) (?:if|about if)\b[ ,:]*(?P<rest>.*)$|^suppose\b[ ,:]*(?P<rest2>.*)$",
        re.I,
    ),
    "fix": re.compile(
        r"^(?:how (?:do|can|would|should) (?:i|we|you) |please )?"
        r"(?:fix|cure|correct|mend|sort)\b ?(?P<rest>.*)$",
        re.I,
    ),
    "live_with": re.compile(
        r"^(?:how (?:do|can|would|should) (?:i|we|you) |can (?:i|we) )?"
        r"(?:live with|work (?:a)?round|get (?:a)?round|cut (?:it )?as (?:it|the machine) stands|plan)\b"
        r" ?(?P<rest>.*)$",
        re.I,
    ),
}
"""A request by how it begins; what follows is what it is about."""

EMPTY = re.compile(r"^(?:it|this|that|the (?:error|problem|trouble))?[ ?.!]*$", re.I)


def asked_for(text: str) -> Command | None:
    """Return the request that a message is, or None where it is none."""
    plain = " ".join(text.split())[:400]
    for id_, pattern in PATTERNS.items():
        found = pattern.match(plain)
        if found is not None:
            rest = next((group for group in found.groups() if group), "").strip(" ?.!")
            return Command(id_, None if EMPTY.match(rest) else rest, text)
    return None
