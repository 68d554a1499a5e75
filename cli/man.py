"""`askew man`: the manual page, from the same table as the help."""

from __future__ import annotations

import argparse
from collections.abc import Iterator

from askew.cli.exits import MEANING, OK
from askew.cli.parser import DESCRIPTION, build
from askew.cli.registry import COMMANDS
from askew.cli.settings import SETTINGS


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """`askew man` has no arguments of its own."""


def run(_args: argparse.Namespace) -> int:
    """Print the page."""
    print(page())  # noqa: T201
    return OK


def page() -> str:
    """Return the manual page in the man macros of troff."""
    parser = build()
    sub = next(action for action in parser._actions if isinstance(action, argparse._SubParsersAction))
    lines = [
        ".TH ASKEW 1",
        ".SH NAME",
        "askew \\- find why a milled part came out wrong",
        ".SH SYNOPSIS",
        ".B askew",
        "[OPTION]... [COMMAND] [ARGUMENT]...",
        ".SH DESCRIPTION",
        _text(DESCRIPTION),
        ".SH OPTIONS",
        *_options(parser, commands=False),
        ".SH COMMANDS",
    ]
    for name, command in COMMANDS.items():
        lines += [
            f".SS askew {name}",
            _text(command.summary.capitalize() + "."),
            ".PP",
            _text(command.explain),
        ]
        lines += _options(sub.choices[name])
        for line, why in command.examples:
            lines += [".PP", f".B {_text(line)}", ".br", _text(why)]
    lines += [".SH CONFIGURATION", "One NAME = VALUE a line in TOML; askew config --path says where."]
    for setting in SETTINGS.values():
        lines += [".TP", f'.BR {setting.name} ", " {setting.variable}', _text(setting.explain)]
    lines += [".SH EXIT STATUS"]
    for status, meaning in MEANING.items():
        lines += [".TP", f".B {status}", _text(meaning)]
    lines += [
        ".SH CAUTION",
        "Isolate the power before hands go near a spindle or cutter. The manual of the machine and local "
        "rules stand above this program. Its numbers are estimates.",
    ]
    return "\n".join(lines)


def _options(parser: argparse.ArgumentParser, *, commands: bool = True) -> Iterator[str]:
    for action in parser._actions:
        if isinstance(action, argparse._HelpAction):
            continue
        if isinstance(action, argparse._SubParsersAction):
            for choice in action._choices_actions if commands else []:
                yield from (".TP", f".B {_text(choice.dest)}", _text(choice.help or ""))
            continue
        names = ", ".join(action.option_strings) or str(action.metavar or action.dest)
        value = f" {action.metavar or '|'.join(map(str, action.choices or []))}" if action.nargs != 0 else ""
        yield from (
            ".TP",
            f".B {_text(names + (value if action.option_strings else ''))}",
            _text(action.help or ""),
        )


def _text(text: str) -> str:
    escaped = text.replace("\\", "\\e").replace("-", "\\-")
    return "\n".join("\\&" + line if line[:1] in (".", "'") else line for line in escaped.splitlines())
