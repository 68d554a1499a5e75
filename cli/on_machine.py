"""Which machine a new case is on: named on the command line, else the usual one of the configuration."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from datetime import date

from askew.cli import door
from askew.cli.exits import USAGE, Refusal
from askew.cli.settings import NAME
from askew.cli.view import settings_of


def wished(args: argparse.Namespace) -> str | None:
    """Return the machine named for this talk on the command line.

    Raises:
        Refusal: It is no name.
    """
    name: str | None = getattr(args, "on_machine", None)
    if name is not None and not NAME.fullmatch(name):
        raise Refusal("A machine's name has small letters, digits, - and _, at most 40.", USAGE)
    return name


def name_machine(opened: door.Opened, args: argparse.Namespace) -> Sequence[str]:
    """Put a new case on the machine that is wished for or usual; return what did not go as wished.

    Raises:
        Refusal: There is no such machine.
    """
    named, usual = wished(args), settings_of(args)["machine"].value
    name = named or usual
    if not isinstance(name, str):
        return ()
    try:
        return door.begin_on(opened, name, date.today(), asked=named is not None)
    except Refusal as refusal:
        if named is None:
            return (f"{refusal} (The configuration names it.)",)
        opened.close()
        raise
