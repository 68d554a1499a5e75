"""`askew completion SHELL`: a completion script from the same table as the help."""

from __future__ import annotations

import argparse

from askew.cli.exits import OK


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of `askew completion`."""
    parser.add_argument("shell", choices=["bash", "zsh", "tcsh"], help="the shell to complete for")


def run(args: argparse.Namespace) -> int:
    """Print the script."""
    import shtab  # 20 ms, and for this command only

    from askew.cli.parser import build

    print(shtab.complete(build(), shell=args.shell))  # noqa: T201
    return OK
