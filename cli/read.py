"""`askew read`: the language alone."""

from __future__ import annotations

import argparse
import json
import sys
from dataclasses import replace

from askew.cli.exits import OK


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of `askew read`."""
    parser.add_argument("--json", action="store_true", help="one line in, one JSON object out, flushed")


def run(args: argparse.Namespace) -> int:
    """Read lines until the end of standard input and show what was understood of each."""
    from askew.cli.pipe import lines
    from askew.engine.language.protocol import read_line

    for line in lines(sys.stdin.buffer):
        if line is None:
            answer: dict[str, object] = {
                "heard": [],
                "unread": [],
                "error": {
                    "message": "The line is too long or is not UTF-8 text.",
                    "hint": "Send one shorter line.",
                },
            }
        else:
            answer = read_line(line)
        if args.json:
            sys.stdout.write(
                json.dumps(answer, ensure_ascii=True, allow_nan=False, separators=(",", ":")) + "\n"
            )
        else:
            _in_words("" if line is None else line, answer, args)
        sys.stdout.flush()
    return OK


def _in_words(line: str, answer: dict[str, object], args: argparse.Namespace) -> None:
    from askew.cli.emit import emit
    from askew.cli.screens.heard import read_screen
    from askew.cli.view import view_from
    from askew.engine.language.reader import read
    from askew.knowledge.load import load

    view = view_from(args)
    if view.habit is None:
        view = replace(view, habit=read(line).unit)
    emit(read_screen(answer, load(), view), view)
