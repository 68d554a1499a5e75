"""Old cases read by a new version: ids that were renamed are followed, ids that vanished are told.

A case keeps what was said and how it was understood at the time. A later lexicon therefore changes nothing;
only the ids need following, and they are followed on reading, never in the file.
"""

from __future__ import annotations

import tomllib
from collections.abc import Collection, Iterable, Mapping
from dataclasses import replace
from importlib.resources import files
from typing import Any

from askew.engine.record.lines import Record
from askew.engine.safe import safe
from askew.knowledge.load import Knowledge

Renames = Mapping[str, Mapping[str, str]]
"""By kind of fact, the new id of every renamed one."""
Vocabulary = Mapping[str, Collection[str]]
"""By kind of fact ("reading", "sign", "setup", "action"), the ids that the knowledge base has now."""


def load_renames() -> Renames:
    """Return the renames that ship with the program."""
    table: dict[str, dict[str, str]] = tomllib.loads(
        files("askew.engine.record").joinpath("renamed.toml").read_text(encoding="utf-8")
    )
    return table


def vocabulary(knowledge: Knowledge) -> Vocabulary:
    """Return the ids that facts of each kind may have today."""
    return {
        "reading": knowledge.readings,
        "sign": knowledge.signs,
        "setup": knowledge.setup,
        "action": knowledge.actions,
    }


def bring_forward(
    records: Iterable[Record], known: Vocabulary, renames: Renames
) -> tuple[list[Record], list[str]]:
    """Return the records with today's ids, and sentences about ids that exist no more.

    Facts with a vanished id move from "facts" to "vanished" in the data of their turn: kept to be shown,
    not there to be counted. Kinds of fact that `known` does not list are left as they are.
    """
    moved: list[Record] = []
    vanished: dict[tuple[str, str], list[int]] = {}
    for record in records:
        facts = record.data.get("facts")
        if record.kind == "turn" and isinstance(facts, list):
            kept, gone = _sorted_out(facts, known, renames)
            for fact in gone:
                vanished.setdefault((fact["kind"], str(fact.get(_id_key(fact)))), []).append(record.seq)
            if gone or kept != facts:
                data = {**record.data, "facts": kept} | ({"vanished": gone} if gone else {})
                moved.append(replace(record, data=data))
                continue
        moved.append(record)
    return moved, [_sentence(kind, name, seqs) for (kind, name), seqs in vanished.items()]


def _sorted_out(
    facts: list[Any], known: Vocabulary, renames: Renames
) -> tuple[list[Any], list[dict[str, Any]]]:
    """Return the facts under today's ids, and those that have none."""
    kept: list[Any] = []
    gone: list[dict[str, Any]] = []
    for fact in facts:
        kind = fact.get("kind") if isinstance(fact, dict) else None
        if not isinstance(kind, str) or kind not in known:
            kept.append(fact)
            continue
        name = fact.get(_id_key(fact))
        now = _follow(name, known[kind], renames.get(kind, {})) if isinstance(name, str) else None
        if now is None:
            gone.append(fact)
        else:
            kept.append({**fact, _id_key(fact): now})
    return kept, gone


def _id_key(fact: Mapping[str, Any]) -> str:
    return "key" if fact["kind"] == "setup" else "id"


def _follow(name: str, known: Collection[str], renames: Mapping[str, str]) -> str | None:
    # A name that is known stands for itself, even if an older thing of that name was renamed.
    for _ in range(len(renames) + 1):
        if name in known:
            return name
        if name not in renames:
            return None
        name = renames[name]
    return None


def _sentence(kind: str, name: str, seqs: list[int]) -> str:
    where = "entry " if len(seqs) == 1 else "entries "
    where += ", ".join(str(seq) for seq in seqs[:5]) + (", ..." if len(seqs) > 5 else "")
    return (
        f'This version has no {kind} "{safe(name)[:60]}" any more ({where}); '
        "it is kept in the case and counts for nothing."
    )
