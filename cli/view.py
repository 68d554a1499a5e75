"""How things are to be shown: width, characters, colour, and the person's unit."""

from __future__ import annotations

import argparse
import os
import shutil
import sys
from dataclasses import dataclass
from typing import TextIO

from askew.cli.settings import Known, gather
from askew.engine.units import Habit

NARROWEST = 40
"""Columns that every screen fits."""
STACKED = 60
"""Below this many columns, labels and values are stacked instead of set side by side."""


@dataclass(frozen=True, slots=True)
class View:
    """How to show things.

    Attributes:
        width: Columns that a line may take.
        ascii: Nothing but ASCII.
        linear: For a screen reader: words instead of bars and columns.
        colour: Styles may be shown; meaning never hangs on them.
        habit: The person's unit; None shows mm.
    """

    width: int = 80
    ascii: bool = False
    linear: bool = False
    colour: bool = False
    habit: Habit | None = None

    @property
    def stacked(self) -> bool:
        """Say whether values stand under their labels."""
        return self.linear or self.width < STACKED


def settings_of(args: argparse.Namespace) -> dict[str, Known]:
    """Return every setting in force for this command line.

    Raises:
        Refusal: A setting is wrong.
    """
    return gather(vars(args))


def view_of(settings: dict[str, Known], out: TextIO | None = None) -> View:
    """Return how to show things on a stream.

    Args:
        settings: From `settings_of`.
        out: The stream; standard output where it is not given.
    """
    out = out or sys.stdout
    terminal = out.isatty()
    plain = bool(settings["plain"].value)
    linear = bool(settings["linear"].value)
    # The last column stays free: some terminals wrap a line that fills it.
    columns = shutil.get_terminal_size((80, 24)).columns - 1 if terminal else 80
    width = settings["width"].value
    unit = settings["unit"].value
    habits: dict[object, Habit] = {"in": "in", "mm": "mm"}
    return View(
        width=width
        if isinstance(width, int) and not isinstance(width, bool)
        else max(NARROWEST, min(columns, 120)),
        ascii=bool(settings["ascii"].value),
        linear=linear,
        colour=terminal and not plain and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb",
        habit=habits.get(unit),
    )


def view_from(args: argparse.Namespace, out: TextIO | None = None) -> View:
    """Return how to show things for a command line, on a stream.

    Raises:
        Refusal: A setting is wrong.
    """
    return view_of(settings_of(args), out)
