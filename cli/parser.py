"""The command line's grammar, made from the registry."""

from __future__ import annotations

import argparse
from collections.abc import Collection

from askew.cli.registry import COMMANDS, ProgramCommand

DESCRIPTION = """\
A part came off the mill wrong? Say what you see, in your own words and your own
units. askew works out what could have done it and what could not, and names the
next check that is worth its minutes."""

EPILOG = """\
examples:
  askew                       open the chat, or go on with the last open case
  askew --demo                watch a whole consultation, nothing to type
  askew talk --case vise.case keep the case in a file of your own
  askew explain nod           what a word means, with a drawing
  askew COMMAND --help        more about one command, with its exit statuses

Keep hands away from a spindle that can turn. The machine's manual and local
rules stand above this program; its numbers are estimates."""


def build(load: Collection[str] | None = None) -> argparse.ArgumentParser:
    """Return the parser of the whole program.

    Args:
        load: Names of the commands whose own arguments are needed; None for all of them.
    """
    parser = argparse.ArgumentParser(
        prog="askew",
        description=DESCRIPTION,
        epilog=EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--version", action="version", version="askew 0.1.0")
    parser.add_argument(
        "--demo",
        action="store_true",
        help="play a whole consultation of an invented case and print its screens",
    )
    parser.add_argument(
        "--machine",
        dest="on_machine",
        metavar="NAME",
        help="machine that a new case is on: it starts from the machine's record and adds to it",
    )
    add_view_arguments(parser)
    commands = parser.add_subparsers(title="commands", metavar="COMMAND", dest="command")
    for name, command in COMMANDS.items():
        sub = commands.add_parser(
            name,
            help=command.summary,
            description=command.explain,
            epilog=_epilog(command),
            formatter_class=argparse.RawDescriptionHelpFormatter,
        )
        if load is None or name in load:
            sub.description = _filled(command.explain)
            add_view_arguments(sub, repeated=True)
            command.load().add_arguments(sub)
    return parser


def add_view_arguments(parser: argparse.ArgumentParser, *, repeated: bool = False) -> None:
    """Add the options that say how to show things; they are taken before and after the command's name."""
    # A default on the second place would overwrite what was given in the first.
    default = argparse.SUPPRESS if repeated else None
    group = parser.add_argument_group("how to show things")
    for flag, text in (
        ("--plain", "no colour, no drawing on the screen, no paging"),
        ("--ascii", "nothing but ASCII characters"),
        ("--linear", "for screen readers: no redraws, numbered choices, words instead of bars"),
    ):
        group.add_argument(flag, action="store_true", default=default, help=text)
    group.add_argument("--width", type=_width, default=default, metavar="N", help="columns to use, 40 to 400")
    group.add_argument("--unit", choices=["in", "mm"], default=default, help="unit to answer in")


def _width(text: str) -> int:
    if not text.isascii() or not text.isdigit() or not 40 <= int(text) <= 400:
        raise argparse.ArgumentTypeError(f"{text[:20]!r} is not a number of columns from 40 to 400")
    return int(text)


def _filled(text: str) -> str:
    import textwrap  # only when one command's help is shown

    return textwrap.fill(text, 78)


def _epilog(command: ProgramCommand) -> str:
    lines = ["examples:"]
    for line, why in command.examples:
        lines += [f"  {line}", f"      {why}"]
    from askew.cli.exits import MEANING

    lines += ["", "exit status:"]
    lines += [f"  {status:<4} {meaning}" for status, meaning in MEANING.items()]
    return "\n".join(lines)
