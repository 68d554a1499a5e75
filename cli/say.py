"""Sentences of a command on standard output: filled to the width of a terminal, whole where a program reads them."""

from __future__ import annotations

import argparse
import sys
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from askew.cli.view import View

_VIEW = "say_view"


def say(line: str, args: argparse.Namespace) -> None:
    """Print one line of text, made safe; filled where somebody looks at it or a width was asked for.

    Args:
        line: The text; spaces before it are kept for what hangs under it.
        args: The command line, which says how to show things.
    """
    from askew.cli.emit import emit  # the screens are not needed for --help
    from askew.cli.screens.said import paragraph
    from askew.engine.safe import safe

    view = _view(args)
    if view is None:
        sys.stdout.write(safe(line).rstrip() + "\n")
    else:
        emit(paragraph(line, view), view)


def _view(args: argparse.Namespace) -> View | None:
    """Return how to show things, found once for a command line; None where lines are to stay whole."""
    from askew.cli.view import settings_of, view_of

    if not hasattr(args, _VIEW):
        settings = settings_of(args)
        seen = sys.stdout.isatty() or settings["width"].value is not None
        setattr(args, _VIEW, view_of(settings) if seen else None)
    found: View | None = getattr(args, _VIEW)
    return found
