"""What was said once about the machine and the bench: kept, and offered with the next case."""

from __future__ import annotations

import json
from collections.abc import Callable, Collection
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
UNIT = "unit"
"""Key under which the person's unit is kept, to say the rest in."""
USED = ("cutters", "leaves")
"""What fixes and plans are made from without its being told anew."""
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
    named, unit = kept.get(NAMED), kept.get(UNIT)
    good |= {NAMED: named} if isinstance(named, str) and NAME.fullmatch(named) else {}
    return good | ({UNIT: unit} if unit in ("in", "mm") else {})


def kept_on_bench(key: str) -> tuple[Any, ...]:
    """Return the cutters or leaves that were told in the chat; empty where none were."""
    return tuple(read_bench(bench_file()).get(key) or ())


def learn(turn: Turn, kept: dict[str, Any], unit: Habit) -> dict[str, Any]:
    """Return what is kept, with what a turn says about the machine and the bench, and the unit it was said in."""
    said = {heard.id: heard.value for heard in turn.heard if heard.kind == "setup" and heard.id in KEPT}
    said = {key: value for key, value in said.items() if value is not None}
    return {**kept, **said, UNIT: unit} if said else kept


def write_bench(path: Path, kept: dict[str, Any]) -> None:
    """Keep it; a folder that refuses costs the offer next time and nothing else."""
    from askew.engine.record.private import NotWritten, private_folder, write_private

    try:
        private_folder(path.parent)
        write_private(path, json.dumps(kept, default=list))
    except (NotWritten, TypeError, ValueError):
        return


def in_words(kept: dict[str, Any], known: Knowledge) -> str:
    """Return what is kept as a few words, in the unit that it was told in."""
    habit = kept.get(UNIT)
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


def as_line(kept: dict[str, Any], keys: Collection[str] = KEPT) -> str:
    """Return the line that says it all again, or only some of it."""
    return json.dumps({"setup": {key: value for key, value in kept.items() if key in KEPT and key in keys}})


def laid_out(line: str, knows: Callable[[str], bool], known: Knowledge) -> tuple[str, str] | None:
    """Return what lies ready for the fix or the plan that a line asks for, in words and as a line; None for nothing.

    Args:
        line: What the person says.
        knows: Says whether the case has been told a setup fact.
        known: The knowledge.
    """
    from askew.engine.asks import asked_for  # the engine is there by then

    request = asked_for(line)
    if request is None or request.id not in ("fix", "live_with"):
        return None
    kept = read_bench(bench_file())
    keys = [key for key in USED if kept.get(key) and not knows(key)]
    wanted = {key: value for key, value in kept.items() if key in (*keys, UNIT)}
    return (in_words(wanted, known), as_line(kept, keys)) if keys else None


def _fits(key: str, value: object) -> bool:
    from askew.engine.setup import SetupError, checked  # the engine is there by then

    try:
        checked(key, value)
    except SetupError:
        return False
    return True
