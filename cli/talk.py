"""`askew talk`: the chat on a terminal, plain text through a pipe, JSON for programs."""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from askew.cli.exits import NOT_SAVED, OK

if TYPE_CHECKING:
    from askew.engine.seam import Turn


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of `askew talk`."""
    parser.add_argument(
        "--case", type=Path, metavar="FILE", help="keep the case in this file; made if absent"
    )
    parser.add_argument(
        "--machine",
        dest="on_machine",
        default=argparse.SUPPRESS,  # it may stand before the command's name too
        metavar="NAME",
        help="start a new case from the record of this machine, and add to it what the case finds",
    )
    parser.add_argument("--json", action="store_true", help="one line in, one JSON object out, flushed")
    parser.add_argument(
        "--schema", action="store_true", help="print the JSON Schema of both directions and stop"
    )
    parser.add_argument(
        "--new", action="store_true", help="begin a new case even where an open one is at hand"
    )


def run(args: argparse.Namespace) -> int:
    """Hold the talk, in the form that the streams ask for."""
    if args.schema:
        print(json.dumps(schema(), indent=2, sort_keys=True))  # noqa: T201
        return OK
    if args.json:
        return _json(args)
    if sys.stdin.isatty() and sys.stdout.isatty():
        from askew.cli.chat.session import chat

        return chat(args)
    from askew.cli.plain import talk_plain

    return talk_plain(args)


def schema() -> dict[str, object]:
    """Return the JSON Schema of a line in and of a Turn out, from the models that enforce them."""
    from askew.engine.said import FORMS, setup_schema
    from askew.engine.seam import Turn

    forms = [form.model_json_schema() for form in FORMS.values()]
    forms[list(FORMS).index("setup")]["properties"]["setup"] |= setup_schema()
    line = {
        "title": "Line",
        "description": "A line in that begins with a brace. Any other line is plain words.",
        "oneOf": forms,
    }
    return {"line": line, "turn": Turn.model_json_schema()}


def _json(args: argparse.Namespace) -> int:
    from askew.cli.door import open_file, open_memory
    from askew.cli.on_machine import name_machine
    from askew.cli.pipe import converse

    path: Path | None = args.case
    opened = open_file(path) if path is not None else open_memory()
    for notice in (*opened.notices, *name_machine(opened, args)):
        print(f"askew: {notice}", file=sys.stderr)  # noqa: T201
    last = converse(opened.consultation, sys.stdin.buffer, print_json)
    for said in opened.leave():
        print(f"askew: {said}", file=sys.stderr)  # noqa: T201
    return OK if last.saved or path is None else NOT_SAVED


def print_json(turn: Turn) -> None:
    """Print a Turn as one line of JSON and flush it.

    ASCII only, so that no terminal or code page can be harmed by it.
    """
    text = json.dumps(turn.model_dump(mode="json"), ensure_ascii=True, allow_nan=False, separators=(",", ":"))
    sys.stdout.write(text + "\n")
    sys.stdout.flush()
