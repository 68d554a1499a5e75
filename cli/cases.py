"""`askew cases`: list, show, export, import and check what is on record."""

from __future__ import annotations

import argparse
import json
import re
import sys
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

from askew.cli.exits import NO_CASE, OK, Refusal
from askew.cli.parser import add_view_arguments
from askew.cli.say import say

if TYPE_CHECKING:
    from askew.engine.record.journal import Record
    from askew.engine.record.store import Listed, Store


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of `askew cases`."""
    actions = parser.add_subparsers(dest="cases_action", metavar="ACTION", title="actions")
    listing = actions.add_parser("list", help="list the cases, the one changed last first (the default)")
    listing.add_argument("--machine", metavar="WORD", help="only those on this kind of machine")
    listing.add_argument("--cause", metavar="WORD", help="only those where this cause was held responsible")
    listing.add_argument("--since", type=_day, metavar="DATE", help="only those changed on or after this day")
    listing.add_argument("--until", type=_day, metavar="DATE", help="only those begun on or before this day")
    listing.add_argument("--text", metavar="WORDS", help="only those in which these words were said")
    listing.add_argument("--state", choices=["open", "closed"], help="only open or only closed ones")
    show = actions.add_parser("show", help="show everything said in a case, undone turns included")
    show.add_argument("name", help="name of the case, or enough of its beginning, or a file")
    export = actions.add_parser("export", help="write cases to one file that can be carried elsewhere")
    export.add_argument("names", nargs="*", metavar="NAME", help="names of the cases; none means all")
    export.add_argument(
        "--to", type=Path, required=True, metavar="FILE", help="the file, which must not exist yet"
    )
    take = actions.add_parser("import", help="take in the cases of an exported file, or a case file")
    take.add_argument("file", type=Path, metavar="FILE")
    check = actions.add_parser("check", help="verify every case on record and say what was found")
    for sub in (listing, show, export, take, check):
        sub.add_argument("--json", action="store_true", help="print one JSON object instead of text")
        add_view_arguments(sub, repeated=True)


def run(args: argparse.Namespace) -> int:
    """Do what was asked of the cases, and return the exit status."""
    from askew.engine.record.journal import JournalError  # pydantic is not needed for --help
    from askew.engine.record.store import Store

    action = _ACTIONS[args.cases_action or "list"]
    try:
        return action(Store(), args)
    except JournalError as error:
        raise Refusal(str(error), NO_CASE) from None


def _list(store: Store, args: argparse.Namespace) -> int:
    from askew.engine.record.store import Wanted

    asked = {
        name: getattr(args, name, None) for name in ("machine", "cause", "since", "until", "text", "state")
    }
    found = store.find(Wanted(**asked))
    if _json_wanted(args):
        return _print_json({"cases": [_as_json(item) for item in found]})
    for item in found:
        _print_listed(item, args)
    if not found:
        restricted = any(asked.values())
        say("No case fits." if restricted else f"There are no cases yet in {store.folder}.", args)
    return OK


def _print_listed(item: Listed, args: argparse.Namespace) -> None:
    from askew.engine.record.turns import local

    summary = item.summary
    say(item.name, args)
    rows = [
        (
            "state",
            f"{summary.state}, {_count(summary.turns, 'turn')}, last changed {local(summary.changed)}",
        ),
        ("machine", _spaced(summary.machine)),
        ("complaint", _spaced(summary.complaint)),
        ("cause", ", ".join(_spaced(cause) for cause in summary.causes)),
        ("said first", summary.words[:100]),
        *[("notice", notice) for notice in item.notices],
    ]
    for label, value in rows:
        if value:
            say(f"  {label}: {value}", args)


def _show(store: Store, args: argparse.Namespace) -> int:
    from askew.engine.record.journal import Journal
    from askew.engine.record.turns import standing

    path = Path(args.name)
    if not path.is_file():
        path = store.path(args.name)
    with Journal.open(path, write=False) as journal:
        kept = {turn.seq for turn in standing(journal.records)}
        if _json_wanted(args):
            records = [asdict(record) | {"stands": record.seq in kept} for record in journal.records]
            return _print_json({"name": path.stem, "notices": journal.notices, "records": records})
        for notice in journal.notices:
            say(f"note: {notice}", args)
        for record in journal.records:
            _print_record(record, args, taken_back=record.kind == "turn" and record.seq not in kept)
    return OK


def _print_record(record: Record, args: argparse.Namespace, *, taken_back: bool) -> None:
    from askew.engine.record.turns import local

    said = record.data.get("text")
    head = f"{record.seq}  {local(record.time)}  {_spaced(record.kind)}"
    say(head + (" (taken back)" if taken_back else "") + (f": {said}" if isinstance(said, str) else ""), args)
    facts = record.data.get("facts")
    for fact in facts if isinstance(facts, list) else []:
        if isinstance(fact, dict):
            shown = {key: value for key, value in fact.items() if value is not None and key != "words"}
            say("     " + ", ".join(f"{key} {_value(value)}" for key, value in shown.items()), args)
    if not isinstance(facts, list):
        rest = {key: value for key, value in record.data.items() if key != "text"}
        if rest:
            say("     " + ", ".join(f"{key} {_value(value)}" for key, value in rest.items()), args)


def _export(store: Store, args: argparse.Namespace) -> int:
    names = args.names or [path.stem for path in store.paths()]
    return _tell(args, "exported", store.export(names, args.to))


def _import(store: Store, args: argparse.Namespace) -> int:
    return _tell(args, "imported", store.take_in(args.file))


def _check(store: Store, args: argparse.Namespace) -> int:
    from askew.engine.record.migrate import load_renames, vocabulary
    from askew.knowledge.load import load

    results = store.check(vocabulary(load()), load_renames())
    damaged = [result for result in results if not result.sound]
    if _json_wanted(args):
        _print_json({"checked": [asdict(result) for result in results], "sound": not damaged})
        return NO_CASE if damaged else OK
    for result in results:
        kind = "sound" if result.sound else "DAMAGED"
        say(f"{result.name}: {kind}, {_count(result.records, 'entry', 'entries')}", args)
        for finding in result.findings:
            say(f"  {finding}", args)
    say(f"{_count(len(results), 'file')} checked, {len(damaged)} damaged.", args)
    return NO_CASE if damaged else OK


_ACTIONS: dict[str, Callable[[Store, argparse.Namespace], int]] = {
    "list": _list,
    "show": _show,
    "export": _export,
    "import": _import,
    "check": _check,
}


def _tell(args: argparse.Namespace, what: str, sentences: list[str]) -> int:
    if _json_wanted(args):
        return _print_json({what: sentences})
    for sentence in sentences:
        say(sentence, args)
    return OK


def _as_json(item: Listed) -> dict[str, Any]:
    return {"name": item.name, "file": str(item.path), **asdict(item.summary), "notices": item.notices}


def _json_wanted(args: argparse.Namespace) -> bool:
    return bool(getattr(args, "json", False))


def _print_json(value: dict[str, Any]) -> int:
    # ASCII only, so that nothing in a case can act on the terminal.
    sys.stdout.write(json.dumps(value, ensure_ascii=True, allow_nan=False) + "\n")
    return OK


def _day(text: str) -> str:
    if not re.fullmatch(r"[0-9]{4}(-[0-9]{2}(-[0-9]{2})?)?", text):
        raise argparse.ArgumentTypeError(f"{text[:20]!r} is not a date like 2026-05-01, 2026-05 or 2026")
    return text


def _spaced(name: str | None) -> str:
    return (name or "").replace("_", " ")


def _value(value: Any) -> str:
    return ", ".join(map(str, value)) if isinstance(value, list) else str(value)


def _count(number: int, one: str, many: str = "") -> str:
    return f"{number:,} {one if number == 1 else many or one + 's'}"
