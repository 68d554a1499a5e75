"""Which remedy of a source comes first."""

from __future__ import annotations

from functools import cache

from askew.knowledge.load import load


@cache
def remedy_for(source: str) -> str:
    """Return the remedy of a source that comes first: a fix before a way round, then the quickest."""
    known = load().remedies
    serving = [id_ for id_, remedy in known.items() if source in remedy.serves]
    return min(serving, key=lambda id_: (known[id_].kind != "fix", known[id_].minutes))
