"""What was said once about the machine and the bench: kept, and offered with the next case."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

from askew.cli.settings import NAME
from askew.cli.speech import name_of
from askew.engine.on_hand import listed_words
from askew.engine.safe import BadJson, strict_json
from askew.engine.units import Habit

if TYPE_CHECKING:
    from askew.engine.seam import Turn
    from askew.knowledge.load import Knowledge

KEPT = ("machine", "instruments", "cutters", "leaves", "jaw_width", "jaw_height", "bed_length", "square_blade")
"""Setup keys that belong to the shop and not to the part."""
NAMED = "named"
"""Key under which the machine's own name is kept, where it has a record."""
MAX_FILE = 16 * 1024


def bench_file() -> Path:
    """Return where it is kept."""
    from askew.engine.record.store import data_folder

    return data_folder() / "bench.json"


def read_bench(path: Path) -> dict[str, Any]:
    """Return what is kept; empty where there is nothing, or nothing usable."""
    try:
        with path.open("rb") as file:
            kept = strict_json(file.read(MAX_FILE + 1), max_bytes=MAX_FILE)
    except (OSError, BadJson):
        return {}
    if not isinstance(kept, dict):
        return {}
    good = {key: value for key, value in kept.items() if key in KEPT and _fits(key, value)}
    named = kept.get(NAMED)
    return {**good, NAMED: named} if isinstance(named, str) and NAME.fullmatch(named) else good


def kept_on_bench(key: str) -> tuple[Any, ...]:
    """Return the cutters or leaves that were told in the chat; empty where none were."""
    return tuple(read_bench(bench_file()).get(key) or ())


def learn(turn: Turn, kept: dict[str, Any]) -> dict[str, Any]:
    """Return what is kept, with what a turn says about the machine and the bench."""
    said = {heard.id: heard.value for heard in turn.heard if heard.kind == "setup" and heard.id in KEPT}
    return {**kept, **{key: value for key, value in said.items() if value is not None}}


def write_bench(path: Path, kept: dict[str, Any]) -> None:
    """Keep it; a folder that refuses costs the offer next time and nothing else."""
    from askew.engine.record.private import NotWritten, private_folder, write_private

    try:
        private_folder(path.parent)
        write_private(path, json.dumps(kept, default=list))
    except (NotWritten, TypeError, ValueError):
        return


def in_words(kept: dict[str, Any], known: Knowledge, habit: Habit | None) -> str:
    """Return what is kept as a few words."""
    parts = [kept[NAMED]] if NAMED in kept else []
    if "machine" in kept:
        parts.append(name_of(kept["machine"], known))
    if kept.get("instruments"):
        parts.append(", ".join(name_of(item, known) for item in kept["instruments"]))
    if kept.get("cutters"):
        parts.append(str(listed_words(kept["cutters"], habit)))
    if kept.get("leaves"):
        parts.append(f"leaves of {listed_words(kept['leaves'], habit)}")
    return "; ".join(parts)


def as_line(kept: dict[str, Any]) -> str:
    """Return the line that says it all again."""
    return json.dumps({"setup": {key: value for key, value in kept.items() if key in KEPT}})


def _fits(key: str, value: object) -> bool:
    from askew.engine.setup import SetupError, checked  # the engine is there by then

    try:
        checked(key, value)
    except SetupError:
        return False
    return True
